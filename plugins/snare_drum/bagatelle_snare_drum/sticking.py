"""Stickings as text, and how many slots of time they hold.

`R` and `L` are main strokes and hold one slot each. What may stand beside them:

- `l`, `r` before a main stroke: grace notes, played just before it; they hold no slot;
- `>` after a main stroke: an accent; `z`: a multiple bounce (buzz) stroke;
- `-`: the stroke before it lasts one slot longer;
- `(LL)`: two strokes that share one slot.

Spaces only help the eye, and `|` parts the right-hand lead from the left-hand lead.
"""

import re
from collections.abc import Mapping
from typing import Final, Literal

from msgspec import Struct

Hand = Literal["R", "L"]
_HANDS: Final[Mapping[str, Hand]] = {"R": "R", "L": "L"}

_OTHER_HAND: Final = str.maketrans("RLrl", "LRlr")

_TOKEN = re.compile(
    r"\((?P<shared>RR|LL)\)(?P<shared_accent>>?)|(?P<grace>[lr]*)(?P<hand>[RL])(?P<marks>[>z]*)|-"
)
_FOR_THE_EYE = re.compile(r"[ |]+")


class Stroke(Struct, frozen=True):
    """One main stroke with its grace notes."""

    hand: Hand
    grace: str = ""
    """Grace notes before it, each `l` or `r`."""
    accent: bool = False
    buzz: bool = False
    shares_slot: bool = False


def _tokens(sticking: str) -> list[re.Match[str]]:
    text = _FOR_THE_EYE.sub("", sticking)
    tokens = list(_TOKEN.finditer(text))
    if not tokens or "".join(token.group() for token in tokens) != text or text.startswith("-"):
        raise ValueError(f"{sticking!r} is no sticking: expected R, L, l, r, >, z, -, (RR) and (LL)")
    return tokens


def _strokes_of(token: re.Match[str]) -> list[Stroke]:
    if shared := token["shared"]:
        accent = bool(token["shared_accent"])
        return [
            Stroke(_HANDS[shared[0]], accent=accent, shares_slot=True),
            Stroke(_HANDS[shared[1]], shares_slot=True),
        ]
    if hand := token["hand"]:
        marks = token["marks"]
        return [Stroke(_HANDS[hand], grace=token["grace"], accent=">" in marks, buzz="z" in marks)]
    return []


def strokes(sticking: str) -> tuple[Stroke, ...]:
    """Return the main strokes in order.

    :raises ValueError: where the text is no sticking.
    """
    return tuple(stroke for token in _tokens(sticking) for stroke in _strokes_of(token))


def slots(sticking: str) -> int:
    """Return how many slots of time the sticking holds, held strokes counted.

    :raises ValueError: where the text is no sticking.
    """
    return len(_tokens(sticking))


def halves(sticking: str) -> tuple[str, ...]:
    """Return the parts that `|` separates: one, or the right-hand and the left-hand lead."""
    return tuple(half.strip() for half in sticking.split("|"))


def both_leads(sticking: str) -> str:
    """Return the sticking with each hand leading: as it is where it has both, else with its mirror after `|`."""
    if len(halves(sticking)) == 2:
        return sticking
    return f"{sticking} | {sticking.translate(_OTHER_HAND)}"


def in_one_piece(sticking: str) -> str:
    """Return the sticking with no-break spaces, so that a line of text ends at `|` alone."""
    return sticking.replace(" ", "\N{NO-BREAK SPACE}").replace("|\N{NO-BREAK SPACE}", "| ")
