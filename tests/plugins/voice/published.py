"""What is published of voices, with its source; pitches in scientific notation (C4 is middle C)."""

from collections.abc import Mapping

Range = tuple[str, str]

# Ranges by type of voice. The first two of each from web pages read in excerpts: vocalcheck.io, "The Complete
# Vocal Range Chart"; musicnotes.com, "How to determine your vocal range" (baritone, bass, tenor). Those of a
# choir's four voices: a writing guide and its wider form, as collected from onlinepitchchanger.com,
# voicerangetest.com, vocalrangetest.com and singingrangetest.com. Baritone G2 to F4: a hand-out on vocal
# characteristics (scribd 455238020). Published sets differ.
RANGES: Mapping[str, tuple[Range, ...]] = {
    "soprano": (("C4", "C6"), ("C4", "G5"), ("C4", "A5")),
    "mezzo-soprano": (("A3", "A5"), ("G3", "A5")),
    "contralto": (("E3", "E5"), ("G3", "D5"), ("F3", "F5")),
    "tenor": (("C3", "C5"), ("C3", "G4"), ("C3", "A4")),
    "baritone": (("A2", "A4"), ("G2", "F4")),
    "bass": (("E2", "E4"), ("E2", "C4")),
}

# First and second passaggio, lyric types: R. Miller, The Structure of Singing (1986), tables of register
# events. From memory.
PASSAGES: Mapping[str, Range] = {
    "soprano": ("Eb4", "F#5"),
    "mezzo-soprano": ("E4", "E5"),
    "contralto": ("G4", "D5"),
    "tenor": ("D4", "G4"),
    "baritone": ("B3", "E4"),
    "bass": ("A3", "D4"),
}

# Whole ranges by stage. Boys: J. Cooksey, articles on the male voice change (1977 to 2000). Girls: L. Gackle
# (1991), the stage after the first changes. From memory.
YOUNG: Mapping[str, Range] = {
    "treble": ("A3", "F5"),
    "girl-changing": ("A3", "F5"),
    "midvoice-1": ("Ab3", "C5"),
    "midvoice-2": ("F3", "A4"),
    "midvoice-2a": ("D3", "F#4"),
    "new-baritone": ("B2", "D#4"),
    "settling-baritone": ("G2", "D4"),
}

# Names of intervals as music21 reads them.
INTERVALS: Mapping[str, str] = {
    "minor-second": "m2",
    "major-second": "M2",
    "minor-third": "m3",
    "major-third": "M3",
    "perfect-fourth": "P4",
    "tritone": "A4",
    "perfect-fifth": "P5",
    "minor-sixth": "m6",
    "major-sixth": "M6",
    "minor-seventh": "m7",
    "octave": "P8",
}

# Signs of the International Phonetic Association for the five singing vowels, by English words that dictionaries
# give with them (obey for a pure o, as English o is a diphthong).
VOWELS: Mapping[str, tuple[str, str]] = {
    "ee": ("see", "i"),
    "eh": ("bed", "ɛ"),
    "ah": ("father", "ɑ"),
    "oh": ("obey", "o"),
    "oo": ("moon", "u"),
}
