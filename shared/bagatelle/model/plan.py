"""What is answered: the plan, with every number that the solver saw."""

import datetime as dt
from typing import Annotated, Any, Literal

from msgspec import UNSET, Meta, Struct, UnsetType

from bagatelle.model.errors import FailureKind
from bagatelle.model.vocabulary import Area, FloorMode, Loudness, Pin, Question, Stage, Strain

Seconds = Annotated[int, Meta(ge=0)]


class Reason(Struct, frozen=True, kw_only=True, gc=False):
    """One named factor or rule that decided about a task, in a short sentence."""

    factor: str
    value: float | None
    because: str


class UnitDetail(Struct, frozen=True, kw_only=True, gc=False):
    """What the hands need for one unit: its fingering, its sticking."""

    unit: str
    label: str
    """The unit in words."""
    text: str


class Step(Struct, frozen=True, kw_only=True, gc=False):
    """One thing to do, complete in itself; or a rest."""

    id: str
    kind: Literal["task", "rest"]
    window: int
    """Position in `windows`, from 0."""
    seconds: Seconds
    """Playing seconds of this step (of a rest: its length); set-up comes on top."""
    set_up_seconds: Seconds = 0
    block: str | None = None
    task: str | None = None
    units: tuple[str, ...] = ()
    """In the order of playing: each round of them by `place`."""
    stands_in_for: str | None = None
    continues: bool = False
    """Whether it goes on where an earlier step of this plan stopped."""
    what: str = ""
    how: str = ""
    how_much: str = ""
    done_when: str = ""
    details: tuple[UnitDetail, ...] = ()
    filled_in: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    reasons: tuple[Reason, ...] = ()


class LeftOut(Struct, frozen=True, kw_only=True, gc=False):
    """A task that today does without, and why."""

    task: str
    reasons: tuple[Reason, ...]


class PartsLeft(Struct, frozen=True, kw_only=True, gc=False):
    """What today does without of a task that it keeps."""

    task: str
    units: tuple[str, ...]
    """In the order of the task."""
    message: str


class UnitNumbers(Struct, frozen=True, kw_only=True, gc=False):
    """One unit as the solver saw it. Units come in today's rotation order."""

    id: str
    seconds: Annotated[int, Meta(ge=1)]
    music_seconds: float
    """Exact length of the notes alone, to the millisecond, pauses left out."""
    place: Annotated[int, Meta(ge=0)]
    """In the order of playing, from 0: of music first what the last time missed, else in the own order of the
    exercise or piece."""


class Factors(Struct, frozen=True, kw_only=True, gc=False):
    """The named factors whose product is a task's weight."""

    stage: float
    concreteness: float
    need: float
    circumstances: float
    pin: float


class TaskNumbers(Struct, frozen=True, kw_only=True, gc=False):
    """One task as the solver saw it."""

    task: str
    block: str
    title: str
    area: Area
    stage: Stage
    strain: Strain
    loudness: Loudness
    pin: Pin
    due_days: int | None
    usual_seconds: Annotated[int, Meta(ge=1)]
    largest_seconds: Seconds
    """The most playing seconds that a plan may give it today: its usual time, a cap, or a single unit."""
    units: tuple[UnitNumbers, ...]
    smallest_chunk_seconds: Seconds
    """The chunk, rounded up to whole units."""
    floor_seconds: Seconds
    """The least playing seconds that a kept task gets at this budget and floor mode."""
    set_up_seconds: Seconds
    weight: float
    factors: Factors
    prepares: bool
    """Warm-up or tone work of little strain that is not loud: it may come before what strains."""
    music: bool
    """A piece or improvisation that is in hand or due soon."""
    short_floor: bool
    """Whether the chunk alone is its floor (warm-up, tone, due soon, the stand-in)."""
    available: bool
    """False where a pin, a limit or the circumstances leave it out before the search."""
    stand_in: bool = False
    """The catalogue's two-minute warm-up: no task of the routine, not counted in its usual time."""
    at_rest: bool = False
    """Whether today no hand, lip or voice does it: it prepares nothing, and comes after what strains."""


