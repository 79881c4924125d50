"""Messages that several exercises share."""

from fractions import Fraction
from typing import Final, Literal

from bagatelle.contract import Message, Value

Surface = Literal["pad", "drum"]
Beat = Literal["crotchet", "dotted crotchet", "minim", "quaver"]

MOST_IN_WORDS: Final = 12
LONGEST_BREATH_SECONDS: Final = 5
"""A pause up to this is said to be a breath; a longer one in seconds."""


def in_words(number: int) -> Value:
    """Return 'four' for 4; numbers above twelve stay figures."""
    return Message(f"snare-drum.number.{number}") if 1 <= number <= MOST_IN_WORDS else number


def times(number: int) -> Message:
    """Return 'once', 'twice', 'three times'."""
    return Message("snare-drum.times.twice") if number == 2 else _counted("times.count", number)


def seconds(number: int) -> Message:
    """Return 'one second', 'five seconds', '20 seconds'."""
    return _counted("time.seconds", number)


def _counted(name: str, number: int) -> Message:
    return Message(f"snare-drum.{name}", {"number": number, "in_words": in_words(number)})


def lasting(length: Fraction) -> Message:
    """Return a length of time as a person would say it: 'two minutes', 'about half a minute'.

    :param length: seconds, said to the nearest half minute; below 25 to the nearest five seconds.
    """
    if length < 25:
        said = max(5, 5 * round(length / 5))
        time = seconds(said)
    else:
        halves = max(1, round(length / 30))
        said = 30 * halves
        time = _half_minutes(halves)
    return time if length == said else Message("snare-drum.time.about", {"time": time})


def _half_minutes(halves: int) -> Message:
    minutes, half = divmod(halves, 2)
    if minutes == 0:
        return Message("snare-drum.time.half-minute")
    return _counted("time.minutes-and-a-half" if half else "time.minutes", minutes)


def surface(name: Surface, *, loud: bool) -> Message:
    """Return 'on the pad' or 'on the drum', as a sentence begins with it.

    :param loud: whether the exercise is loud on the drum and so carries the caution for the ears. Another one
        that is played on the drum names the ear plugs here, since the catalogue cannot know the setting.
    """
    if name == "drum" and not loud:
        return Message("snare-drum.surface.drum-with-plugs")
    return Message(f"snare-drum.surface.{name}")


def surface_within(name: Surface) -> Message:
    """Return the same, ear plugs named, for the middle of a sentence; of what is not loud on the drum."""
    return Message(f"snare-drum.surface.within.{name}")


def loudness_on(name: Surface) -> Literal["loud", "moderate"]:
    """Return how loud something is that is loud on the drum; on a pad it is not (common practice, no source)."""
    return "loud" if name == "drum" else "moderate"


def tempo(bpm: int, beat: Beat = "crotchet") -> Message:
    """Return 'crotchet = 84', or what the language calls it."""
    return Message(
        "snare-drum.tempo", {"beat": Message(f"snare-drum.beat.{beat.replace(' ', '-')}"), "bpm": bpm}
    )


def note_values(notes_per_beat: int) -> Message:
    """Return 'crotchets' for 1 to the crotchet, 'quavers' for 2, and so on to 6."""
    return Message(f"snare-drum.note-values.{notes_per_beat}")


def amount(kind: str, number: int, **parameters: Value) -> Message:
    """Return how much one unit is, such as 'four passes of eight bars', for texts that name it `amount`.

    :param kind: which wording; its plural follows `number`, which it shows as `in_words`.
    """
    return Message(
        f"snare-drum.amount.{kind}", {"number": number, "in_words": in_words(number), **parameters}
    )


def with_pause(
    passes: Message, number: int, pause_seconds: int, longest_breath_seconds: int = LONGEST_BREATH_SECONDS
) -> Message:
    """Add what comes after each pass: nothing, a breath, or so many seconds of rest.

    :param number: how many passes there are; after a single one a breath goes without saying.
    """
    if pause_seconds == 0:
        return passes if number == 1 else Message("snare-drum.amount.straight-on", {"passes": passes})
    if pause_seconds <= longest_breath_seconds:
        return passes if number == 1 else Message("snare-drum.amount.breath", {"passes": passes})
    return Message(
        "snare-drum.amount.rest", {"number": number, "passes": passes, "rest": seconds(pause_seconds)}
    )
