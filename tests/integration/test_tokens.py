"""Tokens that make tokens: none does more, or for longer, than the one that asked for it."""

from bagatelle_service.school.roles import SCOPES_OF

from tests.integration.problem_checks import problem_in
from tests.integration.school import As, SchoolOfTest


def test_a_token_makes_none_that_outlives_it(school: SchoolOfTest) -> None:
    body = {"for_whom": "app", "scopes": ["tokens.change"], "expires_at": "2027-03-02T08:00:00Z"}
    app = As(school.service.api, school.owner.make("/v1/tokens", body)["secret"])
    for kind in ("me", "app"):
        longer = {"for_whom": kind, "scopes": ["tokens.change"], "expires_at": "2027-03-02T08:00:01Z"}
        (wrong,) = problem_in(app.post("/v1/tokens", longer), "invalid-input")["errors"]
        assert wrong["pointer"] == "/expires_at"
        assert wrong["accepted"] == "at most 2027-03-02T08:00:00+00:00, when the token that asks expires"
        never = {"for_whom": kind, "scopes": ["tokens.change"]}
        assert app.make("/v1/tokens", never)["token"]["expires_at"] == "2027-03-02T08:00:00Z"


def test_a_token_has_each_scope_once(school: SchoolOfTest) -> None:
    twice = {"for_whom": "app", "scopes": ["students.read", "groups.read", "students.read"]}
    assert school.owner.make("/v1/tokens", twice)["token"]["scopes"] == ["groups.read", "students.read"]
    most = len(SCOPES_OF["owner"]) + 1
    many = {"for_whom": "app", "scopes": ["students.read"] * (most + 1)}
    (wrong,) = problem_in(school.owner.post("/v1/tokens", many), "invalid-input")["errors"]
    assert wrong["pointer"] == "/scopes"


def test_a_moment_past_all_years_is_none(school: SchoolOfTest) -> None:
    body = {"for_whom": "me", "expires_at": "9999-12-31T23:59:59-14:00"}
    (wrong,) = problem_in(school.owner.post("/v1/tokens", body), "invalid-input")["errors"]
    assert wrong["pointer"] == "/expires_at"
