"""Offline bundles: signed so that others can check it, and enough to make the same sheets without a network."""

import base64
import gzip
import json
import stat
import subprocess
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Any
from uuid import UUID

import msgspec
import pytest
from bagatelle.card.kinds import ask_of, kind_of_day
from bagatelle.card.sheet import make_sheet
from bagatelle.model.card import Card
from bagatelle.model.request import Circumstances
from bagatelle.model.sheet import MadeFrom
from bagatelle_service.settings import Settings, SettingsError
from bagatelle_service.signing import make_signing_key, signing_key_of
from cryptography.hazmat.primitives import serialization
from cryptography.hazmat.primitives.asymmetric.ec import SECP256R1, generate_private_key

from tests.integration.databases import database_of_kind
from tests.integration.prepared_school import INSTRUMENTS, ROUTINE, TODAY, Prepared, prepare
from tests.integration.problem_checks import problem_in
from tests.integration.school import BEGINNING, SchoolOfTest, Service, service_on
from tests.integration.serving import run_command


class OfSchool:
    """A service that signs."""

    def __init__(self, service: Service) -> None:
        service.clock.time = BEGINNING
        self.service = service
        self.student = Prepared(service.school())

    def signed(self, **query: str) -> str:
        path = f"/v1/students/{self.student.student}/bundle"
        response = self.student.school.owner.get(path, params=query)
        assert response.status_code == 200, response.text
        assert response.headers["content-type"] == "application/jose"
        return response.text

    def bundle(self, **query: str) -> dict[str, Any]:
        read: dict[str, Any] = json.loads(gzip.decompress(decoded(self.signed(**query).split(".")[1])))
        return read

    def key(self) -> dict[str, str]:
        response = self.service.api.get("/v1/signing-keys")
        assert response.headers["content-type"] == "application/jwk-set+json"
        (key,) = response.json()["keys"]
        found: dict[str, str] = key
        return found


def decoded(text: str) -> bytes:
    """RFC 7515, 2: base64url without its padding."""
    return base64.urlsafe_b64decode(text + "=" * (-len(text) % 4))


@pytest.fixture(scope="module", params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql)])
def running(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Service]:
    folder = tmp_path_factory.mktemp("bundles")
    make_signing_key(folder / "key.pem")
    with (
        database_of_kind(request.param, folder) as url,
        service_on(url, instruments=INSTRUMENTS, signing_key_file=str(folder / "key.pem")) as service,
    ):
        yield service


@pytest.fixture
def signing(running: Service) -> OfSchool:
    return OfSchool(running)


def test_openssl_checks_the_signature_by_the_published_key(signing: OfSchool, tmp_path: Path) -> None:
    header, payload, signature = signing.signed().split(".")
    key = signing.key()
    assert json.loads(decoded(header)) == {"alg": "EdDSA", "cty": "gzip", "kid": key["kid"]}
    # RFC 8410, 4: SubjectPublicKeyInfo of id-Ed25519 (1.3.101.112) and the 32 bytes of the key.
    (tmp_path / "key.der").write_bytes(bytes.fromhex("302a300506032b6570032100") + decoded(key["x"]))
    (tmp_path / "signature").write_bytes(decoded(signature))

    def verdict(signed: str) -> int:
        (tmp_path / "signed").write_text(signed)
        return subprocess.run(
            [
                *(
                    "openssl",
                    "pkeyutl",
                    "-verify",
                    "-pubin",
                    "-keyform",
                    "DER",
                    "-inkey",
                    "key.der",
                    "-rawin",
                ),
                *("-in", "signed", "-sigfile", "signature"),
            ],
            cwd=tmp_path,
            capture_output=True,
            check=False,
        ).returncode

    assert verdict(f"{header}.{payload}") == 0
    assert verdict(f"{header}.{payload[:-4]}AAAA") == 1


def test_what_a_bundle_says_of_itself(signing: OfSchool) -> None:
    bundle = signing.bundle()
    assert (bundle["format"], bundle["version"], bundle["walking_rule"]) == ("bagatelle-bundle", 1, 1)
    assert (bundle["sub"], bundle["routine"]) == (signing.student.student, signing.student.routine["id"])
    assert (bundle["iat"], bundle["date"]) == (int(BEGINNING.timestamp()), str(TODAY))
    assert bundle["exp"] - bundle["iat"] == 28 * 24 * 3600
    assert {card["kind"]: card["plan"] for card in bundle["cards"]} == {
        kind: str(plan) for kind, plan in signing.student.plans.items()
    }
    assert "Ilse" not in json.dumps(bundle)


OFFLINE = pytest.mark.parametrize(
    "body",
    [
        {},
        {"minutes": 8},
        {"windows": [{"minutes": 5, "starts_at": "07:30"}, {"minutes": 7.5}]},
        {"windows": [{"minutes": 12}, {"minutes": 20}], "energy": "low"},
        {"minutes": 15, "instrument_at_hand": False},
        {"minutes": 10, "quiet": True},
    ],
)


