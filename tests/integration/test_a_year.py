"""A year in the life of a school, over HTTP alone, with every number at its end counted anew."""

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.integration.year import changes, people_change
from tests.integration.year.closing import (
    check_variety,
    compare_glances,
    compare_logs,
    compare_progress,
    compare_sheets,
)
from tests.integration.year.founding import found
from tests.integration.year.offline import DAYS_AWAY, WeekAway, sync_all
from tests.integration.year.phone import evening
from tests.integration.year.scenario import DAYS, EXAMINED, OFFLINE
from tests.integration.year.school_year import SchoolYear, a_school_year

ON_SHORT_DAYS_FROM = 47
"""The last weeks, in which half of the school has examinations elsewhere."""
OFFLINE_FROM = 34 * 7
EVENTS: dict[int, Callable[[SchoolYear], object]] = {
    0: people_change.plan_days_off,
    3: people_change.old_notebook,
    44: changes.change_a_routine,
    49: changes.take_the_change,
    70: changes.choose_for_a_plan,
    84: changes.change_a_copy,
    98: changes.change_the_origin,
    115: people_change.plan_holidays,
    130: people_change.phone_is_lost,
    168: people_change.teacher_leaves,
    210: changes.upgrade_the_kazoo,
    217: changes.prepare_for_the_kazoo,
    280: people_change.student_is_erased,
    308: people_change.answer_offers,
    320: people_change.phones_disagree,
    355: changes.change_late,
}


@pytest.mark.slow
def test_a_year(any_database_url: str, tmp_path: Path) -> None:
    with a_school_year(any_database_url, tmp_path) as year:
        found(year)
        play(year)
        for record in year.records:
            sync_all(record, year)
            compare_progress(year, record)
            compare_logs(record)
            compare_sheets(record)
        compare_glances(year)
        check_variety(year)


def play(year: SchoolYear) -> None:
    """Go through the year, evening by evening."""
    away = None
    for number in range(DAYS):
        year.to_evening(number)
        if number in EVENTS:
            EVENTS[number](year)
        if number == OFFLINE_FROM:
            away = WeekAway(year, year.record(OFFLINE))
        if away is not None and number == OFFLINE_FROM + DAYS_AWAY:
            away.home_again()
        for record in year.records:
            if record.is_offline and away is not None:
                away.evening(year.today(record))
            else:
                examined = number // 7 >= ON_SHORT_DAYS_FROM and record.pupil.key in EXAMINED
                evening(year, record, number // 7, has_examinations=examined)
