"""Chords against music21: their kinds, roman numerals, figures, cadences, progressions, pivots."""

import pytest
from music21.chord import Chord
from music21.figuredBass.notation import Notation
from music21.key import Key
from music21.pitch import Pitch
from music21.roman import RomanNumeral

from tests.plugins.musicianship.loaded import Row, choices, instruments, material
from tests.plugins.musicianship.spelling import all_in_words, in_words, music21_name

SYLLABLES = {
    "do": "C",
    "re": "D",
    "mi": "E",
    "fa": "F",
    "so": "G",
    "la": "A",
    "ti": "B",
    "te": "B-",
    "le": "A-",
}
"""With a movable do, in C; te and le are the lowered seventh and sixth (common practice, no source)."""
KINDS = {
    "dominant": "dominant seventh chord",
    "major": "major seventh chord",
    "minor": "minor seventh chord",
    "half-diminished": "half-diminished seventh chord",
    "diminished": "diminished seventh chord",
    "minor-major": "minor-augmented tetrachord",
}
"""What music21 calls them; the last has no name of harmony there."""
ORDINALS = {2: "second", 3: "third", 4: "fourth", 5: "fifth", 6: "sixth", 7: "seventh"}


def chord_of(words: str) -> Chord:
    """Notes written from the lowest, each above the one before."""
    notes: list[Pitch] = []
    for name in words.split("-"):
        pitch = Pitch(f"{music21_name(name)}3")
        while notes and pitch.ps <= notes[-1].ps:
            pitch.octave = (pitch.octave or 0) + 1
        notes.append(pitch)
    return Chord(notes)


def numeral(figure: str, key: str = "C") -> RomanNumeral:
    mode = "minor" if key[0].islower() else "major"
    return RomanNumeral(
        figure.replace("°", "o").replace("6/5", "65").replace("6/4", "64"),
        Key(key.upper() if mode == "major" else key, mode),
    )


@pytest.mark.parametrize("given", choices("triad"), ids=lambda given: given["name"])
def test_triads(given: Row) -> None:
    chord = chord_of(given["on_c"])
    assert chord.quality == given["name"] == given["label"]
    assert [int(each.ps - chord.root().ps) for each in chord.pitches] == [0, given["third"], given["fifth"]]
    kinds = {3: "minor third", 4: "major third"}
    below, above = kinds[given["third"]], kinds[given["fifth"] - given["third"]]
    expected = f"two {below}s" if below == above else f"{below} below, {above} above"
    assert given["build"] == expected


@pytest.mark.parametrize("given", choices("seventh-chord"), ids=lambda given: given["name"])
def test_seventh_chords(given: Row) -> None:
    chord = chord_of(given["on_c"])
    assert chord.isSeventh()
    assert chord.commonName == KINDS[given["name"]]
    called = (
        "minor triad with major seventh" if given["name"] == "minor-major" else f"{given['name']} seventh"
    )
    assert given["label"] == called
    triad, seventh = given["build"].split(", ")
    assert triad == f"{Chord(chord.pitches[:3]).quality} triad"
    sizes = {9: "diminished", 10: "minor", 11: "major"}
    assert seventh == f"{sizes[int(chord.pitches[3].ps - chord.pitches[0].ps)]} seventh"


@pytest.mark.parametrize("given", choices("inversion"), ids=lambda given: given["name"])
def test_inversions(given: Row) -> None:
    chord = chord_of(given["in_c"])
    assert chord.inversion() == ["root-position", "first", "second"].index(given["name"])
    figure = {"no figure": ""}.get(given["figure"], given["figure"].replace("/", ""))
    assert all_in_words(RomanNumeral(f"I{figure}", Key("C")).pitches) == given["in_c"]
    member = ["root", "third", "fifth"][chord.inversion()]
    assert given["bass"] == f"the {member} in the bass"
    assert given["label"] == given["name"].replace("-", " ") + ("" if member == "root" else " inversion")


@pytest.mark.parametrize("given", choices("numeral"), ids=lambda given: given["name"])
def test_numerals_in_c(given: Row) -> None:
    chord = numeral(given["label"])
    assert all_in_words(chord.pitches) == given["in_c"]
    inversion = ["", ", first inversion", ", second inversion"][chord.inversion()]
    assert given["called"].endswith(inversion)
    assert ("inversion" in given["called"]) == (chord.inversion() > 0)
    assert ("seventh" in given["called"]) == chord.isSeventh()


def test_numerals_are_called_by_their_degree() -> None:
    called = {row["name"]: row["called"] for row in choices("numeral")}
    degrees = [row["called"] for row in choices("degree")]
    assert [called[each] for each in ("one", "two", "three", "four", "five", "six")] == degrees[:6]
    assert called["seven"].endswith(f"on the {degrees[6]}")


@pytest.mark.parametrize("given", choices("cadence"), ids=lambda given: given["name"])
def test_cadences_by_their_bass(given: Row) -> None:
    basses = [numeral(figure).bass() for figure in given["figures"].split("-")]
    assert given["bass_in_c"] == " to ".join(in_words(bass) for bass in basses)
    assert [SYLLABLES[each] for each in given["bass"].split(" to ")] == [bass.name for bass in basses]
    assert given["label"].endswith(f"({given['figures']})")


