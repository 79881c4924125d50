"""Rosters over the API: all rows or none, every wrong one told, the same roster twice changes nothing."""

from typing import Any

import pytest

from tests.integration.log_scan import current_scan
from tests.integration.problem_checks import pointers, problem_in
from tests.integration.rows_sent import as_csv, as_ndjson, places, send_csv, send_ndjson
from tests.integration.school import SchoolOfTest

PATH = "/v1/students/imports"
HEADER = ("key", "display_name", "time_zone", "groups")
ROWS = [
    ("horn-4", "Hornist, second desk", "Europe/Oslo", ""),
    ("oboe-17", '=HYPERLINK("x")', "Africa/Nairobi", "Tuesdays; Low brass"),
]


@pytest.fixture
def groups(school: SchoolOfTest) -> dict[str, str]:
    teacher = school.staff()["id"]
    return {name: school.group([teacher], [], name)["id"] for name in ("Tuesdays", "Low brass")}


def students_of(school: SchoolOfTest, query: str = "") -> dict[str, dict[str, Any]]:
    listed = school.owner.get(f"/v1/students?limit=200{query}").json()["students"]
    return {student["key"]: student for student in listed}


def test_a_roster_makes_students(school: SchoolOfTest, groups: dict[str, str]) -> None:
    current_scan().register(*(row[1] for row in ROWS))
    response = send_csv(school.owner, PATH, as_csv(HEADER, ROWS))
    assert response.status_code == 201, response.text
    assert response.headers["location"] == "/v1/students"
    answer = response.json()
    assert (answer["made"], answer["changed"], answer["known"], answer["dry_run"]) == (2, 0, 0, False)
    found = students_of(school)
    assert [(row["line"], row["key"], row["id"], row["outcome"]) for row in answer["students"]] == [
        (2, "horn-4", found["horn-4"]["id"], "made"),
        (3, "oboe-17", found["oboe-17"]["id"], "made"),
    ]
    # A cell is data, whatever a spreadsheet would make of it.
    assert found["oboe-17"]["display_name"] == '=HYPERLINK("x")'
    assert found["horn-4"]["display_name"] == "Hornist, second desk"
    for group_id in groups.values():
        group = school.owner.get(f"/v1/groups/{group_id}").json()
        assert (group["students"], group["revision"]) == ([found["oboe-17"]["id"]], 2)


def test_lines_say_the_same_as_a_table(school: SchoolOfTest, groups: dict[str, str]) -> None:
    assert send_csv(school.owner, PATH, "\ufeff" + as_csv(HEADER, [*ROWS, ("",) * 4])).status_code == 201
    lines: list[dict[str, Any]] = [
        {"key": "horn-4", "display_name": "Hornist, second desk", "time_zone": "Europe/Oslo"},
        {
            "key": "oboe-17",
            "display_name": '=HYPERLINK("x")',
            "time_zone": "Africa/Nairobi",
            "groups": ["Low brass", "Tuesdays"],
        },
    ]
    before = students_of(school)
    again = send_ndjson(school.owner, PATH, "\ufeff" + as_ndjson(lines) + "\r\n\n")
    assert (again.json()["known"], again.json()["made"]) == (2, 0)
    assert students_of(school) == before
    revisions = {school.owner.get(f"/v1/groups/{group}").json()["revision"] for group in groups.values()}
    assert revisions == {2}


@pytest.mark.usefixtures("groups")
def test_a_dry_run_says_it_and_does_nothing(school: SchoolOfTest) -> None:
    table = as_csv(HEADER, ROWS)
    response = send_csv(school.owner, f"{PATH}?dry_run=true", table, Idempotency_Key="one")
    assert response.status_code == 200
    assert "location" not in response.headers
    assert (response.json()["made"], response.json()["dry_run"]) == (2, True)
    assert [row["id"] for row in response.json()["students"]] == [None, None]
    assert students_of(school) == {}
    assert send_csv(school.owner, PATH, table, Idempotency_Key="one").json()["made"] == 2
    # The same under the same key is answered alike, and nothing else is done under it.
    assert send_csv(school.owner, PATH, table, Idempotency_Key="one").json()["made"] == 2
    problem_in(send_csv(school.owner, f"{PATH}?update=true", table, Idempotency_Key="one"), "key-reused")


