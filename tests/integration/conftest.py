"""Each test that asks for a database URL runs on SQLite, and, marked so, on PostgreSQL."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.integration.api_client import ApiClient, api_client
from tests.integration.databases import database_of_kind, postgresql_database, sqlite_url
from tests.integration.log_scan import LogScan, scanning
from tests.integration.school import SchoolOfTest, Service, service_on

BOTH_KINDS = ("sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql))


@pytest.fixture(params=BOTH_KINDS)
def any_database_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """A migrated database."""
    with database_of_kind(request.param, tmp_path) as url:
        yield url


@pytest.fixture(params=BOTH_KINDS)
def empty_database_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """A database that was never migrated, for tests of migrating itself."""
    if request.param == "sqlite":
        yield sqlite_url(tmp_path)
        return
    with postgresql_database() as url:
        yield url


@pytest.fixture(autouse=True)
def nothing_personal_in_logs() -> Iterator[LogScan]:
    """Fail whatever test has a log line with somebody's name, key, token, code or id in it."""
    with scanning() as scan:
        yield scan
        found = scan.found()
    assert found == [], "personal data in the log:\n" + "\n".join(found)


@pytest.fixture
def api() -> Iterator[ApiClient]:
    """An open service that knows no instruments; its database was never migrated."""
    with api_client() as client:
        yield client


@pytest.fixture
def service(any_database_url: str) -> Iterator[Service]:
    """The service on a database of its own, with an operator."""
    with service_on(any_database_url) as made:
        yield made


@pytest.fixture
def school(service: Service) -> SchoolOfTest:
    return service.school()
