"""What a plugin does besides answering is seen, wherever it is hidden; what it may do is not blamed."""

from pathlib import Path

import pytest
from bagatelle.kit.checks import Outcome
from bagatelle.kit.children import asked_in_a_process
from bagatelle.kit.examined import Question
from bagatelle.kit.subject import subjects_of

from tests.unit.kit.projects import Edit, at_import, in_material, project


def seen(folder: Path, *edits: Edit) -> list[str]:
    (subject,) = subjects_of(str(project(folder, edits)))
    outcome: Outcome = asked_in_a_process(Question(subject=subject, watched=True), hash_seed=1)
    assert outcome.loaded, outcome.faults
    return [str(fault) for fault in outcome.faults.get("purity", [])]


IMPURE = [
    ("import time; time.time()", "clock (time)"),
    ("from time import time as t; t()", "clock (time)"),
    ("import time; time.monotonic()", "clock (monotonic)"),
    ("import time; time.perf_counter_ns()", "clock (perf_counter_ns)"),
    ("import time; time.sleep(0)", "clock (sleep)"),
    ("import time; time.strftime('%H:%M')", "clock (strftime)"),
    ("import time; time.gmtime()", "clock (gmtime)"),
    ("import threading; threading.Thread(target=int).start()", "starts a thread (start_"),
    ("import datetime; datetime.datetime.now()", "clock (datetime.now)"),
    ("from datetime import datetime, UTC; datetime.now(UTC)", "clock (datetime.now)"),
    ("import datetime; datetime.date.today()", "clock (date.today)"),
    ("import random; random.choice([1, 2])", "random numbers (Random.getrandbits)"),
    ("import random; random.Random(7).random()", "random numbers (Random.random)"),
    ("import random; random.shuffle([1, 2, 3])", "random numbers"),
    ("import os; os.urandom(4)", "random numbers (urandom)"),
    ("import secrets; secrets.token_hex(4)", "random numbers (urandom)"),
    ("import uuid; uuid.uuid4()", "random numbers (urandom)"),
    ("import uuid; uuid.uuid1()", "random numbers (generate_time_safe)"),
    ("import tempfile; tempfile.gettempdir()", "writes"),
    ("import pathlib; pathlib.Path(__file__).with_name('x').write_text('x')", "writes (open of x)"),
    ("open(__file__, 'a').close()", "writes (open of plugin.py)"),
    ("import os; os.close(os.open(__file__, os.O_RDWR))", "writes (open of plugin.py)"),
    ("import os; os.mkdir(os.path.join(os.path.dirname(__file__), 'new'))", "writes (os.mkdir of new)"),
    ("import os; os.chmod(__file__, 0o644)", "writes (os.chmod of plugin.py)"),
    ("import os; os.environ['KAZOO'] = '1'", "changes the environment (os.putenv"),
    ("import socket; socket.socket().close()", "network (socket.__new__"),
    ("import socket; socket.gethostname()", "network (socket.gethostname"),
    ("import subprocess; subprocess.run(['true'], check=True)", "starts another program (subprocess.Popen"),
    ("import os; os.system('true')", "starts another program (os.system"),
    ("import sqlite3; sqlite3.connect(':memory:').close()", "opens a database"),
]


@pytest.mark.parametrize(("code", "words"), IMPURE, ids=[code for code, _ in IMPURE])
def test_it_is_seen_at_import(tmp_path: Path, code: str, words: str) -> None:
    found = seen(tmp_path, at_import(code))
    assert any(each.startswith(f"import: {words}") for each in found), found
    assert all(" in plugin.py, line " in each for each in found)


@pytest.mark.parametrize(("code", "words"), IMPURE[::6], ids=[code for code, _ in IMPURE[::6]])
def test_it_is_seen_in_hooks(tmp_path: Path, code: str, words: str) -> None:
    found = seen(tmp_path, in_material(code))
    assert {each.partition(": ")[0] for each in found} == {"bagatelle_material of kazoo.held-notes"}
    assert any(f": {words}" in each for each in found)


def test_of_what_the_plugins_other_modules_do_the_line_is_named(tmp_path: Path) -> None:
    made = project(tmp_path, [at_import("from bagatelle_kazoo import reed")])
    (made / "bagatelle_kazoo" / "reed.py").write_text("import os\n\nNAME = os.urandom(2)\n")
    (subject,) = subjects_of(str(made))
    outcome = asked_in_a_process(Question(subject=subject, watched=True), hash_seed=1)
    assert [str(fault) for fault in outcome.faults["purity"]] == [
        "import: random numbers (urandom) in reed.py, line 3"
    ]


@pytest.mark.parametrize(
    "code",
    [
        # The standard library reads clocks and draws numbers while it is being imported.
        "import logging, random, tempfile, uuid, sched, http.client",
        "from importlib.resources import files; files('bagatelle_kazoo').joinpath('texts/en.json').read_text()",
        "open(__file__).close()",
        "import time; time.strptime('60', '%S')",
        "import time; time.strftime('%M:%S', time.gmtime(90)); time.asctime(time.localtime(90)); time.ctime(9)",
        "import logging; logging.getLogger('kazoo').warning('no reed')",
        "import datetime; datetime.date(2026, 3, 28).isoformat()",
        "import os; os.path.exists(__file__); os.listdir(os.path.dirname(__file__))",
    ],
)
def test_what_a_plugin_may_do(tmp_path: Path, code: str) -> None:
    assert seen(tmp_path, at_import(code)) == []


def test_what_the_plugin_prints_disturbs_nobody(tmp_path: Path) -> None:
    assert seen(tmp_path, at_import("print('hello')"), in_material("print('{}')")) == []


def test_one_line_is_said_once_for_all_exercises(tmp_path: Path) -> None:
    edits = [
        at_import("from msgspec.structs import replace"),
        Edit("exercises=(HELD_NOTES,)", 'exercises=(HELD_NOTES, replace(HELD_NOTES, id="kazoo.hum"))'),
        Edit("messages=json.loads(", "messages=_twice(json.loads("),
        Edit('.read_text(encoding="utf-8")),', '.read_text(encoding="utf-8"))),'),
        in_material("import os; os.urandom(1)"),
    ]
    made = project(tmp_path, edits)
    with (made / "bagatelle_kazoo" / "plugin.py").open("a") as code:
        code.write(
            "\n\ndef _twice(texts):\n"
            "    return texts | {each.replace('held-notes', 'hum'): text for each, text in texts.items()}\n"
        )
    (subject,) = subjects_of(str(made))
    outcome = asked_in_a_process(Question(subject=subject, watched=True), hash_seed=1)
    assert outcome.loaded, outcome.faults
    (fault,) = map(str, outcome.faults["purity"])
    assert fault.startswith(
        "bagatelle_material of kazoo.held-notes: random numbers (urandom) in plugin.py, line "
    )
    assert fault.endswith(" (also in bagatelle_material of 1 other exercise)")
