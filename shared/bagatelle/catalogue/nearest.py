"""The nearest settings that fit, where those asked for do not: one setting changed, by as little as can be.

A number is moved away in both directions in steps that double, and back by halves; so the nearest is found wherever
what fits is one stretch, and what is found fits in any case. Of a list of values some are taken away, of one choice
the next in its list is taken. What changes the least share of its own span wins.
"""

from collections.abc import Callable, Iterator, Mapping
from typing import Any, Final, TypeAlias

from msgspec import Struct

Fits: TypeAlias = Callable[[Mapping[str, Any]], bool]
_MOST_TRIES: Final = 200


class Change(Struct, frozen=True):
    """One setting that is to be changed."""

    setting: str
    value: Any
    share: float
    """How far it goes, of all that the setting could go."""


class _TooManyTriesError(Exception):
    """Enough was tried."""


def nearest_change(schema: Mapping[str, Any], settings: Mapping[str, Any], fits: Fits) -> Change | None:
    """Return the smallest change of one setting after which all fit; None where none was found.

    :param schema: the JSON Schema of the settings.
    :param settings: a value for every setting.
    :param fits: whether settings, valid by the schema, go together.
    """
    tries = 0

    def counted(changed: Mapping[str, Any]) -> bool:
        nonlocal tries
        tries += 1
        if tries > _MOST_TRIES:
            raise _TooManyTriesError
        return fits(changed)

    found: list[Change] = []
    try:
        for name in sorted(schema.get("properties", {})):
            found.extend(_changes(name, schema["properties"][name], settings, counted))
    except _TooManyTriesError:
        pass  # what was found by then still fits
    return min(found, key=lambda change: (change.share, change.setting), default=None)


def _changes(
    name: str, schema: Mapping[str, Any], settings: Mapping[str, Any], fits: Fits
) -> Iterator[Change]:
    given = settings[name]

    def fits_with(value: object) -> bool:
        return fits({**settings, name: value})

    if schema.get("type") == "array":
        yield from _fewer(name, given, fits_with)
    elif "enum" in schema:
        yield from _other_choice(name, schema["enum"], given, fits_with)
    elif schema.get("type") == "integer" and {"minimum", "maximum"} <= schema.keys():
        span = max(schema["maximum"] - schema["minimum"], 1)
        for bound in (schema["minimum"], schema["maximum"]):
            number = _moved(given, bound, fits_with)
            if number is not None:
                yield Change(name, number, abs(number - given) / span)


def _fewer(name: str, given: list[Any], fits_with: Callable[[object], bool]) -> Iterator[Change]:
    """The values that fit each alone, where they fit together."""
    kept = [value for value in given if fits_with([value])]
    if kept and len(kept) < len(given) and fits_with(kept):
        yield Change(name, kept, (len(given) - len(kept)) / len(given))


def _other_choice(
    name: str, choices: list[Any], given: object, fits_with: Callable[[object], bool]
) -> Iterator[Change]:
    place = choices.index(given) if given in choices else 0
    others = sorted(
        ((abs(at - place), at) for at in range(len(choices)) if at != place),
    )
    for distance, at in others:
        if fits_with(choices[at]):
            yield Change(name, choices[at], distance / len(choices))
            return


def _moved(given: int, bound: int, fits_with: Callable[[object], bool]) -> int | None:
    """The number nearest to the one given, towards a bound, that fits."""
    direction = 1 if bound > given else -1
    reach = abs(bound - given)
    failed, step = 0, 1
    while failed < reach:
        tried = min(step, reach)
        if fits_with(given + direction * tried):
            return given + direction * _least_fitting(failed, tried, given, direction, fits_with)
        failed, step = tried, 2 * step
    return None


def _least_fitting(
    failed: int, fitting: int, given: int, direction: int, fits_with: Callable[[object], bool]
) -> int:
    while fitting - failed > 1:
        middle = (failed + fitting) // 2
        if fits_with(given + direction * middle):
            fitting = middle
        else:
            failed = middle
    return fitting
