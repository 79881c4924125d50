"""Scales: major, the three minors, in contrary motion, chromatic, and in octaves."""

from functools import cache
from typing import Final, Literal

from bagatelle.contract import Material, Message, Unit, Value

from bagatelle_piano.fingerings import Fingering, Hands, fingering, fingers_of_run
from bagatelle_piano.keys import in_circle_order, tonic_label
from bagatelle_piano.manner import Settings, manner, note_timing
from bagatelle_piano.pitches import (
    MIDDLE_OCTAVE,
    Note,
    climb,
    spelling_id,
    spelling_name,
    spelling_of,
    spelt,
)
from bagatelle_piano.reach import reach_of_run, reach_outwards

Form = Literal["major", "natural", "harmonic", "melodic"]

GOING_UP: Final[dict[Form, tuple[int, ...]]] = {
    "major": (0, 2, 4, -1, 1, 3, 5),
    "natural": (0, 2, -3, -1, 1, -4, -2),
    "harmonic": (0, 2, -3, -1, 1, -4, 5),
    "melodic": (0, 2, -3, -1, 1, 3, 5),
}
"""Degrees as steps on the line of fifths above the tonic. The melodic minor comes down as the natural."""

MINOR_FORMS: Final[tuple[Form, ...]] = ("natural", "harmonic", "melodic")
CHROMATIC_SECOND_FINGERS: Final[dict[Hands, tuple[str, str]]] = {"right": ("F", "C"), "left": ("E", "B")}
"""White keys of a chromatic scale that the second finger takes: the upper of two white neighbours in the right
hand, the lower in the left. Other white keys have the thumb, black ones the third finger."""
STARTING_NOTES: Final = ("C", "G", "D", "A", "E", "B", "F#", "Db", "Ab", "Eb", "Bb", "F")
OCTAVES_DAY_SECONDS: Final = 300
"""The daily cap of scales in octaves; a single unit must not be longer."""
_OCTAVE_STEPS: Final = 7
_CHROMATIC_STEPS: Final = 12


@cache
def scale_notes(fifths: int, form: Form, octave: int, octaves: int) -> tuple[Note, ...]:
    """Spell a scale up and down, the top note once: `14 * octaves + 1` notes; `octave` is the first one's."""
    down_form: Form = "natural" if form == "melodic" else form
    up, down = (
        climb(tuple(fifths + degree for degree in GOING_UP[each]), octave, _OCTAVE_STEPS * octaves)
        for each in (form, down_form)
    )
    return up + down[-2::-1]


@cache
def chromatic_notes(fifths: int, octave: int, octaves: int) -> tuple[Note, ...]:
    """Spell a chromatic scale up and down, the top note once: `24 * octaves + 1` notes.

    Its notes are spelt as the twelve starting notes are, whatever the direction.
    """
    by_sound = sorted((Note(spelling_of(name), 4) for name in STARTING_NOTES), key=lambda note: note.midi)
    cycle = [note.fifths for note in by_sound]
    place = cycle.index(fifths)
    cycle = cycle[place:] + cycle[:place]
    notes = [Note(cycle[0], octave)]
    for index in range(1, _CHROMATIC_STEPS * octaves + 1):
        following = Note(cycle[index % _CHROMATIC_STEPS], notes[-1].octave)
        notes.append(
            following if following.midi > notes[-1].midi else Note(following.fifths, following.octave + 1)
        )
    return (*notes, *notes[-2::-1])


def major_scales(settings: Settings) -> Material:
    """One unit a key, its id the key's (`C`, `F-sharp`)."""
    units = tuple(
        _scale_unit(fifths, "major", settings) for fifths in in_circle_order(settings["keys"], "major")
    )
    return Material(units=units, parameters=manner(settings))


def minor_scales(settings: Settings) -> Material:
    """One unit a key and form, its id both (`A-harmonic`)."""
    units = tuple(
        _scale_unit(fifths, form, settings)
        for fifths in in_circle_order(settings["keys"], "minor")
        for form in MINOR_FORMS
        if form in settings["forms"]
    )
    return Material(units=units, parameters=manner(settings) | {"same_fingers": _same_fingers(settings)})


def _same_fingers(settings: Settings) -> Message:
    """Say that a scale may show other fingers for the way down, where one of those asked for does."""
    changes = any(
        scale_fingering(spelling_name(fifths), form)[1]
        for fifths in in_circle_order(settings["keys"], "minor")
        for form in settings["forms"]
    )
    return Message("piano.same-fingers-unless-shown" if changes else "piano.same-fingers")


