"""How far a preparation is, on the terminal."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

from bagatelle_service.api.problems import EngineProblemError
from bagatelle_service.school.preparations import StudentDone
from bagatelle_service.school.set_preparation import Prepared


@contextmanager
def watched(count: int) -> Iterator[Callable[[StudentDone], None]]:
    """Show how many of so many students are done, where somebody looks; and name what came to a problem."""
    columns = (
        TextColumn("Preparing"),
        BarColumn(),
        MofNCompleteColumn(),
        TextColumn("students"),
        TimeRemainingColumn(),
    )
    console = Console(stderr=True, highlight=False, soft_wrap=True)
    with Progress(*columns, console=console, disable=not console.is_terminal) as progress:
        task = progress.add_task("", total=count)

        def see(done: StudentDone) -> None:
            for each in done.prepared:
                if isinstance(each.outcome, Exception):
                    console.print(_said(each, each.outcome), markup=False)
            progress.advance(task)

        yield see


def _said(prepared: Prepared, error: Exception) -> str:
    """Name the routine and what is wrong with it, and nothing of what it holds: terminals are often recorded."""
    problem, wrong = type(error).__name__, ""
    if isinstance(error, EngineProblemError):
        problem = error.problem.type.rpartition(":")[2]
        wrong = " ".join(each.pointer for each in error.problem.errors or ())
    return f"routine {prepared.found.routine.id}: {problem} {wrong}".rstrip()
