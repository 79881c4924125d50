"""Which exercises of an instrument a title in somebody's own words may mean.

An exercise has names: its title, its id, what its text `<id>.also_called` lists, and the values of two words
or more that its settings choose from (the name of a rudiment). A title is as like an exercise as

    the part of the best name's words that stand in the title
    times the part of the title's words that the exercise explains

where a word that only other exercises know counts half, and the language's small words, single letters,
numbers and amounts ("2 octaves") do not count. All of it is whole hundredths, so that equal is equal on every
machine; ties go to the name with more words, then to the smaller id.
"""

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from itertools import pairwise
from typing import Any, Final

from msgspec import Struct

from bagatelle.catalogue.title_words import (
    BEGUN,
    SAME,
    KnownWords,
    folded_words,
    number_words,
    singular,
)
from bagatelle.model.exercise import Exercise
from bagatelle.model.text import Message
from bagatelle.wording.render import Wording

_TITLE_CACHE_SIZE: Final = 1024
_OTHERS_WORD: Final = 50
"""What a word explains that only other exercises know."""
_LEAST_DETAIL_LETTERS: Final = 3
_NOTE_OR_LETTER: Final = re.compile(r"[a-g]b|\w")

Name = tuple[str, ...]
"""Folded words."""


class Likely(Struct, frozen=True, kw_only=True):
    """An exercise that a title may mean."""

    exercise: Exercise
    likeness: int
    """Whole hundredths, to 100."""


class NamedValue(Struct, frozen=True, kw_only=True):
    """A value of two words or more that a setting of an exercise chooses from."""

    setting: str
    value: str
    words: Name


class _Entry(Struct, frozen=True, kw_only=True):
    exercise: Exercise
    names: tuple[Name, ...]
    explains: frozenset[str]
    """Words of its names and of the values of its settings."""
    whole: frozenset[str]
    """Names of two words written as one."""
    values: tuple[NamedValue, ...]


