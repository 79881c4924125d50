"""`python -m bagatelle_service.demo`: migrate, serve, send the routines over HTTP, print their plans."""

import argparse
import signal
import subprocess
import sys
from collections.abc import Sequence
from importlib.resources import files
from pathlib import Path

from bagatelle.page import page_of
from bagatelle.verify import verify_answer

from bagatelle_service.demo.client import RefusedError, plan_of
from bagatelle_service.demo.server import (
    HOST,
    NotStartedError,
    demo_environment,
    free_port,
    migrate,
    running_service,
)

PORT = 8321
ROUTINES = {
    "piano.json": "Imke plays the piano for two hours on a usual day. Today gives what it gives.",
    "snare_drum.json": "Teodor drums for an hour and a quarter. Today has two gaps: ten minutes and seven.",
}


def main(arguments: Sequence[str] | None = None) -> int:
    """Show the plans, then serve until stopped. 0: all well; 1: something failed, and was said."""
    chosen = _parser().parse_args(arguments)
    # Whoever ends the demonstration ends its service too.
    signal.signal(signal.SIGTERM, signal.default_int_handler)
    try:
        return _show(chosen.folder.resolve(), chosen.port, once=chosen.once)
    except (NotStartedError, RefusedError, OSError) as error:
        print(f"demo: {error}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("\nStopped.")
        return 0


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m bagatelle_service.demo", description=__doc__)
    parser.add_argument("--port", type=int, default=PORT, help="where it is free (default: %(default)s)")
    parser.add_argument(
        "--folder",
        type=Path,
        default=Path(".demo"),
        help="for the database and the log (default: %(default)s)",
    )
    parser.add_argument("--once", action="store_true", help="stop the service after the plans")
    return parser


def _show(folder: Path, wished_port: int, *, once: bool) -> int:
    folder.mkdir(exist_ok=True)
    environment = demo_environment(folder)
    print(migrate(environment))
    port, log = free_port(wished_port), folder / "serve.log"
    with running_service(port, environment, log) as service:
        code = max([_show_plan(port, name, about) for name, about in ROUTINES.items()])
        if once:
            return code
        print(f"\nThe service goes on at http://{HOST}:{port}, its docs at http://{HOST}:{port}/docs")
        print(f"Its log: {log}. Ctrl-C stops it.", flush=True)
        return code or _wait(service)


def _show_plan(port: int, name: str, about: str) -> int:
    answer = plan_of(HOST, port, files("bagatelle_service.demo").joinpath(name).read_bytes())
    print(f"\n\n{about}\nPOST http://{HOST}:{port}/v1/compressions with {name}:\n")
    print(page_of(answer.plan))
    verdict = verify_answer(answer)
    for fault in verdict.faults:
        print(f"FAULT found by `bagatelle verify`: {fault}", file=sys.stderr)
    if verdict.accepted:
        print("\nChecked from its own numbers, as `bagatelle verify` does: accepted.", flush=True)
    return 0 if verdict.accepted else 1


def _wait(service: "subprocess.Popen[bytes]") -> int:
    code = service.wait()
    print(f"The service ended by itself with code {code}.", file=sys.stderr)
    return 1


if __name__ == "__main__":
    sys.exit(main())
