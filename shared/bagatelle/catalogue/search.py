"""The search of exercises: filters, words, counts and pages, all of it from memory.

Everything is put into sets of places when the catalogue was loaded; a search joins and counts sets, and asks no
plugin. Without words the order is the catalogue's; with words better matches come first, and of equal ones the
smaller id.
"""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import islice
from typing import Final, get_args

from msgspec import Struct

from bagatelle.catalogue.place_sets import places_of, set_of
from bagatelle.catalogue.search_words import Folding, SearchedTexts, SearchedWords
from bagatelle.catalogue.title_index import choices_of, names_of
from bagatelle.engine.timing import time_of
from bagatelle.model.exercise import Exercise, Material
from bagatelle.model.text import Message, Value
from bagatelle.model.vocabulary import (
    AREAS,
    LEVELS,
    STAGES,
    STRAINS,
    Area,
    Concreteness,
    Divisibility,
    Level,
    Loudness,
    Stage,
    Strain,
)
from bagatelle.wording.render import Wording

LONGEST_UNIT_STEPS: Final = (15, 30, 60, 120, 300, 600)
"""Seconds up to which exercises are counted."""

_LISTS: Final = {
    "area": AREAS,
    "level": LEVELS,
    "stage_hint": STAGES,
    "strain": STRAINS,
    "loudness": get_args(Loudness),
    "concreteness": get_args(Concreteness),
    "divisibility": get_args(Divisibility),
}
_LONGEST: Final = "longest_unit_seconds"


class Wanted(Struct, frozen=True, kw_only=True):
    """Filters; several must all hold, and of the values of one any will do. An empty one lets all pass."""

    instrument: tuple[str, ...] = ()
    area: tuple[Area, ...] = ()
    level: tuple[Level, ...] = ()
    stage_hint: tuple[Stage, ...] = ()
    strain: tuple[Strain, ...] = ()
    loudness: tuple[Loudness, ...] = ()
    concreteness: tuple[Concreteness, ...] = ()
    divisibility: tuple[Divisibility, ...] = ()
    needs_instrument: bool | None = None
    has_soft_form: bool | None = None
    longest_unit_seconds: int | None = None
    """The longest unit that the defaults make takes at most so many seconds."""
    words: str = ""
    """Each of them must be found, in the title, in another name, in a text or among what settings choose from;
    a small one need not, where another is."""


class FoundExercise(Struct, frozen=True, kw_only=True):
    """An exercise that was found."""

    exercise: Exercise
    title: str
    longest_unit_seconds: int
    """Of the units that its defaults make."""


class Found(Struct, frozen=True, kw_only=True):
    """A page of what was found."""

    exercises: tuple[FoundExercise, ...]
    matching: int
    """How many there are on all pages."""
    counts: Mapping[str, Mapping[str, int]]
    """By filter and value: how many pass all *other* filters and have the value."""


class ExerciseSearch:
    """All exercises, ready to be searched. Nothing of it changes after it was made."""

    def __init__(
        self, exercises: Sequence[Exercise], wording: Wording, material: Callable[[Exercise], Material]
    ) -> None:
        """Index the exercises.

        :param material: gives what the defaults of an exercise make of it, as it is known since the load.
        """
        self._exercises = exercises
        self._wording = wording
        materials = [material(exercise) for exercise in exercises]
        self._longest = [_longest_unit(each) for each in materials]
        self._by_value = _by_value(exercises)
        self._lengths, self._up_to = _up_to(self._longest)
        self._titles: dict[str, list[str]] = {}
        self._words: dict[str, SearchedWords] = {}
        for locales in _by_language(wording.locales):
            searched = [
                _searched(exercise, each, wording, locales)
                for exercise, each in zip(exercises, materials, strict=True)
            ]
            words = SearchedWords(searched, Folding(wording, locales[0]))
            for locale in locales:
                self._titles[locale] = [
                    wording.render(Message(f"{exercise.id}.title"), locale) for exercise in exercises
                ]
                self._words[locale] = words
        by_id = sorted(range(len(exercises)), key=lambda place: exercises[place].id)
        self._rank = {place: rank for rank, place in enumerate(by_id)}

    def page(self, wanted: Wanted, locale: str, *, limit: int, passed: int = 0) -> Found:
        """Search.

        :param limit: how many to give at most.
        :param passed: how many of the first to leave out.
        """
        spoken = self._wording.spoken(locale)
        everything = (1 << len(self._exercises)) - 1
        by_words = self._words[spoken].matches(wanted.words)
        said = everything if by_words is None else _joined(by_words)
        met = self._met(wanted)
        matching = _common(said, met.values())
        tiers = (matching,) if by_words is None else (tier & matching for tier in by_words)
        places = self._in_order(tiers, ranked=by_words is not None, passed=passed, limit=limit)
        titles = self._titles[spoken]
        return Found(
            exercises=tuple(
                FoundExercise(
                    exercise=self._exercises[place],
                    title=titles[place],
                    longest_unit_seconds=self._longest[place],
                )
                for place in places
            ),
            matching=matching.bit_count(),
            counts=self._counts(said, met),
        )

    def _met(self, wanted: Wanted) -> dict[str, int]:
        """By filter that was given, what passes it."""
        met = {
            name: _joined(by_value.get(value, 0) for value in values)
            for name, by_value in self._by_value.items()
            if (values := _values(wanted, name))
        }
        if wanted.longest_unit_seconds is not None:
            met[_LONGEST] = self._with_units_up_to(wanted.longest_unit_seconds)
        return met

    def _with_units_up_to(self, seconds: int) -> int:
        return self._up_to[bisect_right(self._lengths, seconds)]

    def _counts(self, said: int, met: Mapping[str, int]) -> dict[str, dict[str, int]]:
        up_to = {str(seconds): self._with_units_up_to(seconds) for seconds in LONGEST_UNIT_STEPS}
        counts = {}
        for name, by_value in {**self._by_value, _LONGEST: up_to}.items():
            others = _common(said, (passing for other, passing in met.items() if other != name))
            counts[name] = {value: (others & places).bit_count() for value, places in by_value.items()}
        return counts

    def _in_order(self, tiers: Iterable[int], *, ranked: bool, passed: int, limit: int) -> list[int]:
        found: list[int] = []
        for tier in tiers:
            held = tier.bit_count()
            if passed >= held:
                passed -= held
                continue
            ordered = sorted(places_of(tier), key=self._rank.__getitem__) if ranked else places_of(tier)
            found += islice(ordered, passed, passed + limit - len(found))
            passed = 0
            if len(found) == limit:
                break
        return found


