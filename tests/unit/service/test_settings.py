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
            "BAGATELLE_LOG_FORMAT": "json",
        }
    ) == Settings(
        database_url="sqlite:///x",
        open=True,
        clock_seconds=2.5,
        engine_processes=0,
        engine_threads=4,
        log_format="json",
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
        ("LOG_FORMAT", "xml"),
    ],
)
def test_a_wrong_one_is_named(name: str, value: str) -> None:
    with pytest.raises(SettingsError, match=f"BAGATELLE_{name} "):
        settings_from_environment({f"BAGATELLE_{name}": value})
