"""A routine prepared into its plans: revisions, choices, what makes them outdated, and who comes second."""

import json
from typing import Any
from uuid import UUID

import msgspec
import pytest
from bagatelle import Card, load_instruments, prepare_all
from bagatelle.card.kinds import KINDS
from bagatelle_service.school.prepared_plans import find_plan, read_plan
from bagatelle_service.school.routine_document import RoutineContent, planning_request

from tests.integration.owners_work import work_of
from tests.integration.problem_checks import problem_in
from tests.integration.school import SchoolOfTest, Service, service_on

LOADED = load_instruments()
SCALES = {"id": "scales", "exercise": "piano.major-scale", "minutes": 15}
WALTZ = {"id": "waltz", "title": "Waltz", "minutes": 20, "area": "repertoire", "manner": "as it stands"}
CANON = {"id": "canon", "title": "Canon", "minutes": 10, "area": "repertoire"}


def routine_of(*tasks: dict[str, Any]) -> dict[str, Any]:
    return {"instrument": "piano", "routine": {"blocks": [{"title": "All", "tasks": list(tasks)}]}}


@pytest.fixture
def service(any_database_url: str) -> Any:
    with service_on(any_database_url, instruments=LOADED) as service:
        yield service


@pytest.fixture
def school(service: Service) -> SchoolOfTest:
    return service.school()


@pytest.fixture
def routine(school: SchoolOfTest) -> dict[str, Any]:
    return school.owner.make(f"/v1/students/{school.student()['id']}/routines", routine_of(SCALES, WALTZ))


def prepare(school: SchoolOfTest, routine: dict[str, Any], **body: Any) -> dict[str, Any]:
    response = school.owner.post(f"/v1/routines/{routine['id']}/plans", body)
    assert response.status_code == 200, response.text
    answer: dict[str, Any] = response.json()
    return answer


def plans(school: SchoolOfTest, routine: dict[str, Any]) -> dict[str, dict[str, Any]]:
    listed = school.owner.get(f"/v1/routines/{routine['id']}/plans").json()
    assert listed["next"] is None
    return {plan["kind"]: plan for plan in listed["plans"]}


def change(school: SchoolOfTest, routine: dict[str, Any], revision: int, *tasks: dict[str, Any]) -> None:
    response = school.owner.put(f"/v1/routines/{routine['id']}", routine_of(*tasks), revision=revision)
    assert response.status_code == 200, response.text


def changes(answer: dict[str, Any]) -> dict[str, str]:
    return {plan["kind"]: plan["change"] for plan in answer["plans"]}


def card_of(school: SchoolOfTest, plan_id: str) -> Card:
    card = school.owner.get(f"/v1/plans/{plan_id}").json()["card"]
    return msgspec.convert(card, Card)


def test_a_routine_is_prepared_for_every_kind_of_day(school: SchoolOfTest, routine: dict[str, Any]) -> None:
    assert plans(school, routine) == {}
    answer = prepare(school, routine)
    assert changes(answer) == dict.fromkeys(KINDS, "new")
    assert [plan["kind"] for plan in answer["plans"]] == list(KINDS)
    assert (answer["day"], answer["routine_revision"], answer["nothing_for"]) == ("2027-03-01", 1, [])
    listed = plans(school, routine)
    assert sorted(listed) == sorted(KINDS)
    assert all(plan["outdated"] == [] and plan["revision"] == 1 for plan in listed.values())
    # The cards are those that the engine makes by itself.
    content = msgspec.convert(routine_of(SCALES, WALTZ), RoutineContent)
    expected = prepare_all(planning_request(content, school.service.clock().date()), LOADED).cards
    assert [card_of(school, listed[card.kind]["id"]) for card in expected] == list(expected)


def test_preparing_again_changes_nothing(school: SchoolOfTest, routine: dict[str, Any]) -> None:
    first = prepare(school, routine)
    again = prepare(school, routine)
    assert changes(again) == dict.fromkeys(KINDS, "same")
    assert [plan["plan"] for plan in again["plans"]] == [plan["plan"] for plan in first["plans"]]
    assert {plan["revision"] for plan in plans(school, routine).values()} == {1}


