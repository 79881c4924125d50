"""What each exercise's settings should last, written a second time and in fractions.

Nothing here comes from the plugin: beats once round are counted by hand in `published`.
"""

import re
from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Any

from tests.plugins.snare_drum.published import BEATS_ONCE_ROUND, PUBLISHED

Settings = Mapping[str, Any]
Lengths = dict[str, Fraction]

NUMBER_WORDS = {
    5: "five",
    6: "six",
    7: "seven",
    9: "nine",
    10: "ten",
    11: "eleven",
    13: "thirteen",
    15: "fifteen",
    17: "seventeen",
}
CROTCHETS = {"2/4": "2", "3/4": "3", "4/4": "4", "6/8": "3", "5/8": "5/2", "7/8": "7/2"}


def slug(name: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")


BEATS = {slug(each.name): BEATS_ONCE_ROUND[each.number] for each in PUBLISHED}


def repeated(beats: Fraction | int, bpm: int, passes: int, pause: int) -> Fraction:
    return passes * (Fraction(beats) * 60 / bpm + pause)


def steady(rudiments: list[str], given: Settings) -> Lengths:
    rest = (given["bpm"], given["passes"], given["pause_seconds"])
    return {name: repeated(BEATS[name] * given["cycles"], *rest) for name in rudiments}


def ladder(given: Settings) -> Lengths:
    up, bpm = [], given["from_bpm"]
    while bpm < given["to_bpm"]:
        up.append(bpm)
        bpm += given["step_bpm"]
    inverse = 2 * sum(Fraction(1, each) for each in up) + Fraction(1, given["to_bpm"])
    exact = {slug(name): BEATS[slug(name)] * given["cycles"] * 60 * inverse for name in given["rudiments"]}
    return {name: Fraction(-(-length.numerator // length.denominator)) for name, length in exact.items()}


def bars_of_four(names: list[str], given: Settings) -> Lengths:
    length = repeated(4 * given["bars"], given["bpm"], given["passes"], given["pause_seconds"])
    return dict.fromkeys(names, length)


def at_tempi(beats: int, given: Settings) -> Lengths:
    return {str(bpm): repeated(beats, bpm, given["passes"], given["pause_seconds"]) for bpm in given["tempi"]}


def metres(given: Settings) -> Lengths:
    rest = (given["bpm"], given["passes"], given["pause_seconds"])
    return {
        name.replace("/", "-"): repeated(Fraction(CROTCHETS[name]) * given["bars"], *rest)
        for name in given["metres"]
    }


def bursts(given: Settings) -> Lengths:
    rest = (given["bursts"], given["rest_seconds"])
    return {str(bpm): repeated(given["burst_beats"], bpm, *rest) for bpm in given["tempi"]}


def lines(given: Settings) -> Lengths:
    length = repeated(given["bars_per_line"] * given["beats_per_bar"], given["bpm"], 1, given["look_seconds"])
    return {f"line-{number + 1}": length for number in range(given["lines"])}


def passages(given: Settings) -> Lengths:
    return {
        each["id"]: repeated(
            Fraction(each["bars"]) * Fraction(each.get("beats_per_bar", 4)),
            each["bpm"],
            each.get("passes", 3),
            each.get("pause_seconds", 5),
        )
        for each in given["passages"]
    }


def family(given: Settings) -> Lengths:
    return steady([slug(name) for name in given["rudiments"]], given)


def counted_rolls(given: Settings) -> Lengths:
    # Once from each hand; the chart prints the five stroke roll from both.
    rest = (given["bpm"], given["passes"], given["pause_seconds"])
    lengths = {f"{NUMBER_WORDS[each]}-stroke-roll": (1 if each == 5 else 2) for each in given["lengths"]}
    return {name: repeated(BEATS[name] * hands * given["cycles"], *rest) for name, hands in lengths.items()}


LENGTHS: Mapping[str, Callable[[Settings], Lengths]] = {
    "warm-up": lambda given: dict.fromkeys(given["patterns"], repeated(8, given["bpm"], given["rounds"], 0)),
    "single-strokes": lambda given: at_tempi(4 * given["bars"], given),
    "rolls": family,
    "diddles": family,
    "flams": family,
    "drags": family,
    "open-closed-open": ladder,
    "rolls-by-length": counted_rolls,
    "paradiddle-chain": lambda given: at_tempi(12 * given["cycles"], given),
    "accents": lambda given: bars_of_four(given["accents"], given),
    "buzz-roll": lambda given: bars_of_four(given["shapes"], given),
    "dynamics": lambda given: bars_of_four(given["shapes"], given),
    "fast-singles": bursts,
    "metre": metres,
    "subdivision": lambda given: bars_of_four(given["subdivisions"], given),
    "sight-reading": lines,
    "passage": passages,
    "improvisation": lambda given: dict.fromkeys(
        given["ideas"], repeated(32, given["bpm"], given["rounds"], 0)
    ),
}
