"""Certificate: the worth, its bound, and the optimum found a second time."""

from bagatelle.verify.budgets import day_terms
from bagatelle.verify.optimum import TooBigError, best_worth
from bagatelle.verify.subject import Subject
from bagatelle.verify.verdict import Group, Notebook

POINTER = "/plan/certificate"


def check_certificate(subject: Subject, *, optimum: bool) -> Group:
    """Recompute the worth and the gap; with `optimum`, look for a plan that is worth more than is claimed."""
    certificate = subject.plan.certificate
    notebook = Notebook(
        "certificate", "worth, bound and gap" + (", the optimum found again" if optimum else "")
    )
    worth = subject.worth(subject.played_seconds)
    notebook.equal(certificate.worth, worth, "worth", f"{POINTER}/worth", "The worth of the steps")
    notebook.expect(
        certificate.bound >= certificate.worth,
        "bound",
        f"{POINTER}/bound",
        f"The bound is {certificate.bound}, less than the worth {certificate.worth}.",
    )
    gap = (certificate.bound - certificate.worth) / certificate.bound if certificate.bound else 0.0
    notebook.equal(certificate.gap, round(gap, 6), "gap", f"{POINTER}/gap", "The gap")
    notebook.expect(
        not certificate.proved or certificate.bound == certificate.worth,
        "proved",
        f"{POINTER}/proved",
        f"It is called proved, with a bound of {certificate.bound} over a worth of {certificate.worth}.",
    )
    if optimum:
        _check_optimum(notebook, subject)
    return notebook.group()


def _check_optimum(notebook: Notebook, subject: Subject) -> None:
    certificate = subject.plan.certificate
    try:
        better = best_worth(subject.window(day_terms(subject)), more_than=certificate.bound)
    except TooBigError:
        notebook.not_checked(
            "optimum", POINTER, "The optimum was not found again: the question is too big for this program."
        )
        return
    if better is None:
        return
    if subject.single_window:
        notebook.fault(
            "optimum",
            f"{POINTER}/bound",
            f"A legal plan is worth {better}, more than the bound {certificate.bound}.",
        )
    elif certificate.proved:
        notebook.not_checked(
            "several-windows",
            POINTER,
            "That no plan of several windows is worth more was not checked: "
            f"one window of their sum would hold {better}.",
        )
