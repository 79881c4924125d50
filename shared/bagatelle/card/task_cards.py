"""One task of a card: its numbers for the walk, its words rendered for each unit alone."""

from collections.abc import Sequence

from bagatelle.engine.body import stop_caution
from bagatelle.engine.doses import scale_of
from bagatelle.engine.settled import SettledTask, SettledUnit
from bagatelle.engine.sound import is_loud_unsaid, most_millionths_a_second
from bagatelle.engine.steps import cautions_of, stands_in_for, words_of_manner, words_of_unit
from bagatelle.model.card import CardTask, CardUnit
from bagatelle.model.text import Message
from bagatelle.wording.render import Say

_BY_TIME = "engine.own.how-much-open"


def card_task(task: SettledTask, largest_seconds: int, say: Say) -> CardTask:
    """The card of a task, which is held to what a short day may hold of it.

    Parameters
    ----------
    task
        Settled, its units in their own order.
    largest_seconds
        The most that the longest day may hold of it.
    say
        Puts it into words.
    """
    item = task.item()
    one, several = words_of_manner(task, task.units[:1], say), words_of_manner(task, task.units, say)
    cautions = [say(caution) for caution in cautions_of(task, cold=False)]
    if is_loud_unsaid(task):
        cautions.append(say(Message("engine.sheet.hearing")))
    return CardTask(
        id=task.id,
        title=task.title,
        block=task.block,
        area=task.area,
        stage=task.stage,
        strain=task.strain,
        prepares=task.prepares,
        strains=task.strains,
        usual_seconds=task.usual_seconds,
        largest_seconds=largest_seconds,
        chunk_seconds=min(task.chunk_seconds, scale_of(item).ends[-1]),
        largest_floor_seconds=0 if task.short_floor else task.largest_seconds,
        set_up_seconds=task.set_up_seconds,
        warms=task.form != "study",
        cold_later=task.strains or (task.strain == "low" and not task.prepares and task.form == "usual"),
        by_time=task.words.how_much == _BY_TIME,
        what=_what(task, say),
        how=one.how,
        how_each=several.how if several.how != one.how else "",
        done_when=one.done_when,
        done_when_each=several.done_when if several.done_when != one.done_when else "",
        cautions=tuple(cautions),
        day_caution=say(Message(stop_caution(task.family))) if task.strains else "",
        sound_millionths=most_millionths_a_second(task.loudness_at_ear),
        filled_in=task.filled_in,
        stands_in_for=stands_in_for(task),
        units=_units(task, say),
    )


def _what(task: SettledTask, say: Say) -> str:
    if task.form == "study":
        return say(Message("engine.sheet.in-the-head", {"title": task.title}))
    if task.words.how_much == _BY_TIME:
        return words_of_unit(task, task.units[0], say).what
    return task.title


def _units(task: SettledTask, say: Say) -> tuple[CardUnit, ...]:
    return tuple([_unit(task, unit, say) for unit in task.units])


def _unit(task: SettledTask, unit: SettledUnit, say: Say) -> CardUnit:
    words = words_of_unit(task, unit, say)
    # The words of an exercise say what to do with a key; those of a learner's own task its title once more.
    says_title_alone = task.exercise is None or task.form == "study"
    return CardUnit(
        id=unit.id,
        seconds=unit.time.seconds,
        place=unit.place,
        what=words.label if says_title_alone else words.what,
        how_much="" if task.words.how_much == _BY_TIME else words.how_much,
        detail=words.detail,
    )


def longest_by_time(tasks: Sequence[CardTask]) -> int:
    """The longest stretch of any task that says its duration alone."""
    return max((task.largest_seconds for task in tasks if task.by_time), default=0)
