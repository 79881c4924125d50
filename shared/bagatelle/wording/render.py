"""Render messages in a locale. Templates are parsed once, when the `Wording` is made."""

import math
from collections.abc import Callable, Iterable, Mapping
from importlib.resources import files
from typing import Final, TypeAlias

import msgspec

from bagatelle.model.exercise import Texts
from bagatelle.model.text import Message, Value
from bagatelle.wording.errors import WordingError
from bagatelle.wording.template import Pattern, Plural, parse

FALLBACK_LANGUAGE: Final = "en"
ENGINE_LOCALES: Final = ("en", "en-US")

_LISTS: Final = ("engine.list.two", "engine.list.more", "engine.list.last")
_LISTS_WITH_COMMAS: Final = (
    "engine.list.two-with-commas",
    "engine.list.more-with-commas",
    "engine.list.last-with-commas",
)

Table: TypeAlias = Mapping[str, Pattern | Plural]
"""The texts of one locale by message id, fallbacks included."""
Parameters: TypeAlias = Mapping[str, Value]
Say: TypeAlias = Callable[[Message], str]
"""Puts a message into the words of one locale."""


def engine_texts() -> tuple[Texts, ...]:
    """Return the engine's own texts, which lie in this package as one JSON file for each locale."""
    folder = files("bagatelle.wording")
    return tuple(
        Texts(
            locale=locale,
            messages=msgspec.json.decode(
                folder.joinpath(f"{locale}.json").read_bytes(), type=dict[str, str | dict[str, str]]
            ),
        )
        for locale in ENGINE_LOCALES
    )


class Wording:
    """Every text that is known, by locale.

    A locale falls back to its language and that to English: `en-US`, then `en`; a language that has no
    texts is `en` at once.
    """

    def __init__(self, texts: Iterable[Texts]) -> None:
        """Parse all templates.

        :raises TemplateError: where a template breaks the grammar.
        :raises WordingError: where two texts of one locale have the same id.
        """
        own: dict[str, dict[str, Pattern | Plural]] = {FALLBACK_LANGUAGE: {}}
        for entry in texts:
            messages = own.setdefault(entry.locale, {})
            for identifier, template in entry.messages.items():
                if identifier in messages:
                    raise WordingError(identifier, f"is given twice in the locale {entry.locale!r}")
                messages[identifier] = parse(identifier, entry.locale, template)
        self._tables = {locale: _with_fallbacks(own, locale) for locale in own}
        self._speakers = {locale: _speaker(table) for locale, table in self._tables.items()}

    @property
    def locales(self) -> tuple[str, ...]:
        """The locales that have texts of their own, sorted."""
        return tuple(sorted(self._tables))

    def has(self, identifier: str, locale: str) -> bool:
        """Say whether a message has a text in the locale, fallbacks included."""
        return identifier in self._tables[self.spoken(locale)]

    def spoken(self, locale: str) -> str:
        """Return the locale whose texts stand for the one asked for: itself, its language, or English."""
        language = locale.partition("-")[0]
        return next((each for each in (locale, language) if each in self._tables), FALLBACK_LANGUAGE)

    def render(self, message: Message, locale: str) -> str:
        """Put a message into words.

        :raises WordingError: where the message has no text, a parameter is missing, or a parameter is of a
            kind that cannot be shown.
        """
        return self.speaker(locale)(message)

    def speaker(self, locale: str) -> Say:
        """Return what puts messages into words in one locale, as `render` does; always the same one."""
        return self._speakers[self.spoken(locale)]


def _with_fallbacks(own: Mapping[str, Table], locale: str) -> Table:
    language = locale.partition("-")[0]
    return {**own[FALLBACK_LANGUAGE], **own.get(language, {}), **own[locale]}


def _speaker(table: Table) -> Say:
    def speak(message: Message) -> str:
        return _in_words(table, message.id, message.parameters)

    return speak


def _in_words(table: Table, identifier: str, given: Parameters) -> str:
    pattern = table.get(identifier)
    if not isinstance(pattern, Pattern):
        pattern = _chosen(pattern, identifier, given)
    text = pattern.beginning
    for name, literal in pattern.gaps:
        value = _parameter(identifier, given, name)
        text += (value if type(value) is str else _shown(table, identifier, name, value)) + literal
    return text


def _parameter(identifier: str, given: Mapping[str, object], name: str) -> object:
    try:
        return given[name]
    except KeyError:
        names = ", ".join(sorted(given)) or "none"
        raise WordingError(
            identifier, f"the parameter {name!r} is missing; the parameters given: {names}"
        ) from None


def _chosen(plural: Plural | None, identifier: str, given: Parameters) -> Pattern:
    if plural is None:
        raise WordingError(identifier, "there is no text of this id")
    number = _parameter(identifier, given, plural.by)
    if isinstance(number, bool) or not isinstance(number, int | float):
        raise WordingError(
            identifier, f"the parameter {plural.by!r} decides the plural and must be a number, not {number!r}"
        )
    return plural.choose(number)


def _shown(table: Table, identifier: str, name: str, value: object) -> str:
    # Of what a plugin gives nobody has looked whether it is a value.
    if isinstance(value, Message):
        return _in_words(table, value.id, value.parameters)
    if isinstance(value, tuple):
        return _listed(
            table, [each if type(each) is str else _shown(table, identifier, name, each) for each in value]
        )
    if isinstance(value, str):
        return value
    if isinstance(value, int) and not isinstance(value, bool):
        return str(value)
    if isinstance(value, float):
        return _decimal(identifier, name, value)
    kind = type(value).__name__
    raise WordingError(identifier, f"the parameter {name!r} is a {kind}, which cannot be shown")


def _listed(table: Table, items: list[str]) -> str:
    if len(items) < 2:
        return "".join(items)
    # Where an item has a comma or an "and" of its own, others have to part the items.
    own = (",", _joint(table))
    is_parted = any(mark in item for item in items for mark in own)
    two, more, last = _LISTS_WITH_COMMAS if is_parted else _LISTS
    if len(items) == 2:
        return _in_words(table, two, {"first": items[0], "last": items[1]})
    rest = items[-2]
    for item in reversed(items[:-2]):
        rest = _in_words(table, more, {"first": item, "rest": rest})
    return _in_words(table, last, {"before": rest, "last": items[-1]})


def _joint(table: Table) -> str:
    """What stands between the two of a list of two."""
    two = table.get(_LISTS[0])
    return two.gaps[0][1] if isinstance(two, Pattern) else ","


def _decimal(identifier: str, name: str, value: float) -> str:
    """Show a number: without decimals where it is whole, with at most three otherwise."""
    if not math.isfinite(value):
        raise WordingError(identifier, f"the parameter {name!r} is {value}, which cannot be shown")
    rounded = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if rounded == "-0" else rounded
