"""What others have published of the trumpet, copied by hand. All pitches are written ones, C4 being low C."""

from typing import Final

# Wikimedia Commons, "Trumpet overtone series" by Special-T, the table in its description: regular fingering with
# three valves, F# below low C up to high C (read in a stored copy). thewholehorn.com gives the same range.
CHART: Final = dict(
    line.split()
    for line in """\
F#3 123
G3 13
Ab3 23
A3 12
Bb3 1
B3 2
C4 0
C#4 123
D4 13
Eb4 23
E4 12
F4 1
F#4 2
G4 0
Ab4 23
A4 12
Bb4 1
B4 2
C5 0
C#5 12
D5 1
Eb5 2
E5 0
F5 1
F#5 2
G5 0
Ab5 23
A5 12
Bb5 1
B5 2
C6 0""".splitlines()
)

# The column "alternate fingering" of the same table.
OTHER_VALVES: Final = {
    "E4": "3",
    "G4": "13",
    "A4": "3",
    "B4": "13",
    "C5": "23",
    "D5": "13",
    "E5": "12",
    "G5": "13",
}

# Semitones by which valves lower: the description of the same table (first a whole step, second a half step, third
# one and a half steps).
LOWERS: Final = {"1": 2, "2": 1, "3": 3}

# bgoff.org, Trumpet topics, Lip trills: always stepwise, the lowest possible from E on top of the staff; a shake is
# wider.
LOWEST_LIP_TRILL: Final = "E5"

# Written pitches that are usual by level. Beginner: nemusicpub.com, grading of band music, trumpet in grade 1 1/2
# (B flat to D). The others from memory: an octave and a half by the first grades, high A later, high C for the
# advanced (thewholehorn.com: the standard written range is low F sharp to high C).
USUAL_RANGE: Final = {
    "beginner": ("Bb3", "D5"),
    "elementary": ("F#3", "F5"),
    "intermediate": ("F#3", "A5"),
    "advanced": ("F#3", "C6"),
    "professional": ("F#3", "F6"),
}

# What parts in a key sound from a written C, in semitones: from memory; the part in C (a tone up on the trumpet in
# B flat) is thetrumpetplayer.blogspot.com, First steps to transposition.
PARTS_SOUND: Final = {
    "in-c": 0,
    "in-d": 2,
    "in-e-flat": 3,
    "in-e": 4,
    "in-f": 5,
    "in-b": -1,
    "in-a": -3,
    "in-a-flat": -4,
}
