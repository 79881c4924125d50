"""Parameters that several operations on stored things take."""

import re
from typing import Annotated, Any, Final
from uuid import UUID

from litestar import Request
from msgspec import UNSET, Meta, Struct, UnsetType

from bagatelle_service.api import problems
from bagatelle_service.api.operation import PathParameter
from bagatelle_service.api.problems import ProblemError, WrongField
from bagatelle_service.school.errors import MissingError
from bagatelle_service.school.fields import ID_PATTERN
from bagatelle_service.school.pages import Page, WrongCursorError, read_cursor

EXAMPLE_ID: Final = "5b0c6a9e-2f0d-4c0e-9a43-7d1f0f6c2b11"
_NUMBER_PATTERN: Final = r"^[1-9][0-9]{0,9}$(?!\n)"
NUMBER: Final = PathParameter(
    name="number",
    description="The number of the revision.",
    example="1",
    pattern=_NUMBER_PATTERN,
    longest=10,
)


class PageQuery(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Which page of a list."""

    limit: Annotated[int, Meta(ge=1, le=200, description="How many at most on a page.", examples=[50])] = 50
    cursor: (
        Annotated[
            str,
            Meta(
                pattern=r"^[A-Za-z0-9_-]{32}$(?!\n)",
                max_length=32,
                description="The `next` of the page before; without it, the first page.",
                examples=["AAZTn2cFAABbDGqeLw1MDppDfR8PbCsR"],
            ),
        ]
        | UnsetType
    ) = UNSET


def id_parameter(name: str, thing: str) -> PathParameter:
    """Describe an id in a path."""
    return PathParameter(
        name=name, description=f"The id of the {thing}.", example=EXAMPLE_ID, pattern=ID_PATTERN, longest=36
    )


def id_in_path(request: Request[Any, Any, Any], name: str, thing: str) -> UUID:
    """Read an id from the path.

    :raises MissingError: where it is of no shape that ids have: then nothing has it.
    """
    text: str = request.path_params[name]
    try:
        found = UUID(text)
    except ValueError:
        raise MissingError(thing) from None
    if str(found) != text:
        raise MissingError(thing)
    return found


def number_in_path(request: Request[Any, Any, Any]) -> int:
    """Read the number of a revision from the path.

    :raises MissingError: where it is of no shape that numbers have: then no revision has it.
    """
    text: str = request.path_params["number"]
    if not re.search(_NUMBER_PATTERN, text):
        raise MissingError("revision")
    return int(text)


def page_of(query: PageQuery) -> Page:
    """Read which page is wanted.

    :raises ProblemError: invalid-input, where the cursor is none.
    """
    if query.cursor is UNSET:
        return Page(query.limit)
    try:
        return Page(query.limit, read_cursor(query.cursor))
    except WrongCursorError:
        wrong = WrongField(
            part="query", pointer="/cursor", message="no cursor", accepted="the `next` of the page before"
        )
        raise ProblemError(problems.INVALID_INPUT, "One query parameter is wrong.", errors=(wrong,)) from None
