"""The nearest settings that fit, where those asked for do not: one setting changed, by as little as can be.

A number is moved away in both directions, first one by one, then in steps that double, and back by halves; so the
nearest is found where it is near or what fits is a long stretch, and what is found fits in any case. A number that
was left open is set, from the middle of what it may be. Of a list of values some are taken away, or all for the one
next to the first; of one choice the next in its list is taken. What changes the least share of its span wins; of
equals a number, then a list, as another choice makes another thing of an exercise.
"""

from collections.abc import Callable, Iterator, Mapping
from typing import Any, Final, TypeAlias

from msgspec import Struct

Fits: TypeAlias = Callable[[Mapping[str, Any]], bool]
_MOST_TRIES: Final = 200
_STEPS_ONE_BY_ONE: Final = 4


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
    properties: Mapping[str, Any] = schema.get("properties", {})
    tries = 0

    def counted(changed: Mapping[str, Any]) -> bool:
        nonlocal tries
        tries += 1
        if tries > _MOST_TRIES:
            raise _TooManyTriesError
        return fits(changed)

    found: list[Change] = []
    try:
        for name in sorted(properties, key=lambda each: (_place(properties[each]), each)):
            found.extend(_changes(name, properties[name], settings, counted))
    except _TooManyTriesError:
        pass  # what was found by then still fits
    return min(found, key=lambda change: change.share, default=None)


def _place(schema: Mapping[str, Any]) -> int:
    """Where a setting comes among others that change as little."""
    return 0 if _is_whole_number(schema) else 1 if schema.get("type") == "array" else 2


def _is_whole_number(schema: Mapping[str, Any]) -> bool:
    """Whether it is one with bounds; it may be left open, too."""
    kinds = schema.get("type")
    return (
        "integer" in (kinds if isinstance(kinds, list) else [kinds])
        and {"minimum", "maximum"} <= schema.keys()
    )


def _changes(
    name: str, schema: Mapping[str, Any], settings: Mapping[str, Any], fits: Fits
) -> Iterator[Change]:
    given = settings[name]

    def fits_with(value: object) -> bool:
        return fits({**settings, name: value})

    if schema.get("type") == "array":
        yield from _other_list(name, schema.get("items", {}).get("enum", []), given, fits_with)
    elif "enum" in schema:
        yield from _other_choice(name, schema["enum"], given, fits_with)
    elif _is_whole_number(schema):
        least, most = schema["minimum"], schema["maximum"]
        near = (least + most) / 2 if given is None else given
        for number in _other_numbers(given, least, most, fits_with):
            yield Change(name, number, abs(number - near) / max(most - least, 1))


def _other_numbers(
    given: int | None, least: int, most: int, fits_with: Callable[[object], bool]
) -> Iterator[int]:
    start = (least + most) // 2 if given is None else given
    if given is None and fits_with(start):
        yield start
        return
    for bound in (least, most):
        number = _moved(start, bound, fits_with)
        if number is not None:
            yield number


def _other_list(
    name: str, choices: list[Any], given: list[Any], fits_with: Callable[[object], bool]
) -> Iterator[Change]:
    """The values that fit each alone, where they fit together; else the nearest to the first that does."""
    kept = [value for value in given if fits_with([value])]
    if kept and len(kept) < len(given) and fits_with(kept):
        yield Change(name, kept, (len(given) - len(kept)) / len(given))
    elif given and not kept:
        one = next(_other_choice(name, choices, given[0], lambda value: fits_with([value])), None)
        if one is not None:
            yield Change(name, [one.value], 1.0)


def _other_choice(
    name: str, choices: list[Any], given: object, fits_with: Callable[[object], bool]
) -> Iterator[Change]:
    place = choices.index(given) if given in choices else 0
    others = sorted(
        ((abs(at - place), at) for at in range(len(choices)) if at != place),
    )
    for distance, at in others:
        if fits_with(choices[at]):
            yield Change(name, choices[at], distance / (len(choices) - 1))
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
        failed, step = tried, step + 1 if step < _STEPS_ONE_BY_ONE else 2 * step
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
