"""A school's own exercises: stored and shown, used for its own routines alone, and refused with their lines."""

from collections.abc import Iterator
from typing import Any

import pytest
from bagatelle_service.school.own_catalogues import (
    CATALOGUE_LIMIT_BYTES,
    CATALOGUES_LIMIT,
    DATA_LIMIT_BYTES,
    EXERCISES_LIMIT,
)

from tests.integration.own_exercises import LIST, PATH, STUDY_BOOK, put, stored
from tests.integration.problem_checks import problem_in
from tests.integration.school import As, SchoolOfTest, Service, service_on
from tests.unit.toml_catalogue.kazoo import loaded

STUDIES = {"id": "studies", "title": "Studies", "exercise": "study-book.studies", "minutes": 12}
ROUTINE: dict[str, Any] = {
    "instrument": "study-book",
    "routine": {
        "blocks": [
            {"title": "Book", "tasks": [{**STUDIES, "settings": {"numbers": ["no-2"], "bpm": 60}}]},
            {
                "title": "Pieces",
                "tasks": [{"id": "waltz", "title": "Waltz", "minutes": 20, "area": "repertoire"}],
            },
        ]
    },
}


@pytest.fixture
def service(any_database_url: str) -> Iterator[Service]:
    with service_on(any_database_url, instruments=loaded()) as service:
        yield service


@pytest.fixture
def school(service: Service) -> SchoolOfTest:
    return service.school()


def named(instrument: str, exercises: int = 1) -> str:
    """A catalogue of so many exercises."""
    before, exercise = STUDY_BOOK.replace("study-book", instrument).split("[[exercise]]")
    each = exercise.replace('name = "studies"', 'name = "studies-{}"')
    many = ("[[exercise]]" + each.replace("studies-{}", f"studies-{number}") for number in range(exercises))
    return before + "\n".join(many)


def test_it_is_stored_as_it_was_sent(school: SchoolOfTest) -> None:
    assert school.owner.get(LIST).json() == {"catalogues": [], "exercise_count": 0, "next": None}
    text = STUDY_BOOK.replace("\n", "\r\n") + "# ends with a comment: ü"
    made = stored(school, text)
    assert made.headers["Location"] == PATH
    assert {"instrument": "study-book", "exercise_count": 1, "revision": 1, "left_out": None}.items() <= (
        made.json().items()
    )
    shown = school.owner.get(PATH)
    assert shown.text == text
    assert shown.headers["Content-Type"].partition(";")[0] == "application/toml"
    assert shown.headers["ETag"] == made.headers["ETag"]
    unchanged = school.owner.get(PATH, headers={"If-None-Match": shown.headers["ETag"]})
    assert unchanged.status_code == 304
    assert school.owner.get(LIST).json()["catalogues"] == [made.json()]


def test_a_change_names_what_it_replaces(school: SchoolOfTest) -> None:
    tag = stored(school).headers["ETag"]
    again = put(school.owner, STUDY_BOOK)
    assert (again.status_code, again.json()["revision"]) == (200, 1)
    other = STUDY_BOOK.replace("bars = 16", "bars = 20")
    problem_in(put(school.owner, other), "if-match-needed")
    problem_in(put(school.owner, other, **{"If-Match": '"7"'}), "changed-meanwhile")
    changed = put(school.owner, other, **{"If-Match": tag})
    assert (changed.status_code, changed.json()["revision"]) == (200, 2)
    problem_in(put(school.owner, named("other"), LIST + "/other", **{"If-Match": "*"}), "changed-meanwhile")
    problem_in(school.owner.delete(PATH), "if-match-needed")
    problem_in(school.owner.delete(PATH, headers={"If-Match": tag}), "changed-meanwhile")
    removed = school.owner.delete(PATH, headers={"If-Match": changed.headers["ETag"]})
    assert removed.status_code == 204
    problem_in(school.owner.get(PATH), "unknown-id")
    problem_in(school.owner.delete(PATH, headers={"If-Match": "*"}), "unknown-id")
    # Another text of the same number is not taken for the one that somebody has.
    assert stored(school, other).headers["ETag"] != tag


