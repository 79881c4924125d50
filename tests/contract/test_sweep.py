"""Every operation of the contract, asked by somebody whom it is not for: nothing is shown, nothing is changed."""

import json
import re
from collections.abc import Iterator
from typing import Any

import httpx
import pytest
from bagatelle_service.contract import contract_file
from bagatelle_service.database import storage as storage_module
from bagatelle_service.database.tables import Guardian, Staff, Student, Table
from bagatelle_service.school.roles import SCOPES_OF, Role
from sqlalchemy import select

from tests.contract.whole_school import AN_ISSUER, GAPS, THE_SAME_EVERYWHERE, WholeSchool
from tests.integration.databases import database_of_kind
from tests.integration.problem_checks import problem_in
from tests.integration.school import As, service_on

DOCUMENT: dict[str, Any] = json.loads(contract_file().read_text(encoding="utf-8"))
# What a school tells everybody in it, where their scope allows.
FOR_ALL_OF_A_SCHOOL = {"show_school", "show_own_catalogue"}
# What is made under an id of a client's, in the caller's own school: `test_own_exercises.py` has two schools do so.
MADE_IN_OWN_SCHOOL = {"put_own_catalogue"}
# Ids that a client makes, of the operation that stores something under them: what another school has says nothing.
MADE_BY_CLIENTS = {("put_log", "log_id")}


class Swept:
    """One operation of the contract."""

    def __init__(self, path: str, method: str, described: dict[str, Any]) -> None:
        self.path, self.method = path, method.upper()
        self.id: str = described["operationId"]
        self.scope: Any = next(iter(described["security"][0]["token"]), None)
        self.gaps = re.findall(r"{(\w+)}", path)
        kinds: dict[str, Any] = described.get("requestBody", {}).get("content", {})
        self.kind = next(iter(kinds), "")
        content = kinds.get(self.kind, {})
        self.body = next((example["value"] for example in content.get("examples", {}).values()), None)

    def send(self, caller: As | None, api: Any, ids: dict[str, str]) -> httpx.Response:
        path = re.sub(r"{(\w+)}", lambda gap: ids[gap[1]], self.path)
        options: dict[str, Any] = {"headers": {"If-Match": "*"} if self.method in ("PUT", "DELETE") else {}}
        if isinstance(self.body, str):
            options |= {"content": self.body, "headers": {**options["headers"], "Content-Type": self.kind}}
        elif self.body is not None:
            options["json"] = self.body
        answer: httpx.Response = (caller or api).send(self.method, path, **options)
        return answer


STORED = [
    Swept(path, method, described)
    for path, methods in DOCUMENT["paths"].items()
    for method, described in methods.items()
    if described["security"] and {} not in described["security"]
]
ALL = pytest.mark.parametrize("swept", STORED, ids=lambda swept: swept.id)
WITH_IDS = pytest.mark.parametrize("swept", [one for one in STORED if one.gaps], ids=lambda swept: swept.id)
OF_OTHERS = pytest.mark.parametrize(
    "swept",
    [one for one in STORED if one.gaps and one.id not in MADE_IN_OWN_SCHOOL],
    ids=lambda swept: swept.id,
)


@pytest.fixture(scope="module", params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql)])
def two(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[tuple[WholeSchool, WholeSchool]]:
    """Two schools, for all tests: none of them is to change anything."""
    with (
        database_of_kind(request.param, tmp_path_factory.mktemp("sweep")) as url,
        service_on(url, requests_a_minute=100_000, **AN_ISSUER) as service,
    ):
        yield WholeSchool(service, "One"), WholeSchool(service, "Other")


@pytest.fixture(scope="module")
def strangers(two: tuple[WholeSchool, WholeSchool]) -> dict[str, As]:
    """A teacher without a group, another student, and another student's guardian."""
    one, _ = two
    student = one.school.student("Another", key="another")["id"]
    guardian = one.school.owner.make(f"/v1/students/{student}/guardians", {})["id"]
    found = {
        "teacher": one.lonely_teacher(),
        "student": one.member(Student, student),
        "guardian": one.member(Guardian, guardian),
    }
    for stranger in found.values():
        stranger.get("/v1/caller")  # the first use of a token is noted
    return found


def rows_of(whole: WholeSchool) -> dict[str, list[str]]:
    """Everything that the database holds of a school, apart from what each request leaves behind."""

    async def read() -> dict[str, list[str]]:
        found = {}
        async with whole.service.api.storage.read(whole.id) as session:
            for mapper in Table.registry.mappers:
                if "school_id" in mapper.columns:
                    rows = (await session.execute(select(*mapper.columns))).all()
                    found[mapper.class_.__tablename__] = sorted(
                        map(str, (row for row in rows if row.school_id == whole.id))
                    )
        return found

    return whole.service.api.run(read())


def test_everything_stored_is_swept() -> None:
    assert len(STORED) > 30
    assert {gap for one in STORED for gap in one.gaps} == set(GAPS)


@ALL
def test_without_a_token(two: tuple[WholeSchool, WholeSchool], swept: Swept) -> None:
    one, _ = two
    problem_in(swept.send(None, one.service.api, one.ids), "no-token")


@pytest.mark.parametrize("swept", [one for one in STORED if one.scope], ids=lambda swept: swept.id)
def test_with_too_small_a_scope(two: tuple[WholeSchool, WholeSchool], swept: Swept) -> None:
    one, _ = two
    before = rows_of(one)
    owner = one.member(Staff, one.owner_id, SCOPES_OF["owner"] - {swept.scope})
    problem_in(swept.send(owner, one.service.api, one.ids), "not-allowed")
    after = rows_of(one)
    assert {**before, "token": [], "audit_entry": []} == {**after, "token": [], "audit_entry": []}


@OF_OTHERS
def test_with_the_ids_of_another_school(two: tuple[WholeSchool, WholeSchool], swept: Swept) -> None:
    nothing_of_the_other(two, swept)


@OF_OTHERS
@pytest.mark.postgresql
def test_rows_hold_by_themselves(
    two: tuple[WholeSchool, WholeSchool], swept: Swept, monkeypatch: pytest.MonkeyPatch
) -> None:
    one, _ = two
    if one.service.api.storage.engine.dialect.name == "postgresql":
        monkeypatch.setattr(storage_module, "school_filter", lambda _: ())
    nothing_of_the_other(two, swept)


def nothing_of_the_other(two: tuple[WholeSchool, WholeSchool], swept: Swept) -> None:
    one, other = two
    before = rows_of(other)
    problem_in(swept.send(one.callers["owner"], None, other.ids), "unknown-id")
    # One id of the other school among our own, at each place.
    for gap in swept.gaps:
        if gap not in THE_SAME_EVERYWHERE and (swept.id, gap) not in MADE_BY_CLIENTS:
            problem_in(swept.send(one.callers["owner"], None, {**one.ids, gap: other.ids[gap]}), "unknown-id")
    assert rows_of(other) == before


@WITH_IDS
@pytest.mark.parametrize("role", ["teacher", "student", "guardian"])
def test_with_the_ids_of_whom_one_does_not_reach(
    two: tuple[WholeSchool, WholeSchool], strangers: dict[str, As], swept: Swept, role: Role
) -> None:
    if swept.id in FOR_ALL_OF_A_SCHOOL and swept.scope in SCOPES_OF[role]:
        return
    one, _ = two
    before = rows_of(one)
    problem_in(swept.send(strangers[role], None, one.ids), "not-allowed")
    assert {**rows_of(one), "audit_entry": []} == {**before, "audit_entry": []}
