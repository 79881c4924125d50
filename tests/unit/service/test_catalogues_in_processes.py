"""Catalogues of schools in the engine's own processes: each question is answered with those of who asks."""

import asyncio

import bagatelle
import msgspec
import pytest
from bagatelle import Instruments, load_instruments
from bagatelle.toml_catalogue import CatalogueText, join_catalogues
from bagatelle_service.api.problems import EngineProblemError
from bagatelle_service.engine_processes import EngineProcesses
from bagatelle_service.joined_instruments import (
    JOINED_KEPT,
    CatalogueToRead,
    JoinedInstruments,
    ReadCatalogue,
)
from msgspec.structs import replace

from tests.integration.own_exercises import STUDY_BOOK

NAME = "school/study-book"
REQUEST = b"""{"instrument": "study-book", "routine": {"blocks": [
    {"title": "Book", "tasks": [{"title": "Studies", "exercise": "study-book.studies", "minutes": 12}]}
]}}"""


def of_bars(bars: int) -> tuple[CatalogueText, ...]:
    return (CatalogueText(NAME, STUDY_BOOK.replace("bars = 24", f"bars = {bars}")),)


def test_one_process_answers_schools_in_turn() -> None:
    loaded = load_instruments()

    async def test() -> None:
        processes = EngineProcesses(1, 60)
        try:
            for bars in (24, 12, 24):
                answer = await processes.ask("compress", REQUEST, of_bars(bars))
                own = join_catalogues(loaded, of_bars(bars)).instruments
                assert answer == msgspec.json.encode(
                    bagatelle.compress(bagatelle.decode_request(REQUEST), own)
                )
            with pytest.raises(EngineProblemError) as raised:
                await processes.ask("compress", REQUEST)
            assert raised.value.problem.status == 422
        finally:
            await processes.close()

    asyncio.run(test())


def test_a_catalogue_is_read_there() -> None:
    async def test() -> None:
        processes = EngineProcesses(1, 60)
        try:
            text = CatalogueText(NAME, STUDY_BOOK)
            body = msgspec.json.encode(CatalogueToRead(catalogue=text, instrument="study-book"))
            answer = msgspec.json.decode(await processes.ask("read_catalogue", body), type=ReadCatalogue)
            of_data = ReadCatalogue(name="our study book", version="1", exercise_count=1, data_bytes=0)
            assert replace(answer, data_bytes=0) == of_data
            assert 1_000 < answer.data_bytes < 10_000
            wrong = CatalogueText(NAME, STUDY_BOOK.replace("form = 1", "form = 2"))
            body = msgspec.json.encode(CatalogueToRead(catalogue=wrong, instrument="study-book"))
            with pytest.raises(EngineProblemError) as raised:
                await processes.ask("read_catalogue", body)
            (fault,) = raised.value.problem.errors or ()
            assert (fault.pointer, fault.line) == ("/form", 1)
        finally:
            await processes.close()

    asyncio.run(test())


def test_those_of_the_schools_that_asked_last_are_kept() -> None:
    joined = JoinedInstruments(Instruments.none())
    assert joined.of(()) is joined.loaded
    first = joined.of(of_bars(1))
    for bars in range(2, JOINED_KEPT + 1):
        joined.of(of_bars(bars))
    # Found by what they hold, not by which texts they are.
    assert joined.of(of_bars(1)) is first
    for bars in range(JOINED_KEPT + 1, 2 * JOINED_KEPT + 1):
        joined.of(of_bars(bars))
    assert joined.of(of_bars(1)) is not first
