"""Loads each plugin alone, and says before each which it is: run as a program, by `plugin_loading`.

`python -m bagatelle_service.plugin_trial DESCRIPTOR NAMES` writes the position of each entry point in NAMES (JSON)
to that file descriptor, a line each, and `done` at the end.
"""

import logging
import os
import sys
from contextlib import suppress

import msgspec
from bagatelle.catalogue.faults import RefusedError
from bagatelle.catalogue.loading import EntryPoint, installed_plugins, load_plugin

DONE = "done"


def main() -> None:
    """Load one after the other. What is wrong with one that can be loaded is found again by whoever loads it."""
    logging.getLogger("bagatelle").addHandler(logging.NullHandler())
    descriptor = int(sys.argv[1])
    points = installed_plugins()
    for position, name in enumerate(msgspec.json.decode(sys.argv[2], type=list[str])):
        os.write(descriptor, f"{position}\n".encode())
        for point in points:
            if point.name == name:
                _load(point)
    os.write(descriptor, f"{DONE}\n".encode())


def _load(point: EntryPoint) -> None:
    with suppress(RefusedError):
        load_plugin(point)


if __name__ == "__main__":
    main()
