"""One evening of one student: what was played, what the phone says of it, and when it says it.

Everything is drawn from the year's seed. A phone gathers entries and sends them some evenings later, some of them
twice and some together with what it had sent before.
"""

from datetime import UTC, date, datetime, time, timedelta
from random import Random
from typing import Any
from uuid import UUID

from tests.integration.problem_checks import problem_in
from tests.integration.year.record import Logged, Record, TaskHad
from tests.integration.year.scenario import AREAS, NEW_AREAS, local_day
from tests.integration.year.school_year import SchoolYear, ok, set_day

SHORT_DAYS: tuple[tuple[str, dict[str, Any]], ...] = (
    ("usual", {"minutes": 12}),
    ("usual", {"minutes": 18.5}),
    ("usual", {}),
    ("scraps", {"windows": [{"minutes": 5}, {"minutes": 6, "starts_at": "19:30"}]}),
    ("low-energy", {"minutes": 10, "energy": "low"}),
    ("quiet", {"minutes": 12, "quiet": True}),
    ("away", {"minutes": 10, "instrument_at_hand": False}),
    ("resting", {"soreness": True}),
)
BAD_WEEKS = range(20, 24)
SHARES = {"ordinary": (0.38, 0.17, 0.07), "bad": (0.0, 0.34, 0.06), "examinations": (0.0, 0.5, 0.06)}
"""Of evenings that are usual, short and free; on the others nothing is played."""
FREE_AREAS = ("improvisation", "repertoire", None)


def evening(year: SchoolYear, record: Record, week: int, *, has_examinations: bool) -> None:
    """Play one evening, and perhaps let the phone send what it has."""
    day, random = year.today(record), year.random
    shares = (
        SHARES["bad"] if week in BAD_WEEKS else SHARES["examinations" if has_examinations else "ordinary"]
    )
    play(record, day, kind_of_evening(random, record, day, shares), random, only_short=has_examinations)
    if record.waiting and random.random() < 0.24:
        sync(record, random)
        look_back(record, day, random)


def kind_of_evening(
    random: Random, record: Record, day: date, shares: tuple[float, float, float]
) -> str | None:
    if is_off(record, day) and random.random() < 0.9:
        return None
    drawn = random.random()
    for kind, share in zip(("usual", "short", "free"), shares, strict=True):
        if drawn < share:
            return kind
        drawn -= share
    return None


def is_off(record: Record, day: date) -> bool:
    return day.isoweekday() in record.weekdays_off or any(a <= day <= b for a, b in record.spans_off)


def play(record: Record, day: date, kind: str | None, random: Random, *, only_short: bool) -> None:
    if kind == "usual":
        tasks = record.current_tasks
        for task in random.sample(tasks, random.randint(1, 3)):
            wait(record, entry_of_task(random, task, day, "usual"))
    elif kind == "free":
        wait(record, free_playing(random, record, day))
    elif kind == "short":
        short_day(record, day, random, only_short=only_short)


def short_day(record: Record, day: date, random: Random, *, only_short: bool) -> None:
    """By a sheet most often; sometimes nobody asks for one, and sometimes it stays with the asking."""
    if random.random() < 0.1:
        wait(record, entry_of_task(random, random.choice(record.current_tasks), day, "short"))
        return
    if random.random() < 0.15:
        # Something was done before anybody asked what to do: it is told at once, and the sheet leaves it aside.
        kind = random.choice(("short", "short" if only_short else "usual"))
        wait(record, entry_of_task(random, random.choice(record.current_tasks), day, kind))
        sync(record, random)
    if day in record.sheets:
        answer = ok(record.caller.get(f"{record.path}/days/{day}"))
    else:
        body = random.choice([body for kind, body in SHORT_DAYS if kind in record.plans])
        answer = second_thoughts(record, day, body, set_day(record, day, body), random)
    if not answer["frozen"]:
        assert [notice["code"] for notice in answer["notices"]] == ["not-stored"]
        return
    steps = [step for step in answer["sheet"]["steps"] if step["kind"] == "task"]
    drawn = random.random()
    if drawn < 0.1:
        return
    if drawn < 0.4:
        steps = random.sample(steps, random.randint(1, len(steps)))
    for step in steps:
        wait(record, entry_of_step(random, record, step, day))


def second_thoughts(
    record: Record, day: date, body: dict[str, Any], answer: dict[str, Any], random: Random
) -> dict[str, Any]:
    """The same again, more time, or less: then the sheet that stood must be named."""
    drawn = random.random()
    if drawn < 0.1:
        assert set_day(record, day, body) == answer
    if drawn < 0.75 or "minutes" not in body:
        return answer
    if drawn < 0.9:
        longer = set_day(record, day, {**body, "minutes": body["minutes"] + 7})
        there = {step["id"]: step for step in longer["sheet"]["steps"]}
        for step in answer["sheet"]["steps"]:
            assert step["kind"] == "rest" or {unit["unit"] for unit in step["units"]} <= {
                unit["unit"] for unit in there[step["id"]]["units"]
            }
        return longer
    shorter = {**body, "minutes": body["minutes"] - 2}
    problem_in(record.caller.put(f"{record.path}/days/{day}", shorter), "if-match-needed")
    return set_day(record, day, shorter, anew=True)


