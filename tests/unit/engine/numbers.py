"""Items and tasks with little in them, for examples worked by hand."""

from typing import Any

from bagatelle.engine.problem import Item

from tests.strategies import Sent


def item(name: str, **fields: Any) -> Item:
    """Twenty minutes in units of a minute, a chunk of five, no set-up."""
    usual: dict[str, Any] = {
        "weight": 1.0,
        "usual_seconds": 1200,
        "largest_seconds": 1200,
        "unit_seconds": (60,),
        "chunk_seconds": 300,
        "set_up_seconds": 0,
    }
    return Item(id=name, **(usual | fields))


def own_task(name: str, *lengths: int, **fields: Any) -> Sent:
    """A task with nothing open: passages of so many seconds each."""
    passages = [
        {"id": f"p{number}", "label": f"line {number}", "seconds": seconds, "passes": 1}
        for number, seconds in enumerate(lengths, start=1)
    ]
    task: Sent = {
        "id": name,
        "title": name.title(),
        "area": "repertoire",
        "minutes": 20,
        "manner": "slowly",
        "done_when": "twice clean",
        "passages": passages,
    }
    return task | fields


def day_that_plays(minutes: float, **fields: Any) -> Sent:
    """A day that gives so much that these minutes are left beside what stays free of it."""
    seconds = round(minutes * 60)
    return {"minutes": max(seconds + 30, -(-seconds * 10 // 9)) / 60} | fields


def request(*tasks: Sent, **fields: Any) -> Sent:
    """One block of these tasks."""
    return {"routine": {"blocks": [{"title": "Day", "tasks": list(tasks)}]}, "measure_ladder": False} | fields
