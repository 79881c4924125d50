"""A client that speaks to the application in this process, on one event loop."""

import asyncio
from collections.abc import AsyncIterator, Coroutine, Iterable, Iterator
from contextlib import contextmanager
from typing import Any, TypeVar

import httpx
from bagatelle import Instruments
from bagatelle_service.app import create_app
from bagatelle_service.database.connection import connect, database_url
from bagatelle_service.database.migrating import upgrade
from bagatelle_service.database.storage import Storage
from bagatelle_service.settings import Settings
from litestar.handlers import BaseRouteHandler

Result = TypeVar("Result")
MEBIBYTE = 1024 * 1024


class ApiClient:
    """Sends requests to an application."""

    def __init__(
        self,
        settings: Settings,
        instruments: Instruments,
        extra_routes: Iterable[BaseRouteHandler],
        **parts: Any,
    ) -> None:
        self._runner = asyncio.Runner()
        self._database = connect(database_url(settings.database_url))
        self.app = create_app(
            settings, instruments, database=self._database, extra_routes=tuple(extra_routes), **parts
        )
        self.storage = Storage(self._database)
        transport = httpx.ASGITransport(self.app, raise_app_exceptions=False)  # type: ignore[arg-type]  # scope types
        self._client = httpx.AsyncClient(transport=transport, base_url="http://test")

    def migrate(self) -> None:
        self._runner.run(upgrade(self._database))

    def run(self, work: Coroutine[Any, Any, Result]) -> Result:
        return self._runner.run(work)

    def send(self, method: str, path: str, **options: Any) -> httpx.Response:
        return self._runner.run(self._client.request(method, path, **options))

    def send_all(self, requests: Iterable[tuple[str, str, dict[str, Any]]]) -> list[httpx.Response]:
        async def gather() -> list[httpx.Response]:
            return await asyncio.gather(
                *(self._client.request(method, path, **rest) for method, path, rest in requests)
            )

        return self._runner.run(gather())

    def get(self, path: str, **options: Any) -> httpx.Response:
        return self.send("GET", path, **options)

    def post(self, path: str, **options: Any) -> httpx.Response:
        return self.send("POST", path, **options)

    def close(self) -> None:
        self._runner.run(self._client.aclose())
        self._runner.run(self._database.dispose())
        self._runner.close()


@contextmanager
def api_client(
    settings: Settings | None = None,
    instruments: Instruments | None = None,
    extra_routes: Iterable[BaseRouteHandler] = (),
) -> Iterator[ApiClient]:
    client = ApiClient(
        settings or Settings(open=True, database_url="sqlite://"),
        instruments or Instruments.none(),
        extra_routes,
    )
    try:
        yield client
    finally:
        client.close()


async def in_chunks(chunks: Iterable[bytes]) -> AsyncIterator[bytes]:
    for chunk in chunks:
        yield chunk
