"""Keys, intervals, parts and places on the staff against music21."""

import pytest
from music21.instrument import fromString
from music21.interval import Interval
from music21.key import Key
from music21.pitch import Pitch
from music21.scale import HarmonicMinorScale, MelodicMinorScale, MinorScale

from tests.plugins.trumpet.loaded import choices, entries, instruments
from tests.plugins.trumpet.pitches import letter, midi, pitch, spoken
from tests.plugins.trumpet.published import PARTS_SOUND

NUMBERS = ("no", "one", "two", "three", "four", "five", "six")


def signature(sharps: int) -> str:
    if sharps == 0:
        return "no sharps or flats"
    kind = "sharp" if sharps > 0 else "flat"
    return f"{NUMBERS[abs(sharps)]} {kind}{'' if abs(sharps) == 1 else 's'}"


@pytest.mark.parametrize(
    ("mode", "name"), [(mode, name) for mode in ("major", "minor") for name in choices(f"{mode}-key")]
)
def test_signatures_and_names_of_keys(mode: str, name: str) -> None:
    value = choices(f"{mode}-key")[name]
    tonic = pitch(value["lowest"])
    sharps = Key(tonic.name, mode).sharps
    assert value["sharps"] == sharps
    assert value["signature"] == signature(sharps)
    assert value["label"] == f"{spoken(value['lowest'])} {mode}"
    assert name == value["label"].lower().replace(" ", "-")


@pytest.mark.parametrize("mode", ["major", "minor"])
def test_every_key_is_there(mode: str) -> None:
    assert {pitch(value["lowest"]).pitchClass for value in choices(f"{mode}-key").values()} == set(range(12))


@pytest.mark.parametrize("mode", ["major", "minor"])
def test_each_begins_on_its_lowest_tonic(mode: str) -> None:
    for value in choices(f"{mode}-key").values():
        assert midi("F#3") <= midi(value["lowest"]) < midi("F#3") + 12


def test_the_trumpet_sounds_a_tone_lower() -> None:
    instrument = instruments().instrument("trumpet")
    transposition = fromString("trumpet").transposition
    assert instrument is not None
    assert transposition is not None
    assert instrument.sounds_semitones == transposition.semitones == -2


@pytest.mark.parametrize("name", choices("part"))
def test_what_is_played_for_a_part(name: str) -> None:
    value = choices("part")[name]
    # A part sounds so far from its written C, and the trumpet in B flat a tone below what it plays.
    assert value["sounds"] == PARTS_SOUND[name]
    assert value["semitones"] == PARTS_SOUND[name] + 2
    interval_name, direction = value["move"].split(", ")[0].rsplit(" ", 1)
    simple = {
        "a tone": "M2",
        "a minor second": "m2",
        "a major third": "M3",
        "a fourth": "P4",
        "an augmented fourth": "A4",
        "a fifth": "P5",
    }[interval_name]
    interval = Interval(simple if direction == "up" else f"-{simple}")
    assert interval.semitones == value["semitones"]
    # Signatures: C major moved by the interval has as many sharps as are to be added to any key.
    tonic = Pitch("C4").transpose(interval)
    sharps = Key(tonic.name, "major").sharps
    assert value["sharps"] == sharps
    kind = "sharp" if sharps > 0 else "flat"
    plural = "" if abs(sharps) == 1 else "s"
    assert value["move"].endswith(f", {NUMBERS[abs(sharps)]} {kind}{plural} more")


@pytest.mark.parametrize("name", choices("part-order"))
def test_what_is_played_for_parts_line_by_line(name: str) -> None:
    value = choices("part-order")[name]
    parts = [f"in-{each.lower().replace(' ', '-')}" for each in value["label"].split("–")]
    assert name == "-".join(each.removeprefix("in-") for each in parts)
    assert len(set(parts)) == len(parts) == 4
    moves = value["moves"].split(", ")
    assert len(moves) == len(parts)
    for part, move in zip(parts, moves, strict=True):
        interval_name, direction = move.rsplit(" ", 1)
        interval = Interval(
            {
                "major second": "M2",
                "minor second": "m2",
                "major third": "M3",
                "fourth": "P4",
                "augmented fourth": "A4",
                "fifth": "P5",
            }[interval_name]
        )
        semitones = interval.semitones if direction == "up" else -interval.semitones
        assert semitones == PARTS_SOUND[part] + 2


def test_each_part_of_the_lines_comes_first_once() -> None:
    firsts = [value["label"].split("–")[0] for value in choices("part-order").values()]
    assert sorted(firsts) == ["A", "C", "D", "E", "E flat", "F"]


@pytest.mark.parametrize("name", choices("blues"))
def test_concert_keys_of_a_blues(name: str) -> None:
    value = choices("blues")[name]
    written = Pitch(value["label"].replace(" flat", "-"))
    assert spoken(letter(written.transpose("-M2"))) == value["concert"]


@pytest.mark.parametrize("name", choices("interval"))
def test_intervals(name: str) -> None:
    value = choices("interval")[name]
    music21_name = {"tritone": "augmented fourth", "octave": "perfect octave"}.get(
        value["label"], value["label"]
    )
    quality, number = music21_name.split()
    found = Interval({"minor": "m", "major": "M", "perfect": "P", "augmented": "A"}[quality] + NUMBER[number])
    assert value["semitones"] == found.semitones


