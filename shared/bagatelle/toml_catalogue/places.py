"""Where in the files something stands that the rules of plugins name by its id, so that its line can be said."""

import re
from collections.abc import Iterator, Sequence
from functools import cached_property
from typing import Final, TypeAlias

from msgspec import UNSET

from bagatelle.catalogue.faults import Fault
from bagatelle.catalogue.text_rules import LANGUAGE
from bagatelle.json_pointer import pointer_to
from bagatelle.toml_catalogue.faults import FileFault
from bagatelle.toml_catalogue.reading import ReadPart
from bagatelle.toml_catalogue.taken import TakenExercise

Place: TypeAlias = tuple[ReadPart, str]
"""A file, and a JSON Pointer in it."""
_TEXTS: Final = re.compile(r"texts '([^']+)'(?:, (\S+))?")
_TEXT_SAID: Final = re.compile(r"in the locale '([^']+)', text '([^']+)'")
_EXERCISE: Final = re.compile(r"[a-z0-9-]+\.[a-z0-9-]+")
_UNIT: Final = re.compile(r"\bunit(?: id)? '([^']+)'")
_UNITS: Final = {"unit": ("units", "label"), "unit.detail": ("units", "detail")}


class Places:
    """Knows the files of one catalogue, whose form is right."""

    def __init__(self, instrument: str, parts: Sequence[ReadPart], taken: Sequence[TakenExercise]) -> None:
        self._instrument = instrument
        self._parts = parts
        self._taken = {f"{instrument}.{each.entry.name}": each for each in taken}

    def fault(self, fault: Fault) -> FileFault:
        """Say what is wrong where it stands in the files; where that is not known, at the instrument."""
        place = self._of_texts(fault)
        if place is not None:
            return place[0].fault(place[1], fault.reason)
        found = _EXERCISE.search(fault.item)
        exercise = None if found is None else self._taken.get(found[0])
        if exercise is not None:
            return self._of_exercise(exercise, fault)
        owner = next(read for read in self._parts if read.part.instrument is not UNSET)
        named = fault.item == f"instrument {self._instrument!r}"
        return owner.fault("/instrument", fault.reason if named else f"{fault.item}: {fault.reason}")

    def text(self, locale: str, identifier: str) -> Place | None:
        """Return where a text stands; where a locale says nothing of its own, what it says in English."""
        return self._texts.get((locale, identifier)) or self._texts.get((LANGUAGE, identifier))

    def row(self, exercise: TakenExercise, unit: str) -> Place | None:
        """Return the value of a list of choices that is one unit of an exercise."""
        setting = exercise.entry.settings.get(exercise.entry.units.each or "")
        if setting is None or setting.of is None:
            return None
        for read in self._parts:
            for position, value in enumerate(read.part.choices.get(setting.of, ())):
                if value.get("name") == unit:
                    return read, pointer_to(("choices", setting.of, position))
        return None

    def _of_texts(self, fault: Fault) -> Place | None:
        of_texts = _TEXTS.fullmatch(fault.item)
        if of_texts is not None:
            locale, identifier = of_texts.groups()
            if identifier is not None:
                return self.text(locale, identifier)
            return next(
                ((read, pointer_to(("texts", locale))) for read in self._parts if locale in read.part.texts),
                None,
            )
        said = _TEXT_SAID.match(fault.reason)
        return None if said is None else self.text(said[1], said[2])

    def _of_exercise(self, exercise: TakenExercise, fault: Fault) -> FileFault:
        unit = _UNIT.search(fault.item) or _UNIT.search(fault.reason)
        row = None if unit is None else self.row(exercise, unit[1])
        if row is not None:
            return row[0].fault(row[1], fault.reason)
        of_units = "material of " in fault.item or fault.item.endswith(", defaults") or unit is not None
        return exercise.fault("/units" if of_units else "", fault.reason)

    @cached_property
    def _texts(self) -> dict[tuple[str, str], Place]:
        """By locale and id."""
        return {
            (locale, f"{self._instrument}.{identifier}"): place
            for locale, identifier, place in (*self._english(), *self._other_locales())
        }

    def _other_locales(self) -> Iterator[tuple[str, str, Place]]:
        for read in self._parts:
            for locale, messages in read.part.texts.items():
                for identifier in messages:
                    yield locale, identifier, (read, pointer_to(("texts", locale, identifier)))

    def _english(self) -> Iterator[tuple[str, str, Place]]:
        for read in self._parts:
            part = read.part
            if part.instrument is not UNSET:
                yield LANGUAGE, "name", (read, "/instrument/name")
            for name in part.cautions:
                yield LANGUAGE, f"caution.{name}", (read, pointer_to(("cautions", name)))
            for name, values in part.choices.items():
                for position, value in enumerate(values):
                    start, base = f"choice.{name}.{value.get('name')}", ("choices", name, position)
                    for column in value:
                        identifier = start if column == "label" else f"{start}.{column}"
                        yield LANGUAGE, identifier, (read, pointer_to((*base, column)))
            for position, proposal in enumerate(part.proposal):
                for field in ("label", "manner", "done_when"):
                    pointer = pointer_to(("proposal", position, field))
                    yield LANGUAGE, f"proposal.{proposal.area}.{field}", (read, pointer)
        for exercise in self._taken.values():
            yield from self._of_own_exercise(exercise)

    def _of_own_exercise(self, exercise: TakenExercise) -> Iterator[tuple[str, str, Place]]:
        fields = ("title", "also_called", "what", "how", "how_much", "done_when")
        named = [*fields, *(f"soft.{field}" for field in fields[2:])]
        paths = {name: tuple(name.split(".")) for name in named} | _UNITS
        for name, path in paths.items():
            pointer = exercise.pointer if exercise.is_common else pointer_to(path, exercise.pointer)
            yield LANGUAGE, f"{exercise.entry.name}.{name}", (exercise.read, pointer)
