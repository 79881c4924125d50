"""Generated requests to everything stored, by a caller of each role: one by one, and in chains.

Ids in paths are those of the caller's own school, three times out of four. schemathesis finds the chains by itself:
from what answers hold and what other operations take.
"""

import shutil
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import pytest
import schemathesis
from bagatelle import load_instruments
from bagatelle.decode import decode
from bagatelle_service.api.document import operations
from bagatelle_service.app import create_app
from bagatelle_service.bundled import bundled_folder
from bagatelle_service.database.connection import connect, database_url
from bagatelle_service.frame import Frame
from bagatelle_service.school.secrets import hash_of
from bagatelle_service.settings import Settings
from hypothesis import HealthCheck, settings
from schemathesis import GenerationMode
from schemathesis.config import SchemathesisConfig
from schemathesis.specs.openapi.schemas import OpenApiSchema
from sqlalchemy import NullPool
from sqlalchemy.ext.asyncio import AsyncEngine, create_async_engine

from tests.contract.drawn_alike import DrawnAlike
from tests.contract.parts import part
from tests.contract.test_service_keeps_contract import wrong_by_decoding
from tests.contract.whole_school import AN_ISSUER, WholeSchool
from tests.integration.databases import copied_postgresql_database, database_of_kind, sqlite_url
from tests.integration.school import Clock, Service, service_on

MANY = 1_000_000
INSTRUMENTS = load_instruments()
SETTINGS: dict[str, Any] = {"requests_a_minute": MANY, "redemptions_a_minute": MANY, **AN_ISSUER}

APPLICATION = create_app(Settings(database_url="sqlite://"), INSTRUMENTS)
"""Any application will do: each call says which one it goes to."""


def contract_of_stored() -> OpenApiSchema:
    config = SchemathesisConfig.from_path(bundled_folder("openapi") / "schemathesis.toml")
    contract = schemathesis.openapi.from_dict(part(stored=True), config=config)
    contract.config.update(base_url="http://testserver")
    contract.app = APPLICATION
    return contract


STORED = contract_of_stored()
STORED_WITHOUT_EDGES = contract_of_stored()
"""Only with what is drawn: the hundreds of edge cases of each schema are decoded alike for every role."""
STORED_WITHOUT_EDGES.config.phases.coverage.enabled = False
BODIES = {
    operation.operation_id: operation.body
    for _, _, operation in operations(APPLICATION.litestar.routes)
    if operation.body is not None
}

KINDS = ["sqlite", pytest.param("postgresql", marks=[pytest.mark.postgresql])]
OTHERS = ("operator", "teacher", "student", "guardian", "app")


@contextmanager
def running_on(url: str) -> Iterator[tuple[Service, Frame]]:
    """A service, and a second application on its database: generated requests run on an event loop of their own."""
    with service_on(url, instruments=INSTRUMENTS, **SETTINGS) as service:
        yield service, application_on(url)


def application_on(url: str) -> Frame:
    return create_app(
        Settings(database_url=url, **SETTINGS), INSTRUMENTS, now=Clock(), database=unpooled(url)
    )


def unpooled(url: str) -> AsyncEngine:
    """schemathesis ends applications after the test only, and each chain has one: none keeps connections."""
    if url.startswith("sqlite"):
        return connect(database_url(url))
    return create_async_engine(database_url(url), poolclass=NullPool, hide_parameters=True)


