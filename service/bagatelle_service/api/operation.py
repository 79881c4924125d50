"""How an operation describes itself: one value beside its handler, read by the checks and by the document."""

from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

import msgspec
from litestar import Request
from msgspec import Struct

from bagatelle_service.api.problems import ProblemType
from bagatelle_service.school.roles import Scope

JSON: Final = "application/json"
HTML: Final = "text/html"
OPT_KEY: Final = "operation"


class Example(Struct, frozen=True):
    """A named example. Its value is asked for when the description is made."""

    name: str
    summary: str
    value: Callable[[], Any]


def from_file(name: str) -> Callable[[], Any]:
    """Give the value of an example that stands in `api/examples/<name>.json`."""
    return lambda: msgspec.json.decode(example_bytes(name))


def example_bytes(name: str) -> bytes:
    """Read `api/examples/<name>.json`."""
    return (Path(__file__).parent / "examples" / f"{name}.json").read_bytes()


class PathParameter(Struct, frozen=True):
    """A part of the path that varies."""

    name: str
    description: str
    example: str
    pattern: str
    longest: int


class Operation(Struct, frozen=True, kw_only=True):
    """All that an operation says of itself."""

    operation_id: str
    tag: str
    summary: str
    description: str
    answer: Any
    """The type of the answer's JSON; None where it is none (the docs page)."""
    answer_description: str
    answer_examples: tuple[Example, ...] = ()
    body: Any = None
    """The type of the body; None where the operation takes none."""
    body_examples: tuple[Example, ...] = ()
    query: type[Struct] | None = None
    """A struct that refuses unknown fields, one field a query parameter, every one of them optional."""
    path_parameters: tuple[PathParameter, ...] = ()
    media_type: str = JSON
    needs_token: bool = True
    """Whether a service that was not started with `--open` asks for a token."""
    scope: Scope | None = "plans.make"
    """What the token must allow; None where any token will do."""
    stored: bool = False
    """Whether it reads or writes what a school stores: then it asks for a token with `--open` too."""
    status: int = 200
    """Of the answer where it went well; 204 has no body."""
    changes: bool = False
    """Whether it changes something that has an ETag: then it needs If-Match."""
    has_revision: bool = False
    """Whether the answer carries an ETag, for If-Match."""
    about_many: bool = False
    """Whether the answer may be about several students."""
    cached: bool = False
    """Whether the answer carries an ETag and may be kept for a while."""
    problems: tuple[ProblemType, ...] = ()
    """Those of its own, beyond what the shape of the operation brings with it."""


def operation_of(request: Request[Any, Any, Any]) -> Operation | None:
    """Find the description of the operation that a request reached; None where the handler has none."""
    operation: Operation | None = request.route_handler.opt.get(OPT_KEY)
    return operation
