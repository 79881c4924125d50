"""How a handler finds the engine of the school that a request is of."""

from collections.abc import Awaitable, Callable
from typing import Any, TypeAlias

from litestar import Request

from bagatelle_service.school_engine import SchoolEngine

EngineOf: TypeAlias = Callable[[Request[Any, Any, Any]], Awaitable[SchoolEngine]]
"""That of no school where nobody showed a token."""
