"""A student's progress counted anew, in plain Python, from what was sent.

Written from the words of the contract, day by day and entry by entry; it shares nothing with the service's own.
"""

import statistics
from collections import Counter, defaultdict
from collections.abc import Iterable
from datetime import date, timedelta
from typing import Any

from tests.integration.year.record import Logged, Record, SheetGiven

AREAS = (
    *("warm-up", "tone", "technique", "rhythm", "sight-reading"),
    *("ear", "harmony", "improvisation", "repertoire", "theory"),
)
LEAST_SHEETS = 5
"""On which a task must have stood before it is said that it is skipped."""
HARD_DAYS_NEEDED = 10
ONE_DAY = timedelta(days=1)


class OwnCount:
    """One student's count over a stretch that ends today."""

    def __init__(self, record: Record, first: date, today: date) -> None:
        self.record = record
        begun = min([record.came_in, *(entry.day for entry in record.known.values())])
        self.first, self.today = max(first, begun), today
        self.days = [self.first + number * ONE_DAY for number in range((today - self.first).days + 1)]
        self.off = set(filter(self._is_off, self.days))
        self.entries = sorted(
            (entry for entry in record.known.values() if self.first <= entry.day <= today and played(entry)),
            key=lambda entry: (entry.day, entry.id),
        )
        self.kept = kinds_of_days(self.entries)

    def progress(self) -> dict[str, Any]:
        return {
            "first_day": str(self.first),
            "last_day": str(self.today),
            "today": str(self.today),
            "seconds": sum(entry.seconds for entry in self.entries),
            "continuity": self.continuity(),
            "weeks": self.weeks(),
            "areas": self.areas(),
            "tasks": self.tasks(),
            "plans": self.use_of_plans(),
            "fit": self.fit(),
        }

    def continuity(self) -> dict[str, int]:
        kinds = Counter(self.kept.values())
        longest, current = self.gaps(set(self.kept))
        is_open = [day for day in self.days if day not in self.kept and self._counts(day)]
        return {
            "days_kept": len(self.kept),
            "usual_days": kinds["usual"],
            "short_days": kinds["short"],
            "free_days": kinds["free"],
            "days_off": len(self.off - set(self.kept)),
            "days_open": len(is_open),
            "longest_gap_days": longest,
            "current_gap_days": current,
        }

    def weeks(self) -> list[dict[str, Any]]:
        found = []
        for monday in sorted({monday_of(entry.day) for entry in self.entries}):
            inside = [entry for entry in self.entries if monday_of(entry.day) == monday]
            paid = [entry for entry in inside if entry.kind != "free"]
            areas = {area: total(entry for entry in paid if entry.area == area) for area in AREAS}
            found.append(
                {
                    "year": int(monday.strftime("%G")),
                    "week": int(monday.strftime("%V")),
                    "monday": str(monday),
                    "seconds": total(inside),
                    "areas": [
                        {"area": area, "seconds": seconds} for area, seconds in areas.items() if seconds
                    ],
                    "free_seconds": total(entry for entry in inside if entry.kind == "free"),
                    "no_area_seconds": total(entry for entry in paid if entry.area is None),
                }
            )
        return found

    def areas(self) -> list[dict[str, Any]]:
        found = []
        for area in AREAS:
            inside = [entry for entry in self.entries if entry.area == area and entry.kind != "free"]
            since = [task.since for task in self.record.current_tasks if task.area == area]
            if inside or since:
                days = {entry.day for entry in inside}
                longest, current = self.gaps(days, min(since, default=None))
                found.append(
                    {
                        "area": area,
                        "seconds": total(inside),
                        "days": len(days),
                        "longest_gap_days": longest,
                        "current_gap_days": current,
                    }
                )
        return found

    def tasks(self) -> list[dict[str, Any]]:
        logged = {entry.task for entry in self.record.known.values()}
        former = [task for task in self.record.tasks if not task.current and task.id in logged]
        found = []
        for task in (*self.record.current_tasks, *sorted(former, key=lambda each: each.id)):
            inside = [entry for entry in self.entries if entry.task == task.id]
            days = {entry.day for entry in inside}
            longest, current = self.gaps(days, task.since)
            by_unit: defaultdict[str, set[date]] = defaultdict(set)
            for entry in inside:
                for unit in entry.units:
                    by_unit[unit].add(entry.day)
            own = task.units if task.current else ()
            found.append(
                {
                    "task": task.id,
                    "seconds": total(inside),
                    "days": len(days),
                    "last_day": text_of(days),
                    "longest_gap_days": longest,
                    "current_gap_days": current,
                    "units_covered": len(set(own) & set(by_unit)),
                    "units": [unit_count(unit, by_unit[unit]) for unit in own],
                    "former_units": [
                        unit_count(unit, by_unit[unit]) for unit in sorted(set(by_unit) - set(own))
                    ],
                }
            )
        return found

    def use_of_plans(self) -> dict[str, Any]:
        sheets = [
            sheet for day, sheet in sorted(self.record.sheets.items()) if self.first <= day <= self.today
        ]
        of_kinds = [
            {"plan_kind": kind, **self._use([sheet for sheet in sheets if sheet.kind == kind])}
            for kind in sorted({sheet.kind for sheet in sheets})
        ]
        return {**self._use(sheets), "kinds": of_kinds, "skipped": self._skipped(sheets)}

    def _use(self, sheets: Iterable[SheetGiven]) -> dict[str, int]:
        done = [(self.done_of(sheet), len(sheet.steps)) for sheet in sheets]
        return {
            "made": len(done),
            "begun": sum(bool(steps) for steps, _ in done),
            "finished": sum(bool(steps) and len(steps) == count for steps, count in done),
        }

    def _skipped(self, sheets: Iterable[SheetGiven]) -> list[dict[str, Any]]:
        planned: Counter[str] = Counter()
        skipped: Counter[str] = Counter()
        for sheet in sheets:
            done = self.done_of(sheet)
            if done and sheet.day < self.today:
                touched = {step.task for step in sheet.steps if step.id in done}
                for task in {step.task for step in sheet.steps}:
                    planned[task] += 1
                    skipped[task] += task not in touched
        return [
            {"task": task, "planned_on": planned[task], "skipped_on": skipped[task]}
            for task in sorted(planned)
            if planned[task] >= LEAST_SHEETS and skipped[task] > planned[task] - skipped[task]
        ]

    def done_of(self, sheet: SheetGiven) -> set[str]:
        """The steps of a sheet that were done: logged by their ids, or by their task on a short day."""
        that_day = [entry for entry in self.entries if entry.day == sheet.day]
        by_step = {entry.step for entry in that_day}
        by_task = {entry.task for entry in that_day if entry.step is None and entry.kind == "short"}
        return {step.id for step in sheet.steps if step.id in by_step or step.task in by_task}

    def fit(self) -> dict[str, Any]:
        """The first decile that Python's own `statistics` gives for the method that it calls exclusive.

        That is (n + 1) p, the sixth definition of Hyndman and Fan (1996).
        """
        given = []
        for day, kind in self.kept.items():
            if kind == "short" and day < self.today:
                seconds = total(entry for entry in self.entries if entry.day == day)
                sheet = self.record.sheets.get(day)
                if sheet is not None and len(self.done_of(sheet)) == len(sheet.steps):
                    seconds = max(seconds, sheet.seconds)
                given += [seconds] if seconds else []
        enough = len(given) >= HARD_DAYS_NEEDED
        return {
            "days": len(given),
            "fits_seconds": int(statistics.quantiles(given, n=10, method="exclusive")[0]) if enough else None,
        }

    def gaps(self, came: set[date], since: date | None = None) -> tuple[int, int]:
        """The longest run of days without it, and the one that lasts."""
        runs = [0]
        begin = min([max(self.first, since or self.first), *came])
        for day in self.days:
            if day in came:
                runs.append(0)
            elif day >= begin:
                runs[-1] += self._counts(day)
        return max(runs), runs[-1]

    def _counts(self, day: date) -> bool:
        return day not in self.off and day != self.today

    def _is_off(self, day: date) -> bool:
        return day.isoweekday() in self.record.weekdays_off or any(
            first <= day <= last for first, last in self.record.spans_off
        )