def test_only_the_kinds_asked_for(school: SchoolOfTest, routine: dict[str, Any]) -> None:
    assert changes(prepare(school, routine, kinds=["quiet", "usual"])) == {"quiet": "new", "usual": "new"}
    assert changes(prepare(school, routine)) == {
        kind: "same" if kind in ("quiet", "usual") else "new" for kind in KINDS
    }
    twice = school.owner.post(f"/v1/routines/{routine['id']}/plans", {"kinds": ["quiet", "quiet"]})
    assert problem_in(twice, "invalid-input")["errors"][0]["pointer"] == "/kinds/1"


def test_a_dry_run_shows_and_stores_nothing(school: SchoolOfTest, routine: dict[str, Any]) -> None:
    shown = prepare(school, routine, dry_run=True)
    assert changes(shown) == dict.fromkeys(KINDS, "new")
    assert {plan["plan"] for plan in shown["plans"]} == {None}
    assert plans(school, routine) == {}
    prepare(school, routine)
    before = plans(school, routine)
    change(school, routine, 1, {**SCALES, "minutes": 25}, WALTZ)
    shown = prepare(school, routine, dry_run=True)
    assert changes(shown) == dict.fromkeys(KINDS, "changed")
    usual = next(plan for plan in shown["plans"] if plan["kind"] == "usual")
    lengths = [each for each in usual["differences"] if each["what"] == "seconds"]
    assert {"what": "seconds", "task": "scales", "before": "900", "after": "1500"} in lengths
    after = plans(school, routine)
    assert {kind: plan["revision"] for kind, plan in after.items()} == dict.fromkeys(before, 1)
    # What was shown is what is then done.
    done = prepare(school, routine)
    assert [plan["differences"] for plan in done["plans"]] == [plan["differences"] for plan in shown["plans"]]


def test_each_change_is_a_revision_that_stays(school: SchoolOfTest, routine: dict[str, Any]) -> None:
    prepare(school, routine)
    plan = plans(school, routine)["usual"]
    first = school.owner.get(f"/v1/plans/{plan['id']}").json()
    change(school, routine, 1, SCALES, WALTZ, CANON)
    prepare(school, routine)
    where = f"/v1/plans/{plan['id']}/revisions"
    listed = school.owner.get(where).json()
    assert [(one["number"], one["routine_revision"]) for one in listed["revisions"]] == [(1, 1), (2, 2)]
    assert school.owner.get(f"{where}/1").json()["card"] == first["card"]
    assert [task["id"] for task in school.owner.get(f"{where}/2").json()["card"]["tasks"]] != [
        task["id"] for task in first["card"]["tasks"]
    ]
    page = school.owner.get(where, params={"limit": 1}).json()
    rest = school.owner.get(where, params={"limit": 1, "cursor": page["next"]}).json()
    assert [one["number"] for one in (*page["revisions"], *rest["revisions"])] == [1, 2]
    assert rest["next"] is None
    for missing in ("3", "0", "9999999999"):
        problem_in(school.owner.get(f"{where}/{missing}"), "unknown-id")


def test_a_kind_that_gives_nothing_is_said_and_archived(
    school: SchoolOfTest, routine: dict[str, Any]
) -> None:
    prepare(school, routine)
    plan = plans(school, routine)["usual"]
    never = [{**SCALES, "pin": "never"}, {**WALTZ, "pin": "never"}]
    change(school, routine, 1, *never)
    answer = prepare(school, routine)
    empty = {each["kind"]: each for each in answer["nothing_for"]}
    assert {**empty["usual"], "because": ""} == {
        "kind": "usual",
        "because": "",
        "plan": plan["id"],
        "archives": True,
    }
    assert "gives nothing" in empty["usual"]["because"]
    assert "usual" not in plans(school, routine)
    assert school.owner.get(f"/v1/plans/{plan['id']}").json()["archived"] is True
    assert not any(each["archives"] for each in prepare(school, routine)["nothing_for"])
    # It comes back as it was, the same plan.
    change(school, routine, 2, SCALES, WALTZ)
    prepare(school, routine)
    assert plans(school, routine)["usual"]["id"] == plan["id"]


