"""What the guide for authors of plugins tells them to run and to write, in its order."""

import re
from typing import Final

from msgspec import Struct

from tests.architecture.source_tree import ROOT

_SECTION: Final = re.compile(r"^### Write one from an empty folder\n(.*?)^### ", re.MULTILINE | re.DOTALL)
_BLOCK: Final = re.compile(
    r"^(?:\*\*(?P<path>[^*\n]+)\*\*\n\n)?^```(?P<kind>\w*)\n(?P<text>.*?)^```$", re.MULTILINE | re.DOTALL
)


class Run(Struct, frozen=True):
    """Commands for a shell."""

    commands: str


class Write(Struct, frozen=True):
    """A file to write, below the folder where one began."""

    path: str
    text: str


def steps_of_the_guide() -> list[Run | Write]:
    """Every fenced block of the section: `sh` is run, what a bold line with a path stands above is written."""
    section = _SECTION.search((ROOT / "DEVELOPERS.md").read_text(encoding="utf-8"))
    assert section is not None
    steps: list[Run | Write] = []
    for block in _BLOCK.finditer(section[1]):
        if block["kind"] == "sh":
            assert block["path"] is None
            steps.append(Run(block["text"]))
        else:
            assert block["path"] is not None, f"a block that nobody could follow: {block['text'][:60]}"
            steps.append(Write(block["path"], block["text"]))
    return steps
