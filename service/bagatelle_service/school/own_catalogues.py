"""A school's own exercises: catalogues in TOML, for the school alone. Nothing in them is code."""

import hashlib
from datetime import datetime
from typing import Annotated, Final, TypeAlias

import msgspec
from bagatelle.model.errors import FieldError
from bagatelle.toml_catalogue import CatalogueText
from bagatelle.wrong_fields import refuse
from msgspec import Meta, Struct
from sqlalchemy import func, select
from sqlalchemy.ext.asyncio import AsyncSession

from bagatelle_service.database.tables import School, SchoolCatalogue
from bagatelle_service.joined_instruments import ReadCatalogue
from bagatelle_service.school.answers import Made, etag_of, made
from bagatelle_service.school.errors import ChangedMeanwhileError, MissingError
from bagatelle_service.school.work import Work

CATALOGUES_LIMIT: Final = 10
EXERCISES_LIMIT: Final = 500
"""Of all catalogues of a school together."""
CATALOGUE_LIMIT_BYTES: Final = 256 * 1024
DATA_LIMIT_BYTES: Final = 3 * 1024 * 1024
"""Of what all catalogues of a school come to: a short text may give many settings a thousand values each."""
CatalogueHashes: TypeAlias = tuple[tuple[str, str], ...]
"""The instruments of a school's catalogues, each with the hash of its text."""


class CheckedCatalogue(Struct, frozen=True, kw_only=True):
    """A catalogue that keeps to the form, and what it was found to hold."""

    toml: str
    found: ReadCatalogue


class SchoolCatalogueAnswer(Struct, frozen=True, kw_only=True):
    """A catalogue of the school's own."""

    instrument: str
    """Its id; those of its exercises begin with it and a dot."""
    name: str
    version: str
    """As the catalogue says."""
    exercise_count: int
    sha256: str
    """Of the text as it was sent, in hexadecimal digits."""
    revision: Annotated[int, Meta(ge=1, description="Counts the changes.")]
    changed_at: datetime
    left_out: Annotated[
        str | None,
        Meta(
            description=(
                "Why it is not used, with faults and their lines: such as a plugin that has been installed since "
                "and has the instrument. Null where it is used."
            )
        ),
    ]


class SchoolCataloguesAnswer(Struct, frozen=True, kw_only=True):
    """All catalogues of the school's own."""

    catalogues: tuple[SchoolCatalogueAnswer, ...]
    """By instrument."""
    exercise_count: Annotated[int, Meta(description="Of all together.")]
    next: Annotated[str | None, Meta(description="Where the next page is; null on the last.")] = None


def plugin_name(instrument: str) -> str:
    """Say what a school's catalogue is called where plugins are named."""
    return f"school/{instrument}"


async def catalogue_hashes(session: AsyncSession) -> CatalogueHashes:
    """Say which catalogues a school has, without their texts."""
    rows = await session.execute(
        select(SchoolCatalogue.instrument, SchoolCatalogue.sha256).order_by(SchoolCatalogue.instrument)
    )
    return tuple((row.instrument, row.sha256) for row in rows)


async def catalogue_texts(session: AsyncSession) -> tuple[CatalogueText, ...]:
    """Read a school's catalogues, by instrument."""
    rows = await session.execute(
        select(SchoolCatalogue.instrument, SchoolCatalogue.toml).order_by(SchoolCatalogue.instrument)
    )
    return tuple(CatalogueText(plugin_name(row.instrument), row.toml) for row in rows)


async def put_catalogue(work: Work, instrument: str, checked: CheckedCatalogue) -> Made:
    """Store a catalogue, or another text in its place; the same text again changes nothing.

    :raises InvalidInputError: where the school would have too many catalogues or exercises.
    :raises NoMatchGivenError: where another text is stored, and the request does not say that it replaces that.
    :raises ChangedMeanwhileError: where it replaces another revision than the newest, or one that is not there.
    """
    # Others who store a catalogue wait, so that all together keep to the limits.
    school = select(School.id).where(School.id == work.school_id).with_for_update(key_share=True)
    await work.session.execute(school)
    row = await work.session.get(SchoolCatalogue, (work.school_id, instrument))
    sha256 = hashlib.sha256(checked.toml.encode()).hexdigest()
    if row is None and (work.any_revision or work.given_revisions is not None):
        raise ChangedMeanwhileError(
            "There is no catalogue of this instrument yet. Without If-Match it is stored."
        )
    if row is not None:
        if row.sha256 == sha256:
            return _shown(row, None)
        work.expect(row.revision)
    await _check_limits(work, instrument, checked.found)
    is_new = row is None
    if row is None:
        row = SchoolCatalogue(school_id=work.school_id, instrument=instrument, revision=0)
        work.session.add(row)
    row.name, row.version = checked.found.name, checked.found.version
    row.exercise_count, row.data_bytes = checked.found.exercise_count, checked.found.data_bytes
    row.sha256, row.toml = sha256, checked.toml
    row.revision += 1
    row.changed_at = work.now
    await work.session.flush()
    return _shown(row, None, is_new=is_new)


