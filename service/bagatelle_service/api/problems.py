"""Every error as a problem (RFC 9457): the table of types, and the shape that is sent.

A problem's `type` is `urn:bagatelle:problem:` and a name of the table, and stays what it is: it does not depend
on where a service happens to live. Clients decide by `type`; `title` and `detail` are for people.
"""

from typing import Annotated, Final, Literal

from bagatelle.model.plan import Finding
from msgspec import UNSET, Meta, Struct, UnsetType

PROBLEM_MEDIA_TYPE: Final = "application/problem+json"
TYPE_PREFIX: Final = "urn:bagatelle:problem:"
INSTANCE_PREFIX: Final = "urn:bagatelle:request:"


class ProblemType(Struct, frozen=True):
    """One row of the table."""

    name: str
    status: int
    title: str
    meaning: str

    @property
    def uri(self) -> str:
        """What stands in a problem's `type`."""
        return TYPE_PREFIX + self.name


class WrongField(Struct, frozen=True, kw_only=True, omit_defaults=True, rename={"part": "in"}):
    """One wrong field."""

    part: Annotated[
        Literal["body", "query", "header", "path"],
        Meta(description="Which part of the request holds the field."),
    ]
    pointer: Annotated[
        str, Meta(description="JSON Pointer (RFC 6901) to the field, from the root of that part.")
    ]
    message: Annotated[str, Meta(description="What was wrong.")]
    accepted: Annotated[str, Meta(description="What would be accepted.")] = ""
    line: (
        Annotated[int, Meta(description="The line that the field is in, from 1, where rows or a text came.")]
        | UnsetType
    ) = UNSET


