"""From a step of a day's sheet to what is stored of it: as the sheet had it, whatever the routine is now."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import date
from uuid import UUID

import msgspec
from bagatelle import Instruments
from bagatelle.engine.placing import PlacedTask
from bagatelle.model.errors import FieldError
from bagatelle.model.plan import PluginVersion
from bagatelle.model.sheet import DaySheet as SheetBody
from bagatelle.model.sheet import SheetStep
from msgspec import Struct
from sqlalchemy import select, tuple_

from bagatelle_service.database.tables import DaySheet, PreparedPlanRevision, Student
from bagatelle_service.school.logged_things import GivenEntry, Thing, some_of, unknown_units, version_text
from bagatelle_service.school.routine_history import revisions_of, task_ids_of
from bagatelle_service.school.work import Work


class _MadeWith(Struct, frozen=True):
    """Of what a plan was made with, the part that is read here."""

    plugins: tuple[PluginVersion, ...] = ()


class _Sheet(Struct, frozen=True, kw_only=True):
    """A day's sheet with what its steps are of."""

    steps: Mapping[str, SheetStep]
    """Those that are played."""
    routine_id: UUID
    routine_revision: int
    plugins: Mapping[str, PluginVersion]
    tasks: Mapping[str, PlacedTask]
    """By key."""
    task_ids: Mapping[tuple[UUID, str], UUID]


async def things_of_steps(
    work: Work,
    student: Student,
    entries: Sequence[GivenEntry],
    instruments: Instruments,
    wrong: list[FieldError],
) -> dict[UUID, Thing]:
    """Find what entries by step are of, by the entry's id; what is wrong with them is added to `wrong`."""
    sheets = await _sheets_of(work, student, {entry.day for entry in entries}) if entries else {}
    found = {}
    for entry in entries:
        sheet = sheets.get(entry.day)
        step = sheet.steps.get(entry.content.step or "") if sheet is not None else None
        if sheet is None:
            message, accepted = f"{entry.day} has no sheet", "a step of a day that has one; a task instead"
            wrong.append(entry.wrong("step", message, accepted))
        elif step is None:
            accepted = f"one of: {some_of(tuple(sheet.steps))}; a task instead"
            wrong.append(entry.wrong("step", f"the sheet of {entry.day} has no such step", accepted))
        else:
            units = tuple(dict.fromkeys(unit.unit for unit in step.units))
            wrong.extend(unknown_units(entry, units, "step"))
            found[entry.id] = _thing_of(sheet, step, entry, units, instruments)
    return found


async def _sheets_of(work: Work, student: Student, days: Collection[date]) -> dict[date, _Sheet]:
    statement = select(DaySheet).where(DaySheet.student_id == student.id, DaySheet.day.in_(days))
    sheets = (await work.session.scalars(statement)).all()
    if not sheets:
        return {}
    plan = PreparedPlanRevision
    columns = (plan.plan_id, plan.number, plan.routine_id, plan.routine_revision, plan.made_with)
    made_from = {(sheet.plan_id, sheet.plan_revision) for sheet in sheets}
    rows = await work.session.execute(
        select(*columns).where(tuple_(plan.plan_id, plan.number).in_(made_from))
    )
    plans = {(row.plan_id, row.number): row for row in rows}
    routines = await revisions_of(work, {(row.routine_id, row.routine_revision) for row in plans.values()})
    task_ids = await task_ids_of(work, {row.routine_id for row in plans.values()})
    found = {}
    for sheet in sheets:
        row = plans[(sheet.plan_id, sheet.plan_revision)]
        found[sheet.day] = _Sheet(
            steps=_played(sheet.body),
            routine_id=row.routine_id,
            routine_revision=row.routine_revision,
            plugins={each.name: each for each in msgspec.json.decode(row.made_with, type=_MadeWith).plugins},
            tasks=routines[(row.routine_id, row.routine_revision)].tasks,
            task_ids=task_ids,
        )
    return found


def _played(body: str) -> dict[str, SheetStep]:
    steps: Iterable[SheetStep] = msgspec.json.decode(body, type=SheetBody).steps
    return {step.id: step for step in steps if step.kind == "task"}


def _thing_of(
    sheet: _Sheet, step: SheetStep, entry: GivenEntry, units: tuple[str, ...], instruments: Instruments
) -> Thing:
    # What stands in for a task of the routine is none of its tasks.
    placed = sheet.tasks.get(step.task or "")
    exercise = placed.task.exercise if placed is not None else None
    plugin = _plugin_of(exercise, sheet.plugins, instruments) if exercise is not None else None
    return Thing(
        task_id=sheet.task_ids.get((sheet.routine_id, step.task or "")) if placed is not None else None,
        routine_id=sheet.routine_id,
        routine_revision=sheet.routine_revision,
        exercise=exercise,
        exercise_version=version_text(plugin.version, plugin.hash) if plugin is not None else None,
        area=step.area,
        units=units if entry.content.units is None else entry.content.units,
    )


def _plugin_of(
    exercise: str, plugins: Mapping[str, PluginVersion], instruments: Instruments
) -> PluginVersion | None:
    """The plugin as the plan had it. Where it is not loaded any more, it is told by being the only one."""
    if instruments.has(exercise):
        return plugins.get(instruments.plugin_of(exercise).name)
    return next(iter(plugins.values())) if len(plugins) == 1 else None