WRONG: list[tuple[str, list[tuple[str, int]]]] = [
    ("key,display_name,time_zone\nx,Ilse,Europe/Nowhere\n", [("/rows/0/time_zone", 2)]),
    ("key,display_name,time_zone\nx,,UTC\n", [("/rows/0/display_name", 2)]),
    (
        'key,display_name,time_zone\nx,"A\nB",UTC\n-,Ilse,UTC\n',
        [("/rows/0/display_name", 2), ("/rows/1/key", 4)],
    ),
    ("key,display_name,time_zone\nx,Ilse,UTC\n\nx,Ilse,UTC\n", [("/rows/1/key", 4)]),
    ("key,display_name,time_zone\nx,Ilse\n", [("/rows/0", 2)]),
    (
        "key,display_name,time_zone,groups\nx,Ilse,UTC,Nobody's;Twice\n",
        [("/rows/0/groups/0", 2), ("/rows/0/groups/1", 2)],
    ),
    ("key,name,time_zone\nx,Ilse,UTC\n", [("/header", 1), ("/header/1", 1)]),
    ("key,display_name,time_zone,key\nx,Ilse,UTC,x\n", [("/header/3", 1)]),
    ("key;display_name;time_zone\nx;Ilse;UTC\n", [("/header", 1), ("/header/0", 1)]),
    ("key,display_name,time_zone\n", [("/rows", 1)]),
    ("", [("", 1)]),
    ('key,display_name,time_zone\nx,"Ilse,UTC\n', [("", 2)]),
    ("key,display_name,time_zone\r\nx,\udcffse,UTC\r\n", [("", 2)]),
]


def test_every_wrong_row_is_told(school: SchoolOfTest) -> None:
    for _ in range(2):
        school.group([], [], "Twice")
    for table, wrong in WRONG:
        response = send_csv(school.owner, PATH, table.encode(errors="surrogateescape"))
        problem = problem_in(response, "invalid-input")
        assert places(problem) == wrong
        assert all(error["message"] for error in problem["errors"])
    assert students_of(school) == {}


def test_every_wrong_line_is_told(school: SchoolOfTest) -> None:
    lines = [
        b'{"key": "a", "display_name": "Ilse", "time_zone": "UTC"}',
        b'{"key": "b", "display_name": "Ilse", "time_zone": "UTC"',
        b'{"key": "c", "display_name": "Ilse", "time_zone": "UTC", "shoe_size": 38}',
        b'{"key": "d", "key": "e", "display_name": 1, "time_zone": "UTC"}',
        b"[]",
    ]
    problem = problem_in(send_ndjson(school.owner, PATH, b"\n".join(lines)), "invalid-input")
    assert places(problem) == [
        ("/rows/1", 2),
        ("/rows/2/shoe_size", 3),
        ("/rows/3/display_name", 4),
        ("/rows/3/key", 4),
        ("/rows/4", 5),
    ]
    assert "line" not in problem["errors"][0]["message"]
    assert problem["detail"] == "4 rows are wrong. Nothing was stored."
    assert students_of(school) == {}


def test_others_are_changed_where_that_is_asked_for(school: SchoolOfTest, groups: dict[str, str]) -> None:
    send_csv(school.owner, PATH, as_csv(HEADER, ROWS))
    before = students_of(school)
    moved = as_csv(HEADER, [ROWS[0], ("oboe-17", "Ilse", "Africa/Nairobi", "Tuesdays")])
    problem = problem_in(send_csv(school.owner, PATH, moved), "invalid-input")
    assert places(problem) == [("/rows/1/display_name", 3), ("/rows/1/groups", 3)]
    assert students_of(school) == before
    answer = send_csv(school.owner, f"{PATH}?update=true", moved).json()
    assert [(row["outcome"], row["changed"]) for row in answer["students"]] == [
        ("known", []),
        ("changed", ["display_name", "groups"]),
    ]
    after = students_of(school)
    assert after["horn-4"] == before["horn-4"]
    assert (after["oboe-17"]["display_name"], after["oboe-17"]["revision"]) == ("Ilse", 2)
    assert set(students_of(school, f"&group={groups['Tuesdays']}")) == {"oboe-17"}
    assert students_of(school, f"&group={groups['Low brass']}") == {}
    # An empty cell says nothing of groups; an empty list in a line takes out of all of them.
    stays = as_csv(HEADER, [("oboe-17", "Ilse", "Africa/Nairobi", "")])
    assert send_csv(school.owner, PATH, stays).json()["known"] == 1
    leaves = {"key": "oboe-17", "display_name": "Ilse", "time_zone": "Africa/Nairobi", "groups": []}
    send_ndjson(school.owner, f"{PATH}?update=true", as_ndjson([leaves]))
    assert students_of(school, f"&group={groups['Tuesdays']}") == {}