def test_who_may(school: SchoolOfTest, service: Service) -> None:
    stored(school)
    _, teacher = school.teacher()
    assert teacher.get(LIST).status_code == teacher.get(PATH).status_code == 200
    student = school.let_in(student=school.student()["id"])
    for who in (teacher, student, service.operator, school.app("exercises.read")):
        problem_in(put(who, STUDY_BOOK), "not-allowed")
        problem_in(who.delete(PATH, headers={"If-Match": "*"}), "not-allowed")
    for who in (student, service.operator, school.app("plans.make")):
        problem_in(who.get(PATH), "not-allowed")
    app = school.app("exercises.read", "exercises.change")
    assert put(app, named("song-book"), LIST + "/song-book").status_code == 201
    # Whoever may plan finds the exercises.
    assert student.get("/v1/exercises/study-book.studies").status_code == 200


@pytest.mark.parametrize(
    ("before", "after", "pointer", "words", "line_of"),
    [
        ('area = "technique"', 'area = "techniques"', "/exercise/0/area", "techniques", 'area = "tech'),
        ('bpm = "bpm"', 'bpm = "tempo"', "/exercise/0/units/bpm", "tempo", 'bpm = "bpm"'),
        ('family = "wind"', 'family = "wind"\ncolour = 1', "/instrument/colour", "unknown", 'name = "our'),
        ("form = 1", "form = 1 1", "", "not TOML", "form = 1"),
        ('id = "study-book"', 'id = "kazoo"', "/instrument/id", "there already", 'id = "study'),
        ('id = "study-book"', 'id = "book"', "/instrument/id", "the path names 'study-book'", 'id = "study'),
        ('strain = "low"', 'strain = "high"', "/exercise/0", "daily_cap_seconds", "[[exercise]]"),
        ('"Studies"', '"Studies \\u001b[2J"', "/exercise/0/title", "U+001B", 'title = "Studies"'),
    ],
)
def test_a_fault_is_named_with_its_line(
    school: SchoolOfTest, before: str, after: str, pointer: str, words: str, line_of: str
) -> None:
    problem = problem_in(put(school.owner, STUDY_BOOK.replace(before, after, 1)), "invalid-input")
    line = STUDY_BOOK[: STUDY_BOOK.index(line_of)].count("\n") + 1
    found = [each for each in problem["errors"] if words in each["message"]]
    assert [(each["in"], each["pointer"], each["line"]) for each in found] == [("body", pointer, line)], (
        problem
    )
    assert school.owner.get(LIST).json()["catalogues"] == []


@pytest.mark.parametrize(
    ("before", "after", "pointer", "message", "accepted", "line_of"),
    [
        (
            "default = 2",
            "default = 200",
            "/exercise/0/settings/passes/default",
            "200 is too large",
            "a whole",
            "",
        ),
        (
            "bars = 16",
            'bars = "16"',
            "/choices/study/0/bars",
            "is text and no number",
            "a number without",
            "",
        ),
        ("bars = 16", "bars = 1600", "/choices/study/0", "would last", "5 to 600", "[[choices.study]]"),
        ("bars = 16", f"bars = {'9' * 4401}", "", "a number in this line is too large", "at most", ""),
        ('area = "tech', 'area = "tech\\u200', "", "not TOML", "", ""),
    ],
)
def test_a_fault_says_what_would_be_accepted(
    school: SchoolOfTest, before: str, after: str, pointer: str, message: str, accepted: str, line_of: str
) -> None:
    (wrong,) = problem_in(put(school.owner, STUDY_BOOK.replace(before, after, 1)), "invalid-input")["errors"]
    line = STUDY_BOOK[: STUDY_BOOK.index(line_of or before)].count("\n") + 1
    assert (wrong["pointer"], wrong["line"]) == (pointer, line), wrong
    assert message in wrong["message"]
    assert "accepted" not in wrong["message"]
    assert accepted in wrong.get("accepted", "")


def test_the_engines_own_id_is_refused(school: SchoolOfTest) -> None:
    (wrong,) = problem_in(put(school.owner, named("engine"), LIST + "/engine"), "invalid-input")["errors"]
    assert (wrong["pointer"], wrong["message"]) == (
        "/instrument/id",
        "'engine' is the engine's own, take another",
    )


