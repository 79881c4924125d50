"""From the timetable to steps that a person can start without deciding anything."""

from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache
from typing import Final, NamedTuple

from bagatelle.engine.body import stop_caution
from bagatelle.engine.reasons import reasons_to_keep
from bagatelle.engine.runs import in_runs
from bagatelle.engine.settled import SettledTask, SettledUnit
from bagatelle.engine.timetable import Slot
from bagatelle.model.plan import Step, UnitDetail
from bagatelle.model.text import Message, Value
from bagatelle.model.vocabulary import MUSIC_AREAS
from bagatelle.wording.counts import number_in_words, times_in_words
from bagatelle.wording.render import Say

_CATALOGUE_UNITS_KEPT: Final = 8192
"""So many units of catalogues are kept in words, as the same ones come again with every day of a routine."""
_AT_MOST: Final = {
    "engine.own.passes": "engine.own.passes-at-most",
    "engine.own.passes-of-each": "engine.own.passes-of-each-at-most",
}
_OWN_FINISH_LINE: Final = "engine.own.done-when"
_SECOND_CLAUSE: Final = ";"
"""Whoever writes on behind it has said what follows, in any language."""


class _Passes(NamedTuple):
    """How often one passage is played in a step."""

    number: int
    at_most: bool
    """Whether fewer may do: the learner's own finish line ends the step, or it is more than the own number."""


class _Said(NamedTuple):
    """What the words of some units of a task are made from."""

    words: dict[str, UnitDetail]
    """Of each different unit."""
    labels: dict[str, str]
    passes: dict[str, _Passes]
    parameters: dict[str, Value]


class UnitWords:
    """A step that holds one unit alone, once; what nobody asks for is never put into words."""

    def __init__(self, task: SettledTask, unit: SettledUnit, say: Say) -> None:
        self._task = task
        self._unit = unit
        self._say = say
        self._in_words = _words_for(task)(unit, say)
        self._parameters: Mapping[str, Value] = {}

    @property
    def label(self) -> str:
        """What the unit is called."""
        return self._in_words.label

    @property
    def detail(self) -> str:
        """What there is to know of the unit."""
        return self._in_words.text

    @property
    def what(self) -> str:
        """What to do."""
        return self._say(Message(self._task.words.what, self._given()))

    def _given(self) -> Mapping[str, Value]:
        """What texts may name; two of them ask for it."""
        if not self._parameters:
            unit = self._unit
            self._parameters = _said_of(self._task, [unit], unit.time.seconds, self._say).parameters
        return self._parameters


class MannerWords(NamedTuple):
    """How some units are played, and when they are finished."""

    how: str
    done_when: str


def how_much_of_rounds(task: SettledTask, unit: SettledUnit, rounds: int, say: Say) -> str:
    """How much a step is that holds this unit alone, so many times over: all of them in one."""
    seconds = rounds * unit.time.seconds
    said = _said_of(task, [unit] * rounds, seconds, say)
    parameters = said.parameters
    if _is_plain_time(task, {unit.id: _Passes(unit.passes, at_most=False)}):
        # However often it comes round, it is one stretch of time.
        times = Message("engine.own.time-at-most", {"duration": duration(seconds)})
        parameters = {**parameters, "passes_of_units": times}
    return _how_much(task, [unit] * rounds, said.labels, parameters, say)


def words_of_manner(task: SettledTask, units: Sequence[SettledUnit], say: Say) -> MannerWords:
    """The words of a step that holds these units, each once."""
    said = _said_of(task, units, sum([unit.time.seconds for unit in units]), say)
    return MannerWords(
        how=say(Message(task.words.how, said.parameters)),
        done_when=say(Message(_finish_line(task, said.passes), said.parameters)),
    )


def steps_of(slots: Sequence[Slot], tasks: Mapping[str, SettledTask], say: Say) -> tuple[Step, ...]:
    """One step a slot, with its words."""
    steps = []
    warm: set[int] = set()
    for number, slot in enumerate(slots, start=1):
        cold = False
        if slot.task is not None:
            task = tasks[slot.task]
            cold = slot.window not in warm and _comes_cold(task, slot.window)
            if task.form != "study":
                warm.add(slot.window)
        steps.append(_step(number, slot, tasks, say, cold=cold))
    return tuple(steps)


