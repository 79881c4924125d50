"""A whole catalogue: an instrument, its texts and its units, from one TOML file or several."""

from collections.abc import Iterable, Mapping, Sequence
from functools import cache, partial
from importlib.resources import files
from itertools import islice
from typing import Any

from msgspec import UNSET

from bagatelle.catalogue.faults import FAULTS_SHOWN
from bagatelle.catalogue.pitch_range import range_of_instrument
from bagatelle.catalogue.text_rules import LANGUAGE
from bagatelle.catalogue.validation import RESERVED_INSTRUMENTS
from bagatelle.json_pointer import pointer_to
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
from bagatelle.toml_catalogue.blanks import blank_faults
from bagatelle.toml_catalogue.choices import ChoiceList
from bagatelle.toml_catalogue.exercise import MadeExercise, OtherText, made_exercise
from bagatelle.toml_catalogue.faults import CatalogueFileError, FileFault
from bagatelle.toml_catalogue.form import InstrumentEntry, ProposalEntry
from bagatelle.toml_catalogue.placeholders import engine_template
from bagatelle.toml_catalogue.places import Places
from bagatelle.toml_catalogue.playing import Player
from bagatelle.toml_catalogue.reading import ReadPart, read_part
from bagatelle.toml_catalogue.scope import Scope, scope_of
from bagatelle.toml_catalogue.taken import TakenExercise, taken_exercises


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
        taken = taken_exercises(parts, common_part(), faults)
        self.places = Places(entry.id, parts, taken)
        scope = scope_of(entry.id, parts, common_part(), faults)
        made = [each for each in self._made(taken, scope, faults) if each is not None]
        self._rules = {each.exercise.id: each.rule for each in made}
        self.instrument = self._instrument([each.exercise for each in made])
        faults.extend(islice(self._unplayable(made, taken, scope), FAULTS_SHOWN))
        english = self._english(made, scope)
        self.texts = (
            Texts(locale=LANGUAGE, messages=english),
            *(
                Texts(locale=locale, messages={name: engine_template(text) for name, text in said.items()})
                for locale, said in self._other_locales().items()
            ),
        )
        faults.extend((*_proposal_faults(parts), *_english_elsewhere(parts)))
        faults.extend(self._blanks())
        if faults:
            raise CatalogueFileError(faults)

    def material(self, exercise: str, settings: Mapping[str, Any]) -> Material:
        """Turn settings into units.

        :raises KeyError: where the catalogue has no such exercise.
        :raises ValueError: where a unit would last too long, or no time at all.
        """
        return self._rules[exercise].material(settings)

    def has(self, exercise: str) -> bool:
        """Say whether an exercise is of this catalogue."""
        return exercise in self._rules

    def _made(
        self, taken: Iterable[TakenExercise], scope: Scope, faults: list[FileFault]
    ) -> Iterable[MadeExercise | None]:
        elsewhere = self._said_elsewhere(faults)
        for exercise in taken:
            yield made_exercise(
                self._entry.id,
                exercise.entry,
                scope,
                elsewhere.get(exercise.entry.name, ()),
                partial(_report_at, faults, exercise),
                partial(_report_row, faults, scope),
            )

    def _said_elsewhere(self, faults: list[FileFault]) -> Mapping[str, list[OtherText]]:
        """What other locales say of exercises, by the exercise's name."""
        found: dict[str, list[OtherText]] = {}
        for read in self._parts:
            for locale, messages in read.part.texts.items():
                for name, template in messages.items():
                    exercise, _, field = name.partition(".")
                    pointer = pointer_to(("texts", locale, name))
                    told = partial(_report_in, faults, read, pointer)
                    found.setdefault(exercise, []).append(OtherText(field, template, told))
        return found

    def _unplayable(
        self, made: Iterable[MadeExercise], taken: Iterable[TakenExercise], scope: Scope
    ) -> Iterable[FileFault]:
        reach = range_of_instrument(self.instrument)
        by_name = {each.entry.name: each for each in taken}
        for each in made:
            found = list(Player(each.rule, each.exercise.defaults, reach).unplayable())
            if len(found) > 1 and len(found) == len(found[0][0].choices.choices):
                # It is not the values that are wrong.
                reason = f"no unit can be played: {found[0][2]}"
                yield by_name[each.exercise.id.partition(".")[2]].fault("/units", reason)
                continue
            for setting, choice, reason in found:
                name = setting.choices.name
                pointer = pointer_to(("choices", name, choice.position))
                yield scope.lists_in[name].fault(pointer, reason)

    def _blanks(self) -> Iterable[FileFault]:
        for entry in self.texts:
            for identifier, reason in blank_faults(entry.messages):
                place = self.places.text(entry.locale, identifier)
                if place is not None:
                    yield place[0].fault(place[1], reason)

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


def _report_at(faults: list[FileFault], exercise: TakenExercise, field: str, reason: str) -> None:
    faults.append(exercise.fault(field, reason))


def _report_in(faults: list[FileFault], read: ReadPart, pointer: str, field: str, reason: str) -> None:
    faults.append(read.fault(f"{pointer}{field}", reason))


def _report_row(
    faults: list[FileFault], scope: Scope, name: str, position: int, column: str, reason: str
) -> None:
    faults.append(scope.lists_in[name].fault(pointer_to(("choices", name, position, column)), reason))


def _instrument_entry(parts: Sequence[ReadPart], faults: list[FileFault]) -> InstrumentEntry | None:
    found = [(read, read.part.instrument) for read in parts if read.part.instrument is not UNSET]
    for read, _ in found[1:]:
        faults.append(read.fault("/instrument", "another file of the catalogue has the instrument already"))
    if not found:
        faults.append(parts[0].fault("/instrument", "the instrument is missing"))
    if len(found) != 1 or not isinstance(found[0][1], InstrumentEntry):
        return None
    read, entry = found[0]
    if entry.id in RESERVED_INSTRUMENTS:
        faults.append(read.fault("/instrument/id", f"{entry.id!r} is the engine's own, take another"))
    lowest, highest = (pitch_number(name or "") for name in (entry.lowest, entry.highest))
    if lowest is not None and highest is not None and lowest > highest:
        reason = f"{entry.lowest} is above {entry.highest}, the highest (accepted: {entry.highest} or below)"
        faults.append(read.fault("/instrument/lowest", reason))
    return entry


def _proposal_faults(parts: Iterable[ReadPart]) -> Iterable[FileFault]:
    seen = set()
    for read in parts:
        for position, proposal in enumerate(read.part.proposal):
            if proposal.area in seen:
                reason = f"there is a proposal for {proposal.area!r} already (accepted: one for each area)"
                yield read.fault(f"/proposal/{position}/area", reason)
            seen.add(proposal.area)


def _english_elsewhere(parts: Iterable[ReadPart]) -> Iterable[FileFault]:
    for read in parts:
        if LANGUAGE in read.part.texts:
            reason = "English stands beside what it says (accepted: another locale, such as en-US)"
            yield read.fault(f"/texts/{LANGUAGE}", reason)


def _choice_texts(choices: ChoiceList) -> dict[str, Template]:
    return {
        message.id: engine_template(str(choice.columns[column]))
        for choice in choices.choices.values()
        for column, message in choice.messages.items()
    }
