"""The logs of generated requests are scanned too, a module at a time: its schools are made once."""

from collections.abc import Iterator

import pytest

from tests.integration.log_scan import scanning


@pytest.fixture(autouse=True, scope="module")
def nothing_personal_in_logs() -> Iterator[None]:
    """Fail a module whose log has somebody's name, key, token, code or id in it."""
    with scanning() as scan:
        yield
        found = scan.found()
    assert found == [], "personal data in the log:\n" + "\n".join(found[:20])
