"""What the operations on logs say of themselves."""

from datetime import date
from typing import Annotated, Final

from bagatelle.model.progress import LogKind
from msgspec import UNSET, Meta, UnsetType, field

from bagatelle_service.api import problems
from bagatelle_service.api.operation import Example, Operation, from_file
from bagatelle_service.api.school.parameters import EXAMPLE_ID, PageQuery, id_parameter
from bagatelle_service.api.school.students import STUDENT_ID
from bagatelle_service.school.fields import IdText
from bagatelle_service.school.log_entries import (
    LogContent,
    LogEntriesAnswer,
    LogEntryAnswer,
    NewLogEntries,
    StoredLogEntries,
)

LOG_ID: Final = (*STUDENT_ID, id_parameter("log_id", "entry, made by the client"))
_ONE: Final = (Example("step", "A step of a day's sheet", from_file("log-answer")),)
_WHAT_IT_TAKES: Final = (
    "An entry is of a `step` of its day's sheet, of a `task`, or of neither: a day in one, or free playing. What "
    "was done stays with it whatever becomes of sheet and routine. Days from two years back to the student's own "
    "today are taken, and none that the school's retention would delete."
)


class LogsQuery(PageQuery, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Filters; several given must all hold."""

    first: (
        Annotated[date, Meta(description="Only from this day on.", examples=["2027-03-01"])] | UnsetType
    ) = field(name="from", default=UNSET)
    last: (
        Annotated[date, Meta(description="Only up to this day, and on it.", examples=["2027-03-31"])]
        | UnsetType
    ) = field(name="to", default=UNSET)
    task: (
        Annotated[IdText, Meta(description="Only entries of this task.", examples=[EXAMPLE_ID])] | UnsetType
    ) = UNSET
    kind: Annotated[LogKind, Meta(description="Only days of this kind.", examples=["short"])] | UnsetType = (
        UNSET
    )


PUT_LOG: Final = Operation(
    operation_id="put_log",
    tag="practice",
    summary="Log what was done, or correct it",
    description=(
        "Stores an entry under an id that the client makes, so that it may be sent again: the same content is "
        "answered 200 and changes nothing, whatever became of sheet and routine meanwhile. Other content is a "
        "correction and needs If-Match. An id whose entry was removed is used for good: `removed`. "
        + _WHAT_IT_TAKES
    ),
    stored=True,
    scope="practice.change",
    path_parameters=LOG_ID,
    body=LogContent,
    body_examples=(
        Example("free", "Free playing", from_file("log-free")),
        Example("step", "A step of a day's sheet", from_file("log-step")),
        Example("task", "A task, two keys of it whole", from_file("log-task")),
    ),
    changes=True,
    match_where_lost=True,
    may_make=True,
    has_revision=True,
    answer=LogEntryAnswer,
    answer_description="The entry.",
    answer_examples=_ONE,
    problems=(problems.TAKEN, problems.REMOVED, problems.PLUGIN_FAILED, problems.OUT_OF_TIME),
)
SHOW_LOG: Final = Operation(
    operation_id="show_log",
    tag="practice",
    summary="Show an entry of a student's log",
    description="As its newest revision has it; earlier ones are not kept.",
    stored=True,
    scope="practice.read",
    path_parameters=LOG_ID,
    has_revision=True,
    answer=LogEntryAnswer,
    answer_description="The entry.",
    answer_examples=_ONE,
    problems=(problems.REMOVED,),
)
REMOVE_LOG: Final = Operation(
    operation_id="remove_log",
    tag="practice",
    summary="Remove an entry of a student's log",
    description=(
        "Of the entry stay its id and the date of the removal, so that a client that was offline does not bring it "
        "back: sent again it is `removed`, in a batch it is counted as such."
    ),
    stored=True,
    scope="practice.change",
    path_parameters=LOG_ID,
    changes=True,
    status=204,
    answer=None,
    answer_description="The entry is removed.",
    problems=(problems.REMOVED,),
)
LIST_LOGS: Final = Operation(
    operation_id="list_logs",
    tag="practice",
    summary="List a student's log",
    description="By day, and within a day by id. Without what was removed.",
    stored=True,
    scope="practice.read",
    path_parameters=STUDENT_ID,
    query=LogsQuery,
    answer=LogEntriesAnswer,
    answer_description="One page of it.",
    answer_examples=(Example("log", "The only page", from_file("logs-answer")),),
)
STORE_LOGS: Final = Operation(
    operation_id="store_logs",
    tag="practice",
    summary="Log many things at once",
    description=(
        "Takes up to 1,000 entries, all of them or none. Those that are there already with the same content are "
        "`known`, so that a client may send them again, together with others. Where one is wrong, or other content "
        "is stored under its id (`stored-otherwise`), nothing is stored, and each such entry is named. "
        + _WHAT_IT_TAKES
    ),
    stored=True,
    scope="practice.change",
    path_parameters=STUDENT_ID,
    body=NewLogEntries,
    body_examples=(Example("evening", "What a phone has gathered", from_file("logs")),),
    status=201,
    answer=StoredLogEntries,
    answer_description="What became of them.",
    answer_examples=(Example("counts", "One was there already", from_file("stored-logs-answer")),),
    problems=(problems.STORED_OTHERWISE, problems.PLUGIN_FAILED, problems.OUT_OF_TIME),
)
