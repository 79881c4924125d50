"""Numbers as texts say them: in words up to twelve, and as times."""

from typing import Final

from bagatelle.model.text import Message

_IN_WORDS: Final = tuple(Message(f"engine.number.{number}") for number in range(1, 13))
_TWICE: Final = 2


def number_in_words(number: int) -> Message | int:
    """In words up to twelve."""
    return _IN_WORDS[number - 1] if 1 <= number <= len(_IN_WORDS) else number


def times_in_words(number: int) -> Message:
    """Once, twice, three times."""
    if number == _TWICE:
        return Message("engine.times.twice")
    return Message("engine.times.count", {"number": number, "in_words": number_in_words(number)})
