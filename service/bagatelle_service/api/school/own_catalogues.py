"""`/v1/school/exercises`: a school's own exercises, as catalogues in TOML."""

import re
from typing import Any, Final

import msgspec
from bagatelle.toml_catalogue import CatalogueFileError, CatalogueText, FileFault
from litestar import Request, Response, delete, get, put
from litestar.handlers import HTTPRouteHandler

from bagatelle_service.api import problems
from bagatelle_service.api.engine_of import EngineOf
from bagatelle_service.api.operation import (
    OPT_KEY,
    TOML,
    Example,
    Operation,
    PathParameter,
    TextBody,
    from_file,
    text_from_file,
)
from bagatelle_service.api.school.stored import Stored
from bagatelle_service.joined_instruments import CatalogueToRead, ReadCatalogue
from bagatelle_service.school.errors import MissingError
from bagatelle_service.school.own_catalogues import (
    CATALOGUE_LIMIT_BYTES,
    CATALOGUES_LIMIT,
    DATA_LIMIT_BYTES,
    EXERCISES_LIMIT,
    CheckedCatalogue,
    SchoolCatalogueAnswer,
    SchoolCataloguesAnswer,
    list_catalogues,
    plugin_name,
    put_catalogue,
    remove_catalogue,
    show_catalogue,
)
from bagatelle_service.school_engine import SchoolEngine

AnyRequest = Request[Any, Any, Any]
_ALL: Final = "/v1/school/exercises"
_ONE: Final = _ALL + "/{instrument:str}"
_PATTERN: Final = r"^[a-z0-9]+(-[a-z0-9]+)*$(?!\n)"
_LONGEST: Final = 64
_INSTRUMENT: Final = (
    PathParameter(
        name="instrument",
        description="The id of the catalogue's instrument.",
        example="study-book",
        pattern=_PATTERN,
        longest=_LONGEST,
    ),
)
_TEXT: Final = (Example("study-book", "A study book, by number and bars", text_from_file("study-book.toml")),)

LIST_OWN_CATALOGUES: Final = Operation(
    operation_id="list_own_catalogues",
    tag="school",
    summary="List the school's own exercises",
    description=(
        "Its catalogues, each with how many exercises it has; the exercises themselves are listed with all others. "
        "`next` is for later pages; so far there are none."
    ),
    stored=True,
    scope="exercises.read",
    answer=SchoolCataloguesAnswer,
    answer_description="The catalogues.",
    answer_examples=(Example("catalogues", "One", from_file("own-catalogues-answer")),),
)
SHOW_OWN_CATALOGUE: Final = Operation(
    operation_id="show_own_catalogue",
    tag="school",
    summary="Show a catalogue of the school's own",
    description="The text as it was sent.",
    stored=True,
    scope="exercises.read",
    path_parameters=_INSTRUMENT,
    media_type=TOML,
    has_revision=True,
    answer=None,
    answer_description="The catalogue.",
    answer_examples=_TEXT,
)
PUT_OWN_CATALOGUE: Final = Operation(
    operation_id="put_own_catalogue",
    tag="school",
    summary="Store exercises of the school's own",
    description=(
        "Takes a catalogue in TOML, by the form that plugins without code have: an instrument with its exercises, "
        "such as a study book by number and bars. They are the school's alone, and are used wherever its routines "
        "are stored and planned, and found with its tokens among all exercises; nobody else is told of them. The "
        "instrument's id is the one in the path and none that a plugin has. A text that is wrong is refused with "
        "its faults, each with its line: those of TOML, or else those of the form, or else where names and numbers "
        "do not fit, so that some show only when others are mended. At most "
        f"{CATALOGUE_LIMIT_BYTES // 1024} KiB a catalogue, "
        f"{CATALOGUES_LIMIT} catalogues and {EXERCISES_LIMIT} exercises a school, and "
        f"{DATA_LIMIT_BYTES // 2**20} MiB of what they come to with every value that their settings may have. The "
        "same text again changes nothing; another makes the plans that were made with it outdated, as a new "
        "version of a plugin does."
    ),
    stored=True,
    scope="exercises.change",
    path_parameters=_INSTRUMENT,
    text_bodies=(TextBody(media_type=TOML, examples=_TEXT),),
    body_limit_bytes=CATALOGUE_LIMIT_BYTES,
    changes=True,
    match_where_lost=True,
    may_make=True,
    has_revision=True,
    answer=SchoolCatalogueAnswer,
    answer_description="What is stored now.",
    answer_examples=(Example("catalogue", "A study book", from_file("own-catalogue-answer")),),
    problems=(problems.TAKEN, problems.OUT_OF_TIME),
)
REMOVE_OWN_CATALOGUE: Final = Operation(
    operation_id="remove_own_catalogue",
    tag="school",
    summary="Remove exercises of the school's own",
    description=(
        "Routines that use them stay readable, and the plans that were made with them usable, and outdated. To "
        "plan such a routine anew is refused until the catalogue is back or the routine changed, as where a plugin "
        "is gone."
    ),
    stored=True,
    scope="exercises.change",
    path_parameters=_INSTRUMENT,
    changes=True,
    status=204,
    answer=None,
    answer_description="They are removed.",
)


def own_catalogue_routes(
    stored: Stored, engine_of: EngineOf, of_no_school: SchoolEngine
) -> list[HTTPRouteHandler]:
    """Make the handlers.

    :param of_no_school: has what is loaded alone, which a new catalogue is held against.
    """

    @get(_ALL, opt={OPT_KEY: LIST_OWN_CATALOGUES})
    async def show_list(request: AnyRequest) -> Response[bytes]:
        reports = (await engine_of(request)).instruments.plugins
        left_out = {report.name: report.reason for report in reports if report.reason is not None}
        return await stored.show(request, lambda work: list_catalogues(work, left_out))

    @get(_ONE, opt={OPT_KEY: SHOW_OWN_CATALOGUE})
    async def show(request: AnyRequest) -> Response[bytes]:
        instrument = _instrument(request)
        return await stored.show(request, lambda work: show_catalogue(work, instrument))

    @put(_ONE, status_code=200, request_max_body_size=CATALOGUE_LIMIT_BYTES, opt={OPT_KEY: PUT_OWN_CATALOGUE})
    async def store(request: AnyRequest) -> Response[bytes]:
        instrument = request.path_params["instrument"]

        async def read(raw: bytes) -> CheckedCatalogue:
            text = CatalogueText(plugin_name(instrument), _decoded(plugin_name(instrument), raw))
            asked = msgspec.json.encode(CatalogueToRead(catalogue=text, instrument=instrument))
            answer = await of_no_school.ask("read_catalogue", asked)
            return CheckedCatalogue(toml=text.text, found=msgspec.json.decode(answer, type=ReadCatalogue))

        return await stored.put_text(
            request, read, lambda work, checked: put_catalogue(work, instrument, checked)
        )

    @delete(_ONE, status_code=204, opt={OPT_KEY: REMOVE_OWN_CATALOGUE})
    async def remove(request: AnyRequest) -> Response[None]:
        instrument = _instrument(request)
        return await stored.remove(request, lambda work: remove_catalogue(work, instrument))

    return [show_list, show, store, remove]


def _instrument(request: AnyRequest) -> str:
    instrument: str = request.path_params["instrument"]
    if len(instrument) > _LONGEST or not re.search(_PATTERN, instrument):
        raise MissingError("catalogue", "instrument")  # nothing has an id of that shape
    return instrument


def _decoded(name: str, raw: bytes) -> str:
    try:
        return raw.decode()
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise CatalogueFileError([FileFault(name, line, "the text is not UTF-8")]) from error
