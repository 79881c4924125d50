"""How the servers of the benchmark serve: as `bagatelle serve` does with one worker, on loopback until stopped."""

from bagatelle_service.logs import log_configuration
from granian.constants import Interfaces, Loops
from granian.server import Server


def serve(target: str, port: int) -> None:
    """Serve an application.

    Parameters
    ----------
    target
        `module:function`, which makes it.
    port
        Of loopback.
    """
    Server(
        target,
        factory=True,
        address="127.0.0.1",
        port=port,
        workers=1,
        interface=Interfaces.ASGI,
        loop=Loops.asyncio,
        websockets=False,
        log_dictconfig=log_configuration("plain"),
    ).serve()
