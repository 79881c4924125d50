"""Tokens of an outside issuer: which let in whom, and which let in nobody."""

import json
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any
from uuid import UUID

import jwt
import pytest
from bagatelle_service.database.tables import Identity
from bagatelle_service.school.outside_issuer import stable_secret, subject_hash
from bagatelle_service.school.roles import SCOPES_OF
from cryptography.hazmat.primitives.asymmetric import rsa
from jwt.api_jws import PyJWS
from sqlalchemy import select

from tests.integration.issuer import EC, ISSUER, Issuer, claims_of, issuer_here
from tests.integration.problem_checks import problem_in
from tests.integration.school import As, SchoolOfTest, service_on
from tests.integration.serving import free_port

SUBJECT = "woodwind-7c1e"


@pytest.fixture(scope="module")
def issuer() -> Iterator[Issuer]:
    with issuer_here() as made:
        yield made


@pytest.fixture
def tied(any_database_url: str, issuer: Issuer) -> Iterator[SchoolOfTest]:
    """A school with one student, to whom the subject is tied."""
    with service_on(any_database_url, **issuer.settings()) as service:
        school = service.school()
        tie(school, f"/v1/students/{school.student()['id']}")
        yield school


def tie(school: SchoolOfTest, member: str, subject: str = SUBJECT) -> dict[str, Any]:
    response = school.owner.put(f"{member}/identity", {"subject": subject})
    assert response.status_code == 200, response.text
    found: dict[str, Any] = response.json()
    return found


def with_token(school: SchoolOfTest, token: str) -> As:
    return As(school.service.api, token)


def with_claims(school: SchoolOfTest, issuer: Issuer, subject: str = SUBJECT, **others: Any) -> As:
    return with_token(school, issuer.token(claims_of(subject, school.service.clock(), **others)))


def student_of(school: SchoolOfTest) -> dict[str, Any]:
    (student,) = school.owner.get("/v1/students").json()["students"]
    found: dict[str, Any] = student
    return found


def test_a_good_token_lets_in_the_member(tied: SchoolOfTest, issuer: Issuer) -> None:
    now = tied.service.clock()
    for kid in issuer.keys:
        caller = with_token(tied, issuer.token(claims_of(SUBJECT, now), kid=kid))
        student = student_of(tied)["id"]
        assert caller.get("/v1/students").json()["students"] == [student_of(tied)]
        assert caller.get("/v1/caller").json() == {
            "role": "student",
            "school": tied.id,
            "member": student,
            "student": student,
            "scopes": sorted(SCOPES_OF["student"]),
            "expires_at": "2027-03-01T09:00:00Z",
        }
    assert with_claims(tied, issuer, aud=["others", "practice-plans"]).get("/v1/caller").status_code == 200


def test_staff_and_guardians_are_let_in_as_what_they_are(tied: SchoolOfTest, issuer: Issuer) -> None:
    student, teacher = student_of(tied)["id"], tied.staff()["id"]
    guardian = tied.guardian(student)["id"]
    assert tie(tied, f"/v1/staff/{teacher}", "teacher")["staff"] == teacher
    assert tie(tied, f"/v1/guardians/{guardian}", "guardian")["guardian"] == guardian
    told = {
        name: with_claims(tied, issuer, name).get("/v1/caller").json() for name in ("teacher", "guardian")
    }
    assert (told["teacher"]["role"], told["teacher"]["member"]) == ("teacher", teacher)
    assert (told["guardian"]["member"], told["guardian"]["student"]) == (guardian, student)


