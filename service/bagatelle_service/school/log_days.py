"""On which day an entry of a log was done, and which days may be logged."""

from datetime import date, datetime, timedelta
from typing import Final

from bagatelle.model.errors import FieldError
from bagatelle.progress.days import day_of
from msgspec import Struct

from bagatelle_service.database.tables import School, Student
from bagatelle_service.school.log_entries import LogContent
from bagatelle_service.school.work import Work

OLDEST_DAYS: Final = 730
"""So many days back may be logged: two years."""
_TWO_DAYS: Final = timedelta(days=2)
"""More than clocks anywhere differ by."""


class LogDays(Struct, frozen=True, kw_only=True):
    """The days that a student may log."""

    time_zone: str
    now: datetime
    today: date
    """The student's own."""
    oldest: date

    def day(self, content: LogContent, pointer: str, wrong: list[FieldError]) -> date | None:
        """Tell an entry's day; None, with the error added to `wrong`, where it has none or a wrong one."""
        if (content.day is None) == (content.done_at is None):
            both = "both `day` and `done_at` are given" if content.day is not None else "the day is missing"
            accepted = "either `day`, the date as the student says, or `done_at`, a moment with its offset"
            wrong.append(FieldError(pointer=f"{pointer}/day", message=both, accepted=accepted))
            return None
        field, day = (
            ("day", content.day) if content.day is not None else ("done_at", self._day_of(content.done_at))
        )
        if day is not None and self.oldest <= day <= self.today:
            return day
        message = f"{day or 'that moment'} is not among the days that can be logged"
        accepted = f"from {self.oldest} to {self.today}, today in {self.time_zone}"
        wrong.append(FieldError(pointer=f"{pointer}/{field}", message=message, accepted=accepted))
        return None

    def _day_of(self, moment: datetime | None) -> date | None:
        """The student's day of a moment; none of one so far away that a calendar may not have it everywhere."""
        if (
            moment is None
            or not self.now - timedelta(days=OLDEST_DAYS) - _TWO_DAYS < moment < self.now + _TWO_DAYS
        ):
            return None
        return day_of(moment, self.time_zone)


async def days_to_log(work: Work, student: Student) -> LogDays:
    """Say which days a student may log: up to today, two years back or as long as the school keeps logs."""
    today = day_of(work.now, student.time_zone)
    oldest = today - timedelta(days=OLDEST_DAYS)
    school = await work.session.get_one(School, work.school_id)
    if school.retention_days is not None:
        # As the retention deletes them: what is older would go with its next run.
        oldest = max(oldest, (work.now - timedelta(days=school.retention_days)).date())
    return LogDays(time_zone=student.time_zone, now=work.now, today=today, oldest=oldest)