@pytest.mark.parametrize("given", choices("progression"), ids=lambda given: given["name"])
def test_progressions_by_their_bass(given: Row) -> None:
    key = "C" if given["mode"] == "major" else "c"
    basses = [RomanNumeral(figure, Key(key)).bass() for figure in given["figures"].split()]
    assert given["in_c"] == all_in_words(basses)
    assert [SYLLABLES[each] for each in given["bass"].split("-")] == [bass.name for bass in basses]
    assert given["chords"] == len(basses)
    assert given["mode"] == ("minor" if given["figures"].startswith("i ") else "major")
    assert given["label"].endswith(" in minor") == (given["mode"] == "minor")
    if given["name"] != "twelve-bars":
        label = given["label"].removesuffix(" in minor").replace("6/4", "64")
        assert label.split("-") == given["figures"].split()


def test_the_blues_has_twelve_bars() -> None:
    """The usual scheme (common practice, no source): four bars of I, two IV, two I, one V, one IV, two I."""
    (blues,) = [row for row in choices("progression") if row["name"] == "twelve-bars"]
    assert blues["figures"].split() == 4 * ["I"] + 2 * ["IV"] + 2 * ["I"] + ["V", "IV"] + 2 * ["I"]


@pytest.mark.parametrize("given", choices("figure"), ids=lambda given: given["name"])
def test_figures_mean_what_music21_reads_in_them(given: Row) -> None:
    numbers = sorted(number for number in Notation(given["figures"]).numbers if number)
    words = [ORDINALS[number] for number in numbers]
    assert given["above"] == f"{', '.join(words[:-1])} and {words[-1]}"
    scale = [Pitch(f"{letter}{octave}") for octave in (3, 4, 5) for letter in "CDEFGAB"]
    bass = next(place for place, pitch in enumerate(scale) if pitch.name == given["bass"])
    assert given["chord"] == all_in_words([scale[bass], *(scale[bass + number - 1] for number in numbers)])
    plain = {"no figure": "5,3"}.get(given["label"], given["label"].replace("/", ","))
    assert plain == given["figures"]


@pytest.mark.parametrize("given", choices("modulation"), ids=lambda given: given["name"])
def test_a_pivot_is_of_both_keys(given: Row) -> None:
    assert all_in_words(numeral(given["from_numeral"], given["from_key"]).pitches) == given["pivot"]
    assert all_in_words(numeral(given["to_numeral"], given["to_key"]).pitches) == given["pivot"]
    tonic = Key(given["to_key"])
    dominant = RomanNumeral("V7", tonic)
    mode = " minor" if tonic.mode == "minor" else ""
    assert given["close"] == f"{in_words(dominant.root())}7 to {in_words(tonic.tonic)}{mode}"
    names = [
        f"{in_words(Key(given[which]).tonic)} {Key(given[which]).mode}" for which in ("from_key", "to_key")
    ]
    assert given["label"] == " to ".join(names)


@pytest.mark.parametrize("given", choices("chromatic-chord"), ids=lambda given: given["name"])
def test_chromatic_chords(given: Row) -> None:
    key = Key({"major": "C", "minor": "c"}[given["mode"]])
    chord = RomanNumeral(given["figures"], key)
    assert all_in_words(chord.pitches) == given["in_c"]


@pytest.mark.parametrize(
    ("name", "predicate"),
    [
        ("italian", Chord.isItalianAugmentedSixth),
        ("french", Chord.isFrenchAugmentedSixth),
        ("german", Chord.isGermanAugmentedSixth),
    ],
)
def test_augmented_sixths_are_told_by_music21(name: str, predicate: object) -> None:
    (given,) = [row for row in choices("chromatic-chord") if row["name"] == name]
    assert callable(predicate)
    assert predicate(chord_of(given["in_c"]))


@pytest.mark.parametrize("given", choices("chromatic-chord"), ids=lambda given: given["name"])
def test_applied_dominants_go_where_their_figure_says(given: Row) -> None:
    _, stroke, target = given["figures"].partition("/")
    assert given["goes_to"] == (target if stroke else {"german": "i6/4, then V"}.get(given["name"], "V"))


def test_a_chromatic_chord_says_its_key_as_a_key_is_said() -> None:
    made = material("musicianship.chromatic-chords", chords=["five-of-five", "german"])
    details = [instruments().wording.render(unit.detail, "en") for unit in made.units if unit.detail]
    assert details == [
        "in C major: D-F sharp-A-C, going to V",
        "in C minor: A flat-C-E flat-F sharp, going to i6/4, then V",
    ]


def test_species_say_how_many_notes_go_against_one() -> None:
    """Fux's order (from memory): 1, 2, 4 notes against one, then 2 that are tied across the bar."""
    assert [row["against"] for row in choices("species")] == [1, 2, 4, 2]
