"""What preparing for many came to, in numbers."""

from collections.abc import Sequence
from typing import Annotated

from msgspec import Meta, Struct

from bagatelle_service.school.set_making import SetOutcome
from bagatelle_service.school.set_preparation import Prepared

Count = Annotated[int, Meta(ge=0)]


class Sums(Struct, frozen=True, kw_only=True):
    """How many there were."""

    students: Count = 0
    """Gone through, those too for whom there was nothing to do."""
    routines: Count = 0
    """That there was anything to do for: those below together."""
    changed: Count = 0
    """With a plan that is new, has changed or is archived, or would be."""
    same: Count = 0
    """Prepared again, and everything came out as it was."""
    problems: Count = 0
    """That came to a problem."""

    def with_student(self, prepared: Sequence[Prepared]) -> "Sums":
        """Count one more student with their routines."""
        outcomes = [each.outcome for each in prepared]
        problems = sum(isinstance(outcome, Exception) for outcome in outcomes)
        changed = sum(isinstance(outcome, SetOutcome) and _has_changed(outcome) for outcome in outcomes)
        return Sums(
            students=self.students + 1,
            routines=self.routines + len(outcomes),
            changed=self.changed + changed,
            same=self.same + len(outcomes) - problems - changed,
            problems=self.problems + problems,
        )


def _has_changed(outcome: SetOutcome) -> bool:
    return any(plan.change != "same" for plan in outcome.plans) or any(
        kind.archives for kind in outcome.nothing_for
    )