def test_a_byte_order_mark_is_stored_as_it_was_sent(school: SchoolOfTest) -> None:
    raw = b"\xef\xbb\xbf" + STUDY_BOOK.encode()
    assert put(school.owner, raw).status_code == 201
    assert school.owner.get(PATH).content == raw
    assert school.owner.get(LIST).json()["catalogues"][0]["left_out"] is None


def test_every_fault_is_named(school: SchoolOfTest) -> None:
    text = STUDY_BOOK.replace('"technique"', '"techniques"').replace('"elementary"', '"easy"')
    problem = problem_in(put(school.owner, text), "invalid-input")
    assert [each["pointer"] for each in problem["errors"]] == ["/exercise/0/area", "/exercise/0/level"]
    problem = problem_in(put(school.owner, b"form = 1\nname = '\xff'"), "invalid-input")
    assert (problem["errors"][0]["line"], problem["errors"][0]["message"]) == (2, "the text is not UTF-8")


def test_what_is_too_much(school: SchoolOfTest) -> None:
    large = STUDY_BOOK + "#" * CATALOGUE_LIMIT_BYTES
    assert "256 KiB" in problem_in(put(school.owner, large), "too-large")["detail"]
    half = named("half", EXERCISES_LIMIT // 2)
    assert put(school.owner, half, LIST + "/half").status_code == 201
    problem = problem_in(
        put(school.owner, named("rest", EXERCISES_LIMIT // 2 + 1), LIST + "/rest"), "invalid-input"
    )
    assert problem["errors"][0]["accepted"] == "at most 500 in all catalogues, so at most 250 in this one"
    # What is replaced does not count.
    assert put(school.owner, named("half"), LIST + "/half", **{"If-Match": "*"}).status_code == 200
    for number in range(1, CATALOGUES_LIMIT):
        assert put(school.owner, named(f"book-{number}"), f"{LIST}/book-{number}").status_code == 201
    problem = problem_in(put(school.owner, STUDY_BOOK), "invalid-input")
    assert problem["errors"][0]["message"] == f"the school would have {CATALOGUES_LIMIT + 1} catalogues"
    assert problem["errors"][0]["accepted"] == f"at most {CATALOGUES_LIMIT}"
    assert school.owner.get(LIST).json()["exercise_count"] == CATALOGUES_LIMIT


def test_a_short_text_of_many_values(school: SchoolOfTest) -> None:
    choices = "".join(f'[[choices.colour]]\nname = "a{number}"\nlabel = "x"\n' for number in range(1000))
    settings = "".join(
        f'[exercise.settings.colour_{number}]\nabout = "x"\nof = "colour"\ndefault = "a0"\n'
        for number in range(17)
    )
    text = named("study-book", 30).replace("[exercise.units]", settings + "[exercise.units]") + choices
    assert len(text) < CATALOGUE_LIMIT_BYTES
    (wrong,) = problem_in(put(school.owner, text), "invalid-input")["errors"]
    assert "every value that their settings may have" in wrong["message"]
    assert str(DATA_LIMIT_BYTES) in wrong["accepted"]


def test_of_many_at_once_as_many_as_there_may_be(school: SchoolOfTest) -> None:
    headers = {"Authorization": f"Bearer {school.owner.secret}", "Content-Type": "application/toml"}
    answers = school.service.api.send_all(
        ("PUT", f"{LIST}/book-{number}", {"content": named(f"book-{number}").encode(), "headers": headers})
        for number in range(CATALOGUES_LIMIT + 5)
    )
    assert sorted(answer.status_code for answer in answers) == [201] * CATALOGUES_LIMIT + [422] * 5
    assert len(school.owner.get(LIST).json()["catalogues"]) == CATALOGUES_LIMIT


def test_a_body_of_another_kind(school: SchoolOfTest) -> None:
    problem_in(school.owner.put(PATH, {}), "unsupported-media-type")
    problem_in(school.owner.get(LIST + "/Study%20Book"), "unknown-id")
    problem_in(school.owner.get(LIST + "/%00"), "unknown-id")


def test_it_is_found_among_all_exercises(school: SchoolOfTest) -> None:
    stored(school)
    listed = school.owner.get("/v1/exercises?instrument=study-book,kazoo").json()
    assert {each["id"] for each in listed["exercises"]} == {
        "kazoo.scales",
        "kazoo.tune",
        "study-book.studies",
    }
    assert [each["id"] for each in school.owner.get("/v1/exercises?q=studys").json()["exercises"]] == [
        "study-book.studies"
    ]
    exercise = school.owner.get("/v1/exercises/study-book.studies").json()
    assert [unit["label"] for unit in exercise["units"]] == ["No. 1, 16 bars", "No. 2, 24 bars"]
    # 24 bars of 3 crotchets at 72, twice: 24 * 3 * 60 / 72 * 2.
    assert exercise["units"][1]["seconds"] == 120
    assert exercise["plugin"]["name"] == "school/study-book"
    assert "study-book" in [each["id"] for each in school.owner.get("/v1/instruments").json()["instruments"]]
    assert school.owner.get("/v1/exercises").headers["Vary"] == "Authorization"


def test_another_school_is_told_nothing(school: SchoolOfTest, service: Service) -> None:
    stored(school)
    other = service.school("Another school")
    absent = other.owner.get(LIST + "/absent")
    for response in (other.owner.get(PATH), other.owner.delete(PATH, headers={"If-Match": "*"})):
        problem = problem_in(response, "unknown-id")
        assert problem["detail"] == absent.json()["detail"]
    assert other.owner.get(LIST).json()["catalogues"] == []
    for who in (other.owner, service.operator):
        problem_in(who.get("/v1/exercises/study-book.studies"), "unknown-exercise")
        assert "study-book" not in who.get("/v1/exercises").text + who.get("/v1/instruments").text
        assert "study-book" not in who.get("/v1/plugins").text
        unknown = who.post("/v1/compressions", ROUTINE)
        made_up = who.post("/v1/compressions", {**ROUTINE, "instrument": "made-up"})
        assert [each["pointer"] for each in problem_in(unknown, "invalid-input")["errors"]] == [
            each["pointer"] for each in problem_in(made_up, "invalid-input")["errors"]
        ]
    student = other.student()["id"]
    problem_in(other.owner.post(f"/v1/students/{student}/routines", ROUTINE), "invalid-input")
    # The same instrument may mean something else there.
    assert put(other.owner, STUDY_BOOK.replace("bars = 24", "bars = 8")).status_code == 201
    ours, theirs = (who.owner.get("/v1/exercises/study-book.studies").json() for who in (school, other))
    assert (ours["units"][1]["label"], theirs["units"][1]["label"]) == ("No. 2, 24 bars", "No. 2, 8 bars")
    assert ours["plugin"]["hash"] != theirs["plugin"]["hash"]


def test_one_that_a_plugin_has_taken_since_is_left_out(any_database_url: str) -> None:
    with service_on(any_database_url) as service:
        school = service.school()
        kazoo = STUDY_BOOK.replace("study-book", "kazoo")
        assert put(school.owner, kazoo, LIST + "/kazoo").status_code == 201
        stored(school)
    with service_on(any_database_url, instruments=loaded(), clock=service.clock) as later:
        owner = As(later.api, school.owner.secret)
        first, second = owner.get(LIST).json()["catalogues"]
        line = kazoo[: kazoo.index("id = ")].count("\n") + 1
        assert (
            f"school/kazoo, line {line}: /instrument/id: the instrument 'kazoo' is there" in first["left_out"]
        )
        assert second["left_out"] is None
        assert owner.get("/v1/exercises/kazoo.scales").status_code == 200
        assert owner.get("/v1/exercises/study-book.studies").status_code == 200


def test_an_open_service_knows_whose_a_token_is(any_database_url: str) -> None:
    with service_on(any_database_url, open=True) as service:
        school = service.school()
        stored(school)
        assert school.owner.post("/v1/compressions", ROUTINE).status_code == 200
        problem_in(service.api.post("/v1/compressions", json=ROUTINE), "invalid-input")
        assert service.api.get("/v1/exercises").status_code == 200
        wrong = service.api.get("/v1/exercises", headers={"Authorization": "Bearer wrong"})
        problem_in(wrong, "no-token")
