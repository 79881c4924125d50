"""What answers for one school: the engine with the loaded plugins, and with the school's own catalogues."""

from collections.abc import Awaitable
from typing import Protocol

from bagatelle import Instruments
from bagatelle.toml_catalogue import CatalogueText
from msgspec import Struct

from bagatelle_service.engine_questions import Ask, Question
from bagatelle_service.school.plan_versions import LoadedVersions


class AskWith(Protocol):
    """Asks the engine with catalogues beside what is loaded."""

    def __call__(
        self, question: Question, body: bytes, catalogues: tuple[CatalogueText, ...] = ()
    ) -> Awaitable[bytes]:
        """Ask, off the event loop and on a clock."""
        ...


class SchoolEngine(Struct, frozen=True, kw_only=True):
    """Everything that is asked of instruments for one school."""

    instruments: Instruments
    loaded: LoadedVersions
    ask: Ask
