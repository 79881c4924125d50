"""The README's request gets the README's answer."""

import json
import re
from pathlib import Path
from typing import Any

from bagatelle import compress, decode_request, load_instruments
from msgspec import to_builtins

README = Path(__file__).parents[2] / "README.md"


def shown() -> list[Any]:
    blocks = re.findall(r"```json\n(.*?)```", README.read_text(encoding="utf-8"), re.DOTALL)
    return [json.loads(block) for block in blocks]


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