def test_choices_are_kept_and_prepared_again(school: SchoolOfTest, routine: dict[str, Any]) -> None:
    prepare(school, routine)
    plan_id = plans(school, routine)["usual"]["id"]
    made = card_of(school, plan_id)
    words = {"title": "The slow one", "how": "left hand alone", "done_when": "it sings"}
    choices = {"pins": {"scales": "never"}, "share": 0.4, "wording": {"waltz": words}}
    response = school.owner.put(f"/v1/plans/{plan_id}", choices, revision=1)
    assert response.status_code == 200, response.text
    changed = response.json()
    assert response.headers["ETag"] == '"2"'
    assert changed["choices"] == choices
    card = msgspec.convert(changed["card"], Card)
    assert card.quarter_seconds > made.quarter_seconds
    assert [task.id for task in card.tasks if task.stands_in_for is None and task.block != "_warm-up"] == [
        "waltz"
    ]
    waltz = next(task for task in card.tasks if task.id == "waltz")
    before = next(task for task in made.tasks if task.id == "waltz")
    assert (waltz.title, waltz.how, waltz.done_when) == ("The slow one", "left hand alone", "it sings")
    assert (waltz.how_each, waltz.done_when_each) == ("", "")
    assert (waltz.cautions, waltz.day_caution) == (before.cautions, before.day_caution)
    # Another kind is as it was.
    assert "scales" in [task.id for task in card_of(school, plans(school, routine)["low-energy"]["id"]).tasks]
    # They outlive preparing again, and a changed routine.
    assert changes(prepare(school, routine))["usual"] == "same"
    change(school, routine, 1, SCALES, WALTZ, CANON)
    assert changes(prepare(school, routine))["usual"] == "changed"
    again = school.owner.get(f"/v1/plans/{plan_id}").json()
    assert again["choices"] == changed["choices"]
    # The same choices again are no new revision.
    same = school.owner.put(f"/v1/plans/{plan_id}", choices, revision=again["revision"])
    assert same.json()["revision"] == again["revision"]
    # Left out is not chosen any more.
    plain = school.owner.put(f"/v1/plans/{plan_id}", {}, revision=again["revision"]).json()
    assert plain["choices"] == {"pins": {}, "share": None, "wording": {}}
    assert "scales" in [task["id"] for task in plain["card"]["tasks"]]


def test_choices_for_tasks_that_are_gone_are_dropped_and_named(
    school: SchoolOfTest, routine: dict[str, Any]
) -> None:
    prepare(school, routine)
    plan_id = plans(school, routine)["quiet"]["id"]
    choices = {"pins": {"scales": "less", "waltz": "more"}, "wording": {"scales": {"how": "slowly"}}}
    assert school.owner.put(f"/v1/plans/{plan_id}", choices, revision=1).status_code == 200
    change(school, routine, 1, WALTZ)
    dropped = {plan["kind"]: plan["dropped"] for plan in prepare(school, routine)["plans"]}
    assert dropped == {kind: ["scales"] if kind == "quiet" else [] for kind in KINDS}
    kept = school.owner.get(f"/v1/plans/{plan_id}").json()["choices"]
    assert kept == {"pins": {"waltz": "more"}, "share": None, "wording": {}}
    assert not any(plan["dropped"] for plan in prepare(school, routine)["plans"])


