"""How much a unit is that a day holds several times over: one number, so that nobody multiplies."""

from collections.abc import Mapping
from typing import Final

from msgspec.structs import replace

from bagatelle.catalogue.instruments import Instruments
from bagatelle.engine.catalogue_task import words_of_more_passes
from bagatelle.engine.settled import SettledTask, SettledUnit, Words
from bagatelle.engine.steps import how_much_of_rounds
from bagatelle.model.text import Message
from bagatelle.wording.counts import number_in_words
from bagatelle.wording.render import Say

_TWICE: Final = 2


class RoundWords:
    """The words of one task for 1, 2, 3 ... rounds."""

    def __init__(self, task: SettledTask, instruments: Instruments, say: Say) -> None:
        self._task = task
        self._instruments = instruments
        self._say = say
        self._more: dict[int, Words | None] = {}

    def how_much(self, unit: SettledUnit, rounds: int) -> str:
        """All rounds of a unit in words."""
        task, say = self._task, self._say
        if task.exercise is None or task.form == "study" or rounds == 1:
            return how_much_of_rounds(task, unit, rounds, say)
        words = self._of_rounds(task.exercise.id, rounds)
        if words is not None:
            return how_much_of_rounds(replace(task, words=words), unit, 1, say)
        base = how_much_of_rounds(task, unit, 1, say)
        if rounds == _TWICE:
            return say(Message("engine.sheet.twice", {"base": base}))
        return say(Message("engine.sheet.times", {"base": base, "rounds": number_in_words(rounds)}))

    def _of_rounds(self, exercise: str, rounds: int) -> Words | None:
        if rounds not in self._more:
            words = self._task.words
            self._more[rounds] = words_of_more_passes(self._instruments, exercise, words, rounds)
        return self._more[rounds]


def most_rounds(units: Mapping[str, int], largest_seconds: int) -> int:
    """How often a unit may come on a day that holds so many seconds of the task, in whatever order they come.

    Parameters
    ----------
    units
        Seconds by unit.
    largest_seconds
        The most that a day may hold of them.
    """
    return max(largest_seconds - 1, 0) // sum(units.values()) + 1
