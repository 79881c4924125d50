"""Settings come from the environment, and a wrong one is named."""

import pytest
from bagatelle_service.settings import Settings, SettingsError, settings_from_environment


def test_defaults() -> None:
    settings = settings_from_environment({"PATH": "/bin", "BAGATELLE_TEST_POSTGRESQL_URL": "x"})
    assert settings == Settings()
    assert not settings.open
    assert settings.clock_seconds == 10
    assert 1 <= settings.engine_processes <= 64
    assert settings.database_url == "sqlite:///bagatelle.sqlite3"


def test_every_setting_can_be_given() -> None:
    assert settings_from_environment(
        {
            "BAGATELLE_DATABASE_URL": "sqlite:///x",
            "BAGATELLE_OPEN": "true",
            "BAGATELLE_CLOCK_SECONDS": "2.5",
            "BAGATELLE_ENGINE_PROCESSES": "0",
            "BAGATELLE_ENGINE_THREADS": "4",
            "BAGATELLE_ALLOWED_PLUGINS": "piano",
            "BAGATELLE_PLUGIN_LOAD_SECONDS": "9.5",
            "BAGATELLE_PLUGIN_SECONDS": "0.5",
            "BAGATELLE_PLUGIN_FAILURES": "7",
            "BAGATELLE_PLUGIN_QUARANTINE_SECONDS": "60",
            "BAGATELLE_PLUGIN_SLOW_MILLISECONDS": "50",
            "BAGATELLE_LOG_FORMAT": "json",
            "BAGATELLE_REQUESTS_A_MINUTE": "60",
            "BAGATELLE_REDEMPTIONS_A_MINUTE": "30",
            "BAGATELLE_OIDC_ISSUER": "https://accounts.example",
            "BAGATELLE_OIDC_AUDIENCE": "practice-plans",
            "BAGATELLE_OIDC_KEYS_URL": "https://accounts.example/keys",
        }
    ) == Settings(
        database_url="sqlite:///x",
        open=True,
        clock_seconds=2.5,
        engine_processes=0,
        engine_threads=4,
        allowed_plugins="piano",
        plugin_load_seconds=9.5,
        plugin_seconds=0.5,
        plugin_failures=7,
        plugin_quarantine_seconds=60,
        plugin_slow_milliseconds=50,
        log_format="json",
        requests_a_minute=60,
        redemptions_a_minute=30,
        oidc_issuer="https://accounts.example",
        oidc_audience="practice-plans",
        oidc_keys_url="https://accounts.example/keys",
    )


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("OPEN", "perhaps"),
        ("CLOCK_SECONDS", "0"),
        ("CLOCK_SECONDS", "-1"),
        ("CLOCK_SECONDS", "nan"),
        ("CLOCK_SECONDS", "inf"),
        ("ENGINE_PROCESSES", "-1"),
        ("ENGINE_PROCESSES", "65"),
        ("ENGINE_THREADS", "0"),
        ("ENGINE_THREADS", "1.5"),
        ("ENGINE_THREADS", "9999"),
        ("PLUGIN_LOAD_SECONDS", "0"),
        ("PLUGIN_SECONDS", "-1"),
        ("PLUGIN_FAILURES", "0"),
        ("PLUGIN_QUARANTINE_SECONDS", "nan"),
        ("PLUGIN_SLOW_MILLISECONDS", "0.5"),
        ("LOG_FORMAT", "xml"),
        ("REDEMPTIONS_A_MINUTE", "0"),
        ("OIDC_ISSUER", ""),
    ],
)
def test_a_wrong_one_is_named(name: str, value: str) -> None:
    with pytest.raises(SettingsError, match=f"BAGATELLE_{name} "):
        settings_from_environment({f"BAGATELLE_{name}": value})


@pytest.mark.parametrize(
    ("given", "allowed"),
    [
        ("", None),
        (" ", None),
        ("piano", ("piano",)),
        (" piano, snare-drum ,", ("piano", "snare-drum")),
        (",", ()),
    ],
)
def test_the_plugins_that_are_allowed(given: str, allowed: tuple[str, ...] | None) -> None:
    assert Settings(allowed_plugins=given).plugins_allowed == allowed


def test_a_plugin_has_at_most_half_of_the_clock() -> None:
    assert Settings(clock_seconds=10, plugin_seconds=2).plugin_limits.seconds == 2
    assert Settings(clock_seconds=1, plugin_seconds=2).plugin_limits.seconds == 0.5


ISSUER = {
    "BAGATELLE_OIDC_ISSUER": "https://accounts.example",
    "BAGATELLE_OIDC_AUDIENCE": "practice-plans",
    "BAGATELLE_OIDC_KEYS_URL": "https://accounts.example/keys",
}


@pytest.mark.parametrize("missing", list(ISSUER))
def test_an_outside_issuer_needs_all_of_it(missing: str) -> None:
    given = {name: value for name, value in ISSUER.items() if name != missing}
    with pytest.raises(SettingsError, match=f"^{missing} cannot be left out"):
        settings_from_environment(given)


@pytest.mark.parametrize("kept", list(ISSUER))
def test_what_an_outside_issuer_lacks_is_named(kept: str) -> None:
    missing = " and ".join(name for name in ISSUER if name != kept)
    with pytest.raises(SettingsError, match=f"^{missing} cannot be left out"):
        settings_from_environment({kept: ISSUER[kept]})


@pytest.mark.parametrize(
    "url", ["http://localhost:8080/keys", "http://127.0.0.1/keys", "http://[::1]:1/keys"]
)
def test_keys_may_come_from_this_machine_in_the_open(url: str) -> None:
    assert settings_from_environment(ISSUER | {"BAGATELLE_OIDC_KEYS_URL": url}).oidc_keys_url == url


@pytest.mark.parametrize(
    "url",
    [
        "http://accounts.example/keys",
        "http://localhost.example/keys",
        "http://127.0.0.1@accounts.example/keys",
        "https:///keys",
        "https://[/keys",
        "ftp://accounts.example/keys",
        "file:///etc/keys",
        "accounts.example/keys",
    ],
)
def test_keys_come_from_elsewhere_by_https_alone(url: str) -> None:
    with pytest.raises(SettingsError, match="BAGATELLE_OIDC_KEYS_URL cannot be used"):
        settings_from_environment(ISSUER | {"BAGATELLE_OIDC_KEYS_URL": url})
