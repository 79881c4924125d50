"""A plugin that is wrong in one way fails exactly the check of it, and is told what is wrong and where."""

from pathlib import Path

import pytest
from bagatelle.kit.checks import CHECKS

from tests.unit.kit.projects import (
    AMERICAN,
    ENGLISH,
    Edit,
    at_import,
    failed,
    in_material,
    reasons,
    report_of,
)

AT_120 = 'if settings["bpm"] == 120:\n        '

WRONG: list[tuple[str, str, tuple[Edit, ...]]] = [
    # What the host refuses
    ("loading", '"zither" is not among the values accepted', (Edit('family="none"', 'family="zither"'),)),
    ("loading", "missing_module", (at_import("import missing_module"),)),
    ("loading", "exit code 7", (at_import("import os; os._exit(7)"),)),
    (
        "loading",
        "Missing required argument 'area', in plugin.py, line ",
        (Edit('    area="tone",\n', ""),),
    ),
    (
        "loading",
        "raised LookupError: no reed, in plugin.py, line ",
        (in_material("raise LookupError('no reed')"),),
    ),
    ("loading", "area", (Edit('    area="tone",\n', ""),)),
    ("loading", "daily_cap_seconds is needed", (Edit('strain="low"', 'strain="high"'),)),
    ("loading", "a caution is needed", (Edit('strain="low"', 'strain="high", daily_cap_seconds=300'),)),
    ("loading", "no value for the setting 'bpm'", (Edit(', "bpm": 60}', "}"),)),
    ("loading", "no valid JSON Schema", (Edit('"minimum": 40', '"minimum": "slow"'),)),
    ("loading", "the id must begin with 'kazoo.'", (Edit('id="kazoo.held', 'id="comb.held'),)),
    ("loading", "sources is empty", (Edit("sources=(\n", "sources=() and (\n"),)),
    # What it takes
    ("import-time", "ms of reckoning", (at_import("sum(range(10_000_000))"),)),
    (
        "imports",
        "bagatelle_kazoo/plugin.py, line",
        (at_import("from bagatelle.engine.timing import time_of"),),
    ),
    (
        "imports",
        "imports bagatelle.model.text (accepted: bagatelle.contract)",
        (in_material("import bagatelle.model.text"),),
    ),
    ("purity", "starts a thread", (in_material("import threading; threading.Thread(target=int).start()"),)),
    ("imports", "imports bagatelle.compress (", (at_import("from bagatelle import compress, contract"),)),
    ("purity", "clock (time) in plugin.py, line", (at_import("import time; time.time()"),)),
    ("purity", "random numbers", (in_material("import random; random.random()"),)),
    (
        "repeatability",
        "two calls",
        (
            at_import("CALLS = []"),
            in_material(f"{AT_120}CALLS.append(1)"),
            Edit('{"beats": settings["beats"],', '{"calls": len(CALLS), "beats": settings["beats"],'),
        ),
    ),
    (
        "repeatability",
        "what was asked before",
        (
            at_import("ASKED = set()"),
            in_material('ASKED.add(settings["bpm"])'),
            Edit('{"beats": settings["beats"],', '{"asked": len(ASKED), "beats": settings["beats"],'),
        ),
    ),
    ("repeatability", "two processes", (Edit('in settings["notes"]', 'in {*settings["notes"]}'),)),
    (
        "ids",
        "kazoo.buzz: was there before and is gone (accepted: keep it, or say `old -> new` in the listing, ids.txt",
        (Edit(" ids.txt`.\n", " ids.txt`.\nkazoo.buzz\n", "ids.txt"),),
    ),
    (
        "ids",
        "'kazoo.hum', which is not there",
        (Edit(" ids.txt`.\n", " ids.txt`.\nkazoo.buzz -> kazoo.hum\n", "ids.txt"),),
    ),
    ("schemas", "'bpm' is of type integer and has no maximum", (Edit(', "maximum": 120', ""),)),
    (
        "schemas",
        "'beats' has a maxLength of 1000000000",
        (
            Edit('{"type": "integer", "minimum": 2, "maximum": 8}', '{"type": "string", "maxLength": 1e9}'),
            Edit('"beats": 4,', '"beats": "4",'),
            Edit('beats_per_bar=settings["beats"]', 'beats_per_bar=len(settings["beats"][:4]) or 1'),
            Edit('{"beats": settings["beats"],', '{"beats": 4,'),
        ),
    ),
    (
        "schemas",
        "the setting 'month' was tried with nothing but its default",
        (
            Edit(
                '"beats": {"type"',
                '"month": {"type": "string", "maxLength": 7, "pattern": "^20..-..$"},\n"beats": {"type"',
            ),
            Edit('"beats": 4,', '"beats": 4, "month": "2027-03",'),
        ),
    ),
    ("schemas", "'notes' is of type array and has no maxItems", (Edit('"maxItems": 5,\n', ""),)),
    (
        "settings",
        "raised KeyError: 'bpm', in plugin.py, line 86 (with bpm 120",
        (in_material(f'{AT_120}raise KeyError("bpm")'),),
    ),
    (
        "settings",
        "raised Mute, in plugin.py, line ",
        (
            at_import("class Mute(ValueError):\n    def __str__(self):\n        raise KeyError\n"),
            in_material(f"{AT_120}raise Mute"),
        ),
    ),
    (
        "settings",
        "raised RecursionError",
        (
            at_import("def deeper(value):\n    return [deeper(value)]\n"),
            in_material(f"{AT_120}deeper(settings)"),
        ),
    ),
    (
        "settings",
        "the parameter 'how' is a bytes (accepted: text, a number, a Message, a tuple of these)",
        (
            Edit(
                '{"beats": settings["beats"],',
                '{"how": b"even" if settings["bpm"] == 120 else 1, "beats": 4,',
            ),
        ),
    ),
    (
        "settings",
        "unit 'C': the parameter 'note' is a date",
        (
            at_import("import datetime"),
            Edit(
                '{"note": note}', '{"note": datetime.date(2026, 3, 28) if settings["bpm"] == 120 else note}'
            ),
        ),
    ),
    (
        "settings",
        "/units/0/timing/pause_seconds: nan is no finite number (accepted: a number of at least 0)",
        (Edit("pause_seconds=8", 'pause_seconds=8 if settings["bpm"] < 120 else float("nan")'),),
    ),
    (
        "settings",
        "/units/0/timing/passes: Expected `int`, got `float` (with bpm 120",
        (Edit("passes=4", 'passes=4 if settings["bpm"] < 120 else 4.0'),),
    ),
    ("settings", "raised ValueError: invalid literal for int()", (in_material(f"{AT_120}int('x')"),)),
    ("settings", "raised UnicodeDecodeError", (in_material(f"{AT_120}b'\\xff'.decode()"),)),
    ("settings", "raised JSONDecodeError", (in_material(f"{AT_120}json.loads('{{')"),)),
    (
        "settings",
        "has 0 units",
        (Edit('settings["notes"]\n', 'settings["notes"] if settings["bpm"] < 120\n'),),
    ),
    ("defaults", "concreteness is 'open'", (Edit('concreteness="exact"', 'concreteness="open"'),)),
    (
        "defaults",
        "lasts longer by default",
        (Edit("usual_minutes=5", "usual_minutes=0.25"), Edit("chunk_seconds=60", "chunk_seconds=10")),
    ),
    (
        "defaults",
        "is longer than the exercise usually takes",
        (Edit("chunk_seconds=60", "chunk_seconds=301"),),
    ),
    ("defaults", "2 units are called 'C'", (Edit('{"note": note}', '{"note": note.replace("D", "C")}'),)),
    (
        "lengths",
        "lasts 7608 seconds by its timing (accepted: 1 to 7200)",
        (Edit("pause_seconds=8", 'pause_seconds=7600 if settings["bpm"] == 120 else 8'),),
    ),
    (
        "lengths",
        "lasts 0.25 seconds",
        (
            Edit("passes=4, pause_seconds=8", "passes=1"),
            Edit("bars=1", 'bars=1 if settings["bpm"] < 120 else 0.125'),
        ),
    ),
    ("strain", "so no day could hold it", (Edit('strain="low"', 'strain="low", daily_cap_seconds=30'),)),
    (
        "strain",
        "the soft form strains more (moderate) than the exercise itself (low)",
        (
            Edit(
                "    sources=(\n",
                '    soft_form=SoftForm(strain="moderate", loudness="soft", needs_instrument=True),\n'
                "    sources=(\n",
            ),
            Edit("    Source,\n", "    SoftForm,\n    Source,\n"),
            Edit(
                '  "kazoo.held-notes.how":',
                '  "kazoo.held-notes.soft.what": "Notes",\n'
                '  "kazoo.held-notes.soft.how": "softly",\n  "kazoo.held-notes.how":',
                ENGLISH,
            ),
        ),
    ),
    (
        "sources",
        "the fact is 'verified' and its source is 'none'",
        (
            Edit('source="teachers\' habit"', 'source="none"'),
            Edit('status="common practice, no source"', 'status="verified"'),
        ),
    ),
    ("sources", "no fact is said", (Edit('"Held notes are played slowly, each several times."', '" "'),)),
    (
        "wording",
        "text 'kazoo.allegro': there is no text of this id (with bpm 120",
        (
            Edit(
                'Message("kazoo.tempo"',
                'Message("kazoo.allegro" if settings["bpm"] == 120 else "kazoo.tempo"',
            ),
        ),
    ),
    (
        "wording",
        "in the locale 'en-US', text 'kazoo.tempo' says nothing",
        (Edit("quarter note = {bpm}", "", AMERICAN),),
    ),
    ("wording", "a gap or a blank too many", (Edit('"Held notes"', '"Held  notes"', ENGLISH),)),
    ("wording", "raises ValueError without a message", (in_material(f"{AT_120}raise ValueError"),)),
]