def short_for_long(record: Record, today: date) -> bool:
    """Whether in three of the last four whole weeks there were short days and nothing of the whole routine."""
    played_days = kinds_by_week(entry for entry in record.known.values() if played(entry))
    weeks = [monday_of(today) - number * timedelta(weeks=1) for number in range(1, 5)]
    return sum("short" in played_days[week] and "usual" not in played_days[week] for week in weeks) >= 3


def kinds_by_week(entries: Iterable[Logged]) -> defaultdict[date, set[str]]:
    """The kinds of the days of each week, where the weightiest entry makes the day."""
    found: defaultdict[date, set[str]] = defaultdict(set)
    for day, kind in kinds_of_days(entries).items():
        found[monday_of(day)].add(kind)
    return found


def kinds_of_days(entries: Iterable[Logged]) -> dict[date, str]:
    kinds: defaultdict[date, set[str]] = defaultdict(set)
    for entry in entries:
        kinds[entry.day].add(entry.kind)
    return {
        day: next(kind for kind in ("usual", "short", "free") if kind in there)
        for day, there in sorted(kinds.items())
    }


def played(entry: Logged) -> bool:
    return bool(entry.seconds or entry.units)


def monday_of(day: date) -> date:
    return day - day.weekday() * ONE_DAY


def total(entries: Iterable[Logged]) -> int:
    return sum(entry.seconds for entry in entries)


def text_of(days: Iterable[date]) -> str | None:
    return str(max(days)) if days else None


def unit_count(unit: str, days: set[date]) -> dict[str, Any]:
    return {"unit": unit, "days": len(days), "last_day": text_of(days)}
