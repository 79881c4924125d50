"""Generated requests against the service: schemathesis 4, every operation, every check.

The exceptions to its checks, with their reasons, are in `openapi/schemathesis.toml`.
"""

import asyncio
from collections.abc import Callable

import pytest
import schemathesis
from bagatelle.catalogue import load_instruments
from bagatelle_service.app import create_app
from bagatelle_service.bundled import bundled_folder
from bagatelle_service.command.contract import contract_file
from bagatelle_service.database.connection import connect, database_url
from bagatelle_service.database.migrating import upgrade
from bagatelle_service.settings import Settings
from hypothesis import HealthCheck, settings
from schemathesis import GenerationMode
from schemathesis.config import SchemathesisConfig
from schemathesis.schemas import BaseSchema

CONFIGURATION = bundled_folder("openapi") / "schemathesis.toml"


@pytest.fixture(scope="module")
def contract(tmp_path_factory: pytest.TempPathFactory) -> BaseSchema:
    """The committed contract, bound to a service with a migrated database and whatever plugins are installed."""
    url = f"sqlite:///{tmp_path_factory.mktemp('contract') / 'contract.sqlite3'}"

    async def migrate() -> None:
        engine = connect(database_url(url))
        await upgrade(engine)
        await engine.dispose()

    asyncio.run(migrate())
    schema = schemathesis.openapi.from_path(
        contract_file(), config=SchemathesisConfig.from_path(CONFIGURATION)
    )
    schema.config.update(base_url="http://testserver")
    schema.app = create_app(Settings(open=True, database_url=url), load_instruments())
    return schema


operations = schemathesis.pytest.from_fixture("contract")


def generated(examples: int) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """Draw so many cases for each operation, the same ones every time."""
    return settings(
        max_examples=examples,
        deadline=None,
        derandomize=True,
        database=None,
        suppress_health_check=list(HealthCheck),
    )


def check(case: schemathesis.Case) -> None:
    response = case.call_and_validate()
    valid = case.meta is not None and case.meta.generation.mode == GenerationMode.POSITIVE
    if valid and response.status_code == 422 and case.operation.body:
        # A request of the right shape: whatever is refused, no shape may be blamed that the schema allows.
        assert response.json()["type"] != "urn:bagatelle:problem:malformed-json"


@operations.parametrize()
@generated(60)
def test_every_operation(case: schemathesis.Case) -> None:
    check(case)


@pytest.mark.slow
@operations.parametrize()
@generated(2000)
def test_every_operation_at_length(case: schemathesis.Case) -> None:
    check(case)