@pytest.fixture(scope="module", params=KINDS)
def running(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[tuple[Service, Frame]]:
    with (
        database_of_kind(request.param, tmp_path_factory.mktemp("roles")) as url,
        running_on(url) as both,
    ):
        yield both


class BeforeChains(NamedTuple):
    """A database with a whole school, which nobody is connected to: each chain begins on a copy."""

    url: str
    whole: WholeSchool

    @contextmanager
    def copied(self, folder: Path) -> Iterator[str]:
        if not self.url.startswith("sqlite"):
            with copied_postgresql_database(self.url) as url:
                yield url
            return
        url = sqlite_url(folder)
        shutil.copyfile(self.url.removeprefix("sqlite:///"), url.removeprefix("sqlite:///"))
        yield url


@pytest.fixture(scope="module", params=KINDS)
def before_chains(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[BeforeChains]:
    with database_of_kind(request.param, tmp_path_factory.mktemp("before")) as url:
        with (
            pytest.MonkeyPatch.context() as patch,
            service_on(url, instruments=INSTRUMENTS, **SETTINGS) as service,
        ):
            DrawnAlike(patch).begin("before chains")
            whole = WholeSchool(service, "School")
        yield BeforeChains(url, whole)


@pytest.fixture(scope="module")
def databases() -> Iterator[ExitStack]:
    """Those of chains: schemathesis ends the applications on them after the test."""
    with ExitStack() as stack:
        yield stack


def examples(count: int, **more: Any) -> settings:
    return settings(
        max_examples=count,
        deadline=None,
        derandomize=True,
        database=None,
        suppress_health_check=list(HealthCheck),
        **more,
    )


@pytest.fixture
def schools(running: tuple[Service, Frame]) -> Callable[[str], WholeSchool]:
    """A school for each test and role: generated requests archive and erase what they reach."""
    return cache(lambda role: WholeSchool(running[0], f"School of the {role}"))


def options(whole: WholeSchool, app: Frame, role: str) -> dict[str, Any]:
    return {"headers": {"Authorization": f"Bearer {whole.callers[role].secret}"}, "app": app}


def is_positive(case: schemathesis.Case[Any]) -> bool:
    return case.meta is not None and case.meta.generation.mode == GenerationMode.POSITIVE


def real_ids(drawn: dict[str, Any], body: Any, whole: WholeSchool) -> dict[str, Any]:
    return {
        name: whole.ids[name] if hash_of(f"{name} {value} {body!r}")[0] < 192 else value
        for name, value in drawn.items()
    }


def check_refusal(case: schemathesis.Case[Any], response: Any) -> None:
    """What the schema allows and is refused as wrong input is refused for what it means: its shape is right.

    But for settings, whose schema is each exercise's own, and moments: the generator draws leap seconds too.
    """
    kind = BODIES.get(case.operation.definition.raw["operationId"])
    if kind is None or not is_positive(case) or response.status_code != 422:
        return
    if response.json()["type"].endswith(":invalid-input"):
        wrong = wrong_by_decoding(case.body, lambda body: decode(body, kind))
        assert [field for field in wrong if not field.pointer.endswith(("/expires_at", "/done_at"))] == []


def check_answer(case: schemathesis.Case[Any], app: Frame, whole: WholeSchool, role: str) -> None:
    if case.path_parameters and is_positive(case):
        case.path_parameters = real_ids(case.path_parameters, case.body, whole)
    check_refusal(case, case.call_and_validate(**options(whole, app, role)))


@STORED.parametrize()
@examples(8)
def test_one_by_one(
    case: schemathesis.Case[Any], running: tuple[Service, Frame], schools: Callable[[str], WholeSchool]
) -> None:
    check_answer(case, running[1], schools("owner"), "owner")


@STORED_WITHOUT_EDGES.parametrize()
@examples(8)
@pytest.mark.slow
@pytest.mark.parametrize("role", OTHERS)
def test_one_by_one_of_other_roles(
    case: schemathesis.Case[Any],
    running: tuple[Service, Frame],
    schools: Callable[[str], WholeSchool],
    role: str,
) -> None:
    check_answer(case, running[1], schools(role), role)


@pytest.mark.slow
@pytest.mark.parametrize("role", ["owner", *OTHERS])
def test_in_chains(
    role: str,
    before_chains: BeforeChains,
    databases: ExitStack,
    tmp_path_factory: pytest.TempPathFactory,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Each chain begins on a copy of one database, with ids drawn alike: what is drawn next goes by the answers."""
    seen: Counter[tuple[str, int]] = Counter()
    alike = DrawnAlike(monkeypatch)

    def setup(machine: Any) -> None:
        alike.begin("in a chain")
        url = databases.enter_context(before_chains.copied(tmp_path_factory.mktemp("chain")))
        machine.application = application_on(url)

    def get_call_kwargs(machine: Any, _: schemathesis.Case[Any]) -> dict[str, Any]:
        return options(before_chains.whole, machine.application, role)

    def after_call(_: Any, response: Any, case: schemathesis.Case[Any]) -> None:
        seen[(case.operation.label, response.status_code)] += 1

    of_the_role = {
        "setup": setup,
        "get_call_kwargs": get_call_kwargs,
        "after_call": after_call,
    }
    machine: Any = type("Machine", (STORED.as_state_machine(),), of_the_role)
    machine.run(settings=examples(15, stateful_step_count=12))
    assert sum(seen.values()) > 50
    assert any(status in (200, 201) for _, status in seen)
