"""The list of origins, as a deployment writes it."""

import pytest
from bagatelle_service.origins import WrongOriginError, read_origins
from bagatelle_service.settings import SettingsError, settings_from_environment


@pytest.mark.parametrize(
    ("text", "origins"),
    [
        ("", set()),
        ("  ", set()),
        ("https://app.example", {b"https://app.example"}),
        ("https://a.example, https://b.example:8443", {b"https://a.example", b"https://b.example:8443"}),
        ("https://192.0.2.7:1", {b"https://192.0.2.7:1"}),
        ("https://xn--bcher-kva.example", {b"https://xn--bcher-kva.example"}),
    ],
)
def test_origins_are_read(text: str, origins: set[bytes]) -> None:
    assert read_origins(text) == origins


@pytest.mark.parametrize(
    "text",
    [
        "*",
        "https://*.example",
        "http://app.example",
        "app.example",
        "https://",
        "https://app.example/",
        "https://app.example/path",
        "https://App.example",
        "https://app.example:",
        "https://app.example:0",
        "https://app.example:65536",
        "https://app.example:443",
        "https://me@app.example",
        "https://app.example\n",
        "https://a.example,,https://b.example",
        "https://a.example,",
        "null",
        f"https://{'a' * 254}",
    ],
)
def test_what_is_no_origin_is_refused(text: str) -> None:
    if text.endswith("\n"):
        text = f"{text}https://b.example"
    with pytest.raises(WrongOriginError):
        read_origins(text)


def test_a_refusal_names_the_variable_and_says_why() -> None:
    with pytest.raises(SettingsError, match=r"BAGATELLE_CORS_ORIGINS.*tokens"):
        settings_from_environment({"BAGATELLE_CORS_ORIGINS": "*"})
    given = settings_from_environment({"BAGATELLE_CORS_ORIGINS": "https://app.example"})
    assert given.cors_origins == "https://app.example"
    assert settings_from_environment({}).cors_origins == ""
