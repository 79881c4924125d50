"""What a request for a day's sheet came to, in words, beyond what the sheet says itself."""

from collections.abc import Iterable
from typing import Final

from bagatelle.card.kinds import kind_of_day
from bagatelle.model.plan import Notice
from bagatelle.model.request import Circumstances

from bagatelle_service.school.plans_of_day import PlanOfDay, day_of_kind

NOT_STORED: Final = Notice(
    code="not-stored",
    message=(
        "This school stores no facts about bodies, so this sheet is not stored, and the day's stored sheet, where "
        "there is one, was not changed. Keep this one: when the day is asked for again, what comes may be to be "
        "played."
    ),
)


def notices_of(circumstances: Circumstances, plan: PlanOfDay) -> Iterable[Notice]:
    """Say what of the circumstances was taken otherwise than asked."""
    kind = kind_of_day(circumstances)
    if plan.kind != kind:
        yield Notice(
            code="stands-in",
            message=(
                f"No plan is prepared for {day_of_kind(kind)}; this sheet is of the plan for "
                f"{day_of_kind(plan.kind)}."
            ),
        )
    if circumstances.focus == "low":
        yield Notice(
            code="focus-not-heeded",
            message="Nothing is prepared for a day of little focus by itself, so focus changed nothing.",
        )


def notices_of_logged(steps: int) -> Iterable[Notice]:
    """Say what became of steps that were logged before a sheet was made anew."""
    if steps:
        what = "One step was" if steps == 1 else f"{steps} steps were"
        yield Notice(
            code="logged-before",
            message=(
                f"{what} logged from the sheet that stood before. What was logged stays in the logs; this sheet "
                "was made anew and leaves nothing out for it."
            ),
        )
