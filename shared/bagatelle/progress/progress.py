"""A student's progress, put together from all that is known of it."""

from bagatelle.model.progress import Offer, PracticeFacts, Progress
from bagatelle.policy.progress import ProgressPolicy
from bagatelle.policy.table import Policy
from bagatelle.progress.continuity import continuity_of
from bagatelle.progress.days import Stretch
from bagatelle.progress.entries import entries_that_count, kept_days
from bagatelle.progress.offers import Findings, first_offer, offers_in_order
from bagatelle.progress.plans import plan_fit, plan_use, sheets_used
from bagatelle.progress.summing import areas_of, tasks_of, weeks_of
from bagatelle.wording.render import Say


def progress_of(
    facts: PracticeFacts, say: Say, policy: Policy | None = None, numbers: ProgressPolicy | None = None
) -> Progress:
    """What a student's logs and plans come to.

    Parameters
    ----------
    facts
        Logs in any order and as often as they were delivered, sheets, days off, tasks, and what day it is.
    say
        Puts the offer's sentence into the words of one locale.
    policy
        When the finish line was met often enough for the next stage; the engine's table where it is not given.
    numbers
        When something is worth an offer; the usual ones where they are not given.

    Returns
    -------
    Progress
        The same for the same facts, whatever the order and doubling of the logs.
    """
    policy = policy or Policy()
    numbers = numbers or ProgressPolicy()
    stretch, found = _find(facts, numbers)
    return Progress(
        first_day=facts.first_day,
        last_day=stretch.last_day,
        today=facts.today,
        seconds=sum(entry.seconds for entry in found.entries),
        continuity=continuity_of(stretch, found.kept),
        weeks=tuple(weeks_of(found.entries)),
        areas=tuple(areas_of(stretch, found.entries, facts.tasks)),
        tasks=found.tasks,
        plans=found.plans,
        fit=found.fit,
        offer=first_offer(facts, found, policy, numbers, say),
    )


def offers_of(
    facts: PracticeFacts, say: Say, policy: Policy | None = None, numbers: ProgressPolicy | None = None
) -> tuple[Offer, ...]:
    """Every change that there is evidence for, answered or not, the most important first.

    Takes what `progress_of` takes.
    """
    numbers = numbers or ProgressPolicy()
    _, found = _find(facts, numbers)
    return tuple(offers_in_order(facts, found, policy or Policy(), numbers, say))


def _find(facts: PracticeFacts, numbers: ProgressPolicy) -> tuple[Stretch, Findings]:
    last_day = facts.today if facts.last_day is None else facts.last_day
    stretch = Stretch(facts.first_day, last_day, facts.days_off, facts.today)
    entries = tuple(entry for entry in entries_that_count(facts.entries) if stretch.holds(entry.day))
    sheets = sheets_used((sheet for sheet in facts.sheets if stretch.holds(sheet.day)), entries)
    return stretch, Findings(
        entries=entries,
        kept=kept_days(entries),
        plans=plan_use(sheets, facts.today, numbers.skipped_on_sheets),
        fit=plan_fit(entries, sheets, facts.today, facts.plan_seconds),
        tasks=tuple(tasks_of(stretch, entries, facts.tasks)),
    )
