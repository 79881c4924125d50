"""Cards and days made up whole, so that the laws of the walk are tried on more than routines give.

Each is made by a seed alone, and hypothesis draws the seed: to draw every number takes a hundred times the law.
"""

import datetime as dt
from collections.abc import Sequence
from random import Random

from bagatelle.engine.doses import DoseScale
from bagatelle.model.card import Card, CardNumbers, CardTask, CardTexts, CardUnit, Lift, PreparedDoses
from bagatelle.model.plan import MadeWith
from bagatelle.model.sheet import Ask, AskedWindow, MadeFrom
from bagatelle.model.vocabulary import FloorMode, Strain
from hypothesis import strategies as st
from msgspec.structs import replace

from tests.seeded import seeded

DAY = dt.date(2027, 3, 1)
TEXTS = CardTexts(
    cold_caution="cold",
    unprepared_caution="unprepared",
    sound_caution="sound",
    rest_what="Rest",
    rest_how="stand up",
    rest_done_when="the time is up",
    no_short_day="no short day",
    most_seconds_reached="little energy",
    nothing_fits="nothing fits",
    floor_chunk="down to chunks",
    floor_unit="down to units",
    durations=tuple(f"{halves} half minutes" for halves in range(1, 21)),
)
STRAINS: tuple[Strain, ...] = ("none", "low", "low", "moderate", "high")
MODES: tuple[FloorMode, ...] = ("usual", "usual", "usual", "chunk", "unit")
RANKS = {"low": 1, "none": 2, "moderate": 3, "high": 4}


def made_task(random: Random, name: str, *, uniform: bool) -> CardTask:
    """A task with one to seven units, alike in length or not."""
    strain = random.choice(STRAINS)
    count = random.randint(1, 7)
    length = random.randint(10, 150)
    places = random.sample(range(count), count)
    usual = random.randint(60, 1800)
    largest = random.randint(30, usual)
    units = tuple(
        CardUnit(
            id=f"u{number}",
            seconds=length if uniform else random.randint(10, 150),
            place=places[number],
            what=f"unit {number}",
            how_much=tuple(f"{rounds} times" for rounds in range(1, random.randint(1, 6))),
        )
        for number in range(count)
    )
    longest_dose = DoseScale(tuple(unit.seconds for unit in units), largest).ends[-1]
    return CardTask(
        id=name,
        title=f"Task {name}",
        block="b",
        area=random.choice(("technique", "technique", "warm-up")),
        stage="refining",
        strain=strain,
        prepares=strain == "low" and random.random() < 0.5,
        strains=strain in {"moderate", "high"},
        music=random.random() < 0.4,
        usual_seconds=usual,
        largest_seconds=largest,
        chunk_seconds=min(random.randint(10, 300), longest_dose, largest),
        largest_floor_seconds=random.choice((0, 200, largest)),
        set_up_seconds=random.choice((0, 5, 30)),
        warms=random.random() < 0.7,
        cold_later=strain != "none",
        by_time=count == 1 and random.random() < 0.5,
        what=f"Task {name}",
        how="slowly",
        how_each=random.choice(("", "each slowly")),
        done_when="it is even",
        done_when_each=random.choice(("", "each is even")),
        cautions=("stop where it hurts",) if strain == "high" else (),
        day_caution=random.choice(("ask a doctor", "stop where it hurts"))
        if strain in {"moderate", "high"}
        else "",
        sound_millionths=random.choice((0, 0, 400, 4000)),
        alike_with=name,
        units=units,
    )


