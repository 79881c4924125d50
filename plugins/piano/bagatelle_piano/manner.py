"""What most exercises share: how a run is timed, and how hands, touch, speed and passes are said."""

from collections.abc import Mapping
from fractions import Fraction
from math import ceil
from typing import Any, Final, TypeVar

from bagatelle.contract import BarTiming, Message, NoteTiming, Value

LONGEST_UNIT_SECONDS: Final = 600
_LARGEST_NUMBER_IN_WORDS: Final = 12
_HANDS_IN_TURN: Final = 2

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
    one_pass = _pass_seconds(timing)
    pause = Fraction(timing.pause_seconds)
    if one_pass * timing.passes + pause > longest_seconds:
        most = int((longest_seconds - pause) / one_pass)
        would_do = f"passes from 1 to {most}" if most else "a higher bpm or a shorter run"
        raise ValueError(
            f"One unit would take {ceil(one_pass * timing.passes + pause)} seconds; at most "
            f"{longest_seconds} are accepted. With the other settings as they are: {would_do}."
        )
    return timing


def _pass_seconds(timing: NoteTiming | BarTiming) -> Fraction:
    if isinstance(timing, NoteTiming):
        beats = Fraction(timing.notes) / Fraction(timing.notes_per_beat)
    else:
        beats = Fraction(timing.bars) * Fraction(timing.beats_per_bar)
    return beats * 60 / Fraction(timing.bpm)


def manner(settings: Settings) -> dict[str, Value]:
    """Parameters for an exercise's texts, one for each of the shared settings that it has.

    `hands`, `touch`, `rhythm` (note values with the speed), `passes`, `octaves` and `streak` (how often
    in a row it should succeed) are phrases; `bpm` is a number.
    """
    said: dict[str, Value] = {
        name: Message(f"piano.{name}.{settings[name]}") for name in ("hands", "touch") if name in settings
    }
    said |= {name: counted(name, settings[name]) for name in ("passes", "octaves") if name in settings}
    if "passes" in settings:
        said["streak"] = Message("piano.streak", {"count": min(int(settings["passes"]), 2)})
    if "bpm" in settings:
        said["bpm"] = int(settings["bpm"])
    if "notes_per_beat" in settings:
        rhythm = f"piano.rhythm.{int(settings['notes_per_beat'])}"
        said["rhythm"] = Message(rhythm, {"bpm": int(settings["bpm"])})
    return said


def counted(what: str, count: float) -> Message:
    """So many of something, the number in words up to twelve: the message `piano.count.<what>`."""
    whole = int(count)
    number: Value = Message(f"piano.number.{whole}") if whole <= _LARGEST_NUMBER_IN_WORDS else whole
    return Message(f"piano.count.{what}", {"count": whole, "number": number})