@pytest.mark.parametrize(
    "others",
    [
        {"iss": "https://accounts.example/"},
        {"iss": "https://another.example"},
        {"iss": None},
        {"aud": "another-service"},
        {"aud": ["another-service"]},
        {"aud": None},
        {"exp": None},
        {"exp": 1_803_888_000},  # the very moment: 2027-03-01 08:00 UTC
        {"exp": "soon"},
        {"exp": True},
        {"exp": 10**30},
        {"nbf": 1_803_888_061},
        {"nbf": "soon"},
        {"sub": None},
        {"sub": ""},
        {"sub": 7},
        {"sub": "stranger"},
    ],
)
def test_a_token_that_says_something_else(tied: SchoolOfTest, issuer: Issuer, others: dict[str, Any]) -> None:
    # The library would sign none with a claim of the wrong type, so it is given the payload as bytes.
    claims = claims_of(SUBJECT, tied.service.clock(), **others)
    payload = json.dumps(claims).encode()
    token = PyJWS().encode(payload, issuer.keys[EC], algorithm="ES256", headers={"kid": EC})
    refused = with_token(tied, token).get("/v1/students")
    problem_in(refused, "no-token")
    assert refused.headers["www-authenticate"].startswith("Bearer")


def test_a_token_expires_by_the_services_clock(tied: SchoolOfTest, issuer: Issuer) -> None:
    caller = with_claims(tied, issuer)
    tied.service.clock.go_on(minutes=59, seconds=59)
    assert caller.get("/v1/students").status_code == 200
    tied.service.clock.go_on(seconds=1)
    problem_in(caller.get("/v1/students"), "no-token")


def test_clocks_may_differ_a_little(tied: SchoolOfTest, issuer: Issuer) -> None:
    begins = tied.service.clock() + timedelta(seconds=60)
    assert with_claims(tied, issuer, nbf=int(begins.timestamp())).get("/v1/caller").status_code == 200


def test_a_token_that_is_signed_by_nobody_or_otherwise(tied: SchoolOfTest, issuer: Issuer) -> None:
    now = tied.service.clock()
    claims = claims_of(SUBJECT, now)
    good = issuer.token(claims)
    head, payload, signature = good.split(".")
    other_key = rsa.generate_private_key(public_exponent=65537, key_size=2048)
    forged = {
        "unsigned": issuer.unsigned(claims),
        "signature left out": f"{head}.{payload}.",
        "signed with the public key": issuer.signed_with_the_public_key(claims),
        "signed with another key": jwt.encode(claims, other_key, "RS256", headers={"kid": "rsa-one"}),
        "another key's id": issuer.token(claims, kid="rsa-one", signed_with=EC),
        "another algorithm of the key": jwt.encode(
            claims, issuer.keys["rsa-one"], "PS256", headers={"kid": "rsa-one"}
        ),
        "unknown key": jwt.encode(claims, other_key, "RS256", headers={"kid": "rsa-two"}),
        "no key named": jwt.encode(claims, issuer.keys["rsa-one"], "RS256"),
        "claims of another": f"{head}.{issuer.token(claims_of('stranger', now)).split('.')[1]}.{signature}",
        "no token": "a.b.c",
        "nothing": "..",
        "letters": "\u00e9.\u00e9.\u00e9",
    }
    for what, token in forged.items():
        refused = tied.service.api.get(
            "/v1/students", headers={"Authorization": f"Bearer {token}".encode("latin-1")}
        )
        assert refused.status_code == 401, what
        problem_in(refused, "no-token")
    assert with_token(tied, good).get("/v1/students").status_code == 200


def test_archived_members_are_shut_out(tied: SchoolOfTest, issuer: Issuer) -> None:
    caller = with_claims(tied, issuer)
    student = student_of(tied)
    body = {"display_name": "Ilse", "time_zone": "UTC", "archived": True}
    path = f"/v1/students/{student['id']}"
    assert tied.owner.put(path, body, revision=1).status_code == 200
    problem_in(caller.get("/v1/students"), "no-token")
    assert tied.owner.put(path, {**body, "archived": False}, revision=2).status_code == 200
    assert caller.get("/v1/students").status_code == 200
    closed = {"name": "Closed", "archived": True}
    assert tied.service.operator.put(f"/v1/schools/{tied.id}", closed, revision=1).status_code == 200
    problem_in(caller.get("/v1/students"), "no-token")


