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
CSV: Final = "text/csv"
TOML: Final = "application/toml"
NDJSON: Final = "application/x-ndjson"
"""JSON, one value a line."""
OPT_KEY: Final = "operation"
BODY_LIMIT_BYTES: Final = 1024 * 1024
_EXAMPLES: Final = Path(__file__).parent / "examples"


class Example(Struct, frozen=True):
    """A named example. Its value is asked for when the description is made."""

    name: str
    summary: str
    value: Callable[[], Any]


def from_file(name: str) -> Callable[[], Any]:
    """Give the value of an example that stands in `api/examples/<name>.json`."""
    return lambda: msgspec.json.decode(example_bytes(name))


def lines_from_file(name: str) -> Callable[[], Any]:
    """Give the lines of an example that stand in `api/examples/<name>.json` as an array."""
    return lambda: "".join(
        msgspec.json.encode(line).decode() + "\n" for line in msgspec.json.decode(example_bytes(name))
    )


def text_from_file(name: str) -> Callable[[], str]:
    """Give an example that is a text: `api/examples/<name>`."""
    return lambda: (_EXAMPLES / name).read_text(encoding="utf-8")


def example_bytes(name: str) -> bytes:
    """Read `api/examples/<name>.json`."""
    return (_EXAMPLES / f"{name}.json").read_bytes()


class PathParameter(Struct, frozen=True):
    """A part of the path that varies."""

    name: str
    description: str
    example: str
    pattern: str
    longest: int


class TextBody(Struct, frozen=True, kw_only=True):
    """A kind of body that is no JSON as a whole."""

    media_type: str
    examples: tuple[Example, ...]
    row: type[Struct] | None = None
    """What the description tells of each row; None where it is told elsewhere."""


class Operation(Struct, frozen=True, kw_only=True):
    """All that an operation says of itself."""

    operation_id: str
    tag: str
    summary: str
    description: str
    answer: Any
    """The type of the answer's JSON, of each line where it is `NDJSON`; None where it is none (the docs page)."""
    answer_description: str
    answer_examples: tuple[Example, ...] = ()
    body: Any = None
    """The type of the body; None where the operation takes none."""
    body_examples: tuple[Example, ...] = ()
    text_bodies: tuple[TextBody, ...] = ()
    """The kinds of body of which one comes, told by Content-Type, where it is no JSON."""
    body_limit_bytes: int = BODY_LIMIT_BYTES
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
    dry_run: bool = False
    """Whether it can say what it would do and do nothing: then it answers 200."""
    names_place: bool = True
    """Whether what was made has one place, which the answer names under Location."""
    changes: bool = False
    """Whether it changes something that has an ETag: then it needs If-Match."""
    match_where_lost: bool = False
    """Whether a change needs If-Match only where something that is there would be lost by it."""
    may_make: bool = False
    """Whether a PUT makes what it names where that is not there yet: then it answers 201, and takes no If-Match."""
    has_revision: bool = False
    """Whether the answer carries an ETag, for If-Match."""
    revision_where_stored: bool = False
    """Whether the ETag is absent where what is answered is not stored."""
    about_many: bool = False
    """Whether the answer may be about several students."""
    cached: bool = False
    """Whether the answer carries an ETag and may be kept for a while."""
    problems: tuple[ProblemType, ...] = ()
    """Those of its own, beyond what the shape of the operation brings with it."""


def body_kinds(operation: Operation) -> tuple[str, ...]:
    """List the media types of which a body may be; none where the operation takes no body."""
    if operation.body is not None:
        return (JSON,)
    return tuple(text.media_type for text in operation.text_bodies)


def operation_of(request: Request[Any, Any, Any]) -> Operation | None:
    """Find the description of the operation that a request reached; None where the handler has none."""
    operation: Operation | None = request.route_handler.opt.get(OPT_KEY)
    return operation
