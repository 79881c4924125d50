"""How long a function takes, each time that it is called."""

from collections.abc import Callable
from time import perf_counter
from typing import ParamSpec, TypeVar

Given = ParamSpec("Given")
Answer = TypeVar("Answer")


def timed(call: Callable[Given, Answer], spent: list[float]) -> Callable[Given, Answer]:
    """The same function, which adds the seconds of each call to `spent`."""

    def timed_call(*arguments: Given.args, **options: Given.kwargs) -> Answer:
        start = perf_counter()
        answer = call(*arguments, **options)
        spent.append(perf_counter() - start)
        return answer

    return timed_call
