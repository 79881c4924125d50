"""A day's sheet: shown before anybody decides, made, kept, grown, made anew."""

from collections.abc import Iterator
from datetime import date, timedelta
from itertools import pairwise
from typing import Any
from uuid import UUID

import pytest
from bagatelle.model.card import CardKind
from bagatelle_service.database.tables import LogEntry

from tests.integration.databases import database_of_kind
from tests.integration.prepared_school import INSTRUMENTS, ROUTINE, TODAY, Prepared, keeps, prepare
from tests.integration.problem_checks import problem_in
from tests.integration.school import BEGINNING, SchoolOfTest, Service, service_on


@pytest.fixture(scope="module", params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql)])
def running(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Service]:
    with (
        database_of_kind(request.param, tmp_path_factory.mktemp("days")) as url,
        service_on(url, instruments=INSTRUMENTS) as service,
    ):
        yield service


@pytest.fixture
def school(running: Service) -> SchoolOfTest:
    """A school for each test, on the day on which all of them begin."""
    running.clock.time = BEGINNING
    return running.school()


@pytest.fixture
def student(school: SchoolOfTest) -> Prepared:
    return Prepared(school)


def units_by_step(answer: dict[str, Any]) -> dict[str, list[str]]:
    return {step["id"]: [unit["unit"] for unit in step["units"]] for step in answer["sheet"]["steps"]}


def without_time(answer: dict[str, Any]) -> dict[str, Any]:
    return {name: answer[name] for name in ("sheet", "routine", "plan", "plan_revision")}


def test_before_anybody_decides_the_quarter_is_shown_and_nothing_stored(student: Prepared) -> None:
    response = student.school.owner.get(student.day())
    shown = response.json()
    assert (response.status_code, "etag" in response.headers) == (200, False)
    assert (shown["frozen"], shown["revision"], shown["made_at"]) == (False, None, None)
    (window,) = shown["sheet"]["windows"]
    minutes = sum(task["minutes"] for block in ROUTINE["routine"]["blocks"] for task in block["tasks"])
    assert window["seconds"] == minutes * 60 // 4
    assert shown["sheet"]["steps"]
    assert student.stored() == []
    stored = student.put({})
    assert (stored["frozen"], stored["revision"]) == (True, 1)
    assert without_time(stored) == without_time(shown)
    response = student.school.owner.get(student.day())
    assert (response.json(), response.headers["etag"]) == (stored, '"1"')
    known = student.school.owner.get(student.day(), headers={"If-None-Match": '"1"'})
    assert known.status_code == 304


def test_the_same_again_is_the_same_sheet(student: Prepared) -> None:
    first = student.put({"minutes": 12})
    student.log("barcarolle", ["part-1"], TODAY - timedelta(days=1))
    prepare(student.school, student.routine)
    assert student.put({"minutes": 12}) == first
    assert student.get() == first
    assert [row.revision for row in student.stored()] == [1]
    # The answer to a change was lost, and it is sent again under the tag that it was made from.
    anew = student.put({"minutes": 6}, revision=1)
    assert student.put({"minutes": 6}, revision=1) == {**anew, "notices": []}


def test_more_time_adds_and_keeps(student: Prepared) -> None:
    answers = [student.put({"minutes": 6})]
    answers.append(student.put({"minutes": 14}))
    answers.append(student.put({"windows": [{"minutes": 14}, {"minutes": 8, "starts_at": "19:30"}]}))
    assert [answer["revision"] for answer in answers] == [1, 2, 3]
    for earlier, later in pairwise(answers):
        assert keeps(earlier, later)
    assert answers[-1]["sheet"]["windows"][1]["starts_at"] == "19:30"
    assert {answer["sheet"]["kind"] for answer in answers} == {"usual"}
    (row,) = student.stored()
    assert (row.plan_revision, row.revision) == (1, 3)


def test_scraps_that_grow_stay_what_they_were(student: Prepared) -> None:
    scraps = student.put({"windows": [{"minutes": 5}, {"minutes": 5}]})
    longer = student.put({"windows": [{"minutes": 5}, {"minutes": 5}, {"minutes": 20}]})
    assert scraps["sheet"]["kind"] == longer["sheet"]["kind"] == "scraps"
    assert keeps(scraps, longer)


def test_it_grows_on_the_revision_it_was_made_from(student: Prepared) -> None:
    student.put({"minutes": 6})
    prepare(student.school, student.routine)
    assert student.put({"minutes": 9})["plan_revision"] == 1
    assert student.put({"minutes": 5}, revision=2)["plan_revision"] == 2


