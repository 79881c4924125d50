"""The committed description of the API: where it lies, and what it should say."""

from pathlib import Path
from typing import Final

from bagatelle import Instruments

from bagatelle_service.api.document import build_document, document_text
from bagatelle_service.app import create_app
from bagatelle_service.bundled import bundled_folder
from bagatelle_service.settings import Settings

FILE: Final = "v1.json"


def contract_file() -> Path:
    """Find the committed description."""
    return bundled_folder("openapi") / FILE


def contract_text() -> str:
    """Describe the API as it is in the code, whatever plugins are installed."""
    frame = create_app(Settings(database_url="sqlite://"), Instruments.none())
    return document_text(build_document(frame.litestar.routes))
