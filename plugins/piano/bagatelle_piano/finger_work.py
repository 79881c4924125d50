"""Work in one position of the hand: five-finger patterns, trills, thirds, repeated notes, warm-up."""

from typing import Final

from bagatelle.contract import Material, Message, PlainTiming, Unit, Value

from bagatelle_piano.fingerings import Hands, fingers_of_hands
from bagatelle_piano.keys import Mode, in_circle_order, key_id, key_label, tonic_label
from bagatelle_piano.manner import Settings, counted, manner, note_timing, time_said
from bagatelle_piano.pitches import MIDDLE_OCTAVE, Note, climb, spelling_id, spelling_of, spelt
from bagatelle_piano.reach import reach_in_position
from bagatelle_piano.scales import GOING_UP, scale_notes

FIVE_FINGER_PATTERNS: Final = {"steps": "123454321", "thirds": "13243534231", "triad": "13531"}
"""Degrees of the five notes, up and down, the highest once."""

FINGER_PAIRS: Final = ("1-2", "2-3", "1-3", "3-4", "4-5", "3-5")
THIRDS_IN_POSITION: Final = ("1-3", "2-4", "3-5", "2-4", "1-3")
"""Pairs of degrees struck together, up and down, the highest once."""

REPEATING_FINGERS: Final = ("3-2-1", "4-3-2-1", "2-1")
WARM_UP_PARTS: Final = ("hands-alone", "hands-together")
_FINGERS: Final = 5
_WHITE_KEYS: Final = GOING_UP["major"]
"""Spelt from C on: the scale of C major."""
_SECONDS_A_MINUTE: Final = 60


def five_finger_patterns(settings: Settings) -> Material:
    """One unit a key (`C`, `A-minor`): the first five notes of its scale under five fingers."""
    mode: Mode = settings["mode"]
    units = tuple(
        _five_finger_unit(fifths, mode, settings) for fifths in in_circle_order(settings["keys"], mode)
    )
    return Material(units=units, parameters=manner(settings) | {"pattern": _pattern(settings)})


def _five_finger_unit(fifths: int, mode: Mode, settings: Settings) -> Unit:
    degrees = FIVE_FINGER_PATTERNS[settings["pattern"]]
    reach = reach_in_position(settings, five_notes(fifths, mode))
    return Unit(
        id=key_id(fifths, mode),
        label=key_label(fifths, mode),
        timing=note_timing(settings, len(degrees)),
        detail=_in_position(degrees, settings["hands"]),
        lowest_pitch=reach.lowest,
        highest_pitch=reach.highest,
    )


def five_notes(fifths: int, mode: Mode) -> tuple[Note, ...]:
    """The notes under the five fingers of the right hand, rising from the tonic in middle C's octave."""
    return scale_notes(fifths, "major" if mode == "major" else "natural", MIDDLE_OCTAVE, 1)[:_FINGERS]


def _pattern(settings: Settings) -> Message:
    return Message(f"piano.five-finger-pattern.{settings['pattern']}")


def _in_position(degrees: str, hands: Hands) -> Message:
    left = "".join(str(6 - int(degree)) for degree in degrees)
    return fingers_of_hands(degrees, left, hands)


def trills(settings: Settings) -> Material:
    """One unit a pair of fingers (`2-3`): so many beats of trill, slow enough to stay loose."""
    beats = int(settings["beats"])
    lower = spelling_of(settings["lower_note"])
    reach = reach_in_position(settings, trill_notes(lower))
    units = tuple(
        Unit(
            id=pair,
            label=_finger_pair(pair),
            timing=note_timing(settings, round(beats * settings["notes_per_beat"])),
            lowest_pitch=reach.lowest,
            highest_pitch=reach.highest,
        )
        for pair in FINGER_PAIRS
        if pair in settings["finger_pairs"]
    )
    said = {"note": tonic_label(lower), "beats": counted("beats", beats)}
    return Material(units=units, parameters=manner(settings) | said)


def trill_notes(lower: int) -> tuple[Note, ...]:
    """The lower note in middle C's octave and the white key above."""
    place = _WHITE_KEYS.index(lower)
    return climb(_WHITE_KEYS[place:] + _WHITE_KEYS[:place], MIDDLE_OCTAVE, 1)


def _finger_pair(pair: str) -> Message:
    first, second = pair.split("-")
    return Message("piano.finger-pair", {"first": int(first), "second": int(second)})


def double_thirds(settings: Settings) -> Material:
    """One unit a key: the thirds that lie under five fingers, up and down."""
    units = tuple(_thirds_unit(fifths, settings) for fifths in in_circle_order(settings["keys"], "major"))
    return Material(units=units, parameters=manner(settings))


def _thirds_unit(fifths: int, settings: Settings) -> Unit:
    reach = reach_in_position(settings, five_notes(fifths, "major"))
    return Unit(
        id=spelling_id(fifths),
        label=tonic_label(fifths),
        timing=note_timing(settings, len(THIRDS_IN_POSITION)),
        detail=_thirds_fingers(settings["hands"]),
        lowest_pitch=reach.lowest,
        highest_pitch=reach.highest,
    )


def _thirds_fingers(hands: Hands) -> Message:
    right = " ".join(THIRDS_IN_POSITION)
    left = " ".join(
        "-".join(str(6 - int(degree)) for degree in pair.split("-")) for pair in THIRDS_IN_POSITION
    )
    return fingers_of_hands(right, left, hands)


def repeated_notes(settings: Settings) -> Material:
    """One unit a set of fingers that change on one key (`4-3-2-1`); one time round it is a beat."""
    units = tuple(
        _repeating_unit(fingers, settings) for fingers in REPEATING_FINGERS if fingers in settings["fingers"]
    )
    said = {"note": spelt(spelling_of(settings["note"])), "groups": counted("groups", settings["groups"])}
    return Material(units=units, parameters=manner(settings) | said)


def _repeating_unit(fingers: str, settings: Settings) -> Unit:
    size = len(fingers.split("-"))
    reach = reach_in_position(settings, (Note(spelling_of(settings["note"]), MIDDLE_OCTAVE),))
    return Unit(
        id=fingers,
        label=Message("piano.changing-fingers", {"fingers": fingers.replace("-", " ")}),
        timing=note_timing(settings, int(settings["groups"]) * size, notes_per_beat=size),
        lowest_pitch=reach.lowest,
        highest_pitch=reach.highest,
    )


def warm_up(settings: Settings) -> Material:
    """Two units of equal length, together the minutes asked for."""
    whole = int(settings["minutes"]) * _SECONDS_A_MINUTE
    half = whole // 2
    reach = reach_in_position(settings, five_notes(0, "major"))
    hands_in_turn = Message("piano.warm-up.hands-in-turn", {"time": time_said(half // 2)})
    units = tuple(
        Unit(
            id=part,
            label=Message(f"piano.warm-up.{part}"),
            timing=PlainTiming(seconds=half),
            detail=hands_in_turn if part == "hands-alone" else None,
            lowest_pitch=reach.lowest,
            highest_pitch=reach.highest,
        )
        for part in WARM_UP_PARTS
    )
    said: dict[str, Value] = {"half": time_said(half), "whole": time_said(whole)}
    return Material(units=units, parameters=said)
