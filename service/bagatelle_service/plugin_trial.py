"""Examines each plugin alone, and says before each which it is: run as a program, by `plugin_loading`.

`python -m bagatelle_service.plugin_trial SOCKET FILE NAMES` writes to the socket of that file descriptor, for each
entry point in NAMES (JSON), a line with its position, and where it was found right a line `found LENGTH`, after it
wrote as many bytes of what was found to the file; `done` at the end.
"""

import gc
import logging
import os
import sys
from contextlib import suppress
from socket import socket
from typing import IO

import msgspec
from bagatelle.catalogue.faults import RefusedError
from bagatelle.catalogue.loading import EntryPoint, examine_plugin, installed_plugins

DONE = "done"
FOUND = "found"


def main() -> None:
    """Examine one after the other. What is wrong with one that can be loaded is found again by whoever loads it."""
    logging.getLogger("bagatelle").addHandler(logging.NullHandler())
    gc.disable()  # it ends before there is anything to gather
    points = installed_plugins()
    with socket(fileno=int(sys.argv[1])) as end, os.fdopen(int(sys.argv[2]), "wb") as file:
        for position, name in enumerate(msgspec.json.decode(sys.argv[3], type=list[str])):
            end.sendall(f"{position}\n".encode())
            for point in points:
                if point.name == name:
                    _examine(point, end, file)
        end.sendall(f"{DONE}\n".encode())


def _examine(point: EntryPoint, end: socket, file: IO[bytes]) -> None:
    with suppress(RefusedError):
        found = msgspec.json.encode(examine_plugin(point))
        file.write(found)
        file.flush()
        end.sendall(f"{FOUND} {len(found)}\n".encode())


if __name__ == "__main__":
    main()