def _longest_unit(material: Material) -> int:
    return max(time_of(unit.timing).seconds for unit in material.units)


def _by_value(exercises: Sequence[Exercise]) -> dict[str, dict[str, int]]:
    """By filter and value, the exercises that have the value; of closed lists every value, in their order."""
    places: dict[str, dict[str, list[int]]] = {"instrument": defaultdict(list)}
    places |= {name: {value: [] for value in values} for name, values in _LISTS.items()}
    places |= {name: {"true": [], "false": []} for name in ("needs_instrument", "has_soft_form")}
    for place, exercise in enumerate(exercises):
        places["instrument"][exercise.id.partition(".")[0]].append(place)
        for name in _LISTS:
            places[name][getattr(exercise, name)].append(place)
        places["needs_instrument"][_said(exercise.needs_instrument)].append(place)
        places["has_soft_form"][_said(exercise.soft_form is not None)].append(place)
    return {
        name: {value: set_of(held, len(exercises)) for value, held in by_value.items()}
        for name, by_value in places.items()
    }


def _up_to(longest: Sequence[int]) -> tuple[list[int], list[int]]:
    """The lengths that there are, and the exercises with no longer unit: first none, then up to each length."""
    by_length: dict[int, list[int]] = defaultdict(list)
    for place, seconds in enumerate(longest):
        by_length[seconds].append(place)
    lengths = sorted(by_length)
    sets = [0]
    for length in lengths:
        sets.append(sets[-1] | set_of(by_length[length], len(longest)))
    return lengths, sets


def _by_language(locales: Iterable[str]) -> list[list[str]]:
    """Locales of one language together: people write the words of either, "quaver" and "eighth note"."""
    languages: dict[str, list[str]] = defaultdict(list)
    for locale in locales:
        languages[locale.partition("-")[0]].append(locale)
    return list(languages.values())


def _searched(
    exercise: Exercise, material: Material, wording: Wording, locales: Iterable[str]
) -> SearchedTexts:
    """What is searched of an exercise, each text in all locales given and, where they say the same, once."""
    said = [Message(f"{exercise.id.partition('.')[0]}.name")]
    parameters = _parameters(material)
    said += [Message(f"{exercise.id}.{part}", parameters) for part in ("what", "how")]
    titles: set[str] = set()
    names: set[str] = set()
    texts: set[str] = set()
    for locale in locales:
        title, *others = names_of(exercise, wording, locale)
        titles.add(title)
        names.update(others)
        texts.update(wording.render(message, locale) for message in said)
    return SearchedTexts(
        titles=tuple(titles), names=tuple(names), texts=tuple(texts), choices=tuple(choices_of(exercise))
    )


def _parameters(material: Material) -> Mapping[str, Value]:
    """What a text may name, without what only a dose has: how much of it there is."""
    labels = tuple(unit.label for unit in material.units)
    seconds = sum(time_of(unit.timing).seconds for unit in material.units)
    return {
        **material.parameters,
        "units": labels,
        "unit_count": len(labels),
        "unit_count_in_words": "",
        "duration": "",
        "passes_of_units": labels,
        "seconds": seconds,
        "minutes": max(1, round(seconds / 60)),
    }


def _values(wanted: Wanted, name: str) -> tuple[str, ...]:
    given = getattr(wanted, name)
    if given is None:
        return ()
    return given if isinstance(given, tuple) else (_said(given),)


def _said(truth: object) -> str:
    return "true" if truth else "false"


def _joined(sets: Iterable[int]) -> int:
    joined = 0
    for each in sets:
        joined |= each
    return joined


def _common(first: int, others: Iterable[int]) -> int:
    for each in others:
        first &= each
    return first
