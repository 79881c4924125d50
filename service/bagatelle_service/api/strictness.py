"""What the framework lets pass and this API does not, put right in one place (tried with litestar 2.25).

- It ignores Accept, Content-Type and Content-Encoding: here 406 and 415.
- It lets unknown and repeated query parameters pass, and stops at the first wrong one: here 422 with all.
- Its Allow is stale where a path has several handlers, and HEAD is 405: the frame works both out from
  `allowed_methods`.
- Its decoding of bodies is lenient and stops at the first error: bodies go through `bagatelle.decode`.
- Its document loses constraints and closed objects: `api.document` writes ours.
"""

import re
from collections import Counter
from typing import Any, Final, TypeVar
from urllib.parse import parse_qsl

import msgspec
from bagatelle.accepted import describe
from bagatelle.decode import request_schema
from litestar import Request
from litestar.exceptions import InternalServerException
from litestar.exceptions.http_exceptions import RequestEntityTooLarge
from msgspec import Struct, ValidationError

from bagatelle_service.api import problems
from bagatelle_service.api.operation import BODY_LIMIT_BYTES, body_kinds, operation_of
from bagatelle_service.api.problems import ProblemError, WrongField

Query = TypeVar("Query", bound=Struct)
QUERY_KEY = "query"
LONGEST_QUERY: Final = 8192
_PLAIN: Final = re.compile(r"0|-?[1-9][0-9]{0,14}|true|false")
_KEY: Final = re.compile(r"[\x21-\x7e]{1,128}")


async def check_request(request: Request[Any, Any, Any]) -> None:
    """Refuse what the operation does not take; runs before each handler that describes itself.

    :raises ProblemError: not-acceptable, unsupported-media-type or invalid-input.
    """
    operation = operation_of(request)
    if operation is None:
        return
    if not accepts(request.headers.get("accept", ""), operation.media_type):
        raise ProblemError(problems.NOT_ACCEPTABLE, f"This operation sends {operation.media_type} only.")
    kinds = body_kinds(operation)
    if kinds:
        _check_body_kind(request, kinds)
    request.scope["state"][QUERY_KEY] = read_query(request.scope["query_string"], operation.query)


async def read_body(request: Request[Any, Any, Any]) -> bytes:
    """Read the body, up to the limit that the application sets.

    :raises ProblemError: too-large, as soon as it goes over the limit; bad-request, where the connection closes
        before its end.
    """
    try:
        return await request.body()
    except RequestEntityTooLarge as error:
        operation = operation_of(request)
        limit = BODY_LIMIT_BYTES if operation is None else operation.body_limit_bytes
        shown = f"{limit // 2**20} MiB" if limit >= 2**20 else f"{limit // 2**10} KiB"
        detail = f"The body holds more than {shown} ({limit} bytes)."
        raise ProblemError(problems.TOO_LARGE, detail) from error
    except InternalServerException as error:
        raise ProblemError(problems.BAD_REQUEST, "The connection closed before the body ended.") from error


def idempotency_key(request: Request[Any, Any, Any]) -> str | None:
    """Read the Idempotency-Key; None where there is none.

    :raises ProblemError: invalid-input, where it is no key.
    """
    key = request.headers.get("idempotency-key")
    if key is None or _KEY.fullmatch(key):
        return key
    wrong = WrongField(
        part="header",
        pointer="/Idempotency-Key",
        message="no key",
        accepted="1 to 128 visible characters of ASCII, such as a UUID",
    )
    raise ProblemError(problems.INVALID_INPUT, "One header is wrong.", errors=(wrong,))


def query_of(request: Request[Any, Any, Any], kind: type[Query]) -> Query:
    """Return the query that `check_request` has read.

    :raises TypeError: where the handler asks for another kind than its operation declares.
    """
    query = request.scope["state"][QUERY_KEY]
    if not isinstance(query, kind):
        raise TypeError(f"the query is a {type(query).__name__}, and a {kind.__name__} was asked for")
    return query


def accepts(accept: str, media_type: str) -> bool:
    """Tell whether an Accept header takes a media type (RFC 9110, 12.5.1): the most specific range decides.

    An empty header takes everything. Parameters other than `q` do not narrow a range here, as ours have none.
    Problems are sent whatever Accept says, which RFC 9110 (12.5.1) allows: better than no word at all.
    """
    if not accept.strip():
        return True
    wanted = {media_type: 3, media_type.partition("/")[0] + "/*": 2, "*/*": 1}
    best_rank, best_quality = 0, 0.0
    for part in accept.split(","):
        name, _, parameters = part.partition(";")
        rank = wanted.get(name.strip().lower(), 0)
        if rank > best_rank:
            best_rank, best_quality = rank, _quality(parameters)
        elif rank and rank == best_rank:
            best_quality = max(best_quality, _quality(parameters))
    return best_quality > 0