def test_wrong_choices_are_refused(school: SchoolOfTest, routine: dict[str, Any]) -> None:
    prepare(school, routine)
    where = f"/v1/plans/{plans(school, routine)['usual']['id']}"
    unknown = {"pins": {"polka": "more"}, "wording": {"polka": {"how": "fast"}}}
    errors = problem_in(school.owner.put(where, unknown, revision=1), "invalid-input")["errors"]
    assert [error["pointer"] for error in errors] == ["/pins/polka", "/wording/polka"]
    assert {error["accepted"] for error in errors} == {"a task of the routine: scales, waltz"}
    problem_in(school.owner.put(where, {"share": 0.6}, revision=1), "not-short")
    nothing = {"pins": {"scales": "never", "waltz": "never"}}
    errors = problem_in(school.owner.put(where, nothing, revision=1), "invalid-input")["errors"]
    assert "nothing is left" in errors[0]["message"]
    problem_in(school.owner.put(where, {"pins": {"waltz": "often"}}, revision=1), "invalid-input")
    assert plans(school, routine)["usual"]["revision"] == 1


def test_the_second_of_two_editors_comes_again(school: SchoolOfTest, routine: dict[str, Any]) -> None:
    prepare(school, routine)
    where = f"/v1/plans/{plans(school, routine)['usual']['id']}"
    problem_in(school.owner.put(where, {"share": 0.3}), "if-match-needed")
    assert school.owner.put(where, {"share": 0.3}, revision=1).status_code == 200
    problem_in(school.owner.put(where, {"share": 0.2}, revision=1), "changed-meanwhile")
    headers = {"Authorization": f"Bearer {school.owner.secret}", "If-Match": '"2"'}
    answers = school.service.api.send_all(
        ("PUT", where, {"json": {"share": share}, "headers": headers}) for share in (0.2, 0.4)
    )
    assert sorted(answer.status_code for answer in answers) == [200, 412]
    assert plans(school, routine)["usual"]["revision"] == 3


def test_two_who_prepare_at_once_make_one_set(school: SchoolOfTest, routine: dict[str, Any]) -> None:
    headers = {"Authorization": f"Bearer {school.owner.secret}"}
    where = f"/v1/routines/{routine['id']}/plans"
    answers = school.service.api.send_all(("POST", where, {"json": {}, "headers": headers}) for _ in "123")
    assert [answer.status_code for answer in answers] == [200, 200, 200]
    assert sorted(answer.json()["plans"][0]["change"] for answer in answers) == ["new", "same", "same"]
    assert {plan["revision"] for plan in plans(school, routine).values()} == {1}


def test_a_plan_is_stored_with_what_it_was_made_from(school: SchoolOfTest, routine: dict[str, Any]) -> None:
    prepare(school, routine)
    plan = plans(school, routine)["usual"]

    async def read() -> Any:
        async with school.service.api.storage.read(UUID(school.id)) as session:
            work = work_of(school, session)
            return await read_plan(work, await find_plan(work, UUID(plan["id"])))

    kept = school.service.api.run(read())
    piano = LOADED.plugin_of("piano.major-scale")
    made_with = json.loads(kept.made_with)
    assert made_with["plugins"] == [{"name": piano.name, "version": piano.version, "hash": piano.hash}]
    assert json.loads(kept.card)["made_with"]["plugins"] == made_with["plugins"]
    assert len(kept.catalogue_hash) == 64


def test_who_may_only_read(school: SchoolOfTest, routine: dict[str, Any]) -> None:
    prepare(school, routine)
    plan = plans(school, routine)["usual"]
    guardian = school.let_in(guardian=school.guardian(routine["student"])["id"])
    assert guardian.get(f"/v1/plans/{plan['id']}").status_code == 200
    problem_in(guardian.post(f"/v1/routines/{routine['id']}/plans", {}), "not-allowed")
    problem_in(guardian.put(f"/v1/plans/{plan['id']}", {}, revision=1), "not-allowed")
    student = school.let_in(student=routine["student"])
    assert student.post(f"/v1/routines/{routine['id']}/plans", {}).status_code == 200
    assert student.put(f"/v1/plans/{plan['id']}", {"share": 0.3}, revision=1).status_code == 200
