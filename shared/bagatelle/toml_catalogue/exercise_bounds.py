"""What the numbers and words of an exercise must be to one another, so that a day can hold it."""

from collections.abc import Callable, Sequence
from typing import Final

from bagatelle.model.vocabulary import Strain
from bagatelle.toml_catalogue.form import ExerciseEntry

Report = Callable[[str, str], None]
"""Takes where in the exercise, as the rest of a JSON Pointer, and what is wrong there."""
_STRAINS: Final[Sequence[Strain]] = ("none", "low", "moderate", "high")


def check_bounds(entry: ExerciseEntry, report: Report) -> None:
    """Report what does not go together."""
    usual_seconds = 60 * entry.usual_minutes
    if entry.smallest_chunk_seconds > usual_seconds:
        report(
            "/smallest_chunk_seconds",
            f"{entry.smallest_chunk_seconds} is longer than the exercise usually takes "
            f"(accepted: at most {usual_seconds:g})",
        )
    cap = entry.daily_cap_seconds
    if cap is not None and cap < entry.smallest_chunk_seconds:
        report(
            "/daily_cap_seconds",
            f"{cap} is less than its smallest chunk, so no day could hold it "
            f"(accepted: at least {entry.smallest_chunk_seconds})",
        )
    soft = entry.soft
    if soft is not None and _STRAINS.index(soft.strain) > _STRAINS.index(entry.strain):
        report(
            "/soft/strain",
            f"the soft form strains more ({soft.strain}) than the exercise itself ({entry.strain})",
        )
