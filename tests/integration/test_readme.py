"""The README's request gets the README's answer."""

import json
import re
from pathlib import Path
from typing import Any

from bagatelle import compress, decode_forecast_request, decode_request, forecast, load_instruments
from msgspec import to_builtins

README = Path(__file__).parents[2] / "README.md"


def shown() -> list[Any]:
    blocks = re.findall(r"```json\n(.*?)```", README.read_text(encoding="utf-8"), re.DOTALL)
    return [json.loads(block) for block in blocks]


def days_shown() -> Any:
    (days,) = re.findall(r"```\n(\{.*?)```", README.read_text(encoding="utf-8"), re.DOTALL)
    return json.loads(days)


def agrees(part: Any, whole: Any) -> bool:
    """Whether everything in a part stands in the whole, at its place."""
    if isinstance(part, dict):
        return all(key in whole and agrees(value, whole[key]) for key, value in part.items())
    if isinstance(part, list):
        # A shortened list of objects may leave later ones out; nothing else may be left out.
        return len(part) <= len(whole) and all(agrees(*pair) for pair in zip(part, whole, strict=False))
    return bool(part == whole)


def test_the_answer_shown_is_the_real_one() -> None:
    request, answer = shown()
    real = to_builtins(compress(decode_request(json.dumps(request).encode()), load_instruments()))
    assert agrees(answer, real)
    assert len(answer["plan"]["steps"]) == len(real["plan"]["steps"])


def test_the_forecast_shown_is_the_real_one() -> None:
    request, _ = shown()
    asked = {name: request[name] for name in ("instrument", "routine", "history")} | days_shown()
    made = forecast(decode_forecast_request(json.dumps(asked).encode()), load_instruments()).forecast
    scales, alone = (
        next(task for task in outcome.tasks if task.task == "majors")
        for outcome in (made.with_plans, made.without_plans)
    )
    said = (
        f"With short-day plans {made.with_plans.days_kept} days are kept, and the longest gap of the scales is "
        f"{scales.longest_gap_days} days; where nothing is played on a short day, "
        f"{made.without_plans.days_kept} and {alone.longest_gap_days}."
    )
    assert said in README.read_text(encoding="utf-8")
