"""What a plan was made with, and why it may be outdated: what has changed since."""

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Literal

import msgspec
from bagatelle import Instruments
from bagatelle.engine.version import ENGINE_VERSION
from bagatelle.model.card import Card
from bagatelle.model.plan import PluginVersion
from bagatelle.policy.table import POLICY_VERSION, chosen_policy
from msgspec import Struct

from bagatelle_service.school.routine_document import RoutineDocument, tasks_of

DueState = Literal["later", "near", "past"]


class DueTask(Struct, frozen=True, kw_only=True):
    """A task that has a date."""

    task: str
    due: date
    state: DueState
    """On the day for which the plan was prepared: more than `near_days` away, within them, or over."""


class PlanVersions(Struct, frozen=True, kw_only=True):
    """What a plan was made with: what decides, beside its routine, what is in it."""

    engine: str = ""
    policy: str = ""
    plugins: tuple[PluginVersion, ...] = ()
    near_days: int = 0
    due: tuple[DueTask, ...] = ()
    """In the order of the routine."""


OutdatedReason = Literal["routine", "engine", "policy", "plugin", "due"]


class Outdated(Struct, frozen=True, kw_only=True):
    """A reason why a plan would not come out the same any more. It stays usable."""

    reason: OutdatedReason
    """What has changed: the routine's revision, the version of the engine, of the policy or of a plugin; or a date
    came near, or passed."""
    about: str | None
    """The plugin, or the key of the task."""
    before: str
    """What the plan was made with: a revision, a version (of a plugin with its hash), or where the date stood."""
    now: str | None
    """What there is now; null where a plugin is gone."""


class LoadedVersions(Struct, frozen=True, kw_only=True):
    """What plans are made with now."""

    engine: str
    policy: str
    plugins: Mapping[str, PluginVersion]
    """By name."""


def loaded_versions(instruments: Instruments) -> LoadedVersions:
    """Read the versions of what is loaded."""
    owners = {instruments.plugin_of(exercise.id) for exercise in instruments.exercises}
    return LoadedVersions(
        engine=ENGINE_VERSION,
        policy=POLICY_VERSION,
        plugins={version.name: version for version in owners},
    )


def versions_of(card: Card, document: RoutineDocument, day: date) -> PlanVersions:
    """Say what a card was made with on a day."""
    near_days = chosen_policy(document.policy).near_days
    return PlanVersions(
        engine=card.made_with.engine,
        policy=card.made_with.policy,
        plugins=card.made_with.plugins,
        near_days=near_days,
        due=tuple(
            DueTask(task=key, due=task.due, state=_state(task.due, day, near_days))
            for key, task in tasks_of(document)
            if task.due is not None
        ),
    )


def read_versions(text: str) -> PlanVersions:
    """Read what was stored of what a plan was made with."""
    return msgspec.json.decode(text, type=PlanVersions)


def write_versions(versions: PlanVersions) -> str:
    """Write it as it is stored."""
    return msgspec.json.encode(versions).decode()


def outdated_by(
    versions: PlanVersions, routine_revision: int, newest_revision: int, loaded: LoadedVersions, day: date
) -> tuple[Outdated, ...]:
    """List why a plan is outdated on a day; nothing where it is not.

    :param routine_revision: the one that the plan was made from.
    :param newest_revision: the routine's.
    """
    compared: Iterable[tuple[OutdatedReason, str | None, str, str | None]] = (
        ("routine", None, str(routine_revision), str(newest_revision)),
        ("engine", None, versions.engine, loaded.engine),
        ("policy", None, versions.policy, loaded.policy),
        *_plugins(versions, loaded),
        *(("due", each.task, each.state, _state(each.due, day, versions.near_days)) for each in versions.due),
    )
    return tuple(
        Outdated(reason=reason, about=about, before=before, now=now)
        for reason, about, before, now in compared
        if before != now
    )


def _plugins(
    versions: PlanVersions, loaded: LoadedVersions
) -> Iterable[tuple[OutdatedReason, str, str, str | None]]:
    for plugin in versions.plugins:
        now = loaded.plugins.get(plugin.name)
        yield "plugin", plugin.name, _said(plugin), None if now is None else _said(now)


def _said(plugin: PluginVersion) -> str:
    return f"{plugin.version} {plugin.hash}"


def _state(due: date, day: date, near_days: int) -> DueState:
    days_left = (due - day).days
    if days_left < 0:
        return "past"
    return "near" if days_left <= near_days else "later"
