"""Ids, tokens and codes drawn alike each time, so that a service answers the same requests with the same bytes."""

import secrets as real
import uuid
from random import Random
from types import SimpleNamespace
from typing import Any

import pytest
from bagatelle_service.school import secrets

from tests.seeded import seeded


class DrawnAlike:
    """What the service draws from, for one test."""

    def __init__(self, patch: pytest.MonkeyPatch) -> None:
        self.begin("")
        patch.setattr(uuid, "os", SimpleNamespace(urandom=lambda count: self._draw.randbytes(count)))
        patch.setattr(
            secrets,
            "secrets",
            SimpleNamespace(
                token_urlsafe=lambda _: f"{self._draw.getrandbits(256):064x}",
                choice=self._choice,
                compare_digest=real.compare_digest,
            ),
        )

    def begin(self, what: str) -> None:
        """Draw from the start of what belongs to a thing of that name."""
        self._draw: Random = seeded(f"drawn alike {what}")

    def _choice(self, letters: Any) -> Any:
        return self._draw.choice(letters)