def wait(record: Record, entry: Logged) -> None:
    record.waiting.append(entry)


def entry_of_task(random: Random, task: TaskHad, day: date, kind: str) -> Logged:
    seconds = random.randrange(120, 1500)
    units = tuple(random.sample(task.units, random.randint(0, len(task.units))))
    body: dict[str, Any] = {"day": str(day), "kind": kind, "task": task.id, "seconds": seconds}
    if units:
        body["units"] = list(units)
    if random.random() < 0.3:
        body["done_when_met"] = random.random() < 0.6
    return Logged(
        id=new_id(random),
        day=day,
        kind=kind,
        seconds=seconds,
        task=task.id,
        area=task.area,
        units=units,
        body=body,
    )


def entry_of_step(random: Random, record: Record, step: dict[str, Any], day: date) -> Logged:
    units = tuple(unit["unit"] for unit in step["units"])
    body: dict[str, Any] = {
        "day": str(day),
        "kind": "short",
        "step": step["id"],
        "seconds": random.randrange(step["seconds"] // 2 + 1, step["seconds"] + 60),
    }
    if random.random() < 0.2:
        units = tuple(random.sample(sorted(set(units)), random.randint(0, len(set(units)))))
        body["units"] = list(units)
    # As the plan has it: the routine may have another by now.
    if step["task"] in AREAS:
        assert step["area"] in {AREAS[step["task"]], NEW_AREAS.get(step["task"])}
    of_routine = [task.id for task in record.tasks if task.key == step["task"]]
    return Logged(
        id=new_id(random),
        day=day,
        kind="short",
        seconds=body["seconds"],
        task=of_routine[-1] if of_routine else None,
        area=step["area"],
        units=units,
        step=step["id"],
        body=body,
    )


def free_playing(random: Random, record: Record, day: date) -> Logged:
    """Told by its moment half of the time: late in the student's evening, before its midnight or after."""
    area, seconds = random.choice(FREE_AREAS), random.randrange(300, 3600)
    body: dict[str, Any] = {"kind": "free", "seconds": seconds}
    if area is not None:
        body["area"] = area
    if random.random() < 0.5:
        body["day"] = str(day)
    else:
        moment = datetime.combine(day - timedelta(days=1), time(random.randrange(24), 30), UTC)
        body["done_at"] = moment.isoformat()
        day = local_day(moment, record.pupil.time_zone)
    return Logged(id=new_id(random), day=day, kind="free", seconds=seconds, area=area, body=body)


def sync(record: Record, random: Random) -> None:
    """Send all that waits, with some of what was sent before; now and then all of it twice."""
    new, record.waiting = record.waiting, []
    if len(new) == 1:
        (entry,) = new
        path = f"{record.path}/logs/{entry.id}"
        assert ok(record.caller.put(path, entry.body), 201)["day"] == str(entry.day)
        assert ok(record.caller.put(path, entry.body), 200)["revision"] == 1
    else:
        before = random.sample(list(record.known.values())[-9:], min(3, len(record.known)))
        gone = random.sample(list(record.removed.values()), min(1, len(record.removed)))
        sent = [{"id": entry.id, **entry.body} for entry in (*new, *before, *gone)]
        random.shuffle(sent)
        batch = {"entries": sent}
        first = {"stored": len(new), "known": len(before), "removed": len(gone)}
        assert ok(record.caller.post(f"{record.path}/logs", batch), 201) == first
        if random.random() < 0.3:
            second = {"stored": 0, "known": len(new) + len(before), "removed": len(gone)}
            assert ok(record.caller.post(f"{record.path}/logs", batch), 201) == second
    record.known |= {entry.id: entry for entry in new}


def look_back(record: Record, day: date, random: Random) -> None:
    """Correct an entry of the last weeks, or take one back."""
    late = [entry for entry in record.known.values() if (day - entry.day).days < 30]
    drawn = random.random()
    if not late or drawn > 0.2:
        return
    entry = random.choice(late)
    path = f"{record.path}/logs/{entry.id}"
    named = {"If-Match": f'"{entry.revision}"'}
    if drawn < 0.07:
        assert record.caller.delete(path, headers=named).status_code == 204
        record.removed[entry.id] = record.known.pop(entry.id)
        problem_in(record.caller.put(path, entry.body), "removed")
        return
    entry.seconds += 45
    entry.body = {**entry.body, "seconds": entry.seconds}
    problem_in(record.caller.put(path, entry.body), "if-match-needed")
    entry.revision = ok(record.caller.put(path, entry.body, entry.revision))["revision"]


def new_id(random: Random) -> str:
    return str(UUID(int=random.getrandbits(128), version=4))
