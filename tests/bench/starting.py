"""How long the service takes to start with every plugin that is installed, against none."""

import time
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from typing import Final

import httpx
from bagatelle import load_instruments

from tests.bench.tables import milliseconds, table
from tests.integration.serving import ServedProcess

ROUNDS: Final = 7
_NONE: Final = "no-plugin-of-this-name"
_PAUSE_SECONDS: Final = 0.005
_PATIENCE_SECONDS: Final = 60


def run() -> str:
    """Start the service again and again, with and without plugins in turn."""
    settings = {"none": {"BAGATELLE_ALLOWED_PLUGINS": _NONE}, "all": {}}
    taken: dict[str, list[float]] = {name: [] for name in settings}
    for _ in range(ROUNDS):
        for name, variables in settings.items():
            taken[name].append(_seconds_to_start(variables))
    loaded = load_instruments()
    without, with_all = median(taken["none"]), median(taken["all"])
    rows = [
        ("no plugin", "1.00", milliseconds(without)),
        ("all plugins", f"{with_all / without:.2f}", milliseconds(with_all)),
    ]
    about = (
        f"{len(loaded.instruments)} plugins with {len(loaded.exercises)} exercises; until the service says that it "
        f"is ready, {ROUNDS} rounds interleaved, medians."
    )
    return "\n\n".join(("## Starting", about, table(("started with", "as a share", "time"), rows)))


def _seconds_to_start(variables: dict[str, str]) -> float:
    with TemporaryDirectory() as folder:
        start = time.perf_counter()
        process = ServedProcess(Path(folder), "--open", **variables)
        try:
            _wait_until_ready(process.url)
            return time.perf_counter() - start
        finally:
            process.kill()


def _wait_until_ready(url: str) -> None:
    until = time.monotonic() + _PATIENCE_SECONDS
    with httpx.Client(base_url=url, timeout=_PATIENCE_SECONDS) as client:
        while time.monotonic() < until:
            try:
                if client.get("/health/ready").status_code == httpx.codes.OK:
                    return
            except httpx.TransportError:
                pass  # not listening yet
            time.sleep(_PAUSE_SECONDS)
    raise AssertionError("the service did not become ready")
