"""The docs page, drawn by a real browser that reaches nothing but the service."""

import json
from pathlib import Path

import pytest

from tests.architecture.source_tree import ROOT
from tests.browser.chromium import page_as_drawn
from tests.integration.serving import served

pytestmark = pytest.mark.browser


def test_the_page_shows_every_operation(tmp_path: Path) -> None:
    contract = json.loads((ROOT / "openapi" / "v1.json").read_text(encoding="utf-8"))
    with served(tmp_path, "--open") as client:
        drawn = page_as_drawn(f"{client.base_url}/docs", tmp_path / "profile")
    summaries = [
        operation["summary"] for methods in contract["paths"].values() for operation in methods.values()
    ]
    assert len(summaries) > 5
    assert [summary for summary in summaries if summary not in drawn] == []
