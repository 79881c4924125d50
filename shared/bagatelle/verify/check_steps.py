"""Steps: whole units in rotation order, visits, set-ups, texts, and what is left out."""

from collections import Counter

from bagatelle.model.plan import Step
from bagatelle.model.vocabulary import FRESH_AREAS
from bagatelle.verify.figures import Task
from bagatelle.verify.subject import Subject, Visit
from bagatelle.verify.verdict import Group, Notebook

TEXTS = ("what", "how", "how_much", "done_when")


def check_steps(subject: Subject) -> Group:
    """Look at every step, at every visit, and at the list of what is left out."""
    plan = subject.plan
    notebook = Notebook(
        "steps", f"units, seconds, set-ups, texts of {len(plan.steps)} steps; what is left out"
    )
    for name, count in Counter(step.id for step in plan.steps).items():
        notebook.equal(count, 1, "twice", "/plan/steps", f"The number of steps with the id {name!r}")
    for position, step in enumerate(plan.steps):
        _check_step(notebook, subject, f"/plan/steps/{position}", step)
    _check_rotation(notebook, subject)
    for visit in subject.visits:
        _check_visit(notebook, subject, visit)
    _check_left_out(notebook, subject)
    _check_parts_left(notebook, subject)
    return notebook.group()


def _check_step(notebook: Notebook, subject: Subject, pointer: str, step: Step) -> None:
    if step.kind == "rest":
        rest_alone = step.task is None and not step.units and step.set_up_seconds == 0 and step.seconds > 0
        notebook.expect(rest_alone, "rest", pointer, "A rest has seconds and nothing else; this one differs.")
        return
    task = subject.tasks.get(step.task or "")
    if task is None:
        notebook.fault("unknown-task", f"{pointer}/task", f"The task {step.task!r} is not among the tasks.")
        return
    notebook.expect(
        task.numbers.available,
        "unavailable",
        f"{pointer}/task",
        f"{step.task!r} has a step although it is not available.",
    )
    notebook.equal(step.block, task.numbers.block, "block", f"{pointer}/block", f"The block of {step.task!r}")
    _check_units(notebook, pointer, step, task)
    for text in TEXTS:
        notebook.expect(
            bool(getattr(step, text).strip()),
            "text",
            f"{pointer}/{text}",
            f"{text!r} is empty; expected words.",
        )


def _check_units(notebook: Notebook, pointer: str, step: Step, task: Task) -> None:
    lengths = {unit.id: unit.seconds for unit in task.numbers.units}
    strangers = [unit for unit in step.units if unit not in lengths]
    if strangers or not step.units:
        notebook.fault(
            "units",
            f"{pointer}/units",
            f"The units are {list(step.units)}; expected at least one, all of {list(lengths)}.",
        )
        return
    notebook.equal(
        step.seconds,
        sum(lengths[unit] for unit in step.units),
        "seconds",
        f"{pointer}/seconds",
        "The sum of the step's units",
    )


def _check_rotation(notebook: Notebook, subject: Subject) -> None:
    """A step holds the units that come next in rotation, going on where the last one stopped."""
    done: dict[str, int] = {}
    for position, step in subject.task_steps:
        task = step.task or ""
        names = [unit.id for unit in subject.tasks[task].numbers.units]
        start = done.get(task, 0)
        expected = [names[(start + index) % len(names)] for index in range(len(step.units))] if names else []
        _check_order(notebook, f"/plan/steps/{position}/units", subject.tasks[task], step, expected)
        notebook.equal(
            step.continues,
            start > 0,
            "continues",
            f"/plan/steps/{position}/continues",
            f"continues of {task!r}",
        )
        done[task] = start + len(step.units)


def _check_order(notebook: Notebook, pointer: str, task: Task, step: Step, in_rotation: list[str]) -> None:
    """Which units a step holds goes by rotation; it plays each round of them by their places."""
    notebook.equal(
        sorted(step.units),
        sorted(in_rotation),
        "rotation",
        pointer,
        f"The units of {task.id!r}, by name,",
    )
    places = {unit.id: unit.place for unit in task.numbers.units}
    rounds: list[tuple[int, int]] = []
    times = Counter[str]()
    for unit in step.units:
        rounds.append((times[unit], places.get(unit, -1)))
        times[unit] += 1
    notebook.equal(
        rounds,
        sorted(rounds),
        "own-order",
        pointer,
        f"Round and place of each unit of {task.id!r}, in order,",
    )


