"""Finds what answers for a school, by the catalogues that it has stored."""

from collections import OrderedDict
from functools import partial
from uuid import UUID

from bagatelle import Instruments
from bagatelle.toml_catalogue import CatalogueText, join_catalogues

from bagatelle_service.database.storage import Storage
from bagatelle_service.engine_calls import EngineCalls
from bagatelle_service.joined_instruments import JOINED_KEPT
from bagatelle_service.school.own_catalogues import CatalogueHashes, catalogue_hashes, catalogue_texts
from bagatelle_service.school.plan_versions import loaded_versions
from bagatelle_service.school_engine import AskWith, SchoolEngine


class SchoolEngines:
    """Keeps the engines of the schools that asked last. For one event loop.

    A request finds its school's once, at its begin: what is stored meanwhile is the next one's.

    :param ask: asks the engine, wherever it runs.
    """

    def __init__(
        self, storage: Storage, instruments: Instruments, engine_calls: EngineCalls, ask: AskWith
    ) -> None:
        self._storage = storage
        self._loaded = instruments
        self._engine_calls = engine_calls
        self._ask = ask
        self.of_no_school = self._engine(instruments, ())
        self._kept: OrderedDict[CatalogueHashes, SchoolEngine] = OrderedDict()

    async def of(self, school_id: UUID | None) -> SchoolEngine:
        """Find the engine of a school, or of none."""
        if school_id is None:
            return self.of_no_school
        async with self._storage.read(school_id) as session:
            hashes = await catalogue_hashes(session)
            if not hashes:
                return self.of_no_school
            if hashes in self._kept:
                self._kept.move_to_end(hashes)
                return self._kept[hashes]
            texts = await catalogue_texts(session)
        joined = await self._engine_calls.run(lambda: join_catalogues(self._loaded, texts))
        engine = self._kept[hashes] = self._engine(joined.instruments, texts)
        while len(self._kept) > JOINED_KEPT:
            self._kept.popitem(last=False)
        return engine

    def _engine(self, instruments: Instruments, texts: tuple[CatalogueText, ...]) -> SchoolEngine:
        return SchoolEngine(
            instruments=instruments,
            loaded=loaded_versions(instruments),
            ask=partial(self._ask, catalogues=texts),
        )
