"""A school on a database that processes of `bagatelle serve` work on."""

import asyncio
from datetime import UTC, datetime
from typing import Any, NamedTuple

from bagatelle_service.database.connection import connect, database_url
from bagatelle_service.database.migrating import upgrade
from bagatelle_service.database.storage import Storage
from bagatelle_service.school.operators import make_school_by_command
from bagatelle_service.school.schools import NewSchool
from sqlalchemy.engine import make_url

from tests.integration.databases import TwoRoles
from tests.integration.log_scan import current_scan

UNLIMITED = "1000000"
"""Requests a minute, where the limit is not what a test is about."""


class ServedSchool(NamedTuple):
    """What a client needs to work on it, and the database for whoever looks afterwards."""

    url: str
    """As the service connects."""
    owner_url: str
    id: str
    secret: str
    """The school's owner's token."""

    @property
    def headers(self) -> dict[str, str]:
        return {"Authorization": f"Bearer {self.secret}"}

    def settings(self, **more: str) -> dict[str, str]:
        """The environment of a service that starts quickly."""
        return {
            "BAGATELLE_DATABASE_URL": self.url,
            "BAGATELLE_ENGINE_PROCESSES": "0",
            "BAGATELLE_REQUESTS_A_MINUTE": UNLIMITED,
            **more,
        }


def school_on(urls: str | TwoRoles) -> ServedSchool:
    """Migrate a database, and make a school on it with its owner."""
    service_url = urls if isinstance(urls, str) else urls.service_url
    owner_url = urls if isinstance(urls, str) else urls.owner_url
    role = None if isinstance(urls, str) else make_url(service_url).username

    async def make() -> Any:
        engine = connect(database_url(owner_url))
        try:
            await upgrade(engine, role=role)
            body = NewSchool(name="School on the hill", owner_name="Office Desk")
            return await make_school_by_command(Storage(engine), body, datetime.now(UTC))
        finally:
            await engine.dispose()

    made = asyncio.run(make())
    current_scan().register("Office Desk", made.secret, made.owner)
    return ServedSchool(service_url, owner_url, str(made.school.id), made.secret)
