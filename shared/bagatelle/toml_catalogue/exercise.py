"""One exercise of the form as the contract has it."""

from collections.abc import Iterable, Mapping
from typing import Final

from msgspec import Struct

from bagatelle.catalogue.exercise_bounds import (
    cap_out_of_bounds,
    chunk_out_of_bounds,
    soft_strain_out_of_bounds,
)
from bagatelle.model.exercise import Exercise, SoftForm, Template
from bagatelle.toml_catalogue.checking import ExerciseReader, RowReport
from bagatelle.toml_catalogue.faults import Report
from bagatelle.toml_catalogue.form import ExerciseEntry, SoftEntry
from bagatelle.toml_catalogue.placeholders import engine_template
from bagatelle.toml_catalogue.scope import Scope, shown_names
from bagatelle.toml_catalogue.setting_entries import made_settings
from bagatelle.toml_catalogue.settings import Setting, settings_schema
from bagatelle.toml_catalogue.units import UnitRule

_OF_UNITS: Final = frozenset({"unit", "unit.detail"})


class OtherText(Struct, frozen=True):
    """What another locale says of an exercise."""

    field: str
    """Of the exercise: `what`, `soft.how`."""
    template: Template
    report: Report
    """Takes where in the text, and what is wrong there."""


class MadeExercise(Struct, frozen=True):
    """An exercise with its texts and what makes its units."""

    exercise: Exercise
    texts: Mapping[str, Template]
    """In English, by message id."""
    rule: UnitRule


def made_exercise(
    instrument: str,
    entry: ExerciseEntry,
    scope: Scope,
    elsewhere: Iterable[OtherText],
    report: Report,
    report_row: RowReport,
) -> MadeExercise | None:
    """Make one exercise of the form.

    :param elsewhere: what other locales say of it.
    :param report: is told everything that is wrong in it.
    :param report_row: is told what is wrong in the lists that it chooses from.
    :returns: None where anything was wrong.
    """
    faults = 0

    def told(place: str, reason: str) -> None:
        nonlocal faults
        faults += 1
        report(place, reason)

    def told_of_row(name: str, position: int, column: str, reason: str) -> None:
        nonlocal faults
        faults += 1
        report_row(name, position, column, reason)

    identifier = f"{instrument}.{entry.name}"
    _check_names(entry, scope, told)
    _check_bounds(entry, told)
    settings = made_settings(entry, scope, told)
    if settings is None:
        return None
    reader = ExerciseReader(settings, entry.units, told, told_of_row)
    said = dict(_texts(entry))
    in_texts = {
        each
        for place, template in said.items()
        for each in reader.placeholders(place, template, says_units=place != "/title")
    }
    for other in elsewhere:
        of_units = other.field in _OF_UNITS
        named = reader.placeholders("", other.template, in_units=of_units, report=other.report)
        in_texts.update(() if of_units else named)
    rule = reader.rule(identifier, tuple(sorted(in_texts, key=str)))
    if rule is None or faults:
        return None
    texts = {
        f"{identifier}{place.replace('/', '.')}": engine_template(template)
        for place, template in said.items()
    }
    return MadeExercise(
        exercise=_exercise(instrument, entry, scope, settings),
        texts=texts | _unit_texts(identifier, entry) | _names(identifier, entry),
        rule=rule,
    )


def _check_bounds(entry: ExerciseEntry, report: Report) -> None:
    found = {
        "/smallest_chunk_seconds": chunk_out_of_bounds(entry),
        "/daily_cap_seconds": cap_out_of_bounds(entry),
        "/soft/strain": entry.soft and soft_strain_out_of_bounds(entry, entry.soft.strain),
    }
    for place, reason in found.items():
        if reason:
            report(place, reason)


def _check_names(entry: ExerciseEntry, scope: Scope, report: Report) -> None:
    for field, names, known in (
        ("sources", entry.sources, scope.sources.keys()),
        ("cautions", entry.cautions, scope.cautions.keys()),
    ):
        for position, name in enumerate(names):
            if name not in known:
                report(f"/{field}/{position}", f"there is no {name!r} (accepted: {shown_names(known)})")


def _texts(entry: ExerciseEntry) -> Iterable[tuple[str, Template]]:
    """Where in the exercise, and what stands there."""
    yield "/title", entry.title
    yield "/what", entry.what
    yield "/how", entry.how
    yield "/how_much", entry.how_much
    yield "/done_when", entry.done_when
    if entry.soft is not None:
        yield "/soft/what", entry.soft.what
        yield "/soft/how", entry.soft.how
        if entry.soft.how_much is not None:
            yield "/soft/how_much", entry.soft.how_much
        if entry.soft.done_when is not None:
            yield "/soft/done_when", entry.soft.done_when


def _unit_texts(identifier: str, entry: ExerciseEntry) -> dict[str, Template]:
    given = {"unit": entry.units.label, "unit.detail": entry.units.detail}
    return {f"{identifier}.{name}": engine_template(text) for name, text in given.items() if text is not None}


def _names(identifier: str, entry: ExerciseEntry) -> dict[str, Template]:
    return {f"{identifier}.also_called": ", ".join(entry.also_called)} if entry.also_called else {}


def _exercise(
    instrument: str, entry: ExerciseEntry, scope: Scope, settings: Mapping[str, Setting]
) -> Exercise:
    defaults = {
        name: list(given.default) if isinstance(given.default, tuple) else given.default
        for name, given in entry.settings.items()
    }
    return Exercise(
        id=f"{instrument}.{entry.name}",
        version=entry.version,
        area=entry.area,
        level=entry.level,
        stage_hint=entry.stage,
        concreteness=entry.concreteness,
        divisibility=entry.divisibility,
        strain=entry.strain,
        loudness=entry.loudness,
        needs_instrument=entry.needs_instrument,
        works=entry.works,
        usual_minutes=entry.usual_minutes,
        smallest_chunk_seconds=entry.smallest_chunk_seconds,
        set_up_seconds=entry.set_up_seconds,
        daily_cap_seconds=entry.daily_cap_seconds,
        cadence_days=entry.cadence_days,
        widest_interval_semitones=entry.widest_interval_semitones,
        details_up_to=entry.details_up_to,
        cautions=tuple(f"{instrument}.caution.{name}" for name in entry.cautions),
        goes_round=entry.goes_round,
        warm_up_stand_in=entry.warm_up_stand_in,
        soft_form=None if entry.soft is None else _soft_form(entry.soft),
        settings_schema=settings_schema(
            settings, {name: given.about for name, given in entry.settings.items()}, defaults
        ),
        defaults=defaults,
        sources=tuple(scope.sources[name] for name in entry.sources),
    )


def _soft_form(entry: SoftEntry) -> SoftForm:
    return SoftForm(
        strain=entry.strain,
        loudness=entry.loudness,
        needs_instrument=entry.needs_instrument,
        works=entry.works,
    )
