"""Loads each plugin alone, and says before each which it is: run as a program, by `plugin_loading`.

`python -m bagatelle_service.plugin_trial DESCRIPTOR NAMES` writes the position of each entry point in NAMES (JSON)
to that file descriptor, a line each, and `done` at the end.
"""

import logging
import os
import sys

import msgspec
from bagatelle import load_instruments
from bagatelle.catalogue.loading import installed_plugins

DONE = "done"


def main() -> None:
    """Load one after the other. What is wrong with one that can be loaded is found again by whoever loads it."""
    logging.getLogger("bagatelle").addHandler(logging.NullHandler())
    descriptor = int(sys.argv[1])
    points = installed_plugins()
    for position, name in enumerate(msgspec.json.decode(sys.argv[2], type=list[str])):
        os.write(descriptor, f"{position}\n".encode())
        load_instruments(entry_points=[point for point in points if point.name == name])
    os.write(descriptor, f"{DONE}\n".encode())


if __name__ == "__main__":
    main()