def _quality(parameters: str) -> float:
    for parameter in parameters.split(";"):
        name, _, value = parameter.partition("=")
        if name.strip().lower() == "q":
            try:
                return float(value)
            except ValueError:
                return 0.0
    return 1.0


def body_kind(request: Request[Any, Any, Any]) -> str:
    """Return the media type of the body, without its parameters."""
    return request.headers.get("content-type", "").partition(";")[0].strip().lower()


def _check_body_kind(request: Request[Any, Any, Any], kinds: tuple[str, ...]) -> None:
    content_type = request.headers.get("content-type", "")
    if body_kind(request) not in kinds or not _is_utf8(content_type.partition(";")[2]):
        given = repr(content_type) if content_type else "absent"
        detail = f"The body must be {' or '.join(kinds)} in UTF-8; Content-Type is {given}."
        raise ProblemError(problems.UNSUPPORTED_MEDIA_TYPE, detail, headers={"Accept": ", ".join(kinds)})
    coding = request.headers.get("content-encoding", "identity").strip().lower()
    if coding != "identity":
        detail = f"The body must come without a content coding; Content-Encoding is {coding!r}."
        raise ProblemError(problems.UNSUPPORTED_MEDIA_TYPE, detail, headers={"Accept-Encoding": "identity"})


def _is_utf8(parameters: str) -> bool:
    for parameter in parameters.split(";"):
        name, _, value = parameter.partition("=")
        if name.strip().lower() == "charset" and value.strip().strip('"').lower() not in ("utf-8", "utf8"):
            return False
    return True


def read_query(query_string: bytes, kind: type[Struct] | None) -> Struct | None:
    """Read a query, every wrong parameter reported at once.

    :param kind: a struct of optional fields, one a parameter; a tuple's values stand in one parameter, with commas
        between. None where the operation takes no parameter.
    :raises ProblemError: invalid-input, with a pointer for each wrong parameter.
    """
    if len(query_string) > LONGEST_QUERY:
        message = f"the query has {len(query_string)} characters"
        too_long = WrongField(part="query", pointer="", message=message, accepted=f"at most {LONGEST_QUERY}")
        raise ProblemError(problems.INVALID_INPUT, "The query is too long.", errors=(too_long,))
    pairs = parse_qsl(query_string.decode("latin-1"), keep_blank_values=True, errors="replace")
    fields = {field.encode_name: field for field in msgspec.structs.fields(kind)} if kind else {}
    wrong = [*_repeated(pairs), *_unknown(pairs, tuple(fields))]
    values: dict[str, Any] = {}
    for name, text in dict(pairs).items():
        if name in fields:
            try:
                values[fields[name].name] = _typed(text, fields[name].type)
            except ValidationError as error:
                wrong.append(_wrong(name, str(error), _accepted(fields[name].type)))
    if wrong:
        detail = (
            "One query parameter is wrong."
            if len(wrong) == 1
            else f"{len(wrong)} query parameters are wrong."
        )
        raise ProblemError(problems.INVALID_INPUT, detail, errors=tuple(wrong))
    return kind(**values) if kind else None


def takes_list(kind: Any) -> bool:
    """Say whether a parameter takes several values, with commas between."""
    schema = msgspec.json.schema(kind)
    return schema.get("type") == "array"


def _typed(text: str, kind: Any) -> Any:
    if takes_list(kind):
        return msgspec.convert(text.split(","), kind)
    try:
        return msgspec.convert(text, kind)
    except ValidationError:
        # Whole numbers, true and false are written as in JSON; nothing else is guessed at.
        if not _PLAIN.fullmatch(text):
            raise
        return msgspec.convert(msgspec.json.decode(text), kind)


def _repeated(pairs: list[tuple[str, str]]) -> list[WrongField]:
    counts = Counter(name for name, _ in pairs)
    return [_wrong(name, "given more than once", "one value") for name, count in counts.items() if count > 1]


def _unknown(pairs: list[tuple[str, str]], known: tuple[str, ...]) -> list[WrongField]:
    accepted = ", ".join(known) if known else "no query parameters"
    return [_wrong(name, "unknown parameter", accepted) for name in dict(pairs) if name not in known]


def _wrong(name: str, message: str, accepted: str) -> WrongField:
    pointer = "/" + name.replace("~", "~0").replace("/", "~1")
    return WrongField(part="query", pointer=pointer, message=message, accepted=accepted)


def _accepted(kind: Any) -> str:
    schema = request_schema(kind)
    between = ", with commas between" if takes_list(kind) else ""
    return describe(schema, schema) + between