def _check_visit(notebook: Notebook, subject: Subject, visit: Visit) -> None:
    task = subject.tasks[visit.task]
    pointer = f"/plan/steps/{visit.first_step}"
    set_ups = [step.set_up_seconds for step in visit.steps]
    notebook.equal(
        set_ups,
        [task.set_up_seconds] + [0] * (len(visit.steps) - 1),
        "set-up",
        f"{pointer}/set_up_seconds",
        f"The set-up of a visit to {visit.task!r}, step by step,",
    )
    chunk_units = 1 if subject.plan.floor_mode == "unit" else task.chunk_units
    chunk_seconds = task.dose_seconds[chunk_units]
    units = sum(len(step.units) for step in visit.steps)
    # Units differ in length, so a later visit holds a chunk by its seconds or by its number of units.
    notebook.expect(
        units >= chunk_units or visit.seconds >= chunk_seconds,
        "chunk",
        pointer,
        f"The visit to {visit.task!r} has {visit.seconds} s; its smallest useful chunk is {chunk_seconds} s.",
    )


def _check_left_out(notebook: Notebook, subject: Subject) -> None:
    listed = Counter(left.task for left in subject.plan.left_out)
    expected = Counter(subject.tasks.keys() - subject.played_seconds.keys() - subject.stand_ins)
    # Nothing is known of the length of these, so that they are not among the tasks.
    expected.update(problem.task for problem in subject.plan.plugin_problems or ())
    for name in sorted(listed | expected):
        notebook.equal(
            listed[name],
            expected[name],
            "left-out",
            "/plan/left_out",
            f"The number of entries of {name!r} among what is left out",
        )


def _check_parts_left(notebook: Notebook, subject: Subject) -> None:
    """Of each task that is kept, what is left is what no step holds; of what is taken afresh each day, nothing."""
    played = {(step.task, unit) for _, step in subject.task_steps for unit in step.units}
    expected = {
        name: {unit.id for unit in task.numbers.units if (name, unit.id) not in played}
        for name, task in subject.tasks.items()
        if name in subject.played_seconds and task.numbers.area not in FRESH_AREAS
    }
    listed = Counter(parts.task for parts in subject.plan.parts_left)
    for name, left in expected.items():
        notebook.equal(
            listed[name],
            int(bool(left)),
            "parts-left",
            "/plan/parts_left",
            f"The number of entries of {name!r} among the parts that are left",
        )
    for position, parts in enumerate(subject.plan.parts_left):
        notebook.equal(
            sorted(parts.units),
            sorted(expected.get(parts.task, ())),
            "parts-left",
            f"/plan/parts_left/{position}/units",
            f"What is left of {parts.task!r}",
        )


def check_doses(subject: Subject) -> Group:
    """Each kept task gets at least its floor and at most its largest dose over the whole day."""
    notebook = Notebook("doses", f"floor and largest dose of {len(subject.played_seconds)} kept tasks")
    positions = {numbers.task: position for position, numbers in enumerate(subject.plan.tasks)}
    own = subject.played_seconds.keys() - subject.stand_ins
    notebook.expect(bool(own), "empty", "/plan/steps", "The plan keeps no task of the routine.")
    for name, seconds in subject.played_seconds.items():
        task = subject.tasks[name]
        floor_units = task.floor_units(subject.plan.budget_seconds, subject.plan.floor_mode)
        floor = task.dose_seconds[floor_units]
        pointer = f"/plan/tasks/{positions[name]}"
        notebook.expect(
            seconds >= floor,
            "floor",
            f"{pointer}/floor_seconds",
            f"{name!r} gets {seconds} s; its floor is {floor} s.",
        )
        notebook.expect(
            seconds <= task.dose_seconds[-1],
            "largest",
            f"{pointer}/largest_seconds",
            f"{name!r} gets {seconds} s; its largest dose is {task.dose_seconds[-1]} s.",
        )
    return notebook.group()