def _scale_unit(fifths: int, form: Form, settings: Settings) -> Unit:
    name, octaves = spelling_name(fifths), int(settings["octaves"])
    notes = scale_notes(fifths, form, MIDDLE_OCTAVE, octaves)
    reach = reach_of_run(settings, name, notes)
    up, down = scale_fingering(name, form)
    return Unit(
        id=spelling_id(fifths) if form == "major" else f"{spelling_id(fifths)}-{form}",
        label=scale_label(fifths, form),
        timing=note_timing(settings, len(notes)),
        detail=fingers_of_run(up, settings["hands"], octaves, down=down),
        lowest_pitch=reach.lowest,
        highest_pitch=reach.highest,
    )


@cache
def scale_label(fifths: int, form: Form) -> Message:
    """The scale in words, in a list of major or minor ones: `F sharp`, `A harmonic`."""
    tonic = tonic_label(fifths)
    return tonic if form == "major" else Message(f"piano.scale-form.{form}", {"tonic": tonic})


def scale_fingering(name: str, form: Form) -> tuple[Fingering | None, Fingering | None]:
    """Fingering going up, and, only where it is not the same in reverse, the one to come down with."""
    usual = fingering("major" if form == "major" else "minor", name)
    rising = fingering("melodic minor going up", name) if form == "melodic" else None
    return (rising, usual) if rising else (usual, None)


def contrary_motion_scales(settings: Settings) -> Material:
    """One unit a key; both hands from the same tonic, outwards and back."""
    units = tuple(
        _contrary_motion_unit(fifths, settings) for fifths in in_circle_order(settings["keys"], "major")
    )
    return Material(units=units, parameters=manner(settings))


def _contrary_motion_unit(fifths: int, settings: Settings) -> Unit:
    octaves = int(settings["octaves"])
    notes = scale_notes(fifths, "major", MIDDLE_OCTAVE, octaves)
    reach = reach_outwards(notes)
    return Unit(
        id=spelling_id(fifths),
        label=tonic_label(fifths),
        timing=note_timing(settings, len(notes)),
        detail=_fingers_going_out(spelling_name(fifths), octaves),
        lowest_pitch=reach.lowest,
        highest_pitch=reach.highest,
    )


def _fingers_going_out(name: str, octaves: int) -> Message | None:
    usual = fingering("major", name)
    out = Fingering(usual.right, usual.left.back()) if usual else None
    fingers = fingers_of_run(out, "together", octaves)
    return Message("piano.fingering.out", {"fingers": fingers}) if fingers else None


def chromatic_scales(settings: Settings) -> Material:
    """One unit a starting note, in the order of the circle of fifths."""
    starts = [spelling_of(name) for name in STARTING_NOTES if name in settings["starting_notes"]]
    units = tuple(_chromatic_unit(fifths, settings) for fifths in starts)
    return Material(units=units, parameters=manner(settings))


def _chromatic_unit(fifths: int, settings: Settings) -> Unit:
    notes = chromatic_notes(fifths, MIDDLE_OCTAVE, int(settings["octaves"]))
    reach = reach_of_run(settings, spelling_name(fifths), notes)
    return Unit(
        id=spelling_id(fifths),
        label=tonic_label(fifths),
        timing=note_timing(settings, len(notes)),
        detail=_chromatic_fingers(settings["hands"]),
        lowest_pitch=reach.lowest,
        highest_pitch=reach.highest,
    )


def _chromatic_fingers(hands: Hands) -> Message:
    seconds: dict[str, Value] = {
        hand: tuple(spelt(spelling_of(name)) for name in names)
        for hand, names in CHROMATIC_SECOND_FINGERS.items()
    }
    return Message(f"piano.fingering.chromatic.{'both' if hands not in seconds else hands}", seconds)


def octave_scales(settings: Settings) -> Material:
    """Major scales in octaves: one unit a key; each hand also reaches the note an octave higher."""
    octaves = int(settings["octaves"])
    units = tuple(
        _octave_unit(fifths, octaves, settings) for fifths in in_circle_order(settings["keys"], "major")
    )
    return Material(units=units, parameters=manner(settings))


def _octave_unit(fifths: int, octaves: int, settings: Settings) -> Unit:
    reach = reach_of_run(settings, spelling_name(fifths), octave_notes(fifths, MIDDLE_OCTAVE, octaves))
    return Unit(
        id=spelling_id(fifths),
        label=tonic_label(fifths),
        timing=note_timing(
            settings,
            len(scale_notes(fifths, "major", MIDDLE_OCTAVE, octaves)),
            longest_seconds=OCTAVES_DAY_SECONDS,
        ),
        # C major alone has no black key.
        detail=Message("piano.fingering.octaves" if fifths else "piano.fingering.octaves.white"),
        lowest_pitch=reach.lowest,
        highest_pitch=reach.highest,
    )


@cache
def octave_notes(fifths: int, octave: int, octaves: int) -> tuple[Note, ...]:
    """Lower and upper notes of a scale in octaves, both lines one after the other."""
    lower = scale_notes(fifths, "major", octave, octaves)
    return lower + tuple(Note(note.fifths, note.octave + 1) for note in lower)
