"""The published list of the forty rudiments, copied here so that the plugin's data is checked against it.

Source: Percussive Arts Society, International Drum Rudiments (chart). Numbers, names and families: verified
against published copies of the list. Each sticking says how it is known; 'secondary' means one published
list that others contradict. A mirrored left-hand lead is given where the copy gives it.
"""

from typing import NamedTuple


class Published(NamedTuple):
    number: int
    name: str
    family: str
    sticking: str
    status: str


VERIFIED, SECONDARY, MEMORY = "verified", "secondary", "from memory"

PUBLISHED = (
    Published(1, "Single Stroke Roll", "roll", "R L R L R L R L", VERIFIED),
    Published(2, "Single Stroke Four", "roll", "R L R L", VERIFIED),
    Published(3, "Single Stroke Seven", "roll", "R L R L R L R", VERIFIED),
    Published(4, "Multiple Bounce Roll", "roll", "R L", VERIFIED),
    Published(5, "Triple Stroke Roll", "roll", "RRR LLL", VERIFIED),
    Published(6, "Double Stroke Open Roll", "roll", "RR LL", VERIFIED),
    Published(7, "Five Stroke Roll", "roll", "RR LL R> LL RR L>", VERIFIED),
    Published(8, "Six Stroke Roll", "roll", "R> LL RR L>", VERIFIED),
    Published(9, "Seven Stroke Roll", "roll", "RR LL RR L>", VERIFIED),
    Published(10, "Nine Stroke Roll", "roll", "RR LL RR LL R>", VERIFIED),
    Published(11, "Ten Stroke Roll", "roll", "RR LL RR LL R> L>", SECONDARY),
    Published(12, "Eleven Stroke Roll", "roll", "RR LL RR LL RR L>", VERIFIED),
    Published(13, "Thirteen Stroke Roll", "roll", "RR LL RR LL RR LL R>", VERIFIED),
    Published(14, "Fifteen Stroke Roll", "roll", "RR LL RR LL RR LL RR L>", VERIFIED),
    Published(15, "Seventeen Stroke Roll", "roll", "RR LL RR LL RR LL RR LL R>", VERIFIED),
    Published(16, "Single Paradiddle", "diddle", "R> L R R  L> R L L", VERIFIED),
    Published(17, "Double Paradiddle", "diddle", "R> L R L R R  L> R L R L L", VERIFIED),
    Published(18, "Triple Paradiddle", "diddle", "R> L R L R L R R  L> R L R L R L L", VERIFIED),
    Published(19, "Single Paradiddle-Diddle", "diddle", "R> L R R L L", VERIFIED),
    Published(20, "Flam", "flam", "lR  rL", VERIFIED),
    Published(21, "Flam Accent", "flam", "lR> L R  rL> R L", VERIFIED),
    Published(22, "Flam Tap", "flam", "lR R  rL L", VERIFIED),
    Published(23, "Flamacue", "flam", "lR L> R L lR", MEMORY),
    Published(24, "Flam Paradiddle", "flam", "lR> L R R  rL> R L L", VERIFIED),
    Published(25, "Single Flammed Mill", "flam", "lR> R L R  rL> L R L", MEMORY),
    Published(26, "Flam Paradiddle-Diddle", "flam", "lR> L R R L L  rL> R L L R R", VERIFIED),
    Published(27, "Pataflafla", "flam", "lR> L R rL>", MEMORY),
    Published(28, "Swiss Army Triplet", "flam", "lR> R L", SECONDARY),
    Published(29, "Inverted Flam Tap", "flam", "lR L  rL R", MEMORY),
    Published(30, "Flam Drag", "flam", "lR> LL R  rL> RR L", MEMORY),
    Published(31, "Drag", "drag", "llR  rrL", VERIFIED),
    Published(32, "Single Drag Tap", "drag", "llR L>  rrL R>", MEMORY),
    Published(33, "Double Drag Tap", "drag", "llR llR L>  rrL rrL R>", MEMORY),
    Published(34, "Lesson 25", "drag", "llR L R>", MEMORY),
    Published(35, "Single Dragadiddle", "drag", "RR> L R R  LL> R L L", MEMORY),
    Published(36, "Drag Paradiddle #1", "drag", "R> llR L R R  L> rrL R L L", MEMORY),
    Published(37, "Drag Paradiddle #2", "drag", "R> llR llR L R R  L> rrL rrL R L L", MEMORY),
    Published(38, "Single Ratamacue", "drag", "llR L R L>  rrL R L R>", MEMORY),
    Published(39, "Double Ratamacue", "drag", "llR llR L R L>", MEMORY),
    Published(40, "Triple Ratamacue", "drag", "llR llR llR L R L>", MEMORY),
)

ROLL_BEATS = (2, 2, 3, 1, 2, 1, 4, 2, 2, 3, 3, 3, 4, 4, 5)
DIDDLE_BEATS = (2, 4, 4, 2)
FLAM_BEATS = (1, 2, 1, 4, 2, 2, 4, 1, 1, 1, 2)
DRAG_BEATS = (1, 2, 2, 1, 2, 4, 4, 4, 6, 8)
BEATS_ONCE_ROUND = dict(enumerate((*ROLL_BEATS, *DIDDLE_BEATS, *FLAM_BEATS, *DRAG_BEATS), start=1))
"""Crotchets that once round each sticking lasts, counted by hand from the notes.

Common practice, no source: the note values, and that the last stroke of a roll rings to the end of its beat.
"""
