"""What is checked: a project folder, a wheel, or an installed plugin by the name of its entry point."""

import importlib.util
import tomllib
import zipfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from importlib import metadata
from importlib.machinery import PathFinder
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Final

from msgspec import Struct

from bagatelle.contract import ENTRY_POINT_GROUP
from bagatelle.model.errors import BagatelleError
from bagatelle.toml_catalogue.folder import is_catalogue

PROJECT_FILE: Final = "pyproject.toml"
LISTING: Final = "ids.txt"
"""The file of a project folder that lists the ids that there were."""


class SubjectError(BagatelleError):
    """There is nothing to check: says what was looked for, and where."""


class Subject(Struct, frozen=True, kw_only=True):
    """A plugin that can be imported, by what its entry point says."""

    name: str
    """Of the entry point."""
    value: str
    """Module, or `module:object`; empty where there is no code."""
    paths: tuple[str, ...] = ()
    """Folders to import it from; none where it is installed."""
    listing: str | None = None
    """The project's own file of ids that there were, where it has one."""
    catalogue: str | None = None
    """The file, where it is a catalogue without code; then there is nothing to import."""


def subjects_of(text: str) -> tuple[Subject, ...]:
    """Find what a person named: each entry point of a project folder, catalogues, or one that is installed.

    :raises SubjectError: where there is none.
    """
    path = Path(text)
    if path.is_dir():
        try:
            return _of_folder(path)
        except SubjectError as error:
            raise SubjectError(f"{error}{_hidden(text)}") from error
    if _is_catalogue(path):
        return (_of_catalogue(path),)
    if path.exists() or path.suffix or path.name != text:
        raise SubjectError(
            f"{text} is no folder and no catalogue "
            "(accepted: a plugin's project folder, a catalogue in TOML, or the name of an installed plugin)"
        )
    return (_installed(text),)


@contextmanager
def subjects_of_wheel(wheel: Path) -> Iterator[tuple[Subject, ...]]:
    """Unpack a wheel for a while, and find its plugins.

    :raises SubjectError: where it is no wheel of a plugin.
    """
    with TemporaryDirectory() as folder:
        try:
            with zipfile.ZipFile(wheel) as archive:
                archive.extractall(folder)  # leaves no folder of its own: zipfile drops what leads out
        except (OSError, zipfile.BadZipFile) as error:
            raise SubjectError(f"{wheel} can't be read as a wheel: {error}") from error
        points = {
            point.name: point.value
            for information in Path(folder).glob("*.dist-info")
            for point in metadata.Distribution.at(information).entry_points
            if point.group == ENTRY_POINT_GROUP
        }
        yield _subjects(points, (folder,), f"{wheel}: its entry_points.txt")


def places_of(subject: Subject) -> tuple[Path, ...]:
    """Return the folder of the entry point's package, or the file of its one module; none without code."""
    top = subject.value.partition(":")[0].partition(".")[0].strip()
    if not top:
        return ()
    spec = PathFinder.find_spec(top, subject.paths) if subject.paths else importlib.util.find_spec(top)
    if spec is None:
        return ()
    places = spec.submodule_search_locations or [spec.origin or top]
    return tuple(map(Path, places))


def _is_catalogue(path: Path) -> bool:
    return is_catalogue(path) and path.name != PROJECT_FILE and path.is_file()


def _of_catalogue(path: Path) -> Subject:
    return Subject(name=path.name, value="", catalogue=str(path.resolve()))


def _of_folder(folder: Path) -> tuple[Subject, ...]:
    file = folder / PROJECT_FILE
    catalogues = () if file.exists() else tuple(filter(_is_catalogue, sorted(folder.iterdir())))
    if catalogues:
        return tuple(map(_of_catalogue, catalogues))
    try:
        project = tomllib.loads(file.read_text(encoding="utf-8"))
    except OSError as error:
        raise SubjectError(f"{file} can't be read: {error.strerror}") from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise SubjectError(f"{file} is no TOML: {error}") from error
    points = _table(_table(_table(project, "project"), "entry-points"), ENTRY_POINT_GROUP)
    whole = folder.resolve()
    places = [whole, *(whole / name for name in ("src",) if (whole / name).is_dir())]
    listing = whole / LISTING
    return _subjects(points, tuple(map(str, places)), str(file), str(listing) if listing.is_file() else None)


def _subjects(
    points: Mapping[str, Any], paths: tuple[str, ...], where: str, listing: str | None = None
) -> tuple[Subject, ...]:
    if not points:
        raise SubjectError(
            f"{where} has no entry point of the group {ENTRY_POINT_GROUP!r} "
            '(accepted: [project.entry-points."bagatelle.instruments"] with a name and a module)'
        )
    for name, value in points.items():
        if not metadata.EntryPoint.pattern.match(str(value)):
            raise SubjectError(
                f"{where} says of the entry point {name!r}: {value!r} (accepted: a module, or `module:object`)"
            )
    return tuple(
        Subject(name=name, value=str(value), paths=paths, listing=listing)
        for name, value in sorted(points.items())
    )


def _installed(name: str) -> Subject:
    points = {point.name: point for point in metadata.entry_points(group=ENTRY_POINT_GROUP)}
    if name not in points:
        known = ", ".join(sorted(points)) or "none"
        raise SubjectError(
            f"no plugin {name!r} is installed, and no folder is called so (installed: {known})"
        )
    return Subject(name=name, value=points[name].value)


def _hidden(name: str) -> str:
    """Say that a folder hides what is installed, where it does."""
    if name not in metadata.entry_points(group=ENTRY_POINT_GROUP).names:
        return ""
    return f"; a plugin {name!r} is installed, and this folder hides it: ask from another folder"


def _table(table: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    found = table.get(name, {})
    return found if isinstance(found, dict) else {}
