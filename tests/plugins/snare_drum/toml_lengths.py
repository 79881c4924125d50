"""How long each exercise in TOML lasts, worked out from what is played and not from the files' expressions.

Beats * 60 / bpm, each pass with its rest: the formulas of the contract. Beats once round a rudiment are those of
`published`, counted by hand. Rests: common practice, no source.
"""

import math
import re
from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Any

from tests.plugins.snare_drum.in_toml import choices
from tests.plugins.snare_drum.lengths import BEATS, slug
from tests.plugins.snare_drum.published import PUBLISHED

Settings = Mapping[str, Any]
Length = Callable[[Settings, Any], Fraction]
"""From settings and one value of what makes the units to seconds."""

WORDS = {"one": 1, "two": 2, "three": 3, "four": 4, "seven": 7, "eleven": 11}
FOUR_FOUR = 4
BREATH = 4
BOTH_HANDS = 2
COUNT_DOWN = BOTH_HANDS * sum(range(1, 9))  # eight on each hand, seven, and so on to one
AND_UP_AGAIN = BOTH_HANDS * sum(range(2, 9))


def lasting(beats: Fraction | int, bpm: int, passes: int = 1, rest: int = 0) -> Fraction:
    return passes * (Fraction(beats) * 60 / bpm + rest)


def of_bars(beats_per_bar: int = FOUR_FOUR, rest: int = BREATH) -> Length:
    return lambda s, _: lasting(s["bars"] * beats_per_bar, s["bpm"], s["passes"], rest)


def at_tempi(s: Settings, bpm: int) -> Fraction:
    return lasting(s["bars"] * FOUR_FOUR, bpm, s["passes"], BREATH)


def as_long_a_rest(s: Settings, bpm: int) -> Fraction:
    played = lasting(s["bars"] * FOUR_FOUR, bpm, s["passes"])
    return played + math.ceil(played)


def count_down(s: Settings, way: str) -> Fraction:
    strokes = COUNT_DOWN + (AND_UP_AGAIN if way == "down-and-up" else 0)
    return lasting(Fraction(strokes, 2), s["bpm"], s["passes"], BREATH)


def places(rudiment: str) -> int:
    """Strokes of one hand's turn, from the published sticking."""
    (sticking,) = (each.sticking for each in PUBLISHED if slug(each.name) == rudiment)
    return len(re.findall("[RL]", re.split(r"\s{2,}", sticking)[0]))


def accent_shift(s: Settings, value: str) -> Fraction:
    rudiment = value.removeprefix("moved-through-")
    return lasting(BEATS[rudiment] * places(rudiment) * s["rounds"], s["bpm"], 1, BREATH)


def left_lead(s: Settings, value: str) -> Fraction:
    return lasting(BEATS[value.removesuffix("-mirrored")] * s["rounds"], s["bpm"], s["passes"], BREATH)


def full_name(name: str) -> str:
    return "single paradiddle-diddle" if name == "paradiddle-diddle" else name


def joined(s: Settings, pair: str) -> Fraction:
    row = choices("combination")[pair]
    beats = sum(
        BEATS[slug(full_name(name))] * (2 if part.endswith(", twice") else 1)
        for name, part in zip(row["label"].split(" to "), row["sticking"].split("; then "), strict=True)
    )
    return lasting(beats * s["rounds"], s["bpm"], s["passes"], BREATH)


def every_two_bars(s: Settings, _: str) -> Fraction:
    return lasting(s["times"] * 2 * FOUR_FOUR, s["bpm"], 1, BREATH)


def gaps(s: Settings, gap: str) -> Fraction:
    sounding, silent = (WORDS[word] for word in gap.split("-"))
    return lasting((sounding + silent) * FOUR_FOUR * s["rounds"], s["bpm"])


def rests(s: Settings, rest: str) -> Fraction:
    return lasting((2 + WORDS[rest]) * FOUR_FOUR * s["rounds"], s["bpm"])


def quavers_of(label: str) -> Fraction:
    """Quavers of one bar of each, from the time signatures alone."""
    return sum((Fraction(signature) * 8 for signature in label.split(" and ")), Fraction(0))


def metre_changes(s: Settings, change: str) -> Fraction:
    return lasting(quavers_of(choices("metre-change")[change]["label"]) * s["rounds"], s["bpm"], 1, BREATH)


def polyrhythm(s: Settings, ratio: str) -> Fraction:
    return lasting(int(ratio.split("-")[1]) * s["rounds"], s["bpm"], s["passes"], BREATH)