class RuleReport(Struct, frozen=True, kw_only=True, omit_defaults=True, gc=False):
    """A rule, whether the plan keeps it, and what it allowed."""

    rule: Literal["warm-up-before-strain", "music-in-hand", "own-warm-up-first", "task-count"]
    kept: bool
    because: str
    limit: int | UnsetType = UNSET


class WindowNumbers(Struct, frozen=True, kw_only=True, gc=False):
    """A window as the solver saw it."""

    seconds: Annotated[int, Meta(ge=1)]
    rest_seconds: Seconds
    """Given up to rests where the window is long; what is left beside the slack holds set-ups and doses."""
    slack_seconds: Seconds = 0
    """Left free of a window that the day gives, so that the plan surely fits."""
    starts_at: str | None = None


class Rung(Struct, frozen=True, kw_only=True, gc=False):
    """One entry of the ladder: lift this task to so many playing seconds."""

    task: str
    to_seconds: Seconds
    cost_seconds: Seconds
    """What that adds to the rung before it of the same task, set-up included where it is the first."""


class Dose(Struct, frozen=True, kw_only=True, gc=False):
    """Playing seconds of one task, set-up not counted."""

    task: str
    seconds: Seconds


class PreparedPlan(Struct, frozen=True, kw_only=True, gc=False):
    """A plan made for one budget beforehand; the ladder goes on from it."""

    budget_seconds: Seconds
    worth: int
    proved: bool
    floor_mode: FloorMode
    doses: tuple[Dose, ...]


class LadderMinute(Struct, frozen=True, kw_only=True, gc=False):
    """The ladder walked for one whole number of minutes, beside the best plan for it."""

    minutes: int
    worth: int
    best: int
    """The optimum; where its proof did not close, the bound, so that the ratio is never flattered."""
    proved: bool


class Ladder(Struct, frozen=True, kw_only=True, gc=False):
    """The whole routine in the order in which it is worth adding."""

    prepared: tuple[PreparedPlan, ...]
    rungs: tuple[Rung, ...]
    minutes: tuple[LadderMinute, ...]
    """Empty where `measure_ladder` was false."""
    lowest_ratio: float | None
    mean_ratio: float | None


class Certificate(Struct, frozen=True, kw_only=True, gc=False):
    """How good the plan is, for anybody's own solver to check."""

    worth: int
    bound: int
    gap: float
    """`(bound - worth) / bound`; 0 where the optimum is proved."""
    proved: bool
    search_steps: int


class Alternative(Struct, frozen=True, kw_only=True, gc=False):
    """Another whole plan, in short."""

    why: Literal["fewer things", "another set"]
    worth: int
    doses: tuple[Dose, ...]


class PatchOperation(Struct, frozen=True, kw_only=True, gc=False):
    """One operation of a JSON Patch (RFC 6902)."""

    op: Literal["add", "replace", "remove"]
    path: str
    value: Any = None


class LikelyExercise(Struct, frozen=True, kw_only=True, gc=False):
    """A catalogue exercise that a title may mean."""

    exercise: str
    title: str
    """The exercise's own title."""
    likeness: Annotated[int, Meta(ge=0, le=100)]
    """How much of its name stands in the title, times how much of the title it explains; 100 is all of both."""
    proposal: tuple[PatchOperation, ...]
    """What would take it, with the settings that the title names beyond doubt."""


class Finding(Struct, frozen=True, kw_only=True, omit_defaults=True, gc=False):
    """A question that the routine leaves open, where it would be answered, and a proposal.

    The question `exercise` stands only beside `which`, and has no proposal of its own: whether the task is
    one of the exercises in `likely` is for the learner to say. Take one of them, or the proposals of the
    other questions; not both.
    """

    task: str | None
    question: Question
    pointer: str
    message: str
    proposal: tuple[PatchOperation, ...]
    likely: tuple[LikelyExercise, ...] = ()
    """The likeliest first, at most three."""


class StageProposal(Struct, frozen=True, kw_only=True, gc=False):
    """The next stage for a task that has met its own finish line often enough. Nothing changes by itself."""

    task: str
    stage: Stage
    """As the routine has it."""
    next_stage: Stage
    met_on: Annotated[tuple[dt.date, ...], Meta(min_length=1)]
    """The evidence, oldest first: the last days on which it was said whether the finish line was met. On each
    of them it was."""
    message: str
    proposal: tuple[PatchOperation, ...]
    """Sets the stage, and the day from which it was set, so that these days count no more."""


