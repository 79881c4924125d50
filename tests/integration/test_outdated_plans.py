"""What makes a plan outdated, each reason with what was and what is; and that it stays usable then."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from bagatelle import Instruments, load_instruments
from bagatelle_service.school import plan_versions
from msgspec.structs import replace

from tests.integration.problem_checks import problem_in
from tests.integration.school import Clock, SchoolOfTest, service_on
from tests.unit.catalogue.sample_plugins import HUM, KAZOO, FakeEntryPoint, SamplePlugin


def kazoo(version: str, usual_minutes: int = 5) -> Instruments:
    plugin = SamplePlugin(
        instruments=(replace(KAZOO, exercises=(replace(HUM, usual_minutes=usual_minutes),)),)
    )
    return load_instruments(entry_points=[FakeEntryPoint("kazoo", lambda: plugin, version)])


OLD, NEW = kazoo("1.0.0"), kazoo("1.1.0", usual_minutes=9)
HUMMING = {"id": "humming", "exercise": "kazoo.hum"}
POLKA = {"id": "polka", "title": "Polka", "minutes": 20, "area": "repertoire"}


def routine_of(*tasks: dict[str, Any]) -> dict[str, Any]:
    blocks = [
        {"title": "Humming", "tasks": [{**HUMMING, "minutes": 10}]},
        {"title": "Pieces", "tasks": list(tasks)},
    ]
    return {"instrument": "kazoo", "routine": {"blocks": blocks}}


class Prepared:
    """A school with one routine, prepared; it can be looked at by another service on the same database."""

    def __init__(self, url: str, body: dict[str, Any]) -> None:
        self.url, self.clock = url, Clock()
        with service_on(url, instruments=OLD, clock=self.clock) as service:
            self.school = service.school()
            self.routine = self.school.owner.make(
                f"/v1/students/{self.school.student()['id']}/routines", body
            )
            assert self.prepare()["nothing_for"] == []

    @contextmanager
    def seen_by(self, instruments: Instruments) -> Iterator[SchoolOfTest]:
        with service_on(self.url, instruments=instruments, clock=self.clock) as service:
            self.school.service = service
            self.school.owner.api = service.api
            yield self.school

    def prepare(self) -> dict[str, Any]:
        answer = self.school.owner.post(f"/v1/routines/{self.routine['id']}/plans", {})
        assert answer.status_code == 200, answer.text
        found: dict[str, Any] = answer.json()
        return found

    def outdated(self) -> list[dict[str, Any]]:
        """What the usual plan says, which must be what the list says of it."""
        listed = self.school.owner.get(f"/v1/routines/{self.routine['id']}/plans").json()["plans"]
        (usual,) = [plan for plan in listed if plan["kind"] == "usual"]
        shown = self.school.owner.get(f"/v1/plans/{usual['id']}")
        assert shown.json()["outdated"] == usual["outdated"]
        assert shown.json()["card"]["tasks"]
        # Who has the answer as it was is told the new one, though no revision was made.
        tag = shown.headers["ETag"]
        assert (tag == f'"{usual["revision"]}"') == (usual["outdated"] == [])
        again = self.school.owner.get(f"/v1/plans/{usual['id']}", headers={"If-None-Match": tag})
        assert again.status_code == 304
        reasons: list[dict[str, Any]] = usual["outdated"]
        return reasons


def test_nothing_is_outdated_at_once(any_database_url: str) -> None:
    prepared = Prepared(any_database_url, routine_of(POLKA))
    with prepared.seen_by(OLD):
        assert prepared.outdated() == []


def test_by_the_routine(any_database_url: str) -> None:
    prepared = Prepared(any_database_url, routine_of(POLKA))
    with prepared.seen_by(OLD) as school:
        body = routine_of({**POLKA, "minutes": 25})
        assert school.owner.put(f"/v1/routines/{prepared.routine['id']}", body, revision=1).status_code == 200
        assert prepared.outdated() == [{"reason": "routine", "about": None, "before": "1", "now": "2"}]
        prepared.prepare()
        assert prepared.outdated() == []


def test_by_a_plugin_that_was_changed(any_database_url: str) -> None:
    prepared = Prepared(any_database_url, routine_of(POLKA))
    old, new = (f"{each.version} {each.hash}" for each in (x.plugin_of("kazoo.hum") for x in (OLD, NEW)))
    with prepared.seen_by(NEW) as school:
        assert prepared.outdated() == [{"reason": "plugin", "about": "kazoo", "before": old, "now": new}]
        # Another choice for it is made from the newest, with its ETag or the number alone.
        plan = school.owner.get(f"/v1/routines/{prepared.routine['id']}/plans").json()["plans"][0]
        tag = school.owner.get(f"/v1/plans/{plan['id']}").headers["ETag"]
        put = school.owner.put(f"/v1/plans/{plan['id']}", {"share": 0.3}, headers={"If-Match": tag})
        assert put.status_code == 200, put.text
        assert put.json()["outdated"] == []
        answer = prepared.prepare()
        assert {each["kind"]: each["change"] for each in answer["plans"]}["usual"] == "changed"
        assert prepared.outdated() == []


def test_by_a_plugin_that_is_gone(any_database_url: str) -> None:
    prepared = Prepared(any_database_url, routine_of(POLKA))
    version = OLD.plugin_of("kazoo.hum")
    with prepared.seen_by(Instruments.none()) as school:
        before = f"{version.version} {version.hash}"
        assert prepared.outdated() == [{"reason": "plugin", "about": "kazoo", "before": before, "now": None}]
        problem = problem_in(
            school.owner.post(f"/v1/routines/{prepared.routine['id']}/plans", {}), "invalid-input"
        )
        assert "/instrument" in [error["pointer"] for error in problem["errors"]]
        assert {each["reason"] for each in prepared.outdated()} == {"plugin"}


@pytest.mark.parametrize("what", ["engine", "policy"])
def test_by_the_engine_or_the_policy(
    any_database_url: str, what: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    prepared = Prepared(any_database_url, routine_of(POLKA))
    name = f"{what.upper()}_VERSION"
    before = getattr(plan_versions, name)
    monkeypatch.setattr(plan_versions, name, "99.0")
    with prepared.seen_by(OLD):
        assert prepared.outdated() == [{"reason": what, "about": None, "before": before, "now": "99.0"}]


def test_by_a_date_that_comes_near_and_passes(any_database_url: str) -> None:
    """The clock shows 1 March 2027; within 14 days is near (`near_days` of the policy)."""
    prepared = Prepared(any_database_url, routine_of({**POLKA, "due": "2027-03-31"}))
    with prepared.seen_by(OLD):

        def due(before: str, now: str) -> list[dict[str, Any]]:
            return [{"reason": "due", "about": "polka", "before": before, "now": now}]

        prepared.clock.go_on(days=15)
        assert prepared.outdated() == []
        prepared.clock.go_on(days=1)
        assert prepared.outdated() == due("later", "near")
        prepared.prepare()
        assert prepared.outdated() == []
        prepared.clock.go_on(days=14)
        assert prepared.outdated() == []
        # In Oslo it is two hours later, so the next day begins there while the clock still shows 31 March.
        prepared.clock.go_on(hours=14, minutes=30)
        assert prepared.clock().date().isoformat() == "2027-03-31"
        assert prepared.outdated() == due("near", "past")
