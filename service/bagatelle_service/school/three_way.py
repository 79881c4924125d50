"""Two changes of one thing brought together: from what both began with, to what both made of it.

A thing is a tree: objects by name, all else is a leaf, and a name that an object lacks is a leaf that is absent.
Each difference between the three is told once: taken (only the new side changed it), kept (only the own side did),
agreed (both made the same of it) or in conflict (both made another thing of it; the own stays, unless the new is
asked for).

Lists of names have an order. `merged_order` brings two orders together, whatever came in or went on either side.

The idea is that of diff3: S. Khanna, K. Kunal, B. C. Pierce, A Formal Investigation of Diff3, FSTTCS 2007; here
names say what belongs together, so nothing has to be guessed by likeness.
"""

from collections.abc import Callable, Sequence
from typing import Any, Final, Literal

import msgspec
from bagatelle.json_pointer import pointer_to
from msgspec import UNSET, Struct

Fate = Literal["taken", "kept", "agreed", "conflict"]
Path = tuple[str, ...]


class Difference(Struct, frozen=True, kw_only=True):
    """A place in which the three are not alike. UNSET stands for nothing."""

    path: Path
    fate: Fate
    base: Any
    own: Any
    new: Any
    new_taken: bool
    """Whether what stands there now is the new."""

    @property
    def pointer(self) -> str:
        """JSON Pointer to the place."""
        return pointer_to(self.path)


class Merged(Struct, frozen=True, kw_only=True):
    """What came of the three."""

    value: Any
    differences: tuple[Difference, ...]


Chooses = Callable[[str], bool]
"""From a JSON Pointer to whether the new is to be taken there, where both changed it."""


def merge(base: Any, own: Any, new: Any, takes_new: Chooses) -> Merged:
    """Bring together what two made of a tree."""
    merging = _Merging(takes_new)
    value = merging.value(base, own, new, ())
    return Merged(value=value, differences=tuple(merging.differences))


def same(one: Any, other: Any) -> bool:
    """Tell whether two values are the same JSON; 1 is not true, and nothing is the same as nothing only."""
    if one is UNSET or other is UNSET:
        return one is other
    return msgspec.json.encode(one, order="sorted") == msgspec.json.encode(other, order="sorted")


class _Merging:
    def __init__(self, takes_new: Chooses) -> None:
        self._takes_new = takes_new
        self.differences: list[Difference] = []

    def value(self, base: Any, own: Any, new: Any, path: Path) -> Any:
        alike = same(own, new)
        if alike and same(base, own):
            return own
        if isinstance(own, dict) and isinstance(new, dict) and (isinstance(base, dict) or not alike):
            return self._object(base if isinstance(base, dict) else {}, own, new, path)
        if alike:
            self._tell(path, "agreed", base, own, new)
            return own
        if same(base, own):
            self._tell(path, "taken", base, own, new)
            return new
        if same(base, new):
            self._tell(path, "kept", base, own, new)
            return own
        self._tell(path, "conflict", base, own, new)
        return new if self.differences[-1].new_taken else own

    def _object(self, base: dict[str, Any], own: dict[str, Any], new: dict[str, Any], path: Path) -> Any:
        names = dict.fromkeys((*base, *own, *new))
        merged = {
            name: self.value(base.get(name, UNSET), own.get(name, UNSET), new.get(name, UNSET), (*path, name))
            for name in names
        }
        return {name: value for name, value in merged.items() if value is not UNSET}

    def _tell(self, path: Path, fate: Fate, base: Any, own: Any, new: Any) -> None:
        self.differences.append(_difference(path, fate, (base, own, new), self._takes_new))


def _difference(path: Path, fate: Fate, three: tuple[Any, Any, Any], takes_new: Chooses) -> Difference:
    base, own, new = three
    asked = fate == "conflict" and takes_new(pointer_to(path))
    return Difference(
        path=path, fate=fate, base=base, own=own, new=new, new_taken=asked or fate in ("taken", "agreed")
    )


# Orders ---------------------------------------------------------------------------------------------------


class MergedOrder(Struct, frozen=True, kw_only=True):
    """What came of two orders."""

    names: tuple[str, ...]
    difference: Difference | None
    """None where nobody changed the order of what stands in all three."""


def merged_order(
    three: tuple[Sequence[str], Sequence[str], Sequence[str]],
    members: set[str],
    path: Path,
    takes_new: Chooses,
) -> MergedOrder:
    """Bring together what two made of an order.

    The order of the side that changed it leads, else the new one; what the other side alone has comes in behind
    what it stands behind there.

    :param three: the base, the own and the new order, each name once.
    :param members: what is to stand in the order at last; each is in the own or the new.
    """
    base, own, new = three
    common = set(base) & set(own) & set(new)
    fate = _fate_of_order(*([name for name in order if name in common] for order in three))
    difference = (
        None if fate is None else _difference(path, fate, (list(base), list(own), list(new)), takes_new)
    )
    own_leads = fate == "kept" or (difference is not None and fate == "conflict" and not difference.new_taken)
    leading, other = (own, new) if own_leads else (new, own)
    names = [name for name in leading if name in members]
    _bring_in(names, [name for name in other if name in members])
    return MergedOrder(names=tuple(names), difference=difference)


def _fate_of_order(base: Sequence[str], own: Sequence[str], new: Sequence[str]) -> Fate | None:
    if base == own == new:
        return None
    if own == new:
        return "agreed"
    if base == own:
        return "taken"
    return "kept" if base == new else "conflict"


_AT_THE_BEGINNING: Final = 0


def _bring_in(names: list[str], others: Sequence[str]) -> None:
    """Put in what is missing, each behind the one that it stands behind among the others."""
    there = set(names)
    place = _AT_THE_BEGINNING
    for name in others:
        if name in there:
            place = names.index(name) + 1
        else:
            names.insert(place, name)
            place += 1
