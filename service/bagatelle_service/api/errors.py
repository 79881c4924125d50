"""From an error to its problem."""

import logging
from typing import Any, Final, cast

import msgspec
from bagatelle.catalogue.faults import CHARACTERS_SHOWN, FAULTS_SHOWN
from bagatelle.model.errors import (
    FailureKind,
    InvalidInputError,
    MalformedJsonError,
    NoShortDayFitsError,
    NothingAllowedError,
    NothingFitsError,
    NotShortError,
    NotSpecificError,
    PluginError,
    UnknownExerciseError,
)
from bagatelle.model.plan import Finding
from bagatelle.toml_catalogue import CatalogueFileError, FileFault
from litestar import Request, Response
from litestar.exceptions import HTTPException
from msgspec.structs import replace

from bagatelle_service.api import problems
from bagatelle_service.api.problems import (
    INSTANCE_PREFIX,
    EngineProblemError,
    Problem,
    ProblemError,
    ProblemType,
    WrongField,
)
from bagatelle_service.database.errors import BusyError, ClashError, OutdatedError
from bagatelle_service.engine_calls import OutOfTimeError
from bagatelle_service.school.errors import (
    AnswerErasedError,
    ChangedMeanwhileError,
    IssuerOutOfReachError,
    KeyReusedError,
    MissingError,
    NoIssuerError,
    NoMatchGivenError,
    NoSigningKeyError,
    NotAdmittedError,
    NotAllowedError,
    NotPreparedError,
    RemovedError,
    SpentError,
    StoredOtherwiseError,
    TakenError,
    TooManyRequestsError,
    WrongDateError,
)
from bagatelle_service.school.import_rows import WrongCell, WrongRowsError

logger = logging.getLogger("bagatelle_service.problems")

# Errors whose text is all that there is to say.
PLAIN_TYPES: dict[type[Exception], ProblemType] = {
    MalformedJsonError: problems.MALFORMED_JSON,
    UnknownExerciseError: problems.UNKNOWN_EXERCISE,
    NothingAllowedError: problems.NOTHING_ALLOWED,
    OutOfTimeError: problems.OUT_OF_TIME,
    NotAdmittedError: problems.NO_TOKEN,
    NotAllowedError: problems.NOT_ALLOWED,
    MissingError: problems.UNKNOWN_ID,
    TakenError: problems.TAKEN,
    NotPreparedError: problems.NOT_PREPARED,
    NoSigningKeyError: problems.NO_SIGNING_KEY,
    SpentError: problems.SPENT,
    RemovedError: problems.REMOVED,
    AnswerErasedError: problems.ANSWER_ERASED,
    ChangedMeanwhileError: problems.CHANGED_MEANWHILE,
    NoMatchGivenError: problems.IF_MATCH_NEEDED,
    KeyReusedError: problems.KEY_REUSED,
    TooManyRequestsError: problems.TOO_MANY_REQUESTS,
    NoIssuerError: problems.NOT_FOUND,
    IssuerOutOfReachError: problems.ISSUER_OUT_OF_REACH,
}
CHALLENGE: dict[str, str] = {"WWW-Authenticate": 'Bearer realm="bagatelle"'}
# What the framework raises by itself.
FRAMEWORK_TYPES: dict[int, tuple[ProblemType, str]] = {
    400: (problems.BAD_REQUEST, "The request cannot be read."),
    404: (problems.NOT_FOUND, "No operation has this path."),
    405: (problems.METHOD_NOT_ALLOWED, "This path does not take that method."),
    413: (problems.TOO_LARGE, "The body holds more than 1 MiB (1048576 bytes)."),
}


_FAILURES: Final[dict[FailureKind, str]] = {
    "raised": "it raised an error",
    "wrong-answer": "its answer cannot be used",
    "out-of-time": "it did not answer in time",
    "ended": "it ended the process that asked it",
    "quarantined": "it failed before, and is not asked for a while",
}


def _of_plugin(error: PluginError) -> str:
    return f"The plugin {error.plugin!r} failed in {error.hook} for {error.item}: {_FAILURES[error.kind]}."


def problem_of(error: Exception, request_id: str) -> Problem:
    """Name the problem that an error is. What is nobody's to see outside stays in the log.

    :returns: for any error at all; one of no known kind is the problem `internal`.
    """
    if isinstance(error, EngineProblemError):
        return replace(error.problem, instance=INSTANCE_PREFIX + request_id)
    problem_type, detail, members = _describe(error)
    return Problem(
        type=problem_type.uri,
        title=problem_type.title,
        status=problem_type.status,
        detail=detail,
        instance=INSTANCE_PREFIX + request_id,
        **members,
    )


_WITH_WRONG_FIELDS: Final = (
    ProblemError,
    InvalidInputError,
    WrongDateError,
    StoredOtherwiseError,
    WrongRowsError,
    CatalogueFileError,
)


def _describe(error: Exception) -> tuple[ProblemType, str, dict[str, Any]]:
    match error:
        case _ if isinstance(error, _WITH_WRONG_FIELDS):
            return _describe_wrong(error)
        case NotShortError():
            return (
                problems.NOT_SHORT,
                str(error),
                {"share": error.share, "largest_share": error.largest_share},
            )
        case NothingFitsError():
            members = {"task": error.task, "smallest_window_seconds": error.smallest_window_seconds}
            return problems.NOTHING_FITS, str(error), members
        case NoShortDayFitsError():
            return problems.NO_SHORT_DAY_FITS, str(error), _no_short_day_fits(error)
        case NotSpecificError():
            findings = cast("tuple[Finding, ...]", error.findings)
            return problems.NOT_SPECIFIC, str(error), {"findings": findings}
        case PluginError():
            return problems.PLUGIN_FAILED, _of_plugin(error), {"plugin": error.plugin}
    return *_describe_plainly(error), {}