def test_a_subject_is_one_members(tied: SchoolOfTest, issuer: Issuer) -> None:
    student = f"/v1/students/{student_of(tied)['id']}"
    again = tie(tied, student)
    assert (again["issuer"], again["student"]) == (ISSUER, student_of(tied)["id"])
    other = f"/v1/students/{tied.student('Otto')['id']}/identity"
    problem_in(tied.owner.put(other, {"subject": SUBJECT}), "taken")
    elsewhere = tied.service.school("Another")
    strange = f"/v1/students/{elsewhere.student()['id']}/identity"
    problem_in(elsewhere.owner.put(strange, {"subject": SUBJECT}), "taken")
    caller = with_claims(tied, issuer)
    assert caller.get("/v1/caller").json()["member"] == again["student"]
    tie(tied, student, "renamed")
    problem_in(caller.get("/v1/caller"), "no-token")
    assert with_claims(tied, issuer, "renamed").get("/v1/caller").status_code == 200
    assert tied.owner.put(other, {"subject": SUBJECT}).status_code == 200


def test_of_two_ties_at_once_one_stays(tied: SchoolOfTest, issuer: Issuer) -> None:
    path = f"/v1/students/{student_of(tied)['id']}/identity"
    headers = {"Authorization": f"Bearer {tied.owner.secret}"}
    answers = tied.service.api.send_all(
        [("PUT", path, {"json": {"subject": f"new-{number}"}, "headers": headers}) for number in range(6)]
    )
    assert {answer.status_code for answer in answers} == {200}
    asked = [with_claims(tied, issuer, f"new-{number}").get("/v1/caller") for number in range(6)]
    assert sorted(answer.status_code for answer in asked) == [200] + [401] * 5


def test_untied_is_shut_out(tied: SchoolOfTest, issuer: Issuer) -> None:
    caller = with_claims(tied, issuer)
    path = f"/v1/students/{student_of(tied)['id']}/identity"
    assert caller.get("/v1/caller").status_code == 200
    assert [tied.owner.delete(path).status_code for _ in range(2)] == [204, 204]
    problem_in(caller.get("/v1/caller"), "no-token")


def test_who_may_tie(tied: SchoolOfTest) -> None:
    student, teacher = student_of(tied)["id"], tied.staff()["id"]
    guardian = tied.guardian(student)["id"]
    paths = {
        "staff": f"/v1/staff/{teacher}/identity",
        "student": f"/v1/students/{student}/identity",
        "guardian": f"/v1/guardians/{guardian}/identity",
    }
    app = tied.app("invitations.change", *sorted(SCOPES_OF["student"]))
    strange = tied.service.school("Another").owner
    for kind, path in paths.items():
        for caller in (tied.let_in(staff=teacher), tied.let_in(student=student)):
            problem_in(caller.put(path, {"subject": "me"}), "not-allowed")
            problem_in(caller.delete(path), "not-allowed")
        problem_in(strange.put(path, {"subject": "me"}), "unknown-id")
        problem_in(strange.delete(path), "unknown-id")
        # A token that only invites could else make itself an owner's.
        allowed = 403 if kind == "staff" else 200
        assert app.put(path, {"subject": f"app-{kind}"}).status_code == allowed
        assert app.delete(path).status_code == (403 if kind == "staff" else 204)


@pytest.mark.parametrize("subject", ["", "x" * 256, "a\nb", "\u00e9", 7, None])
def test_a_subject_that_is_none(tied: SchoolOfTest, subject: object) -> None:
    path = f"/v1/students/{student_of(tied)['id']}/identity"
    (wrong,) = problem_in(tied.owner.put(path, {"subject": subject}), "invalid-input")["errors"]
    assert wrong["pointer"] == "/subject"


def test_without_an_issuer_nobody_is_tied(school: SchoolOfTest, issuer: Issuer) -> None:
    path = f"/v1/students/{school.student()['id']}/identity"
    assert "outside issuer" in problem_in(school.owner.put(path, {"subject": "me"}), "not-found")["detail"]
    assert school.owner.delete(path).status_code == 204
    problem_in(with_claims(school, issuer).get("/v1/caller"), "no-token")


