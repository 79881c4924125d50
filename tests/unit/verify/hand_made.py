"""An answer made by hand: two tasks, ten minutes. No engine had a part in it.

Worths by calculator, g(r) = (1 - exp(-2 r)) / (1 - exp(-2)):
g(0.2) = 0.381281, g(0.225) = 0.419089, g(0.45) = 0.686313.
"""

from bagatelle.model.plan import (
    Alternative,
    Certificate,
    CompressionAnswer,
    Dose,
    Factors,
    Ladder,
    MadeWith,
    Plan,
    PolicyNumbers,
    PreparedPlan,
    Reason,
    RuleReport,
    Rung,
    Step,
    TaskNumbers,
    UnitNumbers,
    WindowNumbers,
)

SCALES_240 = 434_660  # 1000 * 0.95 * 1200 * g(0.2)
MINUET_270 = 502_907  # 1000 * 1.00 * 1200 * g(0.225)
MINUET_540 = 823_575  # 1000 * 1.00 * 1200 * g(0.45)
WORTH = SCALES_240 + MINUET_270

SCALES = TaskNumbers(
    task="scales",
    block="hands",
    title="Major scales",
    area="technique",
    stage="refining",
    strain="low",
    loudness="moderate",
    pin="auto",
    due_days=None,
    usual_seconds=1200,
    largest_seconds=1200,
    units=tuple(
        UnitNumbers(id=key, seconds=60, music_seconds=52.174, place=place)
        for place, key in enumerate(("C", "G", "D", "A"))
    ),
    smallest_chunk_seconds=120,
    floor_seconds=240,  # half of 600, the set-up of 30 taken off: 270, four keys
    set_up_seconds=30,
    weight=0.95,
    factors=Factors(stage=0.95, concreteness=1.0, need=1.0, circumstances=1.0, pin=1.0),
    prepares=False,
    music=False,
    short_floor=False,
    available=True,
)
MINUET = TaskNumbers(
    task="minuet",
    block="pieces",
    title="Minuet",
    area="repertoire",
    stage="maintaining",
    strain="low",
    loudness="moderate",
    pin="auto",
    due_days=None,
    usual_seconds=1200,
    largest_seconds=1200,
    units=tuple(
        UnitNumbers(id=part, seconds=90, music_seconds=85.5, place=place)
        for place, part in enumerate(("first", "second"))
    ),
    smallest_chunk_seconds=90,
    floor_seconds=270,
    set_up_seconds=30,
    weight=1.0,
    factors=Factors(stage=1.0, concreteness=1.0, need=1.0, circumstances=1.0, pin=1.0),
    prepares=False,
    music=True,
    short_floor=False,
    available=True,
)


POLICY = PolicyNumbers(curve=2.0, share=0.25, seconds_per_task=300, music_from_seconds=600, near_days=14)


def step(identifier: str, task: TaskNumbers, units: tuple[str, ...], **changes: object) -> Step:
    """A step of whole units with words in every place."""
    lengths = {unit.id: unit.seconds for unit in task.units}
    fields: dict[str, object] = {
        "id": identifier,
        "kind": "task",
        "window": 0,
        "seconds": sum(lengths[unit] for unit in units),
        "set_up_seconds": task.set_up_seconds,
        "block": task.block,
        "task": task.task,
        "units": units,
        "what": task.title,
        "how": "hands together",
        "how_much": f"{len(units)} units",
        "done_when": "even twice in a row",
        "reasons": (Reason(factor="stage", value=1.0, because="in hand"),),
    }
    return Step(**{**fields, **changes})  # type: ignore[arg-type]  # the fields are mixed on purpose


def rule(name: str, because: str, **changes: object) -> RuleReport:
    """A report on a rule that is kept."""
    return RuleReport(**{"rule": name, "kept": True, "because": because, **changes})  # type: ignore[arg-type]


def _ladder() -> Ladder:
    return Ladder(
        prepared=(
            PreparedPlan(
                budget_seconds=300,
                worth=MINUET_270,
                proved=True,
                floor_mode="usual",
                doses=(Dose(task="minuet", seconds=270),),
            ),
            PreparedPlan(
                budget_seconds=600,
                worth=WORTH,
                proved=True,
                floor_mode="usual",
                doses=(Dose(task="minuet", seconds=270), Dose(task="scales", seconds=240)),
            ),
        ),
        rungs=(
            Rung(task="minuet", to_seconds=270, cost_seconds=300),
            Rung(task="scales", to_seconds=240, cost_seconds=270),
            Rung(task="minuet", to_seconds=1170, cost_seconds=900),
            Rung(task="scales", to_seconds=1200, cost_seconds=960),
        ),
        minutes=(),
        lowest_ratio=None,
        mean_ratio=None,
    )


def ten_minutes() -> CompressionAnswer:
    """The best plan of ten minutes: both tasks at their floors; 30 seconds stay free."""
    return CompressionAnswer(
        plan=Plan(
            fingerprint="sha256:0",
            made_with=MadeWith(engine="by hand", policy="1", plugins=()),
            usual_seconds=2400,
            budget_seconds=600,
            planned_seconds=570,
            share=0.25,
            floor_mode="usual",
            policy=POLICY,
            windows=(WindowNumbers(seconds=600, rest_seconds=0),),
            steps=(
                step("s1", SCALES, ("C", "G", "D", "A")),
                step("s2", MINUET, ("first", "second", "first")),
            ),
            left_out=(),
            tasks=(MINUET, SCALES),
            rules=(
                rule("warm-up-before-strain", "nothing strains"),
                rule("music-in-hand", "the minuet"),
                rule("own-warm-up-first", "there is none"),
                rule("task-count", "one task for each five minutes", limit=2),
            ),
            ladder=_ladder(),
            certificate=Certificate(worth=WORTH, bound=WORTH, gap=0.0, proved=True, search_steps=7),
            toss_up=False,
            alternatives=(
                Alternative(why="fewer things", worth=MINUET_540, doses=(Dose(task="minuet", seconds=540),)),
            ),
            findings=(),
            warnings=(),
            cautions=(),
        )
    )
