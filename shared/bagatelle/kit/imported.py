"""What a plugin's own files import of Bagatelle: its contract alone, as all else may change unannounced."""

import ast
import warnings
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Final

from bagatelle.catalogue.faults import Fault

_HOST: Final = "bagatelle"
_ACCEPTED: Final = "bagatelle.contract"
_READS_CATALOGUES: Final = "bagatelle.toml_catalogue"
"""What a plugin without code of its own hands its file to."""


def import_faults(places: Iterable[Path]) -> list[Fault]:
    """Say which lines import anything else of the host.

    :param places: the plugin's package, or its one module.
    """
    faults = []
    for place in places:
        for file in sorted(place.rglob("*.py")) if place.is_dir() else [place]:
            name = file.name if file == place else file.relative_to(place.parent).as_posix()
            faults += [
                Fault(f"{name}, line {line}", f"imports {module} (accepted: {_ACCEPTED})")
                for line, module in _imported(_syntax(file))
                if module.split(".")[0] == _HOST and module not in {_ACCEPTED, _READS_CATALOGUES}
            ]
    return faults


def _syntax(file: Path) -> ast.Module:
    """Return what stands in a file: nothing where no Python could import it, as the plugin cannot either."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            return ast.parse(file.read_bytes())
    except (OSError, SyntaxError, ValueError, MemoryError, RecursionError):
        return ast.Module([], [])


def _imported(syntax: ast.Module) -> Iterator[tuple[int, str]]:
    for node in ast.walk(syntax):
        match node:
            case ast.Import(names=names):
                yield from ((node.lineno, each.name) for each in names)
            case ast.ImportFrom(module=str(module), level=0):
                # `from bagatelle import contract` is the contract too.
                yield from (
                    (node.lineno, f"{module}.{each.name}" if module == _HOST else module)
                    for each in node.names[: None if module == _HOST else 1]
                )
