"""A whole catalogue: an instrument, its texts and its units, from one TOML file or several."""

from collections.abc import Iterable, Mapping, Sequence
from functools import cache, partial
from importlib.resources import files
from typing import Any

from msgspec import UNSET

from bagatelle.model.exercise import (
    Exercise,
    Instrument,
    Material,
    OpenString,
    OwnTaskProposal,
    Template,
    Texts,
)
from bagatelle.pitches import pitch_number
from bagatelle.toml_catalogue.choices import ChoiceList
from bagatelle.toml_catalogue.exercise import MadeExercise, made_exercise
from bagatelle.toml_catalogue.faults import CatalogueFileError, FileFault
from bagatelle.toml_catalogue.form import InstrumentEntry, ProposalEntry
from bagatelle.toml_catalogue.placeholders import engine_template
from bagatelle.toml_catalogue.reading import ReadPart, read_part
from bagatelle.toml_catalogue.scope import Scope, scope_of

LANGUAGE = "en"


class Catalogue:
    """An instrument without code, found right by the form."""

    def __init__(self, parts: Sequence[ReadPart]) -> None:
        """Put the files of one catalogue together.

        :raises CatalogueFileError: with everything that leads nowhere, by file and line.
        """
        faults: list[FileFault] = []
        entry = _instrument_entry(parts, faults)
        if entry is None:
            raise CatalogueFileError(faults)
        self._entry = entry
        self._parts = parts
        self.version = entry.version
        scope = scope_of(entry.id, parts, common_part(), faults)
        made = [each for each in self._made(scope, faults) if each is not None]
        if faults:
            raise CatalogueFileError(faults)
        self._rules = {each.exercise.id: each.rule for each in made}
        self.instrument = self._instrument([each.exercise for each in made])
        self.texts = (
            Texts(locale=LANGUAGE, messages=self._english(made, scope)),
            *(
                Texts(locale=locale, messages={name: engine_template(text) for name, text in said.items()})
                for locale, said in self._other_locales().items()
            ),
        )

    def material(self, exercise: str, settings: Mapping[str, Any]) -> Material:
        """Turn settings into units.

        :raises KeyError: where the catalogue has no such exercise.
        :raises ValueError: where a unit would last too long, or no time at all.
        """
        return self._rules[exercise].material(settings)

    def has(self, exercise: str) -> bool:
        """Say whether an exercise is of this catalogue."""
        return exercise in self._rules

    def place_of(self, exercise: str) -> str | None:
        """Return where an exercise stands: file and line; None where it is of no file of this catalogue."""
        for read in self._parts:
            for position, entry in enumerate(read.part.exercise):
                if f"{self._entry.id}.{entry.name}" == exercise:
                    line = read.lines.of(f"/exercise/{position}")
                    return f"{read.file}, line {line}"
        return None

    def fault_of(self, exercise: str, reason: str) -> FileFault:
        """Say what is wrong with an exercise, or with the instrument, where it stands in the files."""
        for read in self._parts:
            for position, entry in enumerate(read.part.exercise):
                if f"{self._entry.id}.{entry.name}" == exercise:
                    return read.fault(f"/exercise/{position}", reason)
        owner = next(read for read in self._parts if read.part.instrument is not UNSET)
        return owner.fault("/instrument", f"{exercise}: {reason}")

    def _made(self, scope: Scope, faults: list[FileFault]) -> Iterable[MadeExercise | None]:
        elsewhere = self._other_locales()
        seen: set[str] = set()
        for read, position in self._taken(faults):
            entry = read.part.exercise[position]
            place = f"/exercise/{position}"
            if entry.name in seen:
                faults.append(read.fault(f"{place}/name", f"the catalogue has {entry.name!r} twice"))
            seen.add(entry.name)
            start = f"{self._entry.id}.{entry.name}."
            said = [
                text
                for messages in elsewhere.values()
                for name, text in messages.items()
                if name.startswith(start)
            ]
            yield made_exercise(
                self._entry.id,
                entry,
                scope,
                said,
                partial(_report_at, faults, read, place),
            )

    def _taken(self, faults: list[FileFault]) -> Iterable[tuple[ReadPart, int]]:
        """All exercises: those of the files, and those that are taken of the common ones."""
        common = common_part()
        known = {entry.name: position for position, entry in enumerate(common.part.exercise)}
        for read in self._parts:
            yield from ((read, position) for position in range(len(read.part.exercise)))
            take = read.part.common.take if read.part.common is not UNSET else ()
            for position, name in enumerate(take):
                if name in known:
                    yield common, known[name]
                else:
                    accepted = ", ".join(known) or "none"
                    reason = f"there is no common exercise {name!r} (accepted: {accepted})"
                    faults.append(read.fault(f"/common/take/{position}", reason))

    def _instrument(self, exercises: Sequence[Exercise]) -> Instrument:
        entry = self._entry
        return Instrument(
            id=entry.id,
            family=entry.family,
            exercises=tuple(exercises),
            proposals=tuple(
                self._proposal(proposal) for read in self._parts for proposal in read.part.proposal
            ),
            strings=tuple(
                OpenString(name=string.name, pitch=pitch_number(string.pitch) or 0)
                for string in entry.strings
            ),
            lowest_pitch=None if entry.lowest is None else pitch_number(entry.lowest),
            highest_pitch=None if entry.highest is None else pitch_number(entry.highest),
            sounds_semitones=entry.sounds_semitones,
        )

    def _proposal(self, entry: ProposalEntry) -> OwnTaskProposal:
        start = f"{self._entry.id}.proposal.{entry.area}"
        return OwnTaskProposal(
            area=entry.area,
            label=f"{start}.label",
            manner=f"{start}.manner",
            done_when=f"{start}.done_when",
            bars=entry.bars,
            bpm=entry.bpm,
            seconds=entry.seconds,
            passes=entry.passes,
        )

    def _english(self, made: Iterable[MadeExercise], scope: Scope) -> dict[str, Template]:
        identifier = self._entry.id
        messages: dict[str, Template] = {f"{identifier}.name": self._entry.name}
        messages |= {f"{identifier}.caution.{name}": text for name, text in scope.cautions.items()}
        for choices in scope.choices.values():
            messages |= _choice_texts(choices)
        for read in self._parts:
            for proposal in read.part.proposal:
                for field in ("label", "manner", "done_when"):
                    messages[f"{identifier}.proposal.{proposal.area}.{field}"] = getattr(proposal, field)
        for each in made:
            messages |= each.texts
        return messages

    def _other_locales(self) -> dict[str, dict[str, Template]]:
        """What is said otherwise elsewhere, by locale and message id, as the files have it."""
        found: dict[str, dict[str, Template]] = {}
        for read in self._parts:
            for locale, messages in read.part.texts.items():
                found.setdefault(locale, {}).update(
                    {f"{self._entry.id}.{name}": text for name, text in messages.items()}
                )
        return found


@cache
def common_part() -> ReadPart:
    """Return what instruments share."""
    content = files("bagatelle.toml_catalogue").joinpath("common.toml").read_bytes()
    return read_part("common.toml", content)


def _report_at(faults: list[FileFault], read: ReadPart, place: str, field: str, reason: str) -> None:
    faults.append(read.fault(f"{place}{field}", reason))


def _instrument_entry(parts: Sequence[ReadPart], faults: list[FileFault]) -> InstrumentEntry | None:
    found = [(read, read.part.instrument) for read in parts if read.part.instrument is not UNSET]
    for read, _ in found[1:]:
        faults.append(read.fault("/instrument", "another file of the catalogue has the instrument already"))
    if not found:
        faults.append(parts[0].fault("/instrument", "the instrument is missing"))
    return found[0][1] if len(found) == 1 and isinstance(found[0][1], InstrumentEntry) else None


def _choice_texts(choices: ChoiceList) -> dict[str, Template]:
    return {
        message.id: engine_template(str(choice.columns[column]))
        for choice in choices.choices.values()
        for column, message in choice.messages.items()
    }