def test_our_own_tokens_do_not_wait_for_the_issuer(any_database_url: str, issuer: Issuer) -> None:
    dead = f"http://127.0.0.1:{free_port()}/keys"
    with service_on(any_database_url, **{**issuer.settings(), "oidc_keys_url": dead}) as service:
        school = service.school()
        tie(school, f"/v1/students/{school.student()['id']}")
        refused = with_claims(school, issuer).get("/v1/students")
        problem_in(refused, "issuer-out-of-reach")
        assert refused.headers["retry-after"] == "5"
        assert school.owner.get("/v1/students").status_code == 200


@pytest.mark.parametrize(
    "answer", [b"", b"<html>", b"[]", b"{}", b'{"keys": []}', b'{"keys": 7}', b'{"keys": [7]}']
)
def test_an_issuer_that_answers_with_no_keys(tmp_path: Path, answer: bytes) -> None:
    with issuer_here() as issuer:
        issuer.answer = answer
        with service_on(f"sqlite:///{tmp_path / 'test.sqlite3'}", **issuer.settings()) as service:
            school = service.school()
            problem_in(with_claims(school, issuer).get("/v1/students"), "issuer-out-of-reach")


def test_keys_are_kept_and_unknown_ones_not_asked_for_each_time(tmp_path: Path) -> None:
    with (
        issuer_here() as issuer,
        service_on(f"sqlite:///{tmp_path / 'test.sqlite3'}", **issuer.settings()) as service,
    ):
        school = service.school()
        tie(school, f"/v1/students/{school.student()['id']}")
        other = rsa.generate_private_key(public_exponent=65537, key_size=2048)
        for number in range(5):
            assert with_claims(school, issuer).get("/v1/students").status_code == 200
            claims = claims_of(SUBJECT, service.clock())
            unknown = jwt.encode(claims, other, "RS256", headers={"kid": f"made-up-{number}"})
            problem_in(with_token(school, unknown).get("/v1/students"), "no-token")
        assert issuer.asked == 1


def test_a_request_that_is_sent_again_with_a_renewed_token(tied: SchoolOfTest, issuer: Issuer) -> None:
    teacher = tied.staff("owner")["id"]
    tie(tied, f"/v1/staff/{teacher}", "owner")
    body = {"display_name": "Once", "time_zone": "UTC"}
    headers = {"Idempotency-Key": "5f1d3a50-6a0d-4a3e-8f0e-9a1b5f3f7c02"}
    one = with_claims(tied, issuer, "owner").post("/v1/students", body, headers=headers)
    renewed = with_claims(tied, issuer, "owner", jti="another")
    two = renewed.post("/v1/students", body, headers=headers)
    assert (one.status_code, one.content) == (201, two.content)
    assert len(tied.owner.get("/v1/students").json()["students"]) == 2


def test_nothing_stored_is_what_kept_answers_are_encrypted_under(tied: SchoolOfTest) -> None:
    async def read() -> list[bytes]:
        async with tied.service.api.storage.read(UUID(tied.id)) as session:
            return list((await session.scalars(select(Identity.hash))).all())

    assert tied.service.api.run(read()) == [subject_hash(ISSUER, SUBJECT)]
    assert bytes.fromhex(stable_secret(ISSUER, SUBJECT)) != subject_hash(ISSUER, SUBJECT)


def test_permits_are_a_subjects_too(any_database_url: str, issuer: Issuer) -> None:
    with service_on(any_database_url, requests_a_minute=4, **issuer.settings()) as service:
        school = service.school()
        tie(school, f"/v1/students/{school.student()['id']}")
        asked = [
            with_claims(school, issuer, jti=f"{number}").get("/v1/students").status_code
            for number in range(6)
        ]
        assert asked == [200] * 4 + [429] * 2
