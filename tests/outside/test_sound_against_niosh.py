"""Sound exposure against the published table: NIOSH Publ. 98-126, recommended exposure limit (3 dB exchange)."""

from fractions import Fraction

import pytest
from bagatelle.engine.sound import allowed_seconds, is_much, sound_exposure
from bagatelle.model.plan import SoundExposure
from bagatelle.model.vocabulary import Loudness
from hypothesis import given
from hypothesis import strategies as st

NIOSH_MINUTES = {
    82: 960,
    85: 480,
    88: 240,
    91: 120,
    94: 60,
    97: 30,
    100: 15,
    103: 7.5,
    106: 3.75,
    115: 0.46875,
}
LOUDNESSES: tuple[Loudness, ...] = ("silent", "soft", "moderate", "loud")
PLAYING = st.lists(st.tuples(st.sampled_from(LOUDNESSES), st.integers(1, 7200)), max_size=12)


@pytest.mark.parametrize(("decibels", "minutes"), NIOSH_MINUTES.items())
def test_allowed_time_is_the_tables(decibels: int, minutes: float) -> None:
    assert allowed_seconds(decibels) == pytest.approx(60 * minutes)


def test_two_sounds_add_up() -> None:
    # 30 minutes at 94 dB(A) and 15 at 97 are a whole day's allowance.
    assert 30 * 60 / allowed_seconds(94) + 15 * 60 / allowed_seconds(97) == pytest.approx(1)


def test_a_quarter_of_an_hour_of_something_loud() -> None:
    # At 90 dB(A) a day holds 151.2 minutes, at 105 it holds 4.72.
    found = sound_exposure([("loud", 900), ("soft", 3600)])
    assert found == SoundExposure(loud_seconds=900, lowest_percent=9, highest_percent=318)


def test_a_day_is_much_by_the_middle_of_what_loud_stands_for() -> None:
    # 97.5 dB(A): 480 / 2 ** (12.5 / 3) = 26.7 minutes, between the table's 30 at 97 and 15 at 100.
    assert not is_much([("loud", 26 * 60)])
    assert is_much([("loud", 27 * 60)])
    assert NIOSH_MINUTES[100] < 26.7 < NIOSH_MINUTES[97]


@given(PLAYING)
def test_what_is_much_is_more_than_a_day_at_its_loudest(playing: list[tuple[Loudness, int]]) -> None:
    found = sound_exposure(playing)
    if found is not None and is_much(playing):
        assert found.highest_percent > 100
    if found is not None and found.lowest_percent > 100:
        assert is_much(playing)


@given(PLAYING)
def test_it_is_said_where_something_is_loud_and_only_there(playing: list[tuple[Loudness, int]]) -> None:
    found = sound_exposure(playing)
    loud = sum(Fraction(seconds) for loudness, seconds in playing if loudness == "loud")
    assert (found is None) == (not loud)
    if found is not None:
        assert found.loud_seconds == loud
        assert 0 <= found.lowest_percent < found.highest_percent


@given(PLAYING, st.sampled_from(LOUDNESSES), st.integers(1, 7200))
def test_more_playing_is_never_less_sound(
    playing: list[tuple[Loudness, int]], loudness: Loudness, seconds: int
) -> None:
    before, after = sound_exposure(playing), sound_exposure([*playing, (loudness, seconds)])
    if before is not None:
        assert after is not None
        assert after.lowest_percent >= before.lowest_percent
        assert after.highest_percent >= before.highest_percent
