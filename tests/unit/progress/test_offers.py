"""Small changes: what each is offered for, which comes first, and that an answered one does not come again."""

from datetime import date, timedelta

from bagatelle.model.progress import LogEntry, Offer, PracticeFacts, SheetMade, SheetStep, TaskFacts
from bagatelle.progress.progress import offers_of
from msgspec.structs import replace

from tests.progress_strategies import in_english, made_of

FIRST_DAY = date(2027, 3, 1)
TODAY = date(2027, 4, 1)
SCALES = TaskFacts(id="scales", title="Scales in thirds", area="technique", stage="refining")
MINUET = TaskFacts(id="minuet", title="Minuet", area="repertoire", stage="learning")


def day(number: int) -> date:
    return FIRST_DAY + timedelta(days=number)


def short(number: int, task: str = "scales", seconds: int = 300, met: bool | None = None) -> LogEntry:
    return LogEntry(
        id=f"{task}-{number}",
        day=day(number),
        kind="short",
        task=task,
        area="technique",
        seconds=seconds,
        done_when_met=met,
    )


def sheet(number: int) -> SheetMade:
    return SheetMade(
        day=day(number),
        given_seconds=900,
        plan_kind="usual",
        steps=(
            SheetStep(id="scales-1", task="scales", seconds=300),
            SheetStep(id="minuet-1", task="minuet", seconds=300),
        ),
    )


def facts(**changes: object) -> PracticeFacts:
    return replace(
        PracticeFacts(
            today=TODAY, first_day=FIRST_DAY, tasks=(SCALES, MINUET), plan_seconds=900, usual_seconds=3600
        ),
        **changes,
    )


def offered(asked: PracticeFacts) -> list[Offer]:
    """Every offer in turn, each answered before the next is asked for."""
    offers: list[Offer] = []
    while (offer := made_of(asked).offer) is not None:
        offers.append(offer)
        asked = replace(asked, answered=asked.answered | {offer.key})
    return offers


def keys(asked: PracticeFacts) -> list[str]:
    return [offer.key for offer in offered(asked)]


def test_a_plan_longer_than_hard_days_gave_is_offered_shorter() -> None:
    ten = tuple(short(number) for number in range(10))
    offer = offered(facts(entries=ten))[0]
    assert offer.key == "shorter-plan:900"
    # 300 of 3600 seconds are 8 hundredths and a bit.
    assert offer.change.share == 0.08
    assert (offer.evidence.days, offer.evidence.fits_seconds, offer.evidence.plan_seconds) == (10, 300, 900)
    assert offer.message == (
        "On nine of ten hard days there were 5 minutes or more, as far as 10 of them tell; the plan that stands "
        "ready takes 15 minutes. It could be one of 5 minutes."
    )


def test_nine_days_say_nothing_of_the_plan() -> None:
    progress = made_of(facts(entries=tuple(short(number) for number in range(9))))
    assert progress.fit.fits_seconds is None
    assert not progress.fit.plan_is_longer
    assert progress.offer is None


def test_days_that_held_the_whole_plan_gave_what_it_was_made_for() -> None:
    entries = tuple(short(number, task, 250) for number in range(10) for task in ("scales", "minuet"))
    progress = made_of(facts(entries=entries, sheets=tuple(sheet(number) for number in range(10))))
    assert progress.plans.finished == 10
    assert progress.fit.fits_seconds == 900
    assert progress.offer is None


def test_one_bad_day_of_ten_is_no_reason_for_a_shorter_plan() -> None:
    entries = (short(0, seconds=60), *(short(number, seconds=900) for number in range(1, 10)))
    fit = made_of(facts(entries=entries)).fit
    # Place 1.1 of ten: 60 + 0.1 * 840. The fourth day is the upper end: binomial, n 10, p 0.1.
    assert (fit.days, fit.fits_seconds, fit.low_seconds, fit.high_seconds) == (10, 144, None, 900)
    assert not fit.plan_is_longer


def test_a_plan_hardly_longer_is_no_other_plan() -> None:
    entries = tuple(short(number, seconds=880) for number in range(10))
    assert made_of(facts(entries=entries)).fit.plan_is_longer
    assert keys(facts(entries=entries)) == []