def sheet_by_bundle(bundle: dict[str, Any], body: dict[str, Any], day: date) -> dict[str, Any]:
    """What an app makes with the bundle alone."""
    circumstances = msgspec.convert(body, Circumstances)
    (given,) = (card for card in bundle["cards"] if card["kind"] == kind_of_day(circumstances))
    last_done = msgspec.convert(bundle["last_done"], dict[str, dict[str, date]])
    if day > date.fromisoformat(bundle["date"]):
        for task, units in msgspec.convert(bundle["done_on_date"], dict[str, dict[str, date]]).items():
            last_done[task] = last_done.get(task, {}) | units
    made_from = MadeFrom(card=given["name"], date=day, asks=(ask_of(circumstances),), last_done=last_done)
    made = msgspec.json.encode(make_sheet(msgspec.convert(given["card"], Card), made_from))
    sheet: dict[str, Any] = json.loads(made)
    return sheet


@OFFLINE
def test_an_app_without_a_network_makes_the_same_sheets(signing: OfSchool, body: dict[str, Any]) -> None:
    student, tomorrow = signing.student, TODAY + timedelta(days=1)
    student.log("scales", ["C", "D"], TODAY - timedelta(days=2))
    student.log("scales", ["C", "G"], TODAY)
    student.log("barcarolle", ["part-2"], TODAY)
    student.log("march", ["strain-1"], TODAY - timedelta(days=1))
    bundle = signing.bundle()
    assert bundle["last_done"]["scales"] == {"C": "2027-02-27", "D": "2027-02-27"}
    assert bundle["done_on_date"]["scales"] == {"C": "2027-03-01", "G": "2027-03-01"}
    for day in (TODAY, tomorrow):
        assert sheet_by_bundle(bundle, body, day) == student.put(body, day)["sheet"]


def test_a_bundle_is_of_the_routine_that_is_named(signing: OfSchool) -> None:
    student, owner = signing.student, signing.student.school.owner
    other = owner.make(f"/v1/students/{student.student}/routines", {**ROUTINE, "key": "other"})
    path = f"/v1/students/{student.student}/bundle"
    problem_in(owner.get(path, params={"routine": other["id"]}), "unknown-id")
    signing.service.clock.go_on(minutes=1)
    prepare(student.school, other)
    assert signing.bundle()["routine"] == other["id"]
    assert signing.bundle(routine=student.routine["id"])["routine"] == student.routine["id"]
    problem_in(owner.get(path, params={"routine": str(UUID(int=7))}), "unknown-id")


def test_where_nothing_is_prepared(running: Service) -> None:
    student = Prepared(running.school(), [])
    problem_in(student.school.owner.get(f"/v1/students/{student.student}/bundle"), "not-prepared")


def test_without_a_key_there_are_no_bundles(school: SchoolOfTest) -> None:
    student = school.student()["id"]
    detail = problem_in(school.owner.get(f"/v1/students/{student}/bundle"), "no-signing-key")["detail"]
    assert "BAGATELLE_SIGNING_KEY_FILE" in detail
    assert school.service.api.get("/v1/signing-keys").json() == {"keys": []}


def test_the_command_makes_a_key_once_for_its_owner_alone(tmp_path: Path) -> None:
    done = run_command(tmp_path, "signing-key", "key.pem")
    key = signing_key_of(Settings(signing_key_file=str(tmp_path / "key.pem")))
    assert key is not None
    assert (done.returncode, done.stdout) == (0, f"Key: {key.public.kid}\n")
    assert stat.S_IMODE((tmp_path / "key.pem").stat().st_mode) == 0o600
    before = (tmp_path / "key.pem").read_bytes()
    again = run_command(tmp_path, "signing-key", "key.pem")
    assert (again.returncode, "File exists" in again.stderr) == (1, True)
    assert (tmp_path / "key.pem").read_bytes() == before
    assert "PRIVATE" not in repr(key)


@pytest.mark.parametrize(
    ("content", "reason"),
    [(None, "No such file"), (b"no key", "no private key"), ("of another kind", "none of Ed25519")],
)
def test_a_wrong_key_is_named(tmp_path: Path, content: bytes | str | None, reason: str) -> None:
    file = tmp_path / "key.pem"
    if isinstance(content, str):
        pem, pkcs8 = serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8
        other = generate_private_key(SECP256R1())
        file.write_bytes(other.private_bytes(pem, pkcs8, serialization.NoEncryption()))
    elif content is not None:
        file.write_bytes(content)
    with pytest.raises(SettingsError, match=reason):
        signing_key_of(Settings(signing_key_file=str(file)))
    served = run_command(tmp_path, "serve", BAGATELLE_SIGNING_KEY_FILE=str(file))
    assert served.returncode == 1
    assert "BAGATELLE_SIGNING_KEY_FILE" in served.stderr