class Problem(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A problem (RFC 9457). The members after `instance` come with some types only."""

    type: Annotated[str, Meta(description="Stable; what a client decides by.")]
    title: str
    status: Annotated[int, Meta(ge=400, le=599)]
    detail: str
    instance: Annotated[str, Meta(description="Names the request, as the header X-Request-Id does.")]
    errors: tuple[WrongField, ...] | UnsetType = UNSET
    share: Annotated[float, Meta(description="not-short: the share asked for.")] | UnsetType = UNSET
    largest_share: Annotated[float, Meta(description="not-short: the largest short one.")] | UnsetType = UNSET
    task: (
        Annotated[str, Meta(description="nothing-fits, no-short-day-fits: the task that needs least.")]
        | UnsetType
    ) = UNSET
    smallest_window_seconds: (
        Annotated[int, Meta(description="nothing-fits: the smallest window that would do.")] | UnsetType
    ) = UNSET
    needed_seconds: (
        Annotated[int, Meta(description="no-short-day-fits: set-up and smallest piece of the task.")]
        | UnsetType
    ) = UNSET
    largest_seconds: (
        Annotated[int, Meta(description="no-short-day-fits: what the longest short window holds.")]
        | UnsetType
    ) = UNSET
    findings: Annotated[tuple[Finding, ...], Meta(description="not-specific: what is open.")] | UnsetType = (
        UNSET
    )
    plugin: Annotated[str, Meta(description="plugin-failed: which one.")] | UnsetType = UNSET


NO_TOKEN = ProblemType(
    "no-token",
    401,
    "A token is needed",
    "No token came along, or one that is unknown, expired or taken back.",
)
NOT_ALLOWED = ProblemType(
    "not-allowed",
    403,
    "This token may not do that",
    "It lacks the scope, or does not reach whom it is about.",
)
UNKNOWN_ID = ProblemType(
    "unknown-id", 404, "Nothing of that id", "The caller's school has nothing of the id in the path."
)
TAKEN = ProblemType("taken", 409, "That is taken already", "Something that must be unique is there already.")
SPENT = ProblemType(
    "spent", 410, "This opens nothing any more", "The code was used, taken back, or is too old."
)
STORED_OTHERWISE = ProblemType(
    "stored-otherwise",
    409,
    "Other content is stored already",
    "Other content is stored under some of the ids; `errors` names each. Nothing was stored.",
)
REMOVED = ProblemType(
    "removed",
    410,
    "It was removed",
    "What has the id was removed, and does not come back when it is sent again.",
)
ANSWER_ERASED = ProblemType(
    "answer-erased",
    410,
    "The answer was erased",
    "The request was done; the answer that was kept of it is erased.",
)
CHANGED_MEANWHILE = ProblemType(
    "changed-meanwhile", 412, "It was changed meanwhile", "If-Match names another state than the newest."
)
IF_MATCH_NEEDED = ProblemType(
    "if-match-needed", 428, "Say what you change", "A change needs If-Match with the ETag of what it changes."
)
NOT_PREPARED = ProblemType(
    "not-prepared",
    409,
    "No plan is prepared for this",
    "A day's sheet is made from a prepared plan; `detail` says which is missing, and what to do.",
)
NO_SIGNING_KEY = ProblemType(
    "no-signing-key",
    404,
    "This service signs nothing",
    "Bundles are signed, and the service was started without a key.",
)
KEY_REUSED = ProblemType(
    "key-reused",
    422,
    "The key came with another request",
    "An Idempotency-Key is one request's for 24 hours.",
)
TOO_MANY_REQUESTS = ProblemType(
    "too-many-requests",
    429,
    "Too many requests",
    "This minute's permits are used up; see Retry-After.",
)
BUSY = ProblemType(
    "busy", 503, "The database is busy", "Nothing was changed. The same request will do later."
)
ISSUER_OUT_OF_REACH = ProblemType(
    "issuer-out-of-reach",
    503,
    "The token cannot be checked now",
    "The outside issuer of tokens does not answer. The same request will do later.",
)
NOT_FOUND = ProblemType("not-found", 404, "Nothing is at this path", "No operation has this path.")
UNKNOWN_EXERCISE = ProblemType(
    "unknown-exercise", 404, "No such exercise", "No loaded catalogue has an exercise of this id."
)
METHOD_NOT_ALLOWED = ProblemType(
    "method-not-allowed", 405, "This path does not take that method", "The header Allow lists those it takes."
)
NOT_ACCEPTABLE = ProblemType(
    "not-acceptable",
    406,
    "Not in a form that you accept",
    "The header Accept excludes what this operation sends.",
)
TOO_LARGE = ProblemType(
    "too-large",
    413,
    "The body is too large",
    "Bodies hold at most 1 MiB, those of imports 4 MiB, catalogues 256 KiB.",
)
UNSUPPORTED_MEDIA_TYPE = ProblemType(
    "unsupported-media-type",
    415,
    "The body is of another kind",
    "Bodies are in UTF-8 without a content coding, of the kind that the header Accept of the answer names.",
)
MALFORMED_JSON = ProblemType(
    "malformed-json", 400, "The body is not JSON", "The body cannot be read as JSON."
)
BAD_REQUEST = ProblemType(
    "bad-request", 400, "The request cannot be read", "The request breaks HTTP's own rules."
)
INVALID_INPUT = ProblemType(
    "invalid-input",
    422,
    "Some fields are wrong",
    "`errors` lists every wrong field of the body or the query with its place and what would be accepted.",
)
NOT_SHORT = ProblemType(
    "not-short", 422, "That is no short day", "The share asked for is over `largest_share`."
)
NOTHING_FITS = ProblemType(
    "nothing-fits",
    422,
    "Nothing fits the time",
    "No task fits; `smallest_window_seconds` would do, for the task `task`.",
)
NO_SHORT_DAY_FITS = ProblemType(
    "no-short-day-fits",
    422,
    "Nothing fits any short day",
    "No window that counts as short holds a task; `errors` names the nearest and what would do.",
)
NOTHING_ALLOWED = ProblemType(
    "nothing-allowed",
    422,
    "No task may be planned",
    "Every task is pinned never, or is beyond the learner's limits.",
)
NOT_SPECIFIC = ProblemType(
    "not-specific",
    422,
    "The routine leaves questions open",
    "`strict` was asked for; `findings` lists the open questions with proposals.",
)
PLUGIN_FAILED = ProblemType(
    "plugin-failed", 500, "An instrument plugin failed", "`plugin` names it. The fault is not the request's."
)
INTERNAL = ProblemType(
    "internal", 500, "Something went wrong here", "The fault is ours; `instance` finds it in the log."
)
OUT_OF_TIME = ProblemType(
    "out-of-time", 503, "No answer in time", "The safety-net clock ran out. The same request may do later."
)
NOT_READY = ProblemType(
    "not-ready", 503, "The service is not ready", "The database is out of reach, or not migrated."
)

PROBLEM_TYPES: Final = (
    MALFORMED_JSON,
    BAD_REQUEST,
    NO_TOKEN,
    NOT_ALLOWED,
    NOT_FOUND,
    UNKNOWN_ID,
    UNKNOWN_EXERCISE,
    METHOD_NOT_ALLOWED,
    NOT_ACCEPTABLE,
    NO_SIGNING_KEY,
    TAKEN,
    NOT_PREPARED,
    STORED_OTHERWISE,
    SPENT,
    REMOVED,
    ANSWER_ERASED,
    CHANGED_MEANWHILE,
    TOO_LARGE,
    UNSUPPORTED_MEDIA_TYPE,
    INVALID_INPUT,
    KEY_REUSED,
    NOT_SHORT,
    NOTHING_FITS,
    NO_SHORT_DAY_FITS,
    NOTHING_ALLOWED,
    NOT_SPECIFIC,
    IF_MATCH_NEEDED,
    TOO_MANY_REQUESTS,
    PLUGIN_FAILED,
    INTERNAL,
    OUT_OF_TIME,
    BUSY,
    ISSUER_OUT_OF_REACH,
    NOT_READY,
)


class EngineProblemError(Exception):
    """A question came to a problem in a process of the engine. Its text is the trace of a fault of ours."""

    def __init__(self, problem: Problem, trace: str) -> None:
        self.problem = problem
        super().__init__(trace)


class ProblemError(Exception):
    """An error that already is a problem: its type, its detail, and headers that belong to it."""

    def __init__(
        self,
        problem_type: ProblemType,
        detail: str,
        *,
        errors: tuple[WrongField, ...] | UnsetType = UNSET,
        headers: dict[str, str] | None = None,
    ) -> None:
        self.problem_type = problem_type
        self.detail = detail
        self.errors = errors
        self.headers = headers or {}
        super().__init__(detail)