def test_what_was_left_out_on_fourteen_kept_days_is_offered_as_wanted_more() -> None:
    entries = tuple(short(number, seconds=900) for number in range(14))
    offer = offered(facts(entries=entries))[0]
    assert offer.key == "left-out:minuet"
    assert offer.change.pin == "more"
    assert offer.message == (
        "Minuet has not come round on the last 14 days kept. It could be pinned, so that it is wanted more."
    )
    assert keys(facts(entries=entries[1:])) == []


def test_days_on_which_nothing_was_played_left_nothing_out() -> None:
    assert keys(facts(entries=(short(0, seconds=900),))) == []


def test_what_comes_round_seldom_is_waited_for_longer() -> None:
    entries = tuple(short(number, seconds=900) for number in range(20))
    seldom = (SCALES, replace(MINUET, cadence_days=7))
    assert keys(facts(entries=entries, tasks=seldom)) == []
    assert keys(facts(entries=(*entries, short(20, seconds=900)), tasks=seldom)) == ["left-out:minuet"]


def test_what_somebody_has_pinned_is_left_as_it_is() -> None:
    entries = tuple(short(number, seconds=900) for number in range(20))
    pinned = (SCALES, replace(MINUET, pin="less"))
    assert keys(facts(entries=entries, tasks=pinned)) == []


def test_what_is_skipped_on_most_sheets_is_offered_as_wanted_less_and_not_more() -> None:
    entries = tuple(short(number, seconds=900) for number in range(20))
    sheets = tuple(sheet(number) for number in range(20))
    offers = offered(facts(entries=entries, sheets=sheets))
    assert [offer.key for offer in offers] == ["skipped:minuet"]
    assert offers[0].change.pin == "less"
    assert offers[0].message == (
        "Minuet stood on 20 sheets that were begun, and was passed over on 20. It could be pinned, so that it is "
        "wanted less, or be said in words of your own."
    )


def test_four_sheets_or_half_of_them_are_not_again_and_again() -> None:
    entries = tuple(short(number, seconds=900) for number in range(6))
    assert keys(facts(entries=entries, sheets=tuple(sheet(number) for number in range(4)))) == []
    half = tuple(short(number, "minuet", 900) for number in range(3))
    assert keys(facts(entries=(*entries, *half), sheets=tuple(sheet(number) for number in range(6)))) == []


def test_a_finish_line_met_often_enough_is_offered_its_next_stage() -> None:
    entries = tuple(short(number, seconds=900, met=True) for number in (0, 3, 7))
    offer = offered(facts(entries=entries))[0]
    assert offer.key == "next-stage:scales:maintaining"
    assert (offer.change.stage, offer.change.stage_since) == ("maintaining", TODAY)
    assert offer.evidence.met_on == (day(0), day(3), day(7))


def test_they_come_one_at_a_time_in_order_of_importance() -> None:
    entries = tuple(short(number, met=True) for number in range(20))
    tasks = (SCALES, MINUET, TaskFacts(id="ear", title="Intervals", area="ear"))
    sheets = tuple(sheet(number) for number in range(20))
    assert keys(facts(entries=entries, tasks=tasks, sheets=sheets)) == [
        "shorter-plan:900",
        "left-out:ear",
        "skipped:minuet",
        "next-stage:scales:maintaining",
    ]


def test_a_task_that_the_routine_has_lost_is_offered_nothing() -> None:
    entries = tuple(short(number, seconds=900, met=True) for number in range(20))
    lost = (replace(SCALES, current=False), replace(MINUET, current=False))
    assert keys(facts(entries=entries, tasks=lost)) == []


def test_all_offers_are_those_that_come_one_after_the_other() -> None:
    entries = tuple(short(number, met=True) for number in range(20))
    asked = facts(entries=entries, sheets=tuple(sheet(number) for number in range(20)))
    offers = offers_of(asked, in_english())
    assert len(offers) > 2
    assert list(offers) == offered(asked)
    answered = frozenset(offer.key for offer in offers)
    assert offers_of(replace(asked, answered=answered), in_english()) == offers