def minutes(name: str) -> Length:
    return lambda s, _: Fraction(60 * s[name])


def seconds(name: str) -> Length:
    return lambda s, _: Fraction(s[name])


def fours(s: Settings, _: Any) -> Fraction:
    return lasting(s["rounds"] * 4 * FOUR_FOUR, s["bpm"])


def numerator(s: Settings) -> int:
    return int(choices("metre")[s["metre"]]["label"].split("/")[0])


def compound_beats(s: Settings) -> int:
    return int(choices("compound")[s["metre"]]["label"].split("/")[0]) // 3


LENGTHS: Mapping[str, tuple[str | None, Length]] = {
    # By name: the setting that makes the units, and how long one lasts.
    "free-strokes": ("hands", of_bars()),
    "eight-to-one": ("ways", count_down),
    "grip-check": ("points", of_bars()),
    "stroke-types": ("patterns", of_bars(BOTH_HANDS * FOUR_FOUR)),
    "finger-control": ("tempi", at_tempi),
    "whip-strokes": ("groups", of_bars(BOTH_HANDS * FOUR_FOUR)),
    "endurance": ("tempi", as_long_a_rest),
    "double-accents": ("accents", of_bars()),
    "both-together": ("values", of_bars()),
    "roll-pulse": ("speeds", of_bars()),
    "accent-groups": ("groups", of_bars()),
    "paradiddle-inversions": ("turns", of_bars()),
    "accent-shift": ("rudiments", accent_shift),
    "left-hand-lead": ("rudiments", left_lead),
    "diddle-combinations": ("pairs", joined),
    "flam-combinations": ("pairs", joined),
    "drag-combinations": ("pairs", joined),
    "six-eight": ("rudiments", of_bars(2)),
    "zones": ("zones", of_bars()),
    "soft-playing": ("figures", of_bars()),
    "roll-releases": ("roll_lengths", every_two_bars),
    "roll-to-a-note": ("starts", every_two_bars),
    "rim-shots": ("hands", of_bars(rest=10)),
    "cross-stick": (
        "figures",
        lambda s, _: lasting(s["rounds"] * 2 * FOUR_FOUR, s["bpm"], s["passes"], BREATH),
    ),
    "brushes": ("figures", of_bars()),
    "head-tuning": ("heads", minutes("minutes_each")),
    "snare-setting": (None, minutes("minutes_each")),
    "click-gaps": ("gaps", gaps),
    "counted-rests": ("rests", rests),
    "click-places": ("places", of_bars()),
    "marking-time": ("figures", of_bars()),
    "metre-changes": ("changes", metre_changes),
    "hands-over-foot": ("ratios", polyrhythm),
    "ghost-notes": ("figures", of_bars()),
    "motif-solo": ("changes", lambda s, _: lasting(8 * FOUR_FOUR, s["bpm"], s["passes"], BREATH)),
    "fills": ("fills", fours),
    "question-answer": ("answers", fours),
    "planned-solo": ("plans", lambda s, _: lasting(32 * FOUR_FOUR, s["bpm"], s["passes"], 30)),
    "excerpt-by-bars": (None, lambda s, _: lasting(s["bars"] * numerator(s), s["bpm"], s["passes"], 20)),
    "strains": (
        "strains",
        lambda s, _: lasting(s["bars"] * s["beats_per_bar"], s["bpm"], s["passes"], 20),
    ),
    "run-through": (None, lambda s, _: Fraction(s["piece_seconds"] * s["passes"])),
    "mock-audition": ("excerpts", seconds("try_seconds")),
    "reading-ahead": ("lines", lambda s, _: lasting(s["bars"] * FOUR_FOUR, s["bpm"], 1, 30)),
    "compound-reading": ("lines", lambda s, _: lasting(s["bars"] * compound_beats(s), s["bpm"], 1, 30)),
    "part-reading": (None, lambda s, _: lasting(s["bars"] * FOUR_FOUR, s["bpm"], 1, 60)),
    "play-back": ("figures", lambda s, _: lasting((2 + 2) * FOUR_FOUR, s["bpm"], s["passes"], 5)),
    "rhythm-dictation": ("figures", minutes("figure_minutes")),
    "tempo-memory": ("tempi", lambda _s, _: Fraction(35)),
    "part-listening": ("for_what", seconds("piece_seconds")),
    "rolls-counted": ("values", seconds("value_seconds")),
    "stickings-written": ("families", minutes("family_minutes")),
    "sticking-a-line": ("lines", minutes("line_minutes")),
    "four-bars-written": ("families", minutes("family_minutes")),
}
