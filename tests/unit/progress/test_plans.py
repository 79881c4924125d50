"""How plans were used, on a few sheets worked by hand."""

from datetime import date

from bagatelle.model.progress import KindUse, LogEntry, PracticeFacts, SheetMade, SheetStep

from tests.progress_strategies import made_of

MONDAY = date(2027, 3, 1)
TUESDAY = date(2027, 3, 2)
WEDNESDAY = date(2027, 3, 3)
STEPS = (
    SheetStep(id="scales-1", task="scales", seconds=120),
    SheetStep(id="minuet-1", task="minuet", seconds=300),
    SheetStep(id="scales-2", task="scales", seconds=120),
)


def made_on(day: date, plan_kind: str = "usual") -> SheetMade:
    return SheetMade(day=day, given_seconds=600, plan_kind=plan_kind, steps=STEPS)


def entry(number: int, day: date, task: str, step: str | None, kind: str = "short") -> LogEntry:
    return LogEntry(
        id=str(number),
        day=day,
        kind="usual" if kind == "usual" else "short",
        task=task,
        step=step,
        seconds=60,
    )


def test_sheets_are_counted_by_kind_as_made_begun_and_finished() -> None:
    entries = (
        entry(1, MONDAY, "scales", "scales-1"),
        entry(2, MONDAY, "minuet", "minuet-1"),
        entry(3, MONDAY, "scales", "scales-2"),
        entry(4, TUESDAY, "scales", "scales-1"),
    )
    sheets = (made_on(MONDAY), made_on(TUESDAY, "away"), made_on(WEDNESDAY, "away"))
    plans = made_of(PracticeFacts(today=WEDNESDAY, first_day=MONDAY, entries=entries, sheets=sheets)).plans
    assert (plans.made, plans.begun, plans.finished) == (3, 2, 1)
    assert plans.kinds == (
        KindUse(plan_kind="away", made=2, begun=1, finished=0),
        KindUse(plan_kind="usual", made=1, begun=1, finished=1),
    )


def test_a_log_by_task_alone_does_every_step_of_the_task() -> None:
    entries = (entry(1, MONDAY, "scales", None), entry(2, MONDAY, "minuet", None))
    facts = PracticeFacts(today=MONDAY, first_day=MONDAY, entries=entries, sheets=(made_on(MONDAY),))
    assert made_of(facts).plans.finished == 1


def test_a_usual_day_is_no_use_of_its_sheet() -> None:
    entries = (entry(1, MONDAY, "scales", None, "usual"), entry(2, MONDAY, "minuet", None, "usual"))
    facts = PracticeFacts(today=MONDAY, first_day=MONDAY, entries=entries, sheets=(made_on(MONDAY),))
    plans = made_of(facts).plans
    assert (plans.made, plans.begun, plans.finished) == (1, 0, 0)


def test_a_step_of_another_day_is_none_of_this() -> None:
    entries = (entry(1, TUESDAY, "scales", "scales-1"),)
    facts = PracticeFacts(today=TUESDAY, first_day=MONDAY, entries=entries, sheets=(made_on(MONDAY),))
    assert made_of(facts).plans.begun == 0