NUMBER = {
    "second": "2",
    "third": "3",
    "fourth": "4",
    "fifth": "5",
    "sixth": "6",
    "seventh": "7",
    "octave": "8",
}
PLACES = {
    0: "bottom-line",
    1: "first-space",
    2: "second-line",
    3: "second-space",
    4: "third-line",
    5: "third-space",
    6: "fourth-line",
    7: "fourth-space",
    8: "top-line",
}


@pytest.mark.parametrize(
    ("of", "name"),
    [(of, name) for of in ("note", "ceiling", "other-valves", "lead-note") for name in choices(of)],
)
def test_notes_are_called_by_their_place_in_the_treble_staff(of: str, name: str) -> None:
    value = choices(of)[name]
    written = value["pitch"]
    steps = pitch(written).diatonicNoteNum - pitch("E4").diatonicNoteNum
    if midi(written) > midi("C6"):
        assert value["label"] == f"{spoken(written)} above high C"
        return
    place = "low" if steps < 0 else PLACES.get(steps)
    if written == "C6":
        place = "high"
    # From memory: to players of lead parts "high G" is an octave above the G on top of the staff.
    above = f"{spoken(written)} above the staff"
    assert value["label"] == (f"{place} {spoken(written)}" if place else above)
    assert name == f"{spoken(written).lower().replace(' ', '-')}-{pitch(written).octave}"


def test_a_ceiling_begins_an_octave_below() -> None:
    for value in choices("ceiling").values():
        assert named_octave_below(value["pitch"]) == value["lowest"]


def named_octave_below(name: str) -> str:
    return f"{name[:-1]}{int(name[-1]) - 1}"


def up_and_down(rising: list[Pitch]) -> int:
    return 2 * len(rising) - 1


@pytest.mark.parametrize(
    ("name", "octave_and_more"),
    [("five-notes", "P5"), ("major-scales", "P8"), ("scales-of-a-twelfth", "P12")],
)
def test_notes_of_major_scales(name: str, octave_and_more: str) -> None:
    tonic = Pitch("C4")
    rising = Key("C", "major").getPitches(tonic, tonic.transpose(octave_and_more))
    units = entries()[name]["units"]
    assert units["notes"] == up_and_down(rising)
    span = Interval(octave_and_more).semitones
    assert units["highest"] == f"each.lowest + {span}"


@pytest.mark.parametrize("name", choices("running-tongue"))
def test_a_running_scale_ends_on_a_beat(name: str) -> None:
    value = choices("running-tongue")[name]
    tonic = Pitch("G3")
    strokes = len(name.split("-"))
    top = {2: "P15", 3: "M16"}[strokes]
    rising = Key("G", "major").getPitches(tonic, tonic.transpose(top))
    assert value["notes"] == up_and_down(rising)
    assert value["semitones"] == Interval(top).semitones
    assert value["per_beat"] % strokes == 0
    assert value["notes"] % value["per_beat"] == 1


@pytest.mark.parametrize("scale", [MinorScale, HarmonicMinorScale, MelodicMinorScale])
def test_notes_of_minor_scales(scale: type[MinorScale]) -> None:
    low, high = Pitch("A3"), Pitch("A5")
    rising = scale("A").getPitches(low, high)
    assert entries()["two-octave-minor-scales"]["units"]["notes"] == up_and_down(rising)
    rising = scale("A").getPitches(low, Pitch("A4"))
    assert choices("extent")["octave"]["notes"] == up_and_down(rising)
    rising = scale("A").getPitches(low, Pitch("E4"))
    assert choices("extent")["fifth"]["notes"] == up_and_down(rising)


@pytest.mark.parametrize(
    ("notes", "degrees", "tops"),
    # Chord notes up and down again, the top once: counted by hand.
    [
        ("fifth", "1 3 5 3 1", 7),
        ("octave", "1 3 5 8 5 3 1", 12),
        ("two-octaves", "1 3 5 8 10 12 15 12 10 8 5 3 1", 24),
    ],
)
def test_notes_of_arpeggios(notes: str, degrees: str, tops: int) -> None:
    count = len(degrees.split())
    if notes == "two-octaves":
        assert entries()["two-octave-arpeggios"]["units"]["notes"] == count
        assert entries()["two-octave-arpeggios"]["units"]["highest"] == f"each.lowest + {tops}"
    else:
        assert choices("extent")[notes]["triad_notes"] == count
        assert choices("extent")[notes]["semitones"] == tops


@pytest.mark.parametrize("name", ["dominant-sevenths", "diminished-sevenths"])
def test_notes_of_seventh_chords(name: str) -> None:
    assert entries()[name]["units"]["notes"] == 9  # 1 3 5 7 8 7 5 3 1


@pytest.mark.parametrize(("name", "semitones"), [("chromatic-scale", 12), ("two-octave-chromatic", 24)])
def test_notes_of_chromatic_scales(name: str, semitones: int) -> None:
    rising = [Pitch("C4").transpose(each) for each in range(semitones + 1)]
    assert entries()[name]["units"]["notes"] == up_and_down(rising)


def test_notes_of_scales_in_thirds() -> None:
    up = "1 3 2 4 3 5 4 6 5 7 6 8 7 9 8"
    down = "8 6 7 5 6 4 5 3 4 2 3 1 2 -7 1"
    assert entries()["scales-in-thirds"]["units"]["notes"] == len(up.split()) + len(down.split())
