"""The kinds of settings: what each accepts, and what its values are in expressions and in texts."""

from collections.abc import Mapping, Sequence
from typing import Any, Final, Protocol, TypeAlias

from msgspec import Struct

from bagatelle.model.text import Message, Value
from bagatelle.toml_catalogue.choices import Choice, ChoiceList
from bagatelle.toml_catalogue.expression import Exact
from bagatelle.toml_catalogue.placeholders import BEATS
from bagatelle.wording.counts import number_in_words, times_in_words

Schema: TypeAlias = dict[str, Any]
NUMBER_FORMS: Final = ("words", "times", *BEATS)
"""What may follow the dot of a number's placeholder."""


class Setting(Protocol):
    """One setting of an exercise."""

    @property
    def is_list(self) -> bool:
        """Whether it holds several values, each of which can be a unit."""
        ...

    def schema(self) -> Schema:
        """Return the JSON Schema of its values, without description and default."""
        ...

    def accepts(self, given: object) -> bool:
        """Say whether it is a value, as the schema has it."""
        ...

    def columns(self, *, in_text: bool) -> frozenset[str | None]:
        """Return what may follow its name after a dot, in a text or in an expression; None stands for nothing."""
        ...

    def said(self, given: Any, column: str | None, /) -> Value:
        """Return it for a text."""
        ...

    def number(self, given: Any, column: str | None, /) -> Exact:
        """Return it for an expression."""
        ...

    def one(self) -> "Setting":
        """Return the setting that one of its values alone would be of."""
        ...

    def each(self, given: Any) -> "Sequence[EachValue]":
        """Return its values one by one, in the order in which they are played."""
        ...


class EachValue(Struct, frozen=True):
    """One of the values of a setting that makes the units."""

    id: str
    setting: Setting
    """What says it in texts and expressions."""
    given: Any


class WholeSetting(Struct, frozen=True):
    """A whole number, or several different ones."""

    least: int
    greatest: int
    most: int | None

    @property
    def is_list(self) -> bool:
        """Whether it holds several values."""
        return self.most is not None

    def schema(self) -> Schema:
        """Return the JSON Schema of its values."""
        return _several({"type": "integer", "minimum": self.least, "maximum": self.greatest}, self.most)

    def accepts(self, given: object) -> bool:
        """Say whether it is one of the numbers, or so many different ones."""
        if self.most is not None:
            return _several_accepted(given, self.most, self.one())
        return isinstance(given, int) and self.least <= given <= self.greatest

    def columns(self, *, in_text: bool) -> frozenset[str | None]:
        """Several numbers are listed in texts, and are no number."""
        if self.is_list:
            return frozenset({None}) if in_text else frozenset()
        return frozenset({None, *NUMBER_FORMS}) if in_text else frozenset({None})

    def said(self, given: Any, column: str | None) -> Value:
        """Return the number, in words or as a tempo where that is asked for."""
        if isinstance(given, list | tuple):
            return tuple(str(number) for number in sorted(given))
        return _number_said(given, column)

    def number(self, given: Any, _column: str | None) -> Exact:
        """Return the number."""
        return int(given)

    def one(self) -> Setting:
        """Return the same without `most`."""
        return WholeSetting(self.least, self.greatest, None)

    def each(self, given: Any) -> Sequence[EachValue]:
        """Return the numbers, the least first."""
        one = self.one()
        return [EachValue(str(number), one, number) for number in sorted(given)]


class ChoiceSetting(Struct, frozen=True):
    """A value of a list of choices, or several different ones."""

    choices: ChoiceList
    most: int | None

    @property
    def is_list(self) -> bool:
        """Whether it holds several values."""
        return self.most is not None

    def schema(self) -> Schema:
        """Return the JSON Schema of its values."""
        return _several({"type": "string", "enum": list(self.choices.choices)}, self.most)

    def accepts(self, given: object) -> bool:
        """Say whether it is one of the values, or so many different ones."""
        if self.most is not None:
            return _several_accepted(given, self.most, self.one())
        return given in self.choices.choices

    def columns(self, *, in_text: bool) -> frozenset[str | None]:
        """All that every value of the list has; several values are no number."""
        if in_text:
            return frozenset({None, *self.choices.columns})
        return frozenset() if self.is_list else self.choices.countable

    def said(self, given: Any, column: str | None) -> Value:
        """Return the label or another column; of several values, listed."""
        column = column or "label"
        if isinstance(given, list | tuple):
            return tuple(_in_a_list(choice.said(column)) for choice in self._chosen(given))
        return self.choices.choices[given].said(column)

    def number(self, given: Any, column: str | None) -> Exact:
        """Return a column that is a number or a pitch."""
        return self.choices.choices[given].number(column or "")

    def one(self) -> Setting:
        """Return the same without `most`."""
        return ChoiceSetting(self.choices, None)

    def each(self, given: Any) -> Sequence[EachValue]:
        """Return the values in the order in which they are given: whoever names keys may want the lowest first."""
        one = self.one()
        return [EachValue(choice.name, one, choice.name) for choice in self._chosen(given)]

    def _chosen(self, given: Sequence[str]) -> Sequence[Choice]:
        return [self.choices.choices[name] for name in given]


class WordsSetting(Struct, frozen=True):
    """Words of the learner: what a piece is called."""

    longest: int

    @property
    def is_list(self) -> bool:
        """Never."""
        return False

    def schema(self) -> Schema:
        """Return the JSON Schema of its values."""
        return {"type": "string", "minLength": 1, "maxLength": self.longest}

    def accepts(self, given: object) -> bool:
        """Say whether it is a text, neither empty nor too long."""
        return isinstance(given, str) and 1 <= len(given) <= self.longest

    def columns(self, *, in_text: bool) -> frozenset[str | None]:
        """Words are said as they are, and are no number."""
        return frozenset({None}) if in_text else frozenset()

    def said(self, given: Any, _column: str | None) -> Value:
        """Return the words."""
        return str(given)

    def number(self, _given: Any, _column: str | None) -> Exact:
        """Nobody can ask for it: `columns` has nothing."""
        raise TypeError("words are no number")

    def one(self) -> Setting:
        """Return itself."""
        return self

    def each(self, given: Any) -> Sequence[EachValue]:
        """Return the words as the one value."""
        return [EachValue("words", self, given)]


def settings_schema(
    settings: Mapping[str, Setting], abouts: Mapping[str, str], defaults: Mapping[str, Any]
) -> Schema:
    """Return the JSON Schema of all settings together."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "type": "object",
        "additionalProperties": False,
        "properties": {
            name: {**setting.schema(), "description": abouts[name], "default": defaults[name]}
            for name, setting in settings.items()
        },
    }


def _several(one: Schema, most: int | None) -> Schema:
    if most is None:
        return one
    return {"type": "array", "items": one, "minItems": 1, "maxItems": most, "uniqueItems": True}


def _several_accepted(given: object, most: int, one: Setting) -> bool:
    if not isinstance(given, list | tuple) or not 1 <= len(given) <= most:
        return False
    return all(map(one.accepts, given)) and len(set(given)) == len(given)


def _in_a_list(value: Value) -> str | Message:
    return value if isinstance(value, str | Message) else str(value)


def _number_said(number: int, form: str | None) -> Value:
    if form is None:
        return number
    if form == "words":
        return number_in_words(number)
    if form == "times":
        return times_in_words(number)
    return Message("engine.tempo", {"beat": Message(f"engine.term.{form}"), "bpm": number})