def _step(number: int, slot: Slot, tasks: Mapping[str, SettledTask], say: Say, *, cold: bool) -> Step:
    identifier = f"s{number}"
    if slot.task is None:
        return Step(
            id=identifier,
            kind="rest",
            window=slot.window,
            seconds=slot.seconds,
            what=say(Message("engine.rest.what")),
            how=say(Message("engine.rest.how")),
            how_much=say(duration(slot.seconds)),
            done_when=say(Message("engine.rest.done-when")),
        )
    task = tasks[slot.task]
    played = _played(task, slot)
    different = {unit.id: unit for unit in played}
    words, labels, passes, parameters = _said_of(task, played, slot.seconds, say)
    return Step(
        id=identifier,
        kind="task",
        window=slot.window,
        seconds=slot.seconds,
        set_up_seconds=slot.set_up_seconds,
        block=task.block,
        task=task.id,
        units=tuple(unit.id for unit in played),
        stands_in_for=stands_in_for(task),
        continues=slot.continues,
        what=say(Message(task.words.what, parameters)),
        how=say(Message(task.words.how, parameters)),
        how_much=_how_much(task, played, labels, parameters, say),
        done_when=say(Message(_finish_line(task, passes), parameters)),
        details=tuple(words[name] for name, unit in different.items() if unit.detail is not None),
        filled_in=task.filled_in,
        cautions=tuple(say(caution) for caution in cautions_of(task, cold=cold)),
        reasons=reasons_to_keep(task, say),
    )


def _said_of(task: SettledTask, played: Sequence[SettledUnit], seconds: int, say: Say) -> _Said:
    different = {unit.id: unit for unit in played}
    in_words = _words_for(task)
    words = {name: in_words(unit, say) for name, unit in different.items()}
    labels = {name: detail.label for name, detail in words.items()}
    rounds: dict[str, int] = {}
    for unit in played:
        rounds[unit.id] = rounds.get(unit.id, 0) + 1
    ends_earlier = task.words.done_when == _OWN_FINISH_LINE
    passes = {
        name: _Passes(unit.passes * rounds[name], ends_earlier or rounds[name] > 1)
        for name, unit in different.items()
    }
    return _Said(
        words=words,
        labels=labels,
        passes=passes,
        parameters=_parameters(task, passes, labels, seconds),
    )


def _finish_line(task: SettledTask, passes: Mapping[str, _Passes]) -> str:
    """Where the number of times may run out before the learner's own finish line is met, that is no failure.

    A warm-up is not left for next time, and nothing goes behind the end of a sentence.
    """
    line = task.words.done_when
    may_run_out = any(each.at_most and each.number > 1 for each in passes.values())
    if line != _OWN_FINISH_LINE or task.exercise is not None or task.area == "warm-up" or not may_run_out:
        return line
    own = str(task.words.parameters["done_when"])
    is_whole = _SECOND_CLAUSE in own or own.rstrip().endswith((".", "!", "?"))
    return line if is_whole else "engine.own.done-when-or-leave"


def _played(task: SettledTask, slot: Slot) -> list[SettledUnit]:
    """What the rotation gives a step, each round of it in the order of playing."""
    round_units = len(task.units)
    turns = task.turns
    in_rotation = [index % round_units for index in range(slot.first_unit, slot.first_unit + slot.units)]
    return [
        task.units[position]
        for start in range(0, len(in_rotation), round_units)
        for position in sorted(in_rotation[start : start + round_units], key=turns.__getitem__)
    ]


def _unit_in_words(unit: SettledUnit, say: Say) -> UnitDetail:
    return UnitDetail(
        unit=unit.id,
        label=unit.label if isinstance(unit.label, str) else say(unit.label),
        text=say(unit.detail) if unit.detail is not None else "",
    )


_catalogue_unit = lru_cache(_CATALOGUE_UNITS_KEPT)(_unit_in_words)


def _words_for(task: SettledTask) -> Callable[[SettledUnit, Say], UnitDetail]:
    """What puts a unit of the task into words; what is studied has units of its own, made anew for each request."""
    return _catalogue_unit if task.exercise is not None and task.form != "study" else _unit_in_words


def _comes_cold(task: SettledTask, window: int) -> bool:
    """Whether the first thing of a window wants a slow beginning: what strains; hours later, all but the easy.

    Common practice, no source.
    """
    hours_later = window > 0 and task.strain == "low" and not task.prepares and task.form == "usual"
    return task.strains or hours_later


