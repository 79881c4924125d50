"""Several windows: the engine's plans against its own bound and against what CP-SAT came to in 10 seconds."""

from statistics import median
from time import process_time
from typing import Final

from bagatelle.engine import doses
from bagatelle.engine.windows import WindowsPlan, arranged_visits, plan_windows

from tests.bench.tables import milliseconds, percentile, table
from tests.outside.generated_windows import WindowsCase, windows_case
from tests.outside.windows_of_cp_sat import CASES, PROCESSOR_SECONDS, Stored, stored

REPEATS: Final = 3


def run() -> str:
    """Measure and write the report.

    Raises
    ------
    AssertionError
        A case is not stored as it is, a plan is worth more than CP-SAT's bound, or one was missed.
    """
    answers = stored()
    gaps, ratios, their_gaps, seconds = [], [], [], []
    proved = theirs_proved = 0
    for index in range(CASES):
        case, answer = windows_case(index), answers[index]
        plan, took = _measure(case)
        check(index, case, answer, plan)
        if plan is None or answer.worth is None or answer.bound is None:
            continue
        seconds.append(took)
        gaps.append((plan.bound - plan.worth) / plan.bound)
        ratios.append(plan.worth / answer.worth)
        their_gaps.append((answer.bound - answer.worth) / answer.bound)
        proved += plan.proved
        theirs_proved += answer.proved
    rows = [
        ["gap to the own bound", *_percents(gaps)],
        ["gap of CP-SAT to its own bound", *_percents(their_gaps)],
        ["worth less than CP-SAT's plan", *_percents([1 - ratio for ratio in ratios])],
        [
            "processor time",
            *(milliseconds(value) for value in (median(seconds), percentile(seconds, 90), max(seconds))),
        ],
    ]
    explanation = (
        f"{len(gaps)} generated days of 3 to 8 windows and 8 to 30 tasks that have a legal plan, of {CASES}; "
        "every rule on. CP-SAT: one worker, "
        f"{PROCESSOR_SECONDS:.0f} s of processor time a case, stored. It "
        f"proved {theirs_proved} of them, the engine {proved}."
    )
    return "\n".join(
        [
            "## Several windows",
            "",
            explanation,
            "",
            table(["", "median", "nine in ten within", "worst"], rows),
        ]
    )


def check(index: int, case: WindowsCase, answer: Stored, plan: WindowsPlan | None) -> None:
    """That the stored answer is of this case, and that neither solver contradicts the other.

    Raises
    ------
    AssertionError
        It is not, or they do.
    """
    if answer.case != case.fingerprint():
        raise AssertionError(f"Case {index} has changed since CP-SAT was asked.")
    if answer.bound is None:
        if plan is not None:
            raise AssertionError(f"Case {index}: CP-SAT says that there is no plan, and there is one.")
        return
    if plan is not None and plan.worth > answer.bound:
        raise AssertionError(f"Case {index}: {plan.worth} is more than CP-SAT's bound {answer.bound}.")
    if answer.worth is not None and (plan is None or plan.bound < answer.worth):
        raise AssertionError(
            f"Case {index}: CP-SAT has a plan worth {answer.worth}, past the engine's bound."
        )


def _measure(case: WindowsCase) -> tuple[WindowsPlan | None, float]:
    """The plan, and the median processor time of it and of arranging it for the body.

    Nothing is remembered from one run to the next.
    """
    times = []
    for _ in range(REPEATS):
        doses._scale.cache_clear()
        start = process_time()
        plan = plan_windows(case.problem, case.windows, case.order_of)
        if plan is not None:
            arranged_visits(case.problem, case.windows, case.order_of, plan.visits, None)
        times.append(process_time() - start)
    return plan, median(times)


def _percents(shares: list[float]) -> list[str]:
    return [f"{100 * share:.2f} %" for share in (median(shares), percentile(shares, 90), max(shares))]