@pytest.mark.parametrize("body", [{"minutes": 6}, {"minutes": 12, "quiet": True}])
def test_what_would_lose_the_sheet_names_it(student: Prepared, body: dict[str, Any]) -> None:
    owner, first = student.school.owner, student.put({"minutes": 12})
    problem_in(owner.put(student.day(), body), "if-match-needed")
    problem_in(owner.put(student.day(), body, revision=2), "changed-meanwhile")
    assert student.get() == first
    anew = student.put(body, revision=1)
    assert anew["revision"] == 2
    assert anew["sheet"] != first["sheet"]
    problem_in(owner.put(student.day(), {"minutes": 30}, revision=1), "changed-meanwhile")


def test_a_first_sheet_names_none(student: Prepared) -> None:
    problem_in(student.school.owner.put(student.day(), {}, revision=1), "changed-meanwhile")
    assert student.school.owner.put(student.day(), {}, headers={"If-Match": "*"}).status_code == 200


def test_steps_logged_before_a_sheet_is_made_anew_are_told(student: Prepared) -> None:
    first = student.put({"minutes": 12})
    assert first["notices"] == []
    step = first["sheet"]["steps"][0]
    student.log(step["task"], [step["units"][0]["unit"]], TODAY, step=step["id"])
    anew = student.put({"minutes": 6}, revision=1)
    (notice,) = anew["notices"]
    assert notice["code"] == "logged-before"
    assert notice["message"].startswith("One step was logged")
    # It begins where the day began: what was done today is not taken out.
    assert units_by_step(student.put({"minutes": 6}, TODAY + timedelta(days=1))) != units_by_step(anew)


def keys_of(answer: dict[str, Any]) -> list[str]:
    (step,) = [step for step in answer["sheet"]["steps"] if step["task"] == "scales"]
    return sorted(unit["unit"] for unit in step["units"])


def test_logs_of_earlier_days_decide_and_late_ones_change_later_sheets_only(student: Prepared) -> None:
    tomorrow, body = TODAY + timedelta(days=1), {"minutes": 5}
    student.log("scales", ["C", "G"], TODAY - timedelta(days=3))
    student.log("scales", ["D"], TODAY)
    student.log("scales", ["A"], TODAY - timedelta(days=400))
    stored = student.put(body)
    assert keys_of(stored) == ["A", "D"]
    before = [(row.made_from, row.body) for row in student.stored()]
    student.log("scales", ["A", "E"], TODAY - timedelta(days=1))
    assert [(row.made_from, row.body) for row in student.stored()] == before
    assert student.get() == stored
    assert student.put(body) == stored
    assert keys_of(student.put(body, tomorrow)) == ["C", "G"]


def test_a_removed_log_is_none(student: Prepared, school: SchoolOfTest) -> None:
    body = {"minutes": 5}
    assert keys_of(student.put(body)) == ["C", "G"]
    entry_id = student.log("scales", ["C"], TODAY)
    assert keys_of(student.put(body, TODAY + timedelta(days=1))) == ["D", "G"]

    async def remove() -> None:
        async with school.service.api.storage.write(UUID(school.id)) as session:
            row = await session.get_one(LogEntry, (UUID(school.id), entry_id))
            row.removed_at = school.service.clock()
            row.revision += 1

    school.service.api.run(remove())
    assert keys_of(student.put(body, TODAY + timedelta(days=2))) == ["C", "G"]


@pytest.mark.parametrize(
    ("body", "kind"),
    [
        ({"minutes": 10}, "usual"),
        ({"windows": [{"minutes": 5}, {"minutes": 5}]}, "scraps"),
        ({"energy": "low"}, "low-energy"),
        ({"instrument_at_hand": False, "quiet": True}, "away"),
        ({"quiet": True, "energy": "low"}, "quiet"),
    ],
)
def test_circumstances_choose_the_plan(student: Prepared, body: dict[str, Any], kind: CardKind) -> None:
    answer = student.put(body)
    assert answer["sheet"]["kind"] == kind
    assert answer["plan"] == str(student.plans[kind])
    assert answer["notices"] == []


