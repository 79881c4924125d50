"""What the numbers of an exercise must be to one another, so that a day can hold it."""

from typing import Protocol

from bagatelle.model.vocabulary import STRAINS, Strain


class Sized(Protocol):
    """What is looked at of an exercise, of whatever form."""

    @property
    def usual_minutes(self) -> float:
        """How long it usually takes."""
        ...

    @property
    def smallest_chunk_seconds(self) -> int:
        """Less of it is not worth beginning."""
        ...

    @property
    def daily_cap_seconds(self) -> int | None:
        """More of it no day should hold."""
        ...

    @property
    def strain(self) -> Strain:
        """Its load on the body."""
        ...


def chunk_out_of_bounds(exercise: Sized) -> str | None:
    """Say what is wrong with the smallest chunk; None where nothing is."""
    chunk_seconds, usual_seconds = exercise.smallest_chunk_seconds, 60 * exercise.usual_minutes
    if chunk_seconds <= usual_seconds:
        return None
    return f"{chunk_seconds} is longer than the exercise usually takes (accepted: at most {usual_seconds:g})"


def cap_out_of_bounds(exercise: Sized) -> str | None:
    """Say what is wrong with the daily cap; None where nothing is."""
    cap, chunk_seconds = exercise.daily_cap_seconds, exercise.smallest_chunk_seconds
    if cap is None or cap >= chunk_seconds:
        return None
    return (
        f"{cap} is less than its smallest chunk, so no day could hold it (accepted: at least {chunk_seconds})"
    )


def soft_strain_out_of_bounds(exercise: Sized, soft_strain: Strain) -> str | None:
    """Say what is wrong with the strain of its soft form; None where nothing is."""
    if STRAINS.index(soft_strain) <= STRAINS.index(exercise.strain):
        return None
    return f"the soft form strains more ({soft_strain}) than the exercise itself ({exercise.strain})"
