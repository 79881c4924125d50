"""The whole verification: all groups of checks over one answer."""

from bagatelle.model.plan import CompressionAnswer
from bagatelle.verify.check_alternatives import check_alternatives
from bagatelle.verify.check_bounds import check_bounds
from bagatelle.verify.check_certificate import check_certificate
from bagatelle.verify.check_ladder import check_ladder
from bagatelle.verify.check_numbers import check_numbers
from bagatelle.verify.check_rules import check_rules
from bagatelle.verify.check_steps import check_doses, check_steps
from bagatelle.verify.check_windows import check_order, check_windows
from bagatelle.verify.subject import Subject
from bagatelle.verify.verdict import Verdict


def verify_answer(answer: CompressionAnswer, *, optimum: bool = True, thorough: bool = False) -> Verdict:
    """Check legality, worth, bound and ladder of a plan from the numbers that its answer repeats.

    Parameters
    ----------
    answer
        The answer to a compression.
    optimum
        Whether to find the optima again: that of the day, of the prepared plans, and of a few minutes of the
        ladder. Without it everything else is checked.
    thorough
        Whether to find again the optimum of every minute of the ladder.

    Returns
    -------
    Verdict
        Accepted where there is no fault. Where numbers are out of all bounds, nothing else is looked at.
        Questions too big for this program are named as not checked.
    """
    bounds = check_bounds(answer.plan)
    if bounds.faults:
        return Verdict(accepted=False, groups=(bounds,))
    subject = Subject(answer.plan)
    groups = (
        bounds,
        check_numbers(subject),
        check_windows(subject),
        check_steps(subject),
        check_doses(subject),
        check_order(subject),
        check_rules(subject),
        check_certificate(subject, optimum=optimum),
        check_alternatives(subject, optimum=optimum),
        check_ladder(subject, optimum=optimum, thorough=thorough),
    )
    return Verdict(accepted=not any(group.faults for group in groups), groups=groups)