class Notice(Struct, frozen=True, kw_only=True, gc=False):
    """Something worth knowing about the plan: a stable code and a sentence."""

    code: str
    message: str


class PluginProblem(Struct, frozen=True, kw_only=True, gc=False):
    """A plugin that failed, and the task that is left out for it."""

    task: str
    title: str
    pointer: str
    """JSON Pointer (RFC 6901) of the task in the request."""
    usual_seconds: Annotated[int, Meta(ge=1)]
    """They count in the usual time of the routine, though the task is not among the plan's `tasks`."""
    plugin: str
    hook: str
    """What the plugin was asked, by its name in the contract."""
    exercise: str
    failure: FailureKind
    message: str
    """The same in plain words."""


class PluginVersion(Struct, frozen=True, kw_only=True, gc=False):
    """A plugin that had a part in the plan."""

    name: str
    version: str
    hash: str


class MadeWith(Struct, frozen=True, kw_only=True, gc=False):
    """What the plan was made with."""

    engine: str
    policy: str
    plugins: tuple[PluginVersion, ...]


class PolicyNumbers(Struct, frozen=True, kw_only=True, gc=False):
    """The numbers of the policy that the search used, choices of the request included."""

    curve: float
    share: float
    seconds_per_task: int
    music_from_seconds: int
    near_days: int
    own_warm_up_from_seconds: Seconds = 0
    own_warm_up_share: float = 0.0
    """Of the playing time, at most: then the routine's own warm-up opens the day."""
    slack_share: float = 0.0
    """Left free of each window, by the ladder too; 0 where the day gives no time, or more than counts as short."""
    least_slack_seconds: Seconds = 0
    """The least that is left free of a window; never more than half of it."""


class SoundExposure(Struct, frozen=True, kw_only=True, gc=False):
    """What the steps may come to of a day's allowance for ears, without ear plugs: a range, as nothing is measured.

    What else of the day is loud comes on top.
    """

    loud_seconds: Seconds
    """Of sound: rests are quiet."""
    lowest_percent: Annotated[int, Meta(ge=0)]
    highest_percent: Annotated[int, Meta(ge=0)]


class Plan(Struct, frozen=True, kw_only=True, gc=False):
    """The prepared smaller routine."""

    fingerprint: str
    made_with: MadeWith
    usual_seconds: Seconds
    budget_seconds: Seconds
    planned_seconds: Seconds
    """Doses and set-ups; rests are not counted."""
    share: float
    """The budget as a share of the usual time."""
    floor_mode: FloorMode
    policy: PolicyNumbers
    windows: tuple[WindowNumbers, ...]
    steps: tuple[Step, ...]
    left_out: tuple[LeftOut, ...]
    parts_left: tuple[PartsLeft, ...] = ()
    sore: bool = False
    """Whether something is sore today: then nobody is told that more is welcome."""
    tasks: tuple[TaskNumbers, ...]
    rules: tuple[RuleReport, ...]
    ladder: Ladder
    certificate: Certificate
    toss_up: bool
    toss_up_sought: bool = True
    """Whether it is known that there is none, where none is said; else the search for another set ended early."""
    alternatives: tuple[Alternative, ...]
    findings: tuple[Finding, ...]
    warnings: tuple[Notice, ...]
    cautions: tuple[str, ...]
    sound: SoundExposure | None = None
    """Where a step is loud."""
    stage_proposals: tuple[StageProposal, ...] = ()
    """In the order of the routine."""
    plugin_problems: tuple[PluginProblem, ...] | UnsetType = UNSET
    """Where a plugin failed: its tasks are left out, and the plan stands without them. Absent where none did."""


class CompressionAnswer(Struct, frozen=True, kw_only=True, gc=False):
    """The answer to a compression."""

    plan: Plan


class SpecificityAnswer(Struct, frozen=True, kw_only=True, gc=False):
    """The answer to a specificity check."""

    specific: bool
    findings: tuple[Finding, ...]
    plugin_problems: tuple[PluginProblem, ...] | UnsetType = UNSET
    """Where a plugin failed, so that its tasks could not be looked at whole. Absent where none did."""
