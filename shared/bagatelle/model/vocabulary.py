"""The closed word lists of the trade that requests, catalogues and plans share."""

from typing import Final, Literal, get_args

Area = Literal[
    "warm-up",
    "warm-down",
    "tone",
    "technique",
    "rhythm",
    "sight-reading",
    "ear",
    "harmony",
    "improvisation",
    "repertoire",
    "theory",
]
Stage = Literal["new", "learning", "refining", "maintaining"]
Concreteness = Literal["exact", "guided", "open"]
Divisibility = Literal["fine", "sectioned", "whole"]
Strain = Literal["none", "low", "moderate", "high"]
Loudness = Literal["silent", "soft", "moderate", "loud"]
Security = Literal["low", "moderate", "high"]
Level = Literal["beginner", "elementary", "intermediate", "advanced", "professional"]
Pin = Literal["auto", "always", "never", "more", "less"]
BeatNote = Literal["minim", "dotted minim", "crotchet", "dotted crotchet", "quaver"]
Energy = Literal["usual", "low"]
Focus = Literal["usual", "low"]
SorePlace = Literal["hands", "lip", "voice", "back"]
FloorMode = Literal["usual", "chunk", "unit"]
Question = Literal["which", "how", "how-much", "finished-when", "exercise", "area", "minutes", "pin"]

AREAS: Final[tuple[Area, ...]] = get_args(Area)
STAGES: Final[tuple[Stage, ...]] = get_args(Stage)
LEVELS: Final[tuple[Level, ...]] = get_args(Level)
STRAINS: Final[tuple[Strain, ...]] = get_args(Strain)
SORE_PLACES: Final[tuple[SorePlace, ...]] = get_args(SorePlace)
SECURITIES: Final[tuple[Security, ...]] = get_args(Security)
FLOOR_MODES: Final[tuple[FloorMode, ...]] = get_args(FloorMode)
"""The usual floors first, then lower ones."""

IN_HAND: Final[frozenset[Stage]] = frozenset({"refining", "maintaining"})
MUSIC_AREAS: Final[frozenset[Area]] = frozenset({"repertoire", "improvisation"})
PREPARING_AREAS: Final[frozenset[Area]] = frozenset({"warm-up", "tone"})
SHORT_AREAS: Final[frozenset[Area]] = PREPARING_AREAS | {"warm-down"}
"""Worth doing for a minute or two. Common practice, no source."""
FRESH_AREAS: Final[frozenset[Area]] = frozenset({"sight-reading", "warm-down"})
"""Taken afresh each day: what is left of it waits for no other day. Common practice, no source."""
TOUCH_AREAS: Final[frozenset[Area]] = SHORT_AREAS | {"technique"}
"""A matter of touch and sound, that little is learnt of in the head."""
STRAINING: Final[frozenset[Strain]] = frozenset({"moderate", "high"})