async def list_catalogues(work: Work, left_out: dict[str, str]) -> Made:
    """List a school's catalogues.

    :param left_out: why some are not used, by what they are called as plugins.
    """
    rows = list(await work.session.scalars(select(SchoolCatalogue).order_by(SchoolCatalogue.instrument)))
    return made(
        SchoolCataloguesAnswer(
            catalogues=tuple(_answer(row, left_out.get(plugin_name(row.instrument))) for row in rows),
            exercise_count=sum(row.exercise_count for row in rows),
        )
    )


async def show_catalogue(work: Work, instrument: str) -> Made:
    """Show a catalogue as it was sent.

    :raises MissingError: where the school has none of that instrument.
    """
    row = await _find(work, instrument)
    return Made(body=row.toml.encode(), etag=etag_of(row.revision, row.sha256))


async def remove_catalogue(work: Work, instrument: str) -> None:
    """Remove a catalogue. Routines that use its exercises stay, and so do the plans that were made of them.

    :raises MissingError: where the school has none of that instrument.
    :raises NoMatchGivenError: where the request does not say which revision it means.
    :raises ChangedMeanwhileError: where it means another than the newest.
    """
    row = await _find(work, instrument)
    work.expect(row.revision)
    await work.session.delete(row)
    await work.session.flush()


async def _find(work: Work, instrument: str) -> SchoolCatalogue:
    row = await work.session.get(SchoolCatalogue, (work.school_id, instrument))
    if row is None:
        raise MissingError("catalogue", "instrument")
    return row


async def _check_limits(work: Work, instrument: str, found: ReadCatalogue) -> None:
    counted = select(
        func.count(),
        func.coalesce(func.sum(SchoolCatalogue.exercise_count), 0),
        func.coalesce(func.sum(SchoolCatalogue.data_bytes), 0),
    )
    others = (await work.session.execute(counted.where(SchoolCatalogue.instrument != instrument))).one()
    catalogues, exercises, data_bytes = (
        there + more for there, more in zip(others, (1, found.exercise_count, found.data_bytes), strict=True)
    )
    wrong = []
    if catalogues > CATALOGUES_LIMIT:
        wrong.append(_too_many(f"{catalogues} catalogues", f"at most {CATALOGUES_LIMIT}"))
    if exercises > EXERCISES_LIMIT:
        left = EXERCISES_LIMIT - others[1]
        accepted = f"at most {EXERCISES_LIMIT} in all catalogues, so at most {left} in this one"
        wrong.append(_too_many(f"{exercises} exercises", accepted))
    if data_bytes > DATA_LIMIT_BYTES:
        what = f"{data_bytes} bytes of exercises, with every value that their settings may have"
        wrong.append(_too_many(what, f"at most {DATA_LIMIT_BYTES}, by fewer values or settings"))
    refuse(wrong)


def _too_many(what: str, accepted: str) -> FieldError:
    return FieldError(pointer="", message=f"the school would have {what}", accepted=accepted)


def _shown(row: SchoolCatalogue, left_out: str | None, *, is_new: bool = False) -> Made:
    return Made(
        body=msgspec.json.encode(_answer(row, left_out)),
        etag=etag_of(row.revision, row.sha256),
        location=f"/v1/school/exercises/{row.instrument}",
        is_new=is_new,
    )


def _answer(row: SchoolCatalogue, left_out: str | None) -> SchoolCatalogueAnswer:
    return SchoolCatalogueAnswer(
        instrument=row.instrument,
        name=row.name,
        version=row.version,
        exercise_count=row.exercise_count,
        sha256=row.sha256,
        revision=row.revision,
        changed_at=row.changed_at,
        left_out=left_out,
    )