def test_what_is_archived_stays(school: SchoolOfTest, groups: dict[str, str]) -> None:
    student = school.student(key="horn-4")
    fields = {"display_name": "Ilse", "time_zone": "Europe/Oslo", "key": "horn-4", "archived": True}
    school.owner.put(f"/v1/students/{student['id']}", fields, revision=1)
    school.owner.put(f"/v1/groups/{groups['Tuesdays']}", {"name": "Tuesdays", "archived": True}, revision=1)
    table = as_csv(HEADER, [("horn-4", "Ilse", "Europe/Oslo", ""), ("x", "Ilse", "UTC", "Tuesdays")])
    problem = problem_in(send_csv(school.owner, f"{PATH}?update=true", table), "invalid-input")
    assert pointers(problem) == ["/rows/0/key", "/rows/1/groups/0"]


@pytest.mark.usefixtures("groups")
def test_a_group_is_not_filled_beyond_its_limit(school: SchoolOfTest) -> None:
    rows = [(f"k{number}", "Ilse", "UTC", "Tuesdays") for number in range(500)]
    # The teacher counts.
    problem = problem_in(send_csv(school.owner, PATH, as_csv(HEADER, rows)), "invalid-input")
    assert places(problem) == [("/rows/499/groups", 501)]
    assert send_csv(school.owner, PATH, as_csv(HEADER, rows[:-1])).json()["made"] == 499


@pytest.mark.usefixtures("groups")
def test_scopes_for_what_it_changes(school: SchoolOfTest) -> None:
    alone, table = school.app("students.make"), as_csv(HEADER, ROWS)
    problem_in(send_csv(alone, PATH, table), "not-allowed")
    problem_in(send_csv(alone, f"{PATH}?update=true", as_csv(HEADER, ROWS[:1])), "not-allowed")
    assert send_csv(alone, PATH, as_csv(HEADER, ROWS[:1])).status_code == 201
    assert send_csv(school.app("students.make", "groups.change"), PATH, table).status_code == 201
    _, teacher = school.teacher()
    problem_in(send_csv(teacher, PATH, table), "not-allowed")


def test_the_trail_names_each_student(school: SchoolOfTest) -> None:
    made = send_csv(school.owner, PATH, as_csv(HEADER[:3], [row[:3] for row in ROWS])).json()
    for student in made["students"]:
        entries = school.owner.get(f"/v1/students/{student['id']}/export").json()["trail"]
        assert [entry["operation"] for entry in entries if entry["operation"] == "import_students"]


def test_other_kinds_of_body_are_refused(school: SchoolOfTest) -> None:
    response = school.owner.post(PATH, {"key": "x"})
    problem_in(response, "unsupported-media-type")
    assert response.headers["accept"] == "text/csv, application/x-ndjson"
    sent = {"content": b"key", "headers": {"Content-Type": "text/csv; charset=latin-1"}}
    problem_in(school.owner.send("POST", PATH, **sent), "unsupported-media-type")


def test_limits(school: SchoolOfTest) -> None:
    many = as_csv(HEADER[:3], [(f"k{number}", "Ilse", "UTC") for number in range(10_001)])
    problem = problem_in(send_csv(school.owner, PATH, many), "invalid-input")
    assert (pointers(problem), problem["errors"][0]["accepted"]) == (
        ["/rows"],
        "at most 10000; the rest in another request",
    )
    problem_in(send_csv(school.owner, PATH, "\n" * 30_000), "invalid-input")
    large = problem_in(send_csv(school.owner, PATH, "x" * (4 * 2**20 + 1)), "too-large")
    assert large["detail"] == "The body holds more than 4 MiB (4194304 bytes)."
    assert students_of(school) == {}


def test_so_much_can_be_wrong_that_the_rest_is_not_looked_at(school: SchoolOfTest) -> None:
    many = as_csv(HEADER[:3], [("-", "Ilse", "UTC") for _ in range(10_000)])
    assert len(problem_in(send_csv(school.owner, PATH, many), "invalid-input")["errors"]) == 10_000
    rows = [{"key": "-", "display_name": "", "time_zone": "UTC"} for _ in range(10_000)]
    problem = problem_in(send_ndjson(school.owner, PATH, as_ndjson(rows)), "invalid-input")
    assert len(problem["errors"]) == 10_001
    assert problem["errors"][-1]["pointer"] == "/rows/5000"
