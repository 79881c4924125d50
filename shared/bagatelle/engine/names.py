"""Telling tasks apart that carry the same title, by what they play."""

from collections import Counter
from collections.abc import Sequence
from typing import Final

from msgspec.structs import replace

from bagatelle.engine.settled import SettledTask
from bagatelle.model.text import Message
from bagatelle.wording.render import Say

_UNITS_NAMED: Final = 2
"""At most; more than tells them apart are not named."""


def told_apart(tasks: Sequence[SettledTask], say: Say) -> tuple[SettledTask, ...]:
    """The tasks; where some share a title, it names their first units too, if that tells them apart."""
    counts = Counter(task.title for task in tasks)
    shared = [title for title, count in counts.items() if count > 1]
    titles: dict[str, str] = {}
    for title in shared:
        titles |= _apart([task for task in tasks if task.title == title], say)
    return tuple(replace(task, title=titles[task.id]) if task.id in titles else task for task in tasks)


def _apart(alike: Sequence[SettledTask], say: Say) -> dict[str, str]:
    """A title for each, by as few units as will do; none where their first units are the same."""
    for count in range(1, _UNITS_NAMED + 1):
        titles = {task.id: _with_units(task, count, say) for task in alike}
        if len(set(titles.values())) == len(alike):
            return titles
    return {}


def _with_units(task: SettledTask, count: int, say: Say) -> str:
    in_own_order = sorted(task.units, key=lambda unit: unit.place)
    labels = tuple(unit.label for unit in in_own_order[:count])
    text = "engine.title-with-units" if len(task.units) <= count else "engine.title-with-first-units"
    return say(Message(text, {"title": task.title, "units": labels}))
