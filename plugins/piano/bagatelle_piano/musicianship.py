"""Musicianship at the keyboard: improvising on a ground, intervals by ear, cross-rhythm, key signatures."""

from typing import Final

from bagatelle.contract import Material, Message, Unit, Value

from bagatelle_piano.keys import Mode, in_circle_order, key_id, key_label
from bagatelle_piano.manner import Settings, bar_timing, counted, manner
from bagatelle_piano.pitches import joined

INTERVALS: Final = (
    "minor-second",
    "major-second",
    "minor-third",
    "major-third",
    "perfect-fourth",
    "perfect-fifth",
    "minor-sixth",
    "major-sixth",
    "minor-seventh",
    "major-seventh",
    "octave",
)
CROSS_RHYTHMS: Final = ("2-3", "3-2", "3-4", "4-3")
GROUND: Final = (0, -2, -4, 1)
"""The descending tetrachord of a minor key, as steps on the line of fifths: A G F E."""
GROUND_BARS: Final = 4
_BEATS_IN_FOUR: Final = 4


def ground_improvisation(settings: Settings) -> Material:
    """One unit a minor key (`A-minor`): a four-bar ground, so many times round."""
    units = tuple(_ground_unit(fifths, settings) for fifths in in_circle_order(settings["keys"], "minor"))
    said: dict[str, Value] = {"rounds": counted("rounds", settings["passes"])}
    return Material(units=units, parameters=manner(settings) | said)


def _ground_unit(fifths: int, settings: Settings) -> Unit:
    return Unit(
        id=key_id(fifths, "minor"),
        label=key_label(fifths, "minor"),
        timing=bar_timing(settings, GROUND_BARS, settings["beats_per_bar"]),
        detail=Message("piano.ground-spelt", {"notes": joined(tuple(fifths + step for step in GROUND))}),
    )


def interval_singing(settings: Settings) -> Material:
    """One unit an interval (`minor-third`), smallest first: one bar to hear, one to sing, one to check."""
    units = tuple(
        Unit(
            id=interval,
            label=Message(f"piano.interval.{interval}"),
            timing=bar_timing(settings, 3, _BEATS_IN_FOUR),
        )
        for interval in INTERVALS
        if interval in settings["intervals"]
    )
    said: dict[str, Value] = {"notes": counted("notes", settings["passes"])}
    return Material(units=units, parameters=manner(settings) | said)


def cross_rhythms(settings: Settings) -> Material:
    """One unit a pair of rhythms, right hand first (`3-2`: three in the right against two in the left)."""
    units = tuple(
        Unit(
            id=pair,
            label=Message(f"piano.cross-rhythm-kind.{pair}"),
            timing=bar_timing(settings, settings["bars"], 1),
        )
        for pair in CROSS_RHYTHMS
        if pair in settings["rhythms"]
    )
    said: dict[str, Value] = {"beats": counted("beats", settings["bars"])}
    return Material(units=units, parameters=manner(settings) | said)


def key_signatures(settings: Settings) -> Material:
    """One unit a key (`C`, `A-minor`): its signature and its three primary triads, said from memory."""
    mode: Mode = settings["mode"]
    units = tuple(
        Unit(
            id=key_id(fifths, mode),
            label=key_label(fifths, mode),
            timing=bar_timing(settings, 2, _BEATS_IN_FOUR),
        )
        for fifths in in_circle_order(settings["keys"], mode)
    )
    return Material(units=units, parameters=manner(settings))