@pytest.mark.parametrize(
    ("check", "words", "edits"), WRONG, ids=[f"{check}-{words[:40]}" for check, words, _ in WRONG]
)
def test_it_fails_this_check_alone(tmp_path: Path, check: str, words: str, edits: tuple[Edit, ...]) -> None:
    report = report_of(tmp_path, *edits)
    assert failed(report) == [check], report.faults
    assert any(words in reason for reason in reasons(report, check)), report.faults
    assert not report.is_right
    assert bool(report.not_checked) == (check == "loading")


def test_every_check_has_a_plugin_that_fails_it() -> None:
    assert {check for check, _, _ in WRONG} == set(CHECKS)


def test_the_plugin_that_they_were_made_from_is_right(tmp_path: Path) -> None:
    report = report_of(tmp_path)
    assert failed(report) == []
    assert report.is_right
    assert (report.exercises, report.locales) == (("kazoo.held-notes",), ("en", "en-US"))
    assert report.settings_tried > 10


def test_one_that_loads_in_one_process_alone(tmp_path: Path) -> None:
    code = "import os; os.environ.get('PYTHONHASHSEED') == '2' and os._exit(3)"
    report = report_of(tmp_path, at_import(code))
    assert failed(report) == ["loading"]
    assert "exit code 3" in reasons(report, "loading")[0]
    assert report.not_checked == ("import-time", "repeatability")
    assert not report.is_right


