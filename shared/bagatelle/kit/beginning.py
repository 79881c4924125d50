"""Begin a plugin: a distribution that is small, whole and right."""

import importlib.util
import re
from collections.abc import Mapping
from importlib import metadata
from importlib.resources import files
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

from bagatelle.catalogue.validation import RESERVED_INSTRUMENTS
from bagatelle.contract import CONTRACT_VERSION, ENTRY_POINT_GROUP
from bagatelle.kit.installed import owners_by_id
from bagatelle.model.errors import BagatelleError

_TEMPLATES: Final = files("bagatelle.kit.new_plugin")
_FILES: Final[Mapping[str, str]] = {
    "pyproject.toml": "pyproject.toml.txt",
    "README.md": "README.md.txt",
    "LICENSE": "LICENSE.txt",
    "ids.txt": "ids.txt",
    "{package}/__init__.py": "package.py.txt",
    "{package}/plugin.py": "plugin.py.txt",
    "{package}/texts/en.json": "en.json.txt",
    "{package}/texts/en-US.json": "en-US.json.txt",
    "tests/test_plugin.py": "test_plugin.py.txt",
}
"""By its place in the new folder, the template of each file."""
_TYPED_MARK: Final = "{package}/py.typed"
_NAME: Final = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")
_NAME_LIMIT: Final = 40


class BeginningError(BagatelleError):
    """No plugin can be begun so: says why, and what would be accepted. Nothing was written."""


def begin_plugin(name: str, into: Path) -> Path:
    """Write a new plugin's folder, whole or not at all.

    :param name: of the instrument, as in `tin-whistle`.
    :param into: an existing folder; the new one is made in it.
    :returns: the new folder.
    :raises BeginningError: where the name or the place will not do.
    """
    _check_name(name)
    target = into / f"bagatelle-{name}"
    if not into.is_dir():
        raise BeginningError(f"{into} is no folder (accepted: one that exists; the plugin's is made in it)")
    if target.exists() or target.is_symlink():
        raise BeginningError(f"{target} exists already, and nothing of it is overwritten")
    gaps = {
        "name": name,
        "package": _package(name),
        "title": name.replace("-", " ").capitalize(),
        "version": metadata.version("bagatelle"),
        "contract": str(CONTRACT_VERSION),
    }
    try:
        # Beside its place, so that it can be put there whole.
        with TemporaryDirectory(prefix=".bagatelle-", dir=into) as folder:
            whole = Path(folder) / target.name
            _write(whole, gaps)
            whole.rename(target)
    except OSError as error:
        raise BeginningError(f"{target} can't be written: {error.strerror}") from error
    return target


def _check_name(name: str) -> None:
    if not _NAME.fullmatch(name) or len(name) > _NAME_LIMIT:
        raise BeginningError(
            f"{name!r} is no name for an instrument (accepted: lower-case letters, digits and single hyphens, "
            f"beginning with a letter, at most {_NAME_LIMIT}; such as tin-whistle)"
        )
    if name in RESERVED_INSTRUMENTS:
        raise BeginningError(f"{name!r} is Bagatelle's own name, take another")
    names = metadata.entry_points(group=ENTRY_POINT_GROUP).names
    taken = {each: each for each in names} | dict(owners_by_id())
    if name in taken:
        raise BeginningError(f"{name!r} is taken by the installed plugin {taken[name]!r}, take another")
    if importlib.util.find_spec(_package(name)) is not None:
        raise BeginningError(f"there is a package {_package(name)} already, take another name than {name!r}")


def _package(name: str) -> str:
    return f"bagatelle_{name.replace('-', '_')}"


def _write(folder: Path, gaps: Mapping[str, str]) -> None:
    for place, template in _FILES.items():
        file = folder / place.format_map(gaps)
        file.parent.mkdir(parents=True, exist_ok=True)
        text = _TEMPLATES.joinpath(template).read_text(encoding="utf-8")
        file.write_text(text.format_map(gaps), encoding="utf-8")
    (folder / _TYPED_MARK.format_map(gaps)).touch()
