"""The law of lengths of a catalogue in TOML: each unit lasts what was reckoned from the file, or is refused."""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from fractions import Fraction
from typing import Any

import pytest
from bagatelle.contract import Material
from bagatelle.engine.timing import time_of
from bagatelle.model.errors import InvalidInputError
from hypothesis import strategies as st
from msgspec import Struct

Row = Mapping[str, Any]


class LengthsOfFiles(Struct, frozen=True, kw_only=True):
    """The files of one instrument as data, and how their lengths are reckoned without the host."""

    entries: Mapping[str, Row]
    """The exercises that stand in the files, by whichever name `material` takes."""
    choices: Callable[[str], Sequence[Row]]
    material: Callable[..., Material]
    seconds_of: Callable[[str, Row, Any], Fraction]
    """Of an exercise with all its settings, and the value that makes the unit."""

    def settings(self, exercise: str) -> Row:
        """Return the entries of its settings."""
        found: Row = self.entries[exercise].get("settings", {})
        return found

    def defaults(self, exercise: str) -> dict[str, Any]:
        """Return every setting at its default."""
        return {name: given["default"] for name, given in self.settings(exercise).items()}

    def expected(self, exercise: str, chosen: Row) -> list[Fraction]:
        """Return the exact seconds of the units, in the order in which they come."""
        return [self.seconds_of(exercise, chosen, each) for each in self._values(exercise, chosen)]

    def check(self, exercise: str, changed: Row) -> None:
        """Hold the host to it; a unit counts as whole seconds, rounded up, and may last 5 to 600 of them."""
        reckoned = [
            math.ceil(each) for each in self.expected(exercise, {**self.defaults(exercise), **changed})
        ]
        if all(5 <= seconds <= 600 for seconds in reckoned):
            units = self.material(exercise, **changed).units
            assert [time_of(unit.timing).seconds for unit in units] == reckoned
            return
        with pytest.raises(InvalidInputError) as caught:
            self.material(exercise, **changed)
        assert "accepted" in f"{caught.value.errors}"

    def bounds(self, exercise: str) -> Iterator[dict[str, Any]]:
        """Each setting alone at each end, then all of them at their least and at their greatest."""
        ends: tuple[dict[str, Any], dict[str, Any]] = ({}, {})
        for name, entry in self.settings(exercise).items():
            for end, value in zip(ends, self._ends(entry), strict=False):
                end[name] = value
                yield {name: value}
        yield from ends

    def legal(self, exercise: str) -> st.SearchStrategy[dict[str, Any]]:
        """Every choice of settings that is accepted."""
        return st.fixed_dictionaries(
            {name: self._legal(entry) for name, entry in self.settings(exercise).items()}
        )

    def _values(self, exercise: str, chosen: Row) -> list[Any]:
        """What makes the units: as they are named, or the least number first."""
        setting = self.entries[exercise]["units"].get("each")
        if setting is None:
            return [None]
        is_named = self.settings(exercise)[setting].get("of") is not None
        return list(chosen[setting]) if is_named else sorted(chosen[setting])

    def _names(self, entry: Row) -> list[str]:
        return list(entry.get("only") or [row["name"] for row in self.choices(entry["of"])])

    def _ends(self, entry: Row) -> tuple[Any, ...]:
        if "whole" in entry:
            return tuple([each] if "most" in entry else each for each in entry["whole"])
        if "of" not in entry:
            return ()
        names = self._names(entry)
        return (names[:1], names[-entry["most"] :]) if "most" in entry else (names[0], names[-1])

    def _legal(self, entry: Row) -> st.SearchStrategy[Any]:
        if "whole" in entry:
            one: st.SearchStrategy[Any] = st.integers(*entry["whole"])
        elif "of" in entry:
            one = st.sampled_from(self._names(entry))
        else:
            one = st.just(entry["default"])
        return st.lists(one, min_size=1, max_size=entry["most"], unique=True) if "most" in entry else one
