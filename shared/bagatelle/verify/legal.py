"""Whether a list of doses is a legal plan of one window."""

from bagatelle.model.plan import Dose
from bagatelle.verify.figures import counted
from bagatelle.verify.subject import Subject, Terms, seconds_by_task
from bagatelle.verify.verdict import Notebook


def doses_known(notebook: Notebook, subject: Subject, pointer: str, doses: tuple[Dose, ...]) -> bool:
    """Whether each dose is of an available task, and each task named once; faults are written down."""
    names = [dose.task for dose in doses]
    strangers = [name for name in names if name not in subject.available]
    once = len(set(names)) == len(names)
    notebook.expect(not strangers, "unavailable", f"{pointer}/doses", f"{strangers} are not available.")
    notebook.expect(once, "dose-twice", f"{pointer}/doses", f"The doses name {names}; expected no repeats.")
    return once and not strangers


def is_legal(subject: Subject, doses: tuple[Dose, ...], terms: Terms) -> bool:
    """Whether doses of known tasks are a legal plan."""
    notebook = Notebook("legal", "")
    check_legal(notebook, subject, "", doses, terms)
    return not notebook.group().faults


def check_legal(
    notebook: Notebook, subject: Subject, pointer: str, doses: tuple[Dose, ...], terms: Terms
) -> None:
    """Write down what keeps doses of known tasks from being a legal plan."""
    _check_doses(notebook, subject, pointer, doses, terms)
    kept = seconds_by_task(doses)
    tasks = [subject.tasks[name] for name in kept]
    own = kept.keys() - subject.stand_ins
    notebook.expect(bool(own), "empty", f"{pointer}/doses", "No task of the routine is kept.")
    cost = subject.cost(kept)
    notebook.expect(
        cost <= terms.capacity_seconds,
        "capacity",
        f"{pointer}/doses",
        f"Set-ups and doses take {cost} s; one window of that budget holds {terms.capacity_seconds} s.",
    )
    notebook.expect(
        counted(tasks) <= terms.limit,
        "limit",
        f"{pointer}/doses",
        f"{counted(tasks)} things are kept; expected at most {terms.limit}.",
    )
    missing = sorted(terms.must - kept.keys())
    notebook.expect(not missing, "must", f"{pointer}/doses", f"{missing} must be kept always and are not.")
    if terms.prepare and any(task.strains for task in tasks):
        prepared = any(task.prepares for task in tasks)
        notebook.expect(prepared, "unprepared", f"{pointer}/doses", "Something strains and nothing prepares.")
    if terms.music:
        notebook.expect(
            any(task.music for task in tasks),
            "no-music",
            f"{pointer}/doses",
            "No piece is kept; one has to be.",
        )
    if terms.more:
        notebook.expect(
            not all(task.is_warm_up for task in tasks),
            "only-a-warm-up",
            f"{pointer}/doses",
            "Nothing but a warm-up is kept; something else has to be.",
        )


def _check_doses(
    notebook: Notebook, subject: Subject, pointer: str, doses: tuple[Dose, ...], terms: Terms
) -> None:
    for position, dose in enumerate(doses):
        task = subject.tasks[dose.task]
        floor = task.dose_seconds[task.floor_units(terms.budget_seconds, terms.floor_mode)]
        notebook.expect(
            task.units_exactly(dose.seconds) is not None and dose.seconds >= max(floor, 1),
            "dose",
            f"{pointer}/doses/{position}/seconds",
            f"The dose of {dose.task!r} is {dose.seconds} s; "
            f"expected whole units, from {floor} s to {task.dose_seconds[-1]} s.",
        )
