"""What most exercises share: how a run is timed, and how hands, touch, tempo, passes and time are said."""

from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache
from math import ceil
from typing import Any, Final, TypeVar

from bagatelle.contract import BarTiming, Message, NoteTiming, Value

LONGEST_UNIT_SECONDS: Final = 600
_LARGEST_NUMBER_IN_WORDS: Final = 12
_HANDS_IN_TURN: Final = 2
_SECONDS_A_MINUTE: Final = 60

Settings = Mapping[str, Any]
Timed = TypeVar("Timed", NoteTiming, BarTiming)


def note_timing(
    settings: Settings,
    notes: int,
    *,
    notes_per_beat: float | None = None,
    longest_seconds: int = LONGEST_UNIT_SECONDS,
) -> NoteTiming:
    """Time a run of so many notes for one hand; hands separately play it twice.

    :param notes_per_beat: where it is no setting of the exercise.
    :raises ValueError: where that is longer than `longest_seconds`.
    """
    return _checked(
        NoteTiming(
            notes=notes * _turns(settings),
            notes_per_beat=notes_per_beat or settings["notes_per_beat"],
            bpm=settings["bpm"],
            passes=int(settings["passes"]),
            pause_seconds=settings["pause_seconds"],
        ),
        longest_seconds,
    )


def bar_timing(settings: Settings, bars: float, beats_per_bar: float) -> BarTiming:
    """Time so many bars; hands separately play them twice.

    :raises ValueError: where that is longer than ten minutes.
    """
    return _checked(
        BarTiming(
            bars=bars * _turns(settings),
            beats_per_bar=beats_per_bar,
            bpm=settings["bpm"],
            passes=int(settings["passes"]),
            pause_seconds=settings["pause_seconds"],
        ),
        LONGEST_UNIT_SECONDS,
    )


def _turns(settings: Settings) -> int:
    return _HANDS_IN_TURN if settings.get("hands") == "separately" else 1


def _checked(timing: Timed, longest_seconds: int) -> Timed:
    _refuse_longer(timing, longest_seconds)
    return timing


@lru_cache(512)
def _refuse_longer(timing: NoteTiming | BarTiming, longest_seconds: int) -> None:
    one_pass = _pass_seconds(timing)
    pause = Fraction(timing.pause_seconds)
    if one_pass * timing.passes + pause > longest_seconds:
        most = int((longest_seconds - pause) / one_pass)
        would_do = f"passes from 1 to {most}" if most else "a higher bpm or a shorter run"
        raise ValueError(
            f"One unit would take {ceil(one_pass * timing.passes + pause)} seconds; at most "
            f"{longest_seconds} are accepted. With the other settings as they are: {would_do}."
        )


def _pass_seconds(timing: NoteTiming | BarTiming) -> Fraction:
    if isinstance(timing, NoteTiming):
        beats = Fraction(timing.notes) / Fraction(timing.notes_per_beat)
    else:
        beats = Fraction(timing.bars) * Fraction(timing.beats_per_bar)
    return beats * 60 / Fraction(timing.bpm)


def manner(settings: Settings) -> dict[str, Value]:
    """Parameters for an exercise's texts, one for each of the shared settings that it has.

    `hands`, `touch`, `tempo` (as `crotchet = 72`), `rhythm` (note values with the tempo) and `octaves` are
    phrases. Of the passes there are three: `passes` counts them, `passes_and_breath` adds the breath between
    them, `last_pass` names the one that has to be clean.
    """
    said: dict[str, Value] = {
        name: Message(f"piano.{name}.{settings[name]}") for name in ("hands", "touch") if name in settings
    }
    if "octaves" in settings:
        said["octaves"] = counted("octaves", settings["octaves"])
    if "passes" in settings:
        said |= passes_said(int(settings["passes"]))
    if "bpm" in settings:
        said["tempo"] = tempo("crotchet", settings["bpm"])
    if "notes_per_beat" in settings:
        rhythm = f"piano.rhythm.{int(settings['notes_per_beat'])}"
        said["rhythm"] = Message(rhythm, {"tempo": said["tempo"], "bpm": int(settings["bpm"])})
    return said


def passes_said(passes: int) -> dict[str, Value]:
    """The parameters that speak of the passes; see `manner`."""
    count = counted("passes", passes)
    return {
        "passes": count,
        "passes_and_breath": Message("piano.passes-and-breath", {"count": passes, "passes": count}),
        "last_pass": Message("piano.last-pass", {"count": passes}),
    }


def tempo(beat: str, bpm: float) -> Message:
    """Say a tempo by the note value of its beat: `dotted crotchet = 60`."""
    return Message("piano.tempo", {"beat": Message(f"piano.beat.{beat}"), "bpm": int(bpm)})


def counted(what: str, count: float) -> Message:
    """So many of something, the number in words up to twelve: the message `piano.count.<what>`."""
    whole = int(count)
    return Message(f"piano.count.{what}", {"count": whole, "number": number_said(whole)})


def number_said(whole: int) -> Value:
    """A number, in words up to twelve."""
    return Message(f"piano.number.{whole}") if whole <= _LARGEST_NUMBER_IN_WORDS else whole


def time_said(seconds: int) -> Message:
    """So much time in words: minutes, half minutes, or seconds where it is neither."""
    minutes, rest = divmod(seconds, _SECONDS_A_MINUTE)
    if rest == 0:
        return counted("minutes", minutes)
    if rest == _SECONDS_A_MINUTE // 2:
        return counted("minutes-and-a-half", minutes) if minutes else Message("piano.half-a-minute")
    return counted("seconds", seconds)
