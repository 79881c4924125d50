"""What `GET /v1/exercises` may be asked, and its cursors."""

import base64
from typing import Annotated, Final

from bagatelle.catalogue.search import Wanted
from bagatelle.model.vocabulary import Area, Concreteness, Divisibility, Level, Loudness, Stage, Strain
from msgspec import UNSET, Meta, Struct, UnsetType

Locale = Annotated[
    str,
    Meta(
        pattern=r"^[a-z]{2,3}(-[A-Z]{2})?$(?!\n)",
        max_length=6,
        description="Language of texts. One that is not spoken falls back to its language, then English.",
        examples=["en-US"],
    ),
]
DEFAULT_LOCALE: Final = "en-GB"
_MOST_VALUES: Final = 32
_InstrumentId = Annotated[str, Meta(pattern=r"^[a-z0-9-]+$(?!\n)", max_length=64)]


class ExercisesQuery(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Filters; several given must all hold. Of the values of one, with commas between, any will do."""

    locale: Locale = DEFAULT_LOCALE
    q: Annotated[
        str,
        Meta(
            max_length=200,
            description=(
                "Words, each of which must be found in the title, in another name or, for less, in what is to be "
                "done and how or among what its settings choose from; a small word such as 'the' need not where "
                "another is found. A misspelt word is found (one slip from four letters on, two from eight), as "
                "is one that is only begun. The best matches come first. At most 16 words are looked at."
            ),
            examples=["arpegios"],
        ),
    ] = ""
    instrument: Annotated[
        tuple[_InstrumentId, ...],
        Meta(
            min_length=1,
            max_length=_MOST_VALUES,
            description="Only exercises of these instruments, by id.",
            examples=[["piano"]],
        ),
    ] = ()
    area: Annotated[
        tuple[Area, ...],
        Meta(
            min_length=1,
            max_length=_MOST_VALUES,
            description="Only exercises of these areas.",
            examples=[["technique", "tone"]],
        ),
    ] = ()
    level: Annotated[
        tuple[Level, ...],
        Meta(
            min_length=1,
            max_length=_MOST_VALUES,
            description="Only exercises usually met from one of these levels on.",
            examples=[["beginner", "elementary"]],
        ),
    ] = ()
    stage_hint: Annotated[
        tuple[Stage, ...],
        Meta(
            min_length=1,
            max_length=_MOST_VALUES,
            description="Only exercises taken to be at one of these stages where a task does not say.",
            examples=[["refining"]],
        ),
    ] = ()
    strain: Annotated[
        tuple[Strain, ...],
        Meta(
            min_length=1,
            max_length=_MOST_VALUES,
            description="Only exercises of these strains.",
            examples=[["none", "low"]],
        ),
    ] = ()
    loudness: Annotated[
        tuple[Loudness, ...],
        Meta(
            min_length=1,
            max_length=_MOST_VALUES,
            description="Only exercises that are so loud in their usual form.",
            examples=[["silent", "soft"]],
        ),
    ] = ()
    concreteness: Annotated[
        tuple[Concreteness, ...],
        Meta(
            min_length=1,
            max_length=_MOST_VALUES,
            description="Only exercises that leave so little open.",
            examples=[["exact"]],
        ),
    ] = ()
    divisibility: Annotated[
        tuple[Divisibility, ...],
        Meta(
            min_length=1,
            max_length=_MOST_VALUES,
            description="Only exercises that can be cut up so.",
            examples=[["fine"]],
        ),
    ] = ()
    needs_instrument: (
        Annotated[
            bool,
            Meta(description="Only exercises that need the instrument, or that do not.", examples=[False]),
        ]
        | UnsetType
    ) = UNSET
    has_soft_form: (
        Annotated[
            bool,
            Meta(
                description="Only exercises with a form for thin walls or no instrument, or without one.",
                examples=[True],
            ),
        ]
        | UnsetType
    ) = UNSET
    longest_unit_seconds: (
        Annotated[
            int,
            Meta(
                ge=1,
                le=86_400,
                description="Only exercises of which, at their defaults, no unit takes longer.",
                examples=[60],
            ),
        ]
        | UnsetType
    ) = UNSET
    limit: Annotated[int, Meta(ge=1, le=200, description="How many at most on a page.", examples=[50])] = 50
    cursor: (
        Annotated[
            str,
            Meta(
                pattern=r"^[A-Za-z0-9_-]{4}$(?!\n)",
                max_length=4,
                description="The `next` of the page before; without it, the first page.",
                examples=["AAAy"],
            ),
        ]
        | UnsetType
    ) = UNSET


def wanted_by(query: ExercisesQuery) -> Wanted:
    """Read the filters."""
    given = {name: getattr(query, name) for name in Wanted.__struct_fields__ if name != "words"}
    return Wanted(words=query.q, **{name: value for name, value in given.items() if value is not UNSET})


# A catalogue stays what it is as long as the service runs, so a page can be told by how many come before it.
_CURSOR_BYTES: Final = 3


def cursor_after(passed: int) -> str:
    """Write where a page ends."""
    return base64.urlsafe_b64encode(passed.to_bytes(_CURSOR_BYTES, "big")).decode()


def passed_before(query: ExercisesQuery) -> int:
    """Read how many come before the page that is wanted."""
    if query.cursor is UNSET:
        return 0
    # Four letters of the alphabet, which the type holds it to, are three bytes whatever they are.
    return int.from_bytes(base64.urlsafe_b64decode(query.cursor), "big")
