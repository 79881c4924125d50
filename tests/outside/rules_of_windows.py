"""What is wrong with visits of several windows, by the rules' wording and plain counting."""

from collections.abc import Sequence

from bagatelle.engine.layout import Visit
from bagatelle.engine.problem import Item, Problem

from tests.outside.generated_windows import HIGH, WindowsCase
from tests.outside.options import chunk_seconds, least_units, seconds_by_units, seconds_of_dose


def wrong_visits(case: WindowsCase, visits: Sequence[Visit]) -> list[str]:
    """Every rule that these visits break, in words; empty for a legal plan."""
    items = {item.id: item for item in case.problem.items}
    wrong = []
    done: dict[str, int] = {}
    loads = [0] * len(case.windows)
    for before, visit in zip((None, *visits), visits, strict=False):
        item = items[visit.task]
        start = done.get(item.id, 0)
        seconds = seconds_of_dose(item, start + visit.units) - seconds_of_dose(item, start)
        done[item.id] = start + visit.units
        loads[visit.window] += visit.seconds + visit.set_up_seconds
        faults = {
            "does not go on": visit.first_unit != start,
            "has other seconds": visit.seconds != seconds,
            "pays another set-up": visit.set_up_seconds != item.set_up_seconds,
            "is too small": visit.units < 1 or seconds < chunk_seconds(case.problem, item),
        }
        if before is not None:
            same = before.window == visit.window
            faults["is out of order"] = before.window > visit.window
            faults["comes after more strain"] = same and case.ranks[before.task] > case.ranks[item.id]
        wrong += [f"{visit} {fault}" for fault, is_so in faults.items() if is_so]
    if len({(visit.window, visit.task) for visit in visits}) < len(visits):
        wrong.append("a task visits a window twice")
    wrong += [f"window {i}: {load} s" for i, load in enumerate(loads) if load > case.windows[i]]
    if sum(loads) > case.problem.capacity_seconds:
        wrong.append(f"{sum(loads)} s in all")
    return wrong + _wrong_doses(case.problem, items, done) + _wrong_order(case, items, visits)


def _wrong_doses(problem: Problem, items: dict[str, Item], doses: dict[str, int]) -> list[str]:
    wrong = []
    for name, units in doses.items():
        seconds = seconds_by_units(items[name])
        if not least_units(problem, items[name], seconds) <= units <= len(seconds):
            wrong.append(f"{name}: {units} units")
    kept = [items[name] for name in doses]
    preparing = sum(item.prepares for item in kept)
    strains = any(item.strains for item in kept)
    rules = {
        "empty": not kept,
        "too many tasks": len(kept) - (preparing > 0) > problem.duties.task_limit,
        "a pin is not kept": any(item.must and item not in kept for item in problem.items),
        "nothing but a warm-up": problem.duties.more and all(item.warm_up for item in kept),
        "no music": problem.duties.music and not any(item.music for item in kept),
        "nothing prepares": problem.duties.prepare and strains and not preparing,
        "an idle stand-in": any(item.stand_in for item in kept) and (preparing > 1 or not strains),
    }
    return wrong + [rule for rule, broken in rules.items() if broken]


def _wrong_order(case: WindowsCase, items: dict[str, Item], visits: Sequence[Visit]) -> list[str]:
    prepared = False
    for place, visit in enumerate(visits):
        if items[visit.task].strains and not prepared and case.problem.duties.prepare:
            return [f"{visit.task} strains before anything prepares"]
        prepared = prepared or items[visit.task].prepares
        easier = any(case.ranks[other.task] < HIGH for other in visits)
        if place == 0 and case.ranks[visit.task] == HIGH and easier:
            return [f"{visit.task} opens the day with high strain"]
    return []
