"""The catalogue that the guide for authors shows is one."""

import re

from tests.architecture.source_tree import ROOT
from tests.unit.toml_catalogue.kazoo import loaded

GUIDE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_it_loads() -> None:
    blocks = [block for block in re.findall(r"```toml\n(.*?)```", GUIDE, re.DOTALL) if "form = 1" in block]
    assert len(blocks) == 1
    (report,) = loaded(blocks[0]).plugins
    assert (report.status, report.reason) == ("loaded", None)
