"""What holds of a sheet of several short gaps, or of more time than counts as short."""

from collections import Counter, defaultdict

from bagatelle import make_sheet
from bagatelle.model.card import Card, CardTask
from bagatelle.model.sheet import DaySheet, MadeFrom
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from tests.card_strategies import DAY, ask_of_seconds, uniform_cards

GAPS = st.lists(st.integers(60, 900), min_size=2, max_size=5)


class Day:
    """A sheet of a card in which all units of a task take as long."""

    def __init__(self, card: Card, *seconds: int) -> None:
        asks = (ask_of_seconds(*seconds),)
        self.card = card
        self.sheet: DaySheet = make_sheet(card, MadeFrom(card="c1", date=DAY, asks=asks))
        self.tasks = {task.id: task for task in card.tasks}
        self.units: dict[str, Counter[int]] = defaultdict(Counter)
        """Task -> window -> units."""
        self.used = Counter[int]()
        """Window -> set-ups and doses."""
        for step in self.sheet.steps:
            if step.task is not None:
                self.units[step.task][step.window] += sum(unit.times for unit in step.units)
                self.used[step.window] += step.seconds + step.set_up_seconds

    def room(self, number: int) -> int:
        window = self.sheet.windows[number]
        left = window.seconds - window.slack_seconds - window.rest_seconds - self.used[number]
        most = self.card.numbers.most_seconds
        return left if most is None else min(left, most - self.used.total())

    def holds(self, number: int, names: set[str]) -> bool:
        return any(self.units[name][number] for name in names)

    def cost(self, task: CardTask, units: int) -> int:
        return task.set_up_seconds + units * task.units[0].seconds


def most_units(task: CardTask) -> int:
    """Of a day; one is always allowed."""
    return max(task.largest_seconds // task.units[0].seconds, 1)


def units_reaching(task: CardTask, seconds: int) -> int:
    return max(min(-(-seconds // task.units[0].seconds), most_units(task)), 1)


def once_units(task: CardTask) -> int:
    """Each unit once, or the smallest useful piece where that takes more."""
    return max(min(len(task.units), most_units(task)), units_reaching(task, task.chunk_seconds))


def readying_units(task: CardTask) -> int:
    least = min(task.chunk_seconds, most_units(task) * task.units[0].seconds)
    return units_reaching(task, -(-least // 2))


@settings(max_examples=500)
@given(uniform_cards(), GAPS)
def test_no_gap_holds_strain_alone_that_could_be_prepared_for(card: Card, gaps: list[int]) -> None:
    """What prepares goes before it in each gap: another useful part of it where the day may hold more, else a part
    of its visit before, wherever the gap has room for both."""
    day = Day(card, *gaps)
    preparing = {task.id for task in card.tasks if task.prepares}
    for number in range(len(gaps)):
        straining = {task.id for task in card.tasks if task.strains}
        if not day.holds(number, straining) or day.holds(number, preparing):
            continue
        for name in preparing:
            last = max((window for window in day.units[name] if day.units[name][window]), default=-1)
            if last < 0 or last > number:
                continue
            task = day.tasks[name]
            part, done = readying_units(task), day.units[name].total()
            has_more = done + part <= most_units(task)
            can_be_split = not has_more and day.units[name][last] >= 2 * part
            if has_more or can_be_split:
                assert day.room(number) < day.cost(task, part)


@settings(max_examples=500)
@given(uniform_cards(), GAPS)
def test_of_two_gaps_in_a_row_one_has_music(card: Card, gaps: list[int]) -> None:
    """Where a useful piece has room in it: of what was begun earlier in the day, and is not yet once through; or of
    what is not begun, where the day may hold one thing more."""
    day = Day(card, *gaps)
    music = {task.id for task in card.tasks if task.music}
    begun = {name for name, windows in day.units.items() if windows.total()}
    things = len(begun) + 1 - any(day.tasks[name].prepares for name in begun)
    for number in range(1, len(gaps)):
        if day.holds(number - 1, music) or day.holds(number, music):
            continue
        for name in music:
            task, done = day.tasks[name], day.units[name].total()
            last = max((window for window in day.units[name] if day.units[name][window]), default=-1)
            piece = units_reaching(task, task.chunk_seconds)
            may_go_on = 0 <= last < number and done + piece <= once_units(task)
            is_offered = any(rung.task == name for rung in card.rungs) and task.alike_with == name
            may_begin = done == 0 and is_offered and things <= card.numbers.least_things
            if not task.strains and (may_go_on or may_begin):
                assert day.room(number) < day.cost(task, piece)


def without_strain(card: Card) -> Card:
    """No floor but the smallest useful piece, so that what is left out is left out for room alone."""
    tasks = [replace(task, strains=False, largest_floor_seconds=0) for task in card.tasks]
    return replace(card, tasks=tuple(tasks))


def each_once(card: Card) -> Card:
    """The same, but no day may hold a unit twice over."""
    tasks = [
        replace(task, largest_seconds=once_units(task) * task.units[0].seconds)
        if once_units(task) < most_units(task)
        else task
        for task in card.tasks
    ]
    return replace(card, tasks=tuple(tasks))


@given(uniform_cards(), GAPS)
def test_nothing_comes_again_while_something_else_waits(card: Card, gaps: list[int]) -> None:
    """Whatever is done on a day that holds each unit once is done as well where more is allowed."""
    card = without_strain(card)
    once, again = Day(each_once(card), *gaps), Day(card, *gaps)
    for name, windows in once.units.items():
        for number, units in windows.items():
            assert again.units[name][number] >= units


@settings(max_examples=500)
@given(uniform_cards(), st.integers(1, 300))
def test_in_more_time_than_short_music_goes_once_through_before_anything_goes_round_again(
    card: Card, more_seconds: int
) -> None:
    card = without_strain(card)
    day = Day(card, card.numbers.short_seconds + more_seconds)
    if card.numbers.most_seconds is not None:
        return
    again_seconds = sum(
        (day.units[task.id].total() - once_units(task)) * task.units[0].seconds
        for task in card.tasks
        if not task.music and day.units[task.id].total() > once_units(task)
    )
    for task in card.tasks:
        done = day.units[task.id].total()
        lifts = [rung.seconds for rung in card.rungs if rung.task == task.id]
        wanted = min(once_units(task), max(lifts, default=0) // task.units[0].seconds)
        if task.music and task.alike_with == task.id and 0 < done < wanted:
            assert again_seconds < task.units[0].seconds


@settings(max_examples=500)
@given(uniform_cards(), st.integers(1, 900))
def test_in_more_time_than_short_music_comes_before_the_rest_wherever_its_rungs_stand(
    card: Card, more_seconds: int
) -> None:
    """Of what is done once, with nothing prepared to begin with: rungs of music moved to the front change none."""
    card = each_once(without_strain(card))
    card = replace(card, prepared=(), numbers=replace(card.numbers, most_seconds=None))
    music = {task.id for task in card.tasks if task.music}
    music_first = tuple(sorted(card.rungs, key=lambda rung: rung.task not in music))
    seconds = card.numbers.short_seconds + more_seconds
    assert Day(card, seconds).units == Day(replace(card, rungs=music_first), seconds).units