def cautions_of(task: SettledTask, *, cold: bool) -> tuple[Message, ...]:
    """The task's own cautions; a straining one that names none gets that of the day.

    One that comes cold is to be begun slowly.
    """
    begin = (Message("engine.caution.cold"),) if cold else ()
    if task.cautions or not task.strains:
        return (*begin, *task.cautions)
    return (*begin, Message(stop_caution(task.family)))


def duration(seconds: int) -> Message:
    """Minutes to the nearest half, as a person would say them."""
    minutes, half = divmod(max(round(seconds / 30), 1), 2)
    if not half:
        return Message("engine.minutes", {"minutes": minutes})
    if minutes == 0:
        return Message("engine.half-a-minute")
    return Message("engine.minutes-and-a-half", {"minutes": minutes})


def stands_in_for(task: SettledTask) -> str | None:
    """What it is done in place of: a warm-up, or itself as it usually is; None where it is as usual."""
    if task.stand_in:
        return "warm-up"
    return task.id if task.form != "usual" else None


def _parameters(
    task: SettledTask, passes: Mapping[str, _Passes], labels: Mapping[str, str], seconds: int
) -> dict[str, Value]:
    said_duration = duration(seconds)
    return {
        **task.words.parameters,
        "units": in_runs(labels.values()),
        "unit_count": len(labels),
        "unit_count_in_words": number_in_words(len(labels)),
        "seconds": seconds,
        "minutes": round(seconds / 60, 1),
        "duration": said_duration,
        "passes_of_units": (
            Message("engine.own.time-at-most", {"duration": said_duration})
            if _is_plain_time(task, passes)
            else _passes_of(passes, labels)
        ),
    }


def _is_plain_time(task: SettledTask, passes: Mapping[str, _Passes]) -> bool:
    """Whether it is one stretch of time, such as a reed to scrape, of which "once through" says nothing."""
    if task.exercise is not None or task.area in MUSIC_AREAS:
        return False
    once = [each.number for each in passes.values()] == [1]
    return once and all(unit.bpm is None for unit in task.units if unit.id in passes)


def _passes_of(
    passes: Mapping[str, _Passes], labels: Mapping[str, str]
) -> Message | tuple[str | Message, ...]:
    """How often each passage is played, all its rounds together, in as few words as will do."""
    kinds = set(passes.values())
    if len(kinds) == 1:
        return _times(kinds.pop(), _times_of(len(passes)))
    return tuple(
        Message("engine.own.passes-of", {"unit": labels[unit], "passes": _times(each, "engine.own.passes")})
        for unit, each in passes.items()
    )


def _times(passes: _Passes, text: str) -> Message:
    """So many times; "at most" where the finish line may come first. Once is once."""
    may_be_fewer = passes.at_most and passes.number > 1
    return Message(_AT_MOST[text] if may_be_fewer else text, {"times": times_in_words(passes.number)})


def _how_much(
    task: SettledTask,
    played: Sequence[SettledUnit],
    labels: Mapping[str, str],
    parameters: Mapping[str, Value],
    say: Say,
) -> str:
    rounds, rest = divmod(len(played), len(labels))
    again = tuple(labels[unit.id] for unit in played[len(played) - rest :])
    if task.form == "study":
        # A unit is one time through, so rounds and times are one.
        base = _times(_Passes(rounds, at_most=False), _times_of(len(labels)))
        return say(Message("engine.study.and-once-more", {"base": base, "rest": again}) if again else base)
    base = Message(task.words.how_much, parameters)
    if (rounds == 1 and not again) or task.exercise is None:
        # An own task says all its passes together, plain time has none.
        return say(base)
    return say(_rounds_in_words(rounds, again, base))


def _rounds_in_words(rounds: int, again: tuple[str, ...], base: Message) -> Message:
    """How often the whole goes round, and what comes once more than the rest."""
    times = times_in_words(rounds)
    if not again:
        return Message("engine.rounds.whole", {"base": base, "times": times})
    text = "engine.rounds.and-rest" if rounds == 1 else "engine.rounds.times-and-rest"
    return Message(text, {"base": base, "times": times, "rest": again})


def _times_of(units: int) -> str:
    return "engine.own.passes" if units == 1 else "engine.own.passes-of-each"