class TitleIndex:
    """The names of an instrument's exercises in one locale. Nothing of it changes after it was made."""

    def __init__(self, exercises: Sequence[Exercise], wording: Wording, locale: str) -> None:
        """Index the exercises.

        :param exercises: of one instrument, so that nobody is offered another's.
        """
        self._numbers = number_words(wording, locale)
        passed_over = wording.render(Message("engine.title.passed-over"), locale).split()
        self._passed_over = frozenset(word for text in passed_over for word in self.words(text))
        values = {exercise.id: tuple(self._values_of(exercise)) for exercise in exercises}
        owners = _owners(values)
        self._entries = {
            exercise.id: self._entry(
                exercise, names_of(exercise, wording, locale), values[exercise.id], owners
            )
            for exercise in exercises
        }
        self._titled: dict[Name, list[str]] = defaultdict(list)
        for exercise in exercises:
            title = wording.render(Message(f"{exercise.id}.title"), locale)
            self._titled[self.words(title)].append(exercise.id)
        entries = self._entries.values()
        whole = frozenset(word for entry in entries for word in entry.whole)
        self._known = KnownWords((word for entry in entries for word in entry.explains), whole=whole)
        counted = (setting for each in exercises for setting, schema in _properties(each) if _counts(schema))
        self._amounts = KnownWords((word for text in counted for word in self.words(text)), whole=())
        self._names_with: dict[str, list[tuple[str, int, int]]] = defaultdict(list)
        for entry in entries:
            for number, name in enumerate(entry.names):
                for word in name:
                    self._names_with[word].append((entry.exercise.id, number, len(name)))
        # Pure; and a forecast asks for the same titles day after day.
        self._likely = lru_cache(_TITLE_CACHE_SIZE)(self._looked_up)

    def words(self, text: str) -> Name:
        """The words of a text, folded as this index compares them."""
        return folded_words(text, self._numbers)

    def likely(self, title: str, least: int) -> tuple[Likely, ...]:
        """The exercises that a title may mean, the likeliest first.

        :param least: none of a smaller likeness, in hundredths.
        """
        return self._likely(title, least)

    def _looked_up(self, title: str, least: int) -> tuple[Likely, ...]:
        whole = self.words(title)
        words = self._without_amounts(whole)
        content = [word for word in words if self._is_content(word)]
        alike = self._alike_by_word(words)
        # Whoever writes an exercise's own title means it, whatever else each of its words may be.
        ranked = [(-SAME, -len(whole) - 1, identifier) for identifier in self._titled.get(whole, ())]
        meant = {identifier for _, _, identifier in ranked}
        for identifier, (cover, size) in self._covers(alike).items():
            if cover >= least and content and identifier not in meant:
                explains = self._entries[identifier].explains
                parts = sum(_explained(explains, alike[word]) for word in content)
                ranked.append((-(cover * parts // (SAME * len(content))), -size, identifier))
        return tuple(
            Likely(exercise=self._entries[identifier].exercise, likeness=-total)
            for total, _, identifier in sorted(ranked)
            if -total >= least
        )

    def named_values(self, exercise: str, title: str) -> Mapping[str, tuple[str, ...]]:
        """The values that a title names whole, by setting; the longer alone, where one holds the other."""
        words = self.words(title)
        named = [value for value in self._entries[exercise].values if _stands_in(value.words, words)]
        by_setting: dict[str, tuple[str, ...]] = {}
        for value in named:
            longer = (other.words for other in named if other.words != value.words)
            if not any(_stands_in(value.words, other) for other in longer):
                by_setting[value.setting] = (*by_setting.get(value.setting, ()), value.value)
        return by_setting

    def _entry(
        self,
        exercise: Exercise,
        called: Sequence[str],
        values: tuple[NamedValue, ...],
        owners: Mapping[Name, str],
    ) -> _Entry:
        full = [self.words(text) for text in called]
        full += [value.words for value in values if owners[value.words] == exercise.id]
        names = [tuple(word for word in words if word not in self._passed_over) for words in full]
        # Numbers stay in words here: people write "fivefinger", not "5finger".
        spelt = [folded_words(text, {}) for text in called]
        whole = [("".join(words),) for words in spelt if len(words) == 2]
        kept = dict.fromkeys(name for name in (*names, *whole) if any(map(self._is_content, name)))
        settings = (setting for setting, schema in _properties(exercise) if not _counts(schema))
        details = {word for text in (*settings, *choices_of(exercise)) for word in self.words(text)}
        return _Entry(
            exercise=exercise,
            names=tuple(kept),
            explains=frozenset(word for name in kept for word in name)
            | {word for word in details if len(word) >= _LEAST_DETAIL_LETTERS},
            whole=frozenset(word for (word,) in whole),
            values=values,
        )

    def _values_of(self, exercise: Exercise) -> Iterable[NamedValue]:
        seen: set[Name] = set()
        for setting, schema in _properties(exercise):
            for value in _choices(schema.get("items", {})):
                words = self.words(value)
                if sum(map(self._is_content, words)) > 1 and words not in seen:
                    seen.add(words)
                    yield NamedValue(setting=setting, value=value, words=words)

    def _is_content(self, word: str) -> bool:
        return not (word.isdecimal() or word in self._passed_over or _NOTE_OR_LETTER.fullmatch(word))

    def _without_amounts(self, words: Name) -> Name:
        """The words without numbers of what settings count, such as "2 octaves"."""
        amounts = {
            position
            for position in range(1, len(words))
            if words[position - 1].isdecimal()
            and any(like >= BEGUN for _, like in self._amounts.alike(words[position]))
        }
        amounts |= {position - 1 for position in amounts}
        return tuple(word for position, word in enumerate(words) if position not in amounts)

    def _alike_by_word(self, words: Name) -> dict[str, tuple[tuple[str, int], ...]]:
        """What each word of a title may be: by itself, or with its neighbour ("para diddle")."""
        alike = {word: self._known.alike(word) for word in words if word not in self._passed_over}
        for pair in pairwise(words):
            together = singular("".join(pair))
            if together in self._known:
                for word in pair:
                    alike[word] = (*alike.get(word, ()), (together, SAME))
        return alike

    def _covers(self, alike: Mapping[str, tuple[tuple[str, int], ...]]) -> dict[str, tuple[int, int]]:
        """Of each exercise named in part: how much of its best name stands there, and that name's length."""
        found: dict[str, int] = {}
        for each in alike.values():
            for known, like in each:
                found[known] = max(found.get(known, 0), like)
        sums: dict[tuple[str, int, int], int] = defaultdict(int)
        for known, like in found.items():
            for place in self._names_with.get(known, ()):
                sums[place] += like
        covers: dict[str, tuple[int, int]] = {}
        for (identifier, _, size), total in sums.items():
            covers[identifier] = max(covers.get(identifier, (0, 0)), (total // size, size))
        return covers


def _explained(explains: frozenset[str], alike: tuple[tuple[str, int], ...]) -> int:
    if any(known in explains for known, _ in alike):
        return SAME
    return _OTHERS_WORD if alike else 0


def names_of(exercise: Exercise, wording: Wording, locale: str) -> list[str]:
    """Return what an exercise is called in a locale: its title, its id without the instrument's, other names."""
    called = [wording.render(Message(f"{exercise.id}.title"), locale), exercise.id.partition(".")[2]]
    if wording.has(f"{exercise.id}.also_called", locale):
        called += wording.render(Message(f"{exercise.id}.also_called"), locale).split(",")
    return called


def _owners(values: Mapping[str, tuple[NamedValue, ...]]) -> dict[Name, str]:
    """Whose name a value is where several exercises have it: of the one that chooses from fewest."""
    owners: dict[Name, str] = {}
    for exercise in sorted(values, key=lambda one: (len(values[one]), one)):
        for value in values[exercise]:
            owners.setdefault(value.words, exercise)
    return owners


def choices_of(exercise: Exercise) -> Iterable[str]:
    """The values that settings of an exercise choose from, by name."""
    for _, schema in _properties(exercise):
        yield from _choices(schema)
        yield from _choices(schema.get("items", {}))


def _properties(exercise: Exercise) -> Iterable[tuple[str, Mapping[str, Any]]]:
    for setting, schema in exercise.settings_schema.get("properties", {}).items():
        if isinstance(schema, Mapping):
            yield setting, schema


def _counts(schema: Mapping[str, Any]) -> bool:
    """Whether a setting is a whole number."""
    kind = schema.get("type")
    return kind == "integer" or (isinstance(kind, list) and "integer" in kind)


def _choices(schema: object) -> Iterable[str]:
    if isinstance(schema, Mapping):
        yield from (value for value in schema.get("enum", ()) if isinstance(value, str))


def _stands_in(part: Name, whole: Name) -> bool:
    return any(whole[start : start + len(part)] == part for start in range(len(whole) - len(part) + 1))
