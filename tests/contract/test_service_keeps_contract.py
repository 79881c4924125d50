"""Generated requests against the service: schemathesis 4, every operation that stores nothing, every check.

Those on what is stored need a token, and are asked in `test_roles.py`.

The exceptions to its checks, with their reasons, are in `openapi/schemathesis.toml`.
"""

import asyncio
import shutil
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from uuid import uuid4

import msgspec
import pytest
import schemathesis
from bagatelle import decode_forecast_request, decode_request, load_instruments
from bagatelle.model.errors import FieldError, InvalidInputError
from bagatelle_service.app import create_app
from bagatelle_service.bundled import bundled_folder
from bagatelle_service.database.connection import connect, database_url
from bagatelle_service.database.migrating import upgrade
from bagatelle_service.settings import Settings
from hypothesis import HealthCheck, settings
from schemathesis import GenerationMode
from schemathesis.config import SchemathesisConfig

from tests.contract.parts import part

DECODE_BY_PATH: dict[str, Callable[[bytes], object]] = {"/v1/forecasts": decode_forecast_request}
CONFIGURATION = bundled_folder("openapi") / "schemathesis.toml"


# Tests are made from the contract when they are collected, so it must know the service by then; the database is
# migrated when they run.
FOLDER = Path(tempfile.gettempdir()) / f"bagatelle-contract-{uuid4().hex}"
URL = f"sqlite:///{FOLDER / 'contract.sqlite3'}"
contract = schemathesis.openapi.from_dict(
    part(stored=False), config=SchemathesisConfig.from_path(CONFIGURATION)
)
contract.config.update(base_url="http://testserver")
contract.app = create_app(Settings(open=True, database_url=URL), load_instruments())


# With no parameter at all the tests of all operations have one id, and xdist runs one of them.
@pytest.fixture(scope="module", autouse=True, params=["sqlite"])
def _database() -> Iterator[None]:
    async def migrate() -> None:
        engine = connect(database_url(URL))
        await upgrade(engine)
        await engine.dispose()

    FOLDER.mkdir()
    asyncio.run(migrate())
    yield
    shutil.rmtree(FOLDER)


def generated(examples: int) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """Draw so many cases for each operation, the same ones every time."""
    return settings(
        max_examples=examples,
        deadline=None,
        derandomize=True,
        database=None,
        suppress_health_check=list(HealthCheck),
    )


def check(case: schemathesis.Case[Any]) -> None:
    response = case.call_and_validate()
    valid = case.meta is not None and case.meta.generation.mode == GenerationMode.POSITIVE
    if valid and response.status_code == 422 and case.operation.body:
        # Refused for what it means, then: decoding must find nothing wrong with what the schema allows.
        assert wrong_by_decoding(case.body, DECODE_BY_PATH.get(case.path, decode_request)) == []


def wrong_by_decoding(body: object, decode: Callable[[bytes], object]) -> list[FieldError]:
    """List the fields that decoding refuses, apart from settings: their schema is each exercise's own."""
    try:
        decode(msgspec.json.encode(body))
    except InvalidInputError as error:
        return [wrong for wrong in error.errors if "/settings" not in wrong.pointer and wrong.pointer]
    return []


@contract.parametrize()
@generated(60)
def test_every_operation(case: schemathesis.Case[Any]) -> None:
    check(case)


@pytest.mark.slow
@contract.parametrize()
@generated(200)
def test_every_operation_at_length(case: schemathesis.Case[Any]) -> None:
    check(case)
