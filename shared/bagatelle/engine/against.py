"""What speaks against a task today and against nothing that is kept, warm-ups apart."""

from collections.abc import Iterator, Sequence

from bagatelle.engine.kept import Kept
from bagatelle.engine.reasons import reason
from bagatelle.engine.settled import SettledTask
from bagatelle.model.plan import Reason
from bagatelle.model.text import Message
from bagatelle.model.vocabulary import IN_HAND
from bagatelle.wording.render import Say


def against(task: SettledTask, kept: Kept, say: Say) -> Iterator[Reason]:
    """The reasons of this kind, before what the day has no room for.

    A reason that holds for something kept as well is no reason. Nor is a task left out as new where a warm-up that
    is kept is new. What the day asks of it (strain, noise) is said rather than a comparison of turns.
    """
    factors, rivals = task.factors, kept.rivals
    wants_less = bool(rivals) and all(factors.need < rival.factors.need for rival in rivals)
    if wants_less and factors.need < 1:
        yield reason("need", factors.need, f"engine.reason.{_recent(task, kept)}", say)
    if _is_less_in_hand(task, kept) and not _is_stage_unsaid(task):
        yield reason("stage", factors.stage, f"engine.reason.left-{task.stage}", say)
    hindrance = _hindrance(task, kept)
    if hindrance is not None:
        yield reason("circumstances", factors.circumstances, f"engine.reason.{hindrance}", say)
    if factors.concreteness < 1 and all(
        factors.concreteness < rival.factors.concreteness for rival in rivals
    ):
        yield reason("concreteness", factors.concreteness, f"engine.reason.{task.concreteness}", say)
    waits = _waits(task, kept) if wants_less and factors.need >= 1 and hindrance is None else None
    if waits is not None:
        named = Message("engine.kept-besides-the-warm-up" if kept.prepares else "engine.kept")
        yield reason("need", factors.need, f"engine.reason.{waits}", say, {"kept": named})
    if task.pin == "less":
        yield reason("pin", factors.pin, "engine.reason.less", say)


def unsaid_stage(task: SettledTask, kept: Kept, say: Say) -> Iterator[Reason]:
    """That it was taken to be less in hand than all that is kept, as the routine says nothing.

    It comes behind all other reasons: nobody wants to be told first what they are supposed not to know yet.
    """
    if _is_less_in_hand(task, kept) and _is_stage_unsaid(task):
        yield reason("stage", task.factors.stage, f"engine.reason.left-{task.stage}-unsaid", say)


def _is_less_in_hand(task: SettledTask, kept: Kept) -> bool:
    stands_apart = all(task.factors.stage < rival.factors.stage for rival in kept.rivals)
    new_beside_new = task.stage == "new" and any(other.stage == "new" for other in kept.tasks)
    return task.stage not in IN_HAND and stands_apart and not new_beside_new


def _is_stage_unsaid(task: SettledTask) -> bool:
    return task.exercise is not None and "stage" in task.filled_in


def _hindrance(task: SettledTask, kept: Kept) -> str | None:
    """What the day holds against it: against nothing that is kept more, and against some of that not at all."""
    others = [other.factors.circumstances for other in kept.tasks]
    weighs_less = task.factors.circumstances < max(others, default=0)
    if task.factors.circumstances >= 1 or not weighs_less or task.factors.circumstances > min(others):
        return None
    day = kept.circumstances
    if day.energy == "low" and task.strains and not all(other.strains for other in kept.tasks):
        return "strains-today"
    if task.form != "usual" and any(other.form == "usual" for other in kept.tasks):
        return "only-softly" if task.form == "soft" and task.exercise is None else f"only-{task.form}"
    if (
        day.focus == "low"
        and task.divisibility == "whole"
        and any(other.divisibility != "whole" for other in kept.tasks)
    ):
        return "whole-today"
    return None


def _recent(task: SettledTask, kept: Kept) -> str:
    """Done lately; where something kept was done as lately, for how often it comes round."""
    return "recent" if _waited_longest(task, _undated(kept), kept) else "recent-for-its-turn"


def _waits(task: SettledTask, kept: Kept) -> str | None:
    """What makes all that is kept want its turn more; None where no one thing does."""
    undated = _undated(kept)
    since = "waited" if _waited_longest(task, undated, kept) else "past-turn"
    if len(undated) == len(kept.rivals):
        return f"others-{since}"
    if undated:
        return f"others-due-or-{since}"
    if not task.near:
        return "others-due"
    return "others-due-sooner" if _due_later(task, kept.rivals) else None


def _undated(kept: Kept) -> list[SettledTask]:
    return [rival for rival in kept.rivals if not rival.near]


def _due_later(task: SettledTask, rivals: Sequence[SettledTask]) -> bool:
    """Whether each of them is due before it; what is near has a day."""
    return all((rival.due_days or 0) < (task.due_days or 0) for rival in rivals)


def _waited_longest(task: SettledTask, others: Sequence[SettledTask], kept: Kept) -> bool:
    """Whether each of them was last done longer ago, as far as that is known."""
    since = kept.days_since.get(task.id)
    if since is None:
        return False
    return all(kept.days_since.get(other.id, since + 1) > since for other in others)
