"""Accept headers and queries, read strictly."""

import contextlib
from typing import Annotated, Literal

import pytest
from bagatelle_service.api.problems import ProblemError
from bagatelle_service.api.strictness import accepts, read_query
from hypothesis import given
from hypothesis import strategies as st
from msgspec import UNSET, Meta, Struct, UnsetType

JSON = "application/json"


@pytest.mark.parametrize(
    ("accept", "accepted"),
    [
        ("", True),
        ("  ", True),
        ("*/*", True),
        ("application/*", True),
        ("application/json", True),
        ("Application/JSON", True),
        ("application/json; charset=utf-8", True),
        ("text/html, application/json;q=0.5", True),
        ("text/html, */*;q=0.1", True),
        ("text/html", False),
        ("text/*", False),
        ("application/xml", False),
        ("application/json;q=0", False),
        ("application/json;q=0, */*", False),
        ("application/json, */*;q=0", True),
        ("application/*;q=0, */*;q=1", False),
        ("application/json;q=nonsense", False),
        ("json", False),
        (",", False),
    ],
)
def test_accept(accept: str, accepted: bool) -> None:
    # RFC 9110, 12.5.1: the most specific range decides; q=0 means not acceptable.
    assert accepts(accept, JSON) is accepted


@given(st.permutations(["text/html", "application/json;q=0", "*/*;q=0.5", "application/*;q=0.9"]))
def test_the_order_of_ranges_does_not_matter(ranges: list[str]) -> None:
    assert not accepts(", ".join(ranges), JSON)


class Filters(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    colour: Annotated[str, Meta(pattern="^[a-z]+$(?!\n)", max_length=6)] = "red"
    size: Annotated[str, Meta(min_length=1)] | UnsetType = UNSET
    days: Annotated[tuple[Literal["monday", "sunday"], ...], Meta(max_length=2)] = ()


def wrong(query: bytes, kind: type[Struct] | None = Filters) -> set[str]:
    with pytest.raises(ProblemError) as caught:
        read_query(query, kind)
    assert caught.value.problem_type.name == "invalid-input"
    assert isinstance(caught.value.errors, tuple)
    return {field.pointer for field in caught.value.errors}


def test_a_query_that_is_right() -> None:
    assert read_query(b"", Filters) == Filters()
    assert read_query(b"colour=blue", Filters) == Filters(colour="blue")
    assert read_query(b"size=%C3%A9%20x", Filters) == Filters(size="é x")
    assert read_query(b"", None) is None
    assert read_query(b"days=sunday", Filters) == Filters(days=("sunday",))
    assert read_query(b"days=sunday,monday", Filters) == Filters(days=("sunday", "monday"))
    assert read_query(b"days=sunday%2Cmonday", Filters) == Filters(days=("sunday", "monday"))


def test_every_wrong_parameter_is_named() -> None:
    assert wrong(b"colour=RED&size=&page=1&page=2") == {"/colour", "/size", "/page"}
    assert wrong(b"x=1", None) == {"/x"}
    assert wrong(b"colour") == {"/colour"}
    assert wrong(b"colour=red%0A") == {"/colour"}
    assert wrong(b"colour=red&colour=red") == {"/colour"}
    for days in (
        "",
        "sunday,",
        "sunday;monday",
        "sunday, monday",
        "sunday,monday,sunday",
        "monday&days=sunday",
    ):
        assert wrong(f"days={days}".encode()) == {"/days"}
    assert wrong(b"null=1&a/b~c=2") == {"/null", "/a~1b~0c"}


@given(st.binary(max_size=80))
def test_no_query_at_all_is_a_fault_of_ours(query: bytes) -> None:
    with contextlib.suppress(ProblemError):
        read_query(query, Filters)