def made_card(random: Random, *, uniform: bool = False) -> Card:
    """A card as an engine might make it: in the order of the body, prepared plans that begin with what prepares."""
    drawn = [made_task(random, f"t{number}", uniform=uniform) for number in range(random.randint(1, 7))]
    if random.random() < 0.5:
        drawn += [replace(drawn[0], id=f"twin{number}") for number in range(random.randint(1, 3))]
    tasks = sorted(drawn, key=lambda task: (0 if task.prepares else RANKS[task.strain], task.id))
    budgets = sorted({random.randint(60, 2400) for _ in range(random.randint(0, 5))})
    is_low = random.random() < 0.25
    quarter = random.randint(120, 2400)
    return Card(
        kind="low-energy" if is_low else "usual",
        locale="en-GB",
        made_with=MadeWith(engine="1", policy="1", plugins=()),
        usual_seconds=4 * quarter,
        quarter_seconds=quarter,
        quarter_windows=random.choice(((quarter,), (quarter,), (60, quarter - 60))),
        numbers=CardNumbers(
            slack_thousandths=random.choice((0, 100, 150)),
            least_slack_seconds=30,
            rest_from_seconds=1800,
            playing_seconds=1500,
            rest_seconds=300,
            seconds_per_thing=random.choice((120, 300)),
            least_things=2,
            usual_things=len(tasks),
            usual_things_seconds=sum(task.usual_seconds for task in tasks),
            short_seconds=2 * quarter,
            most_seconds=quarter if is_low else None,
            first_seconds=180 if is_low else None,
        ),
        tasks=tuple(tasks),
        quarter=_prepared(random, tasks, quarter),
        prepared=tuple(_prepared(random, tasks, budget) for budget in budgets),
        rungs=tuple(_lift(random, random.choice(tasks), 1) for _ in range(random.randint(0, 20))),
        cautions=(),
        texts=TEXTS,
    )


def _lift(random: Random, task: CardTask, least_seconds: int) -> Lift:
    return Lift(task=task.id, seconds=random.randint(least_seconds, task.largest_seconds))


def _prepared(random: Random, tasks: Sequence[CardTask], budget_seconds: int) -> PreparedDoses:
    """What strains has something that prepares before it, and only single units may be less than a useful visit."""
    mode = random.choice(MODES)
    chosen = random.sample(tasks, random.randint(0, min(4, len(tasks))))
    preparing = [task for task in tasks if task.prepares]
    if preparing and any(task.strains for task in chosen) and not any(task.prepares for task in chosen):
        chosen.append(preparing[0])
    return PreparedDoses(
        budget_seconds=budget_seconds,
        floor_mode=mode,
        lifts=tuple(
            _lift(random, task, 1 if mode == "unit" else task.chunk_seconds)
            for task in sorted(chosen, key=lambda task: not task.prepares)
        ),
    )


def ask_of_seconds(*seconds: int) -> Ask:
    """An ask of windows without a time of day."""
    return Ask(windows=tuple(AskedWindow(seconds=each) for each in seconds))


def growing_asks(random: Random, card: Card, count: int) -> tuple[Ask, ...]:
    """Each at least the one before; the first may give no time."""
    longest = random.choice((120, 600, 2700))
    lengths = [random.randint(30, longest) for _ in range(random.randint(0, 5))]
    asks = [ask_of_seconds(*lengths)]
    lengths = lengths or list(card.quarter_windows)
    for _ in range(count - 1):
        lengths = [each + random.choice((0, 60, 600)) for each in lengths]
        lengths += [random.randint(30, 1200) for _ in range(random.randint(0, 2))]
        asks.append(ask_of_seconds(*lengths))
    return tuple(asks)


def made_last_done(random: Random, card: Card) -> dict[str, dict[str, dt.date]]:
    """When units were last done: the day before the sheet's, earlier, or on it, which does not count."""
    found = {
        task.id: {
            unit.id: DAY - dt.timedelta(days=random.randint(0, 5))
            for unit in task.units
            if random.random() < 0.6
        }
        for task in card.tasks
        if random.random() < 0.7
    }
    return {task: units for task, units in found.items() if units}


def made_day(seed: int, asks: int = 1) -> tuple[Card, MadeFrom]:
    """A card, and all that a sheet of it is made from."""
    random = seeded(f"card {seed}")
    card = made_card(random)
    made_from = MadeFrom(
        card="c1",
        date=DAY,
        asks=growing_asks(random, card, random.randint(1, asks)),
        last_done=made_last_done(random, card),
    )
    return card, made_from


def days_of_cards(asks: int = 1) -> st.SearchStrategy[tuple[Card, MadeFrom]]:
    """Draw one, with so many asks at most."""
    return st.builds(lambda seed: made_day(seed, asks), st.integers(0, 2**32))


def uniform_cards() -> st.SearchStrategy[Card]:
    """Draw a card in which all units of a task take as long."""
    return st.builds(
        lambda seed: made_card(seeded(f"uniform card {seed}"), uniform=True), st.integers(0, 2**32)
    )
