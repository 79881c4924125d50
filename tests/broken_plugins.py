"""Plugins that are broken, each in its own way, as distributions that are really installed in a folder."""

from collections.abc import Iterable
from pathlib import Path
from typing import Final

from msgspec import Struct

from tests.architecture.source_tree import ROOT


class BrokenPlugin(Struct, frozen=True):
    """The source of a module that has the plugin as `PLUGIN`, and a part of the reason that is to be given."""

    source: str
    reason: str


_RIGHT: Final = """
from typing import Any
from bagatelle.contract import CONTRACT_VERSION, Message, PlainTiming, Unit, hookimpl
from msgspec.structs import replace
from tests.unit.catalogue.sample_plugins import HUM, KAZOO, SamplePlugin, hum, renamed
RIGHT = renamed("{instrument}")
(INSTRUMENT,) = RIGHT.bagatelle_instruments()
(EXERCISE,) = INSTRUMENT.exercises
"""
"""A right plugin of an instrument of its own, to break a part of."""

_WITH_EXERCISE: Final = """
def with_exercise(**changes):
    plugin = renamed("{instrument}")
    plugin._instruments = (replace(INSTRUMENT, exercises=(replace(EXERCISE, **changes),)),)
    return plugin
"""

BROKEN: Final = {
    "raises-at-import": BrokenPlugin('raise RuntimeError("no reed")', "import: raised RuntimeError: no reed"),
    "exits-at-import": BrokenPlugin("raise SystemExit(3)", "import: raised SystemExit: 3"),
    "wrong-argument": BrokenPlugin(
        """
class Wrong(SamplePlugin):
    @hookimpl
    def bagatelle_material(self, exercise, options):
        return None
PLUGIN = Wrong()
""",
        "options",
    ),
    "misspelt-hook": BrokenPlugin(
        """
class Wrong(SamplePlugin):
    @hookimpl
    def bagatelle_materials(self, exercise, settings):
        return None
PLUGIN = Wrong()
""",
        "bagatelle_materials: there is no hook of this name (was bagatelle_material meant?)",
    ),
    "async-hook": BrokenPlugin(
        """
class Wrong(SamplePlugin):
    @hookimpl
    async def bagatelle_texts(self):
        return ()
PLUGIN = Wrong()
""",
        "bagatelle_texts: is asynchronous, and all hooks are plain functions",
    ),
    "second-of-an-id": BrokenPlugin(
        'PLUGIN = renamed("piano")', "instrument 'piano': the plugin 'piano' has it already"
    ),
    "wrong-type": BrokenPlugin(
        'RIGHT._instruments = "a kazoo"\nPLUGIN = RIGHT',
        "bagatelle_instruments: is a str (accepted: a tuple)",
    ),
    "endless-generator": BrokenPlugin(
        "import itertools\nRIGHT._instruments = (each for each in itertools.repeat(INSTRUMENT))\nPLUGIN = RIGHT",
        "bagatelle_instruments: is a generator (accepted: a tuple)",
    ),
    "huge-catalogue": BrokenPlugin(
        "RIGHT._instruments = (replace(INSTRUMENT, exercises=(EXERCISE,) * 100_000),)\nPLUGIN = RIGHT",
        "bagatelle_instruments: hands over 100000 exercises (accepted: at most 2000)",
    ),
    "bad-schema": BrokenPlugin(
        _WITH_EXERCISE
        + 'PLUGIN = with_exercise(settings_schema={{**EXERCISE.settings_schema, "required": 3}})',
        "settings_schema is no valid JSON Schema",
    ),
    "negative-seconds": BrokenPlugin(
        """
RIGHT._material = lambda settings: replace(
    hum(settings), units=(Unit(id="C", label=Message("{instrument}.name"), timing=PlainTiming(seconds=-10)),)
)
PLUGIN = RIGHT
""",
        "/units/0/timing/seconds",
    ),
    "never-the-same": BrokenPlugin(
        """
import itertools
usual, count = RIGHT._material, itertools.count()
RIGHT._material = lambda settings: replace(usual(settings), parameters={{"bpm": next(count)}})
PLUGIN = RIGHT
""",
        "two calls with the same settings gave two answers",
    ),
    "older-contract": BrokenPlugin(
        "RIGHT._contract = CONTRACT_VERSION - 2\nPLUGIN = RIGHT",
        "bagatelle_contract: the plugin was written for contract version",
    ),
}
"""Those that are left out when they are loaded."""

_AT_72_BEATS: Final = """
usual = RIGHT._material
RIGHT._material = lambda settings: fail(settings) if settings["bpm"] == 72 else usual(settings)
PLUGIN = RIGHT
"""
FAILING: Final = {
    "raises-when-asked": BrokenPlugin(
        'def fail(settings):\n    raise RuntimeError(f"no reed for {{settings}}")\n' + _AT_72_BEATS, "raised"
    ),
    "hangs-when-asked": BrokenPlugin(
        "def fail(settings):\n    while True:\n        pass\n" + _AT_72_BEATS, "out-of-time"
    ),
    "ends-when-asked": BrokenPlugin(
        "import os\ndef fail(settings):\n    os._exit(0)\n" + _AT_72_BEATS, "ended"
    ),
    "slow-when-asked": BrokenPlugin(
        "import time\ndef fail(settings):\n    time.sleep(0.2)\n    return usual(settings)\n" + _AT_72_BEATS,
        "",
    ),
    "mended-meanwhile": BrokenPlugin(
        """
import os
def fail(settings):
    if os.path.exists(os.environ["MENDED"]):
        return usual(settings)
    raise RuntimeError
"""
        + _AT_72_BEATS,
        "raised",
    ),
}
"""Those that load, and fail where they are asked for 72 beats a minute; the reason is the kind of the failure."""

STOPPING: Final = {
    "hangs-at-import": BrokenPlugin("while True:\n    pass", "load: it did not load within 5 seconds"),
    "hangs-at-load": BrokenPlugin(
        """
class Wrong(SamplePlugin):
    @hookimpl
    def bagatelle_instruments(self):
        while True:
            pass
PLUGIN = Wrong()
""",
        "load: it did not load within 5 seconds",
    ),
    "ends-at-import": BrokenPlugin("import os\nos._exit(0)", "load: it ended the process that loaded it"),
    "interrupts-at-import": BrokenPlugin(
        "raise KeyboardInterrupt", "load: it ended the process that loaded it"
    ),
}
"""Those that only a process of their own can be tried in."""


def install(folder: Path, names: Iterable[str]) -> None:
    """Install these into a folder, which is then to be put on Python's path."""
    everything = BROKEN | FAILING | STOPPING
    for name in names:
        module = name.replace("-", "_")
        source = _RIGHT + everything[name].source
        (folder / f"{module}.py").write_text(source.format(instrument=name))
        distribution = folder / f"sample_{module}-0.3.dist-info"
        distribution.mkdir()
        (distribution / "METADATA").write_text(f"Metadata-Version: 2.1\nName: sample-{name}\nVersion: 0.3\n")
        (distribution / "entry_points.txt").write_text(f"[bagatelle.instruments]\n{name} = {module}:PLUGIN\n")


def paths_with(folder: Path, python_path: str) -> str:
    """Python's path with the folder and this project's own root in it, for another process."""
    return ":".join(part for part in (str(folder), str(ROOT), python_path) if part)
