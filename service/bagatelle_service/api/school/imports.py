"""Rosters and routines taken in at once: every wrong row is told, and all is stored or nothing."""

from typing import Annotated, Any, Final

from litestar import Request, Response, post
from litestar.handlers import HTTPRouteHandler
from msgspec import Meta, Struct

from bagatelle_service.api import problems
from bagatelle_service.api.engine_of import EngineOf
from bagatelle_service.api.operation import (
    CSV,
    NDJSON,
    OPT_KEY,
    Example,
    Operation,
    TextBody,
    from_file,
    text_from_file,
)
from bagatelle_service.api.school.plannable import Plannable
from bagatelle_service.api.school.stored import Stored
from bagatelle_service.api.strictness import body_kind, query_of
from bagatelle_service.school.import_rows import WRONG_CELLS_LIMIT, Form, ReadRows, WrongCell
from bagatelle_service.school.roster_changes import RosterRow
from bagatelle_service.school.rosters import ROSTER_LIMIT, Roster, RosterAnswer, import_roster, read_roster
from bagatelle_service.school.routine_imports import RoutineImportAnswer, RoutinesToTakeIn, import_routines
from bagatelle_service.school.routine_rows import (
    ROUTINES_LIMIT,
    ReadRoutines,
    RoutineOfLine,
    TaskRow,
    read_routines,
)

AnyRequest = Request[Any, Any, Any]
IMPORT_LIMIT_BYTES: Final = 4 * 1024 * 1024
_HOW: Final = (
    "All rows are stored or none. Every wrong row is told, with its line; past "
    f"{WRONG_CELLS_LIMIT:,} wrong fields the rows that follow are not looked at. The body, told apart by "
    "Content-Type, is a table as RFC 4180 has it, with a header and commas, or NDJSON, an object a line; in "
    "UTF-8, at most 4 MiB. A mark of the byte order at its begin and empty rows are passed over. A cell is text, "
    "whatever it begins with: nothing is computed. An empty cell is a field left out."
)


class DryRunQuery(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Whether to do it."""

    dry_run: Annotated[
        bool,
        Meta(description="Whether to say only what would be done, and do nothing.", examples=[True]),
    ] = False


class ImportQuery(DryRunQuery, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """How to take rows in."""

    update: Annotated[
        bool,
        Meta(
            description="Whether what is there already becomes as its row says; else such a row is wrong.",
            examples=[False],
        ),
    ] = False


IMPORT_STUDENTS = Operation(
    operation_id="import_students",
    tag="people",
    summary="Import a roster",
    description=(
        "Makes a student for each row whose key no student has; the columns are the fields of `RosterRow`. "
        f"{_HOW} At most {ROSTER_LIMIT:,} rows. In a table, the names of groups have `;` between them; a group "
        "whose name has one can be named in NDJSON. With `groups` the token needs `groups.change`, with `update` "
        "`students.change`; then the student is in the groups of the row, and in no other that is not archived."
    ),
    stored=True,
    scope="students.make",
    query=ImportQuery,
    text_bodies=(
        TextBody(
            media_type=CSV,
            row=RosterRow,
            examples=(Example("table", "Two students, one in a group", text_from_file("roster.csv")),),
        ),
        TextBody(
            media_type=NDJSON,
            row=RosterRow,
            examples=(Example("lines", "Two students, one in a group", text_from_file("roster.ndjson")),),
        ),
    ),
    body_limit_bytes=IMPORT_LIMIT_BYTES,
    status=201,
    dry_run=True,
    about_many=True,
    answer=RosterAnswer,
    answer_description="What became of each row.",
    answer_examples=(Example("roster", "One made, one known", from_file("roster-answer")),),
    problems=(problems.TAKEN, problems.CHANGED_MEANWHILE),
)
IMPORT_ROUTINES = Operation(
    operation_id="import_routines",
    tag="routines",
    summary="Import routines of many students",
    description=(
        "Stores a routine for each line of NDJSON (`RoutineOfLine`, its document as the export gives it), or, of a "
        "table with a task in each row (`TaskRow`), for each student and routine key. A student has at most one "
        f"routine of a key. {_HOW} At most {ROUTINES_LIMIT:,} routines. What a plan would refuse is refused; open "
        "questions may stay. A table says nothing of the exercises' settings: they are the exercises' own."
    ),
    stored=True,
    scope="routines.change",
    query=ImportQuery,
    text_bodies=(
        TextBody(
            media_type=CSV,
            row=TaskRow,
            examples=(Example("table", "Two tasks of one routine", text_from_file("routines.csv")),),
        ),
        TextBody(
            media_type=NDJSON,
            row=RoutineOfLine,
            examples=(Example("lines", "One routine", text_from_file("routines.ndjson")),),
        ),
    ),
    body_limit_bytes=IMPORT_LIMIT_BYTES,
    status=201,
    dry_run=True,
    names_place=False,
    about_many=True,
    answer=RoutineImportAnswer,
    answer_description="What became of each routine.",
    answer_examples=(Example("routines", "One made", from_file("routine-import-answer")),),
    problems=(problems.CHANGED_MEANWHILE, problems.PLUGIN_FAILED, problems.OUT_OF_TIME),
)


def import_routes(stored: Stored, engine_of: EngineOf) -> list[HTTPRouteHandler]:
    """Make the handlers."""

    @post(
        "/v1/students/imports",
        status_code=201,
        request_max_body_size=IMPORT_LIMIT_BYTES,
        opt={OPT_KEY: IMPORT_STUDENTS},
    )
    async def students(request: AnyRequest) -> Response[bytes]:
        query, form = query_of(request, ImportQuery), _form(request)

        async def check(read: ReadRows[RosterRow]) -> Roster:
            return Roster(read=read, update=query.update, dry_run=query.dry_run)

        return await stored.take_in(
            request, lambda raw: read_roster(raw, form), check, import_roster, dry_run=query.dry_run
        )

    @post(
        "/v1/routines/imports",
        status_code=201,
        request_max_body_size=IMPORT_LIMIT_BYTES,
        opt={OPT_KEY: IMPORT_ROUTINES},
    )
    async def routines(request: AnyRequest) -> Response[bytes]:
        query, form = query_of(request, ImportQuery), _form(request)

        async def check(read: ReadRoutines) -> RoutinesToTakeIn:
            ask = (await engine_of(request)).ask
            wrong = await _unplannable(read, Plannable(ask, stored.now().date()))
            return RoutinesToTakeIn(read=read, wrong=wrong, update=query.update, dry_run=query.dry_run)

        return await stored.take_in(
            request, lambda raw: read_routines(raw, form), check, import_routines, dry_run=query.dry_run
        )

    return [students, routines]


def _form(request: AnyRequest) -> Form:
    return "csv" if body_kind(request) == CSV else "ndjson"


async def _unplannable(read: ReadRoutines, plannable: Plannable) -> tuple[WrongCell, ...]:
    wrong: list[WrongCell] = []
    for routine in read.routines:
        if len(wrong) >= WRONG_CELLS_LIMIT:
            wrong.append(routine.not_looked_at())
            break
        await plannable.look_at([routine.document])
        wrong += routine.wrong(plannable.verdict(routine.document) or ())
    return tuple(wrong)