def _describe_wrong(
    error: ProblemError
    | InvalidInputError
    | WrongDateError
    | StoredOtherwiseError
    | WrongRowsError
    | CatalogueFileError,
) -> tuple[ProblemType, str, dict[str, Any]]:
    match error:
        case ProblemError():
            return error.problem_type, error.detail, {"errors": error.errors}
        case InvalidInputError():
            return problems.INVALID_INPUT, _count_wrong(len(error.errors)), {"errors": _in_body(error)}
        case WrongDateError():
            return problems.INVALID_INPUT, "The date is wrong.", {"errors": (_of_date(error),)}
        case StoredOtherwiseError():
            return problems.STORED_OTHERWISE, str(error), {"errors": _in_body(error)}
        case WrongRowsError():
            return problems.INVALID_INPUT, str(error), {"errors": tuple(map(_in_row, error.wrong))}
        case CatalogueFileError():
            return problems.INVALID_INPUT, _count_faults(error), {"errors": _in_text(error)}


def _describe_plainly(error: Exception) -> tuple[ProblemType, str]:
    problem_type = PLAIN_TYPES.get(type(error))
    if problem_type is not None:
        return problem_type, str(error)
    if isinstance(error, OutdatedError):
        return (
            problems.CHANGED_MEANWHILE,
            "Somebody else was faster. Get it again, and make the change from there.",
        )
    if isinstance(error, ClashError):
        return (
            problems.TAKEN,
            "Somebody else stored something that this would clash with. Nothing was changed.",
        )
    if isinstance(error, BusyError):
        return problems.BUSY, "The database did not answer in time. Nothing was changed."
    if isinstance(error, HTTPException) and error.status_code in FRAMEWORK_TYPES:
        return FRAMEWORK_TYPES[error.status_code]
    return (
        problems.INTERNAL,
        "The request met an error that is not its own. The log has it under the request's id.",
    )


def _count_wrong(count: int) -> str:
    return "One field is wrong." if count == 1 else f"{count} fields are wrong."


def _no_short_day_fits(error: NoShortDayFitsError) -> dict[str, Any]:
    too_long = WrongField(
        part="body",
        pointer=error.pointer,
        message=f"Its set-up and its smallest piece take {error.needed_seconds} seconds.",
        accepted=f"at most {error.largest_seconds} seconds for both",
    )
    return {
        "errors": (too_long,),
        "task": error.task,
        "needed_seconds": error.needed_seconds,
        "largest_seconds": error.largest_seconds,
    }


def _in_body(error: InvalidInputError | StoredOtherwiseError) -> tuple[WrongField, ...]:
    return tuple(
        WrongField(part="body", pointer=wrong.pointer, message=wrong.message, accepted=wrong.accepted)
        for wrong in error.errors
    )


def _of_date(error: WrongDateError) -> WrongField:
    return WrongField(part="path", pointer="/date", message=error.message, accepted=error.accepted)


def _count_faults(error: CatalogueFileError) -> str:
    count = len(error.file_faults)
    if count > FAULTS_SHOWN:
        return f"{count} things are wrong; the first {FAULTS_SHOWN} are listed."
    return "One thing is wrong." if count == 1 else f"{count} things are wrong."


def _in_text(error: CatalogueFileError) -> tuple[WrongField, ...]:
    return tuple(map(_in_line, error.file_faults[:FAULTS_SHOWN]))


def _in_line(fault: FileFault) -> WrongField:
    message, accepted = fault.parts
    return WrongField(
        part="body",
        pointer=fault.pointer,
        message=message[:CHARACTERS_SHOWN],
        accepted=(accepted or "")[:CHARACTERS_SHOWN],
        line=fault.line,
    )


def _in_row(wrong: WrongCell) -> WrongField:
    return WrongField(
        part="body",
        pointer=wrong.pointer,
        message=wrong.message,
        accepted=wrong.accepted,
        line=wrong.line,
    )


def problem_response(request: Request[Any, Any, Any], error: Exception) -> Response[bytes]:
    """Answer an error, and log it where it is ours."""
    request_id = request.scope["state"]["request_id"]
    problem = problem_of(error, request_id)
    if problem.type == problems.PLUGIN_FAILED.uri:
        # What a plugin says may hold a learner's words.
        logger.error("request %s failed: %s", request_id, problem.detail)
    elif problem.status == 500:
        logger.error("request %s failed", request_id, exc_info=error)
    headers = {"Cache-Control": "no-store"}
    headers |= _headers_of(error)
    if problem.status == 413:
        # What is left of the body is not read, so the connection can't serve another request.
        headers["Connection"] = "close"
    return Response(
        msgspec.json.encode(problem),
        status_code=problem.status,
        media_type=problems.PROBLEM_MEDIA_TYPE,
        headers=headers,
    )


def _headers_of(error: Exception) -> dict[str, str]:
    match error:
        case ProblemError():
            return error.headers
        case NotAdmittedError():
            return CHALLENGE
        case TooManyRequestsError():
            return {"Retry-After": str(error.wait_seconds)}
        case BusyError() | IssuerOutOfReachError():
            return {"Retry-After": "5"}
    return {}
