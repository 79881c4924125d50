"""Searches of exercises, against the policy and one exercise by its id on the same server in the same run."""

import subprocess
import sys
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter
from typing import Final
from urllib.parse import urlencode

import msgspec
from bagatelle.catalogue.search import Wanted

from tests.bench.bench_server import ROOT, Running, running
from tests.bench.catalogues import INSTRUMENTS, WORDS, made_up, numbers, title_of, word
from tests.bench.endpoint import Round
from tests.bench.load import Load
from tests.bench.processor_time import spent_seconds
from tests.bench.search_server import SIZE_BY
from tests.bench.tables import milliseconds, percentile, table

SIZES: Final = (300, 20_000)
ROUNDS: Final = 3
REQUESTS: Final = 400
"""Of each kind in each round."""
CONNECTIONS: Final = 4
POLICY: Final = "the policy"
ONE: Final = "one exercise by its id"
ALL: Final = "no filter"
FILTERS: Final = "three filters"
WORD: Final = "a common word"
BEGUN: Final = "two letters"
MISSPELT: Final = "two misspelt words"
BOTH: Final = "a misspelt word, filters, a later page"
KINDS: Final = (POLICY, ONE, ALL, FILTERS, WORD, BEGUN, MISSPELT, BOTH)


def run() -> str:
    """Measure for each size of catalogue, and write the report."""
    return "\n\n".join(_measured(size) for size in SIZES)


def _measured(size: int) -> str:
    rounds: dict[str, list[Round]] = {name: [] for name in KINDS}
    with TemporaryDirectory() as folder:
        settings = {
            "BAGATELLE_DATABASE_URL": f"sqlite:///{folder}/bench.sqlite3",
            "BAGATELLE_OPEN": "true",
            SIZE_BY: str(size),
        }
        with running("tests.bench.search_server", Path(folder), **settings) as server:
            for name in KINDS:
                _load(server, _paths(name, ROUNDS, size)[:50])
            for number in range(ROUNDS):
                for name in KINDS:
                    before = spent_seconds(server.process_id)
                    load = _load(server, _paths(name, number, size))
                    rounds[name].append(Round(load, spent_seconds(server.process_id) - before))
    return _report(size, rounds)


def _load(server: Running, paths: list[str]) -> Load:
    done = subprocess.run(
        [sys.executable, "-m", "tests.bench.get_load", str(server.port), str(CONNECTIONS)],
        cwd=ROOT,
        input="\n".join(paths).encode(),
        stdout=subprocess.PIPE,
        check=True,
        timeout=200,
    )
    return msgspec.json.decode(done.stdout, type=Load)


def _paths(name: str, number: int, size: int) -> list[str]:
    return [_path(name, REQUESTS * number + place, size) for place in range(REQUESTS)]


def _path(name: str, number: int, size: int) -> str:
    """Of the searches with words no two alike in a run, apart from the common words and the two letters."""
    drawn = numbers(number)
    if name == POLICY:
        return "/v1/policy"
    if name == ONE:
        place = next(drawn) % size
        return f"/v1/exercises/b{place % INSTRUMENTS}.x-{place}"
    common = word(next(drawn) % 20)
    filters = {"area": "technique,tone,rhythm", "strain": "none,low", "longest_unit_seconds": "120"}
    title = title_of(next(drawn) % size).split()
    misspelt = [_misspelt(each, next(drawn)) for each in title]
    asked: dict[str, dict[str, str]] = {
        ALL: {},
        FILTERS: filters | {"instrument": f"b{number % INSTRUMENTS}"},
        WORD: {"q": common},
        BEGUN: {"q": common[:2]},
        MISSPELT: {"q": " ".join(misspelt[:2])},
        BOTH: {**filters, "q": misspelt[0], "limit": "5", "cursor": "AAAF"},
    }
    return "/v1/exercises?" + urlencode(asked[name])


def _misspelt(known: str, number: int) -> str:
    place = number % len(known)
    letter = chr(ord("a") + number // 7 % 26)
    return known[:place] + letter + known[place + 1 :]


def _report(size: int, rounds: dict[str, list[Round]]) -> str:
    instruments = made_up(size)
    begun = perf_counter()
    indexed = instruments.search.page(Wanted(), "en", limit=1).matching
    took = perf_counter() - begun
    spent = {name: median(each.processor_seconds_each for each in every) for name, every in rounds.items()}
    rows = [
        [
            name,
            f"{spent[name] / spent[POLICY]:.1f}",
            f"{spent[name] / spent[ONE]:.1f}",
            milliseconds(spent[name]),
            milliseconds(median(percentile(each.load.request_seconds, 99) for each in every)),
            f"{median(each.load.answer_bytes / len(each.load.request_seconds) for each in every):.0f}",
        ]
        for name, every in rounds.items()
    ]
    explanation = (
        f"{indexed} made-up exercises with {WORDS} words; pages of 50. One worker, {CONNECTIONS} connections kept "
        f"alive, load from another process, {ROUNDS} rounds of {REQUESTS} interleaved, medians. To index the "
        f"exercises when the service starts takes {took:.2f} s."
    )
    head = [
        "",
        "processor time, times the policy's",
        "times one exercise's",
        "processor time each",
        "99 % within",
        "bytes",
    ]
    return "\n".join([f"## Searches of {size} exercises", "", explanation, "", table(head, rows)])
