"""Ids that stay: what a plugin's instruments and exercises are called, now and before.

A listing has one id a line. `old -> new` says that the exercise `old` was superseded by `new`. It only ever grows,
so a line may stand there twice; what follows a `#` is a remark.
"""

from collections.abc import Collection, Iterable, Mapping
from types import MappingProxyType
from typing import Final

from msgspec import Struct

from bagatelle.catalogue.faults import Fault

_SUPERSEDED_BY: Final = "->"


class Listing(Struct, frozen=True):
    """Ids that there were, and what superseded some of them."""

    ids: frozenset[str] = frozenset()
    successors: Mapping[str, str] = {}

    def joined(self, other: "Listing") -> "Listing":
        """Return both together."""
        return Listing(self.ids | other.ids, {**self.successors, **other.successors})


NO_IDS: Final = Listing()
NOBODYS: Final[Mapping[str, str]] = MappingProxyType({})
"""No id belongs to anybody else."""


def read_listing(text: str) -> Listing:
    """Read a listing.

    :raises ValueError: where a line is none of it; says which.
    """
    ids = set()
    successors = {}
    for number, line in enumerate(text.splitlines(), start=1):
        words = line.partition("#")[0].split()
        match words:
            case []:
                continue
            case [identifier]:
                ids.add(identifier)
            case [identifier, arrow, successor] if arrow == _SUPERSEDED_BY:
                ids.add(identifier)
                successors[identifier] = successor
            case _:
                raise ValueError(f"line {number} is {line!r} (accepted: an id, or `old -> new`)")
    return Listing(frozenset(ids), successors)


def written_listing(ids: Iterable[str]) -> str:
    """Return ids as a listing, sorted."""
    return "\n".join(sorted(ids))


def id_faults(
    now: Collection[str], before: Listing, others: Mapping[str, str], beside: Mapping[str, str] = NOBODYS
) -> list[Fault]:
    """Say which ids are gone, lead nowhere, or belong to somebody else.

    :param others: by id, the other installed plugin that has it.
    :param beside: by id, the other plugin of the same project that has it.
    """
    faults = [
        Fault(identifier, f"the installed plugin {others[identifier]!r} has this id")
        for identifier in sorted(now)
        if identifier in others
    ]
    faults += [
        Fault(identifier, f"the plugin {beside[identifier]!r} of the same project has this id")
        for identifier in sorted(now)
        if identifier in beside
    ]
    here = {*now, *beside}
    for identifier in sorted(before.ids - here):
        successor = _last_successor(identifier, before.successors)
        if successor is None:
            reason = (
                "was there before and is gone (accepted: keep it, or say `old -> new` in the listing, ids.txt; "
                "an id that was never released may be struck out there)"
            )
            faults.append(Fault(identifier, reason))
        elif successor not in here:
            faults.append(Fault(identifier, f"is superseded by {successor!r}, which is not there"))
    return faults


def _last_successor(identifier: str, successors: Mapping[str, str]) -> str | None:
    seen = {identifier}
    successor = successors.get(identifier)
    while successor is not None and successor in successors and successor not in seen:
        seen.add(successor)
        successor = successors[successor]
    return successor