@pytest.mark.parametrize(
    ("body", "kinds", "kind"),
    [
        ({"windows": [{"minutes": 5}, {"minutes": 5}]}, ["usual"], "usual"),
        ({"energy": "low"}, ["usual", "away"], "usual"),
        ({"quiet": True}, ["usual", "away"], "away"),
    ],
)
def test_another_plan_stands_in_and_it_is_said(
    school: SchoolOfTest, body: dict[str, Any], kinds: list[CardKind], kind: CardKind
) -> None:
    student = Prepared(school, kinds)
    answer = student.put(body)
    assert answer["sheet"]["kind"] == kind
    assert [notice["code"] for notice in answer["notices"]] == ["stands-in"]
    assert student.put(body) == answer


@pytest.mark.parametrize(
    "body",
    [
        {"soreness": True},
        {"sore": ["hands"], "energy": "low"},
        {"instrument_at_hand": False},
        {"quiet": True, "instrument_at_hand": False},
    ],
)
def test_nothing_that_is_played_stands_in_for_what_is_not(school: SchoolOfTest, body: dict[str, Any]) -> None:
    others: list[CardKind] = ["usual", "scraps", "low-energy", "quiet"]
    student = Prepared(school, others)
    detail = problem_in(school.owner.put(student.day(), body), "not-prepared")["detail"]
    assert "/plans" in detail
    assert ("clinician" in detail) == ("soreness" in body or "sore" in body)
    assert student.stored() == []


def test_where_nothing_is_prepared(school: SchoolOfTest) -> None:
    student = Prepared(school, [])
    for response in (school.owner.get(student.day()), school.owner.put(student.day(), {"minutes": 10})):
        assert "POST /v1/routines/{routine_id}/plans" in problem_in(response, "not-prepared")["detail"]


def test_little_focus_is_said_to_change_nothing(student: Prepared) -> None:
    answer = student.put({"minutes": 10, "focus": "low"})
    assert [notice["code"] for notice in answer["notices"]] == ["focus-not-heeded"]
    assert student.put({"minutes": 10}) == {**answer, "notices": []}


@pytest.mark.parametrize("body", [{"soreness": True, "minutes": 10}, {"sore": ["hands"], "minutes": 10}])
def test_a_resting_day_is_answered_and_not_stored(student: Prepared, body: dict[str, Any]) -> None:
    standing = student.put({"minutes": 12})
    answer = student.put(body)
    assert (answer["frozen"], answer["revision"]) == (False, None)
    assert answer["sheet"]["kind"] == "resting"
    assert answer["sheet"]["cautions"]
    assert [notice["code"] for notice in answer["notices"]] == ["not-stored"]
    assert student.get() == standing
    (row,) = student.stored()
    assert row.revision == 1
    assert "sore" not in row.made_from + row.body


def test_a_school_that_keeps_health_facts_stores_a_resting_day_and_not_what_is_sore(
    student: Prepared,
) -> None:
    owner, school_path = student.school.owner, f"/v1/schools/{student.school.id}"
    kept = {"name": "Music school", "keeps_health_facts": True}
    assert owner.put(school_path, kept, revision=1).status_code == 200
    answer = student.put({"sore": ["lip"], "minutes": 10})
    assert (answer["frozen"], answer["sheet"]["kind"]) == (True, "resting")
    (row,) = student.stored()
    assert "lip" not in row.made_from
    assert student.put({"sore": ["hands"], "minutes": 10}) == answer


def test_the_routine_prepared_last_is_the_days_and_a_sheet_keeps_its_own(
    student: Prepared, school: SchoolOfTest
) -> None:
    routines = f"/v1/students/{student.student}/routines"
    other = school.owner.make(routines, {**ROUTINE, "key": "other"})
    unprepared = school.owner.make(routines, {**ROUTINE, "key": "unprepared"})
    student.put({"minutes": 6})
    school.service.clock.go_on(minutes=5)
    prepare(school, other)
    assert student.get(TODAY + timedelta(days=1))["routine"] == other["id"]
    assert student.put({"minutes": 9})["routine"] == student.routine["id"]
    problem_in(school.owner.put(student.day(), {"minutes": 12, "routine": other["id"]}), "if-match-needed")
    assert student.put({"minutes": 12, "routine": other["id"]}, revision=2)["routine"] == other["id"]
    for wrong in (unprepared["id"], str(UUID(int=7))):
        answer = school.owner.put(student.day(), {"routine": wrong}, revision=3)
        (field,) = problem_in(answer, "invalid-input")["errors"]
        assert (field["in"], field["pointer"]) == ("body", "/routine")
    archived = {**ROUTINE, "key": "other", "archived": True}
    assert school.owner.put(f"/v1/routines/{other['id']}", archived, revision=1).status_code == 200
    assert student.get(TODAY + timedelta(days=1))["routine"] == student.routine["id"]
    assert student.get()["routine"] == other["id"]
    problem_in(school.owner.put(student.day(), {"minutes": 15}), "if-match-needed")
    assert student.put({"minutes": 15}, revision=3)["routine"] == student.routine["id"]