def test_a_hook_that_answers_once_alone(tmp_path: Path) -> None:
    once = Edit(
        'folder = files("bagatelle_kazoo")',
        'CALLS.append(1)\n    assert len(CALLS) < 2\n    folder = files("bagatelle_kazoo")',
    )
    report = report_of(tmp_path, at_import("CALLS = []"), once)
    assert failed(report) == ["loading"]
    assert reasons(report, "loading")[0].startswith("bagatelle_texts: raised AssertionError")
    assert len(report.not_checked) == len(CHECKS) - 2


def test_a_fault_that_comes_with_many_settings_is_said_once(tmp_path: Path) -> None:
    report = report_of(tmp_path, in_material('if settings["beats"] != 4:\n        raise KeyError("beats")'))
    (reason,) = reasons(report, "settings")
    assert reason.startswith(
        "bagatelle_material of kazoo.held-notes: raised KeyError: 'beats', in plugin.py, line 86 "
        "(with beats 2, and with "
    )
    assert reason.endswith(" other settings)")


@pytest.mark.parametrize(
    "code",
    [
        'raise ValueError("at most 119")',
        'raise type("Fast", (ValueError,), {})("at most 119")',
        'raise ValueError("at most 119") from KeyError()',
        'check(settings["bpm"])',
        'with open(__file__): raise ValueError("at most 119")',
    ],
)
def test_settings_that_are_refused_on_purpose(tmp_path: Path, code: str) -> None:
    check = at_import(
        'def check(bpm):\n    try:\n        int("x")\n    finally:\n        raise ValueError("at most 119")'
    )
    report = report_of(tmp_path, check, in_material(f"{AT_120}{code}"))
    assert report.is_right, report


def test_texts_that_cannot_be_read_are_not_said_to_be_missing(tmp_path: Path) -> None:
    report = report_of(tmp_path, Edit("    return tuple(\n        Texts(", "    return (\n        Texts("))
    assert reasons(report, "loading") == [
        "bagatelle_texts: is a generator (accepted: a tuple)",
        "bagatelle_texts: has no texts in 'en', which every plugin speaks",
    ]
