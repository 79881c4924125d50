# ruff: noqa: INP001 - hatchling runs it as a script; it belongs to no package
"""The build hook: wheels and source distributions carry the migrations and the contract."""

from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

FOLDERS = ("migrations", "openapi")
BUNDLE = "bagatelle_service/_bundled"


class CustomBuildHook(BuildHookInterface):  # type: ignore[type-arg]  # hatchling's own examples give none
    """Copies the top-level folders to where `bagatelle_service.bundled` looks for them."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Add the folders' files to what is built.

        An editable installation finds them in the checkout. A wheel built from a source distribution finds
        the copies in there, which belong to the package already.
        """
        root = Path(self.root)
        if version == "editable" or (root / BUNDLE).is_dir():
            return
        for folder in FOLDERS:
            source = root.parent / folder
            if not source.is_dir():
                raise FileNotFoundError(
                    f"{source} is missing: build the service from a checkout of the whole repository."
                )
            for file in source.rglob("*"):
                if file.is_file() and "__pycache__" not in file.parts:
                    build_data["force_include"][str(file)] = (
                        f"{BUNDLE}/{file.relative_to(root.parent).as_posix()}"
                    )
