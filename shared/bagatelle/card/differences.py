"""What differs between two cards of one kind, so that it can be shown before the newer one is taken."""

from collections.abc import Iterable

from bagatelle.model.card import Card, CardDifference, CardTask, DifferenceKind, PreparedDoses


def differences_of(before: Card, after: Card) -> tuple[CardDifference, ...]:
    """One entry for each thing that differs: the whole day first, then the tasks of the newer card in its order.

    Numbers that a person does not see, such as weights behind an order, show in what they change: the doses of the
    quarter and the order of the tasks.

    Raises
    ------
    ValueError
        The cards are of different kinds.
    """
    if before.kind != after.kind:
        raise ValueError(f"A card for {before.kind} is not compared with one for {after.kind}.")
    old = {task.id: task for task in before.tasks}
    new = {task.id: task for task in after.tasks}
    found = list(_of_the_day(before, after))
    found.extend(
        CardDifference(what="task-gone", task=task.id, before=task.title, after="")
        for task in before.tasks
        if task.id not in new
    )
    for task in after.tasks:
        if task.id in old:
            found.extend(_of_task(old[task.id], task))
        else:
            found.append(CardDifference(what="task-added", task=task.id, before="", after=task.title))
    return tuple(found)


def _of_the_day(before: Card, after: Card) -> Iterable[CardDifference]:
    shared = {task.id for task in before.tasks} & {task.id for task in after.tasks}
    order_before = [task.id for task in before.tasks if task.id in shared]
    order_after = [task.id for task in after.tasks if task.id in shared]
    if before.quarter_seconds != after.quarter_seconds:
        yield _seconds("seconds", None, before.quarter_seconds, after.quarter_seconds)
    if order_before != order_after:
        yield CardDifference(
            what="order", task=None, before=" ".join(order_before), after=" ".join(order_after)
        )
    if before.cautions != after.cautions:
        yield CardDifference(
            what="cautions", task=None, before=" ".join(before.cautions), after=" ".join(after.cautions)
        )
    yield from _of_quarter(before.quarter, after.quarter)


def _of_quarter(before: PreparedDoses, after: PreparedDoses) -> Iterable[CardDifference]:
    """What a day that gives no time holds: seconds of each task, none where it is not in it."""
    old = {lift.task: lift.seconds for lift in before.lifts}
    new = {lift.task: lift.seconds for lift in after.lifts}
    for task in sorted({*old, *new}):
        if old.get(task, 0) != new.get(task, 0):
            yield _seconds("quarter", task, old.get(task, 0), new.get(task, 0))


def _of_task(before: CardTask, after: CardTask) -> Iterable[CardDifference]:
    if before.title != after.title:
        yield CardDifference(what="title", task=after.id, before=before.title, after=after.title)
    if before.stage != after.stage:
        yield CardDifference(what="stage", task=after.id, before=before.stage, after=after.stage)
    if before.usual_seconds != after.usual_seconds:
        yield _seconds("seconds", after.id, before.usual_seconds, after.usual_seconds)
    for old, new in zip(_words(before), _words(after), strict=True):
        if old != new:
            yield CardDifference(what="words", task=after.id, before=old, after=new)
    if before.units != after.units:
        yield CardDifference(what="units", task=after.id, before=_units(before), after=_units(after))
    if before.cautions != after.cautions:
        yield CardDifference(
            what="cautions", task=after.id, before=" ".join(before.cautions), after=" ".join(after.cautions)
        )


def _words(task: CardTask) -> tuple[str, ...]:
    return (task.what, task.how, task.how_each, task.done_when, task.done_when_each)


def _units(task: CardTask) -> str:
    """Each unit in words, with how much of it."""
    return "; ".join(
        f"{unit.what} ({unit.how_much[0] if unit.how_much else unit.seconds})" for unit in task.units
    )


def _seconds(what: DifferenceKind, task: str | None, before: int, after: int) -> CardDifference:
    return CardDifference(what=what, task=task, before=str(before), after=str(after))
