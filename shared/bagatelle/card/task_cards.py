"""One task of a card: its numbers for the walk, its words rendered for each unit alone."""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from msgspec.structs import replace

from bagatelle.card.round_words import RoundWords, most_rounds
from bagatelle.catalogue.instruments import Instruments
from bagatelle.engine.body import stop_caution
from bagatelle.engine.doses import scale_of
from bagatelle.engine.problem import Item
from bagatelle.engine.settled import Form, SettledTask, SettledUnit
from bagatelle.engine.sound import is_loud_unsaid, millionths_a_second
from bagatelle.engine.steps import MannerWords, UnitWords, cautions_of, stands_in_for, words_of_manner
from bagatelle.model.card import CardTask, CardUnit
from bagatelle.model.text import Message
from bagatelle.model.vocabulary import IN_HAND, MUSIC_AREAS
from bagatelle.wording.render import Say

_BY_TIME = "engine.own.how-much-open"


class Worded(NamedTuple):
    """All words of a task."""

    what: str
    manner_of_one: MannerWords
    manner_of_several: MannerWords
    cautions: tuple[str, ...]
    day_caution: str
    units: tuple[CardUnit, ...]


class TaskWording:
    """Puts tasks into words; kinds of day that have a task alike have its words once."""

    def __init__(self, instruments: Instruments) -> None:
        self._instruments = instruments
        self._known: dict[tuple[str, Form, int], tuple[object, Worded]] = {}

    def of(self, task: SettledTask, say: Say, largest_seconds: int) -> Worded:
        """All words of a task, its units in their own order, for days that hold so many seconds of it."""
        rounds = most_rounds({unit.id: unit.time.seconds for unit in task.units}, largest_seconds)
        place = (task.id, task.form, rounds)
        said_of = _said_of(task)
        known = self._known.get(place)
        if known is not None and known[0] == said_of:
            return known[1]
        words = _worded(task, rounds, RoundWords(task, self._instruments, say), say)
        self._known[place] = (said_of, words)
        return words


def _said_of(task: SettledTask) -> object:
    """All that the words of a task are made from."""
    units = [
        (unit.id, unit.label, unit.place, unit.time, unit.passes, unit.detail, unit.bpm)
        for unit in task.units
    ]
    return (task.title, task.area, task.strain, task.loudness_at_ear, task.words, task.cautions, units)


def _worded(task: SettledTask, rounds: int, of_rounds: RoundWords, say: Say) -> Worded:
    one = words_of_manner(task, task.units[:1], say)
    cautions = [say(caution) for caution in cautions_of(task, cold=False)]
    # Nobody sings with ear plugs in.
    if is_loud_unsaid(task) and task.family != "voice":
        cautions.append(say(Message("engine.sheet.hearing")))
    return Worded(
        what=_what(task, say),
        manner_of_one=one,
        manner_of_several=words_of_manner(task, task.units, say) if len(task.units) > 1 else one,
        cautions=tuple(cautions),
        day_caution=say(Message(stop_caution(task.family))) if task.strains else "",
        units=tuple([_unit(task, unit, rounds, of_rounds, say) for unit in task.units]),
    )


def card_task(
    task: SettledTask, item: Item, words: Worded, alike_with: str, largest_seconds: int
) -> CardTask:
    """The card of a task, which is held to what a short day may hold of it.

    Parameters
    ----------
    task
        Settled, its units in their own order.
    item
        What the solver sees of it.
    words
        All words of it.
    alike_with
        The first task like it.
    largest_seconds
        The most that the longest day may hold of it.
    """
    one, several = words.manner_of_one, words.manner_of_several
    return CardTask(
        id=task.id,
        title=task.title,
        block=task.block,
        area=task.area,
        stage=task.stage,
        strain=task.strain,
        prepares=task.prepares,
        strains=task.strains,
        # What yields to something due is music all the same, where that finds no room.
        music=task.area in MUSIC_AREAS and (task.stage in IN_HAND or task.near),
        usual_seconds=task.usual_seconds,
        largest_seconds=largest_seconds,
        chunk_seconds=min(task.chunk_seconds, scale_of(item).ends[-1]),
        largest_floor_seconds=0 if task.short_floor else task.largest_seconds,
        set_up_seconds=task.set_up_seconds,
        warms=task.form != "study",
        cold_later=task.strains or (task.strain == "low" and not task.prepares and task.form == "usual"),
        by_time=task.words.how_much == _BY_TIME,
        what=words.what,
        how=one.how,
        how_each=several.how if several.how != one.how else "",
        done_when=one.done_when,
        done_when_each=several.done_when if several.done_when != one.done_when else "",
        cautions=words.cautions,
        day_caution=words.day_caution,
        sound_millionths=millionths_a_second(task.loudness_at_ear, _sounding_share(task)),
        filled_in=task.filled_in,
        stands_in_for=stands_in_for(task),
        alike_with=alike_with,
        units=words.units,
    )


def first_alike(tasks: Sequence[SettledTask], items: Mapping[str, Item]) -> dict[str, str]:
    """Task id -> the first of the tasks that no plan can tell from it, but for what it is called.

    What is due soon takes no turns, nor does what is asked for by a pin.
    """
    first: dict[object, str] = {}
    return {task.id: first.setdefault(_likeness(task, items[task.id]), task.id) for task in tasks}


def _likeness(task: SettledTask, item: Item) -> object:
    if task.near or task.stand_in or task.pin != "auto":
        return task.id
    return (
        replace(item, id=""),
        task.block,
        task.area,
        task.stage,
        task.strain,
        task.concreteness,
        task.form,
    )


def _what(task: SettledTask, say: Say) -> str:
    if task.form == "study":
        return say(Message("engine.sheet.in-the-head", {"title": task.title}))
    if task.words.how_much == _BY_TIME:
        return UnitWords(task, task.units[0], say).what
    return task.title


def _unit(task: SettledTask, unit: SettledUnit, rounds: int, of_rounds: RoundWords, say: Say) -> CardUnit:
    words = UnitWords(task, unit, say)
    # The words of an exercise say what to do with a key; those of a learner's own task its title once more.
    says_title_alone = task.exercise is None or task.form == "study"
    return CardUnit(
        id=unit.id,
        seconds=unit.time.seconds,
        place=unit.place,
        what=words.label if says_title_alone else words.what,
        how_much=()
        if task.words.how_much == _BY_TIME
        else tuple([of_rounds.how_much(unit, number) for number in range(1, rounds + 1)]),
        detail=words.detail,
    )


def longest_by_time(tasks: Sequence[CardTask]) -> int:
    """The longest stretch of any task that says its duration alone."""
    return max((task.largest_seconds for task in tasks if task.by_time), default=0)


def _sounding_share(task: SettledTask) -> float:
    """How much of the time it sounds, of the unit that rests least."""
    return max(min(unit.time.music_seconds / unit.time.seconds, 1) for unit in task.units)