def test_dates_are_within_a_year_of_the_students_own_today(student: Prepared, school: SchoolOfTest) -> None:
    owner = school.owner
    for days in (-366, 366):
        assert owner.put(student.day(TODAY + timedelta(days=days)), {}).status_code == 200
    for far in (TODAY - timedelta(days=367), TODAY + timedelta(days=367), date(1, 1, 1), date(9999, 12, 31)):
        for answer in (owner.put(student.day(far), {}), owner.get(student.day(far))):
            (field,) = problem_in(answer, "invalid-input")["errors"]
            assert (field["in"], field["pointer"]) == ("path", "/date")
            assert field["accepted"] == "a date from 2026-02-28 to 2028-03-01"
    for text in ("2027-02-29", "2027-3-1", "2027-03-01T00:00", "today", "20270301"):
        problem_in(owner.get(f"{student.path}/{text}"), "unknown-id")


def test_a_sheet_is_shown_however_old_it_is(student: Prepared, school: SchoolOfTest) -> None:
    stored = student.put({"minutes": 10})
    school.service.clock.go_on(days=1000)
    assert student.get() == stored
    problem_in(school.owner.put(student.day(), {"minutes": 12}), "invalid-input")


def test_today_is_the_students_own(school: SchoolOfTest) -> None:
    """Kiritimati is 14 hours ahead of UTC all year (IANA time zone database, Pacific/Kiritimati)."""
    student = Prepared(school)
    ahead = {"display_name": "Ilse", "time_zone": "Pacific/Kiritimati"}
    assert school.owner.put(f"/v1/students/{student.student}", ahead, revision=1).status_code == 200
    school.service.clock.go_on(hours=3)  # 11:00 in UTC, so the second of March there
    assert school.owner.put(student.day(TODAY + timedelta(days=367)), {}).status_code == 200
    problem_in(school.owner.put(student.day(TODAY - timedelta(days=366)), {}), "invalid-input")


def test_wrong_bodies_are_refused_by_every_field(student: Prepared) -> None:
    body = {"minutes": 10, "windows": [{"minutes": 5}]}
    (field,) = problem_in(student.school.owner.put(student.day(), body), "invalid-input")["errors"]
    assert field["pointer"] == "/minutes"
    wrong = {"windows": [{"minutes": 0.1}], "mood": "low"}
    fields = problem_in(student.school.owner.put(student.day(), wrong), "invalid-input")["errors"]
    assert [field["pointer"] for field in fields] == ["/mood", "/windows/0/minutes"]


def test_two_first_sheets_at_once_are_one(student: Prepared) -> None:
    owner = student.school.owner
    headers = {"Authorization": f"Bearer {owner.secret}"}
    requests = [("PUT", student.day(), {"json": {"minutes": 10}, "headers": headers})] * 4
    answers = student.school.service.api.send_all(requests)
    assert [answer.status_code for answer in answers] == [200] * 4
    assert len({answer.content for answer in answers}) == 1
    assert [row.revision for row in student.stored()] == [1]


def test_a_list_goes_page_by_page_between_two_dates(student: Prepared) -> None:
    days = [TODAY + timedelta(days=number) for number in (0, 3, 1, 7, 5)]
    for day in days:
        student.put({"minutes": 10}, day)
    owner = student.school.owner
    page = owner.get(student.path, params={"limit": 2}).json()
    listed = page["days"]
    while page["next"] is not None:
        page = owner.get(student.path, params={"limit": 2, "cursor": page["next"]}).json()
        listed += page["days"]
    assert [each["date"] for each in listed] == [str(day) for day in sorted(days)]
    sheet = student.get()["sheet"]
    assert listed[0]["given_seconds"] == 600
    assert listed[0]["planned_seconds"] == sheet["planned_seconds"]
    assert listed[0]["steps"] == len(sheet["steps"])
    between = owner.get(student.path, params={"from": "2027-03-02", "to": "2027-03-06"}).json()["days"]
    assert [each["date"] for each in between] == ["2027-03-02", "2027-03-04", "2027-03-06"]
    problem_in(owner.get(student.path, params={"first": "2027-03-02"}), "invalid-input")
