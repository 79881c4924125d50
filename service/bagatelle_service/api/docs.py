"""`/openapi.json`, and `/docs`: a page that reads it, with every script and style from this service."""

from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

from litestar import Request, Response, get
from litestar.handlers import HTTPRouteHandler
from swagger_ui_bundle import swagger_ui_path  # type: ignore[import-untyped]  # it ships no types

from bagatelle_service.api import problems
from bagatelle_service.api.answering import KEEP, tagged_answer
from bagatelle_service.api.operation import HTML, OPT_KEY, Operation
from bagatelle_service.api.problems import ProblemError

OWN_ASSETS: Final = Path(__file__).parent.parent / "docs_assets"
VIEWER: Final = Path(str(swagger_ui_path))
ASSETS: Final = {
    "start.js": (OWN_ASSETS, "text/javascript"),
    "swagger-ui-bundle.js": (VIEWER, "text/javascript"),
    "swagger-ui.css": (VIEWER, "text/css"),
    "favicon-32x32.png": (VIEWER, "image/png"),
}
# The viewer sets styles on elements and draws its icons from data URLs.
DOCS_POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data:; "
    "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)

SHOW_DOCUMENT = Operation(
    operation_id="show_document",
    tag="service",
    summary="Show this description",
    description="The API's own description, OpenAPI 3.1.",
    answer=dict[str, Any],
    answer_description="The description.",
    needs_token=False,
    cached=True,
)
SHOW_DOCS = Operation(
    operation_id="show_docs",
    tag="service",
    summary="Read the description as a page",
    description="Needs no internet: everything that the page loads comes from this service.",
    answer=None,
    answer_description="The page.",
    media_type=HTML,
    needs_token=False,
)


def docs_routes(document: Callable[[], bytes]) -> list[HTTPRouteHandler]:
    """Make the handlers.

    :param document: gives the encoded description; asked at the first request, when all routes are known.
    """

    @get("/openapi.json", opt={OPT_KEY: SHOW_DOCUMENT})
    async def show_document(request: Request[Any, Any, Any]) -> Response[bytes]:
        return tagged_answer(request, document())

    page = (OWN_ASSETS / "docs.html").read_bytes()

    @get("/docs", opt={OPT_KEY: SHOW_DOCS})
    async def show_docs() -> Response[bytes]:
        return Response(
            page, media_type=HTML, headers={"Content-Security-Policy": DOCS_POLICY, "Cache-Control": KEEP}
        )

    # Not in the description: the page's own files.
    @get("/docs/assets/{file:str}")
    async def show_asset(request: Request[Any, Any, Any]) -> Response[bytes]:
        file = request.path_params["file"]
        if file not in ASSETS:
            raise ProblemError(problems.NOT_FOUND, "The docs page has no such file.")
        folder, media_type = ASSETS[file]
        return Response((folder / file).read_bytes(), media_type=media_type, headers={"Cache-Control": KEEP})

    return [show_document, show_docs, show_asset]
