"""Which of a student's prepared plans stand ready: those of the routine whose plans were prepared last.

So days choose too where nobody names a routine.
"""

from collections.abc import Iterable, Sequence

from bagatelle_service.school.plan_sets import PlanFacts, RoutineFacts


def open_plans(routine: RoutineFacts) -> Sequence[PlanFacts]:
    """List a routine's plans that are not archived."""
    return [plan for plan in routine.plans if not plan.place.is_archived]


def ready_routine(routines: Iterable[RoutineFacts]) -> RoutineFacts | None:
    """Find the routine whose plans were prepared last; None where none of them has any.

    :param routines: of one student, none of them archived.
    """
    prepared = [
        (max(plan.created_at for plan in plans), routine.id, routine)
        for routine in routines
        if (plans := open_plans(routine))
    ]
    return max(prepared, key=lambda each: each[:2])[2] if prepared else None
