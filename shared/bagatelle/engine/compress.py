"""Making a short-day plan: the whole computation, in the order in which the design describes it."""

from bagatelle.catalogue.instruments import Instruments
from bagatelle.engine.answer import Made, plan_of
from bagatelle.engine.failed_tasks import plugin_problems
from bagatelle.engine.ladder import build_ladder
from bagatelle.engine.planned_day import plan_day
from bagatelle.engine.reading import read_request
from bagatelle.engine.version import ENGINE_VERSION
from bagatelle.model.plan import CompressionAnswer, MadeWith, SpecificityAnswer
from bagatelle.model.request import CompressionRequest
from bagatelle.policy.table import POLICY_VERSION, chosen_policy


def compress(request: CompressionRequest, instruments: Instruments) -> CompressionAnswer:
    """Make the short-day plan of a routine.

    A task whose plugin fails is left out, with the reason and among `plugin_problems`, and the plan stands without
    it.

    Parameters
    ----------
    request
        The routine, what the day gives, what was done before.
    instruments
        The catalogues to look exercises up in.

    Returns
    -------
    CompressionAnswer
        The plan with its ladder, its reasons and its certificate. The same request and the same instruments
        give the same bytes, in whatever order tasks are listed within their blocks (pointers apart).

    Raises
    ------
    InvalidInputError
        Fields of the request are wrong; holds all of them.
    NotShortError
        The share asked for is over a half.
    NotSpecificError
        `strict` was asked for, and questions are open.
    NothingFitsError
        Not even the smallest piece of anything fits; a longer window would do.
    NoShortDayFitsError
        Nor would it fit any window that counts as short.
    NothingAllowedError
        Pins and limits leave no task to plan.
    PluginError
        A plugin failed, and without its tasks nothing is left.
    """
    say = instruments.wording.speaker(request.locale)
    day = plan_day(request, instruments, say)
    made = Made(
        request=request,
        day=day,
        ladder=build_ladder(day.solver, day.reading.usual_seconds, measured=request.measure_ladder),
        made_with=made_with(request, instruments),
        say=say,
    )
    return CompressionAnswer(plan=plan_of(made))


def check_specificity(request: CompressionRequest, instruments: Instruments) -> SpecificityAnswer:
    """Say which questions a routine leaves open, with a proposal for each; nothing is planned.

    A plugin that fails is named in the answer, and what is asked of the other tasks stands.

    Raises
    ------
    InvalidInputError
        Fields of the request are wrong; holds all of them.
    """
    policy = chosen_policy(request.policy)
    say = instruments.wording.speaker(request.locale)
    reading = read_request(request, instruments, policy, say)
    return SpecificityAnswer(
        specific=not reading.findings,
        findings=reading.findings,
        plugin_problems=plugin_problems(reading.failed, say),
    )


def made_with(request: CompressionRequest, instruments: Instruments) -> MadeWith:
    """The engine, the policy, and each plugin that had a part: its exercises, its stand-in, its proposals."""
    exercises = {
        task.exercise for block in request.routine.blocks for task in block.tasks if task.exercise is not None
    }
    instrument = instruments.instrument(request.instrument) if request.instrument is not None else None
    if instrument is not None:
        exercises.add(instrument.exercises[0].id)
    versions = {version.name: version for version in map(instruments.plugin_of, exercises)}
    return MadeWith(
        engine=ENGINE_VERSION,
        policy=POLICY_VERSION,
        plugins=tuple(versions[name] for name in sorted(versions)),
    )
