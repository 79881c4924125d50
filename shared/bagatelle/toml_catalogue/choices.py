"""Named lists of values that settings choose from; each value has a label and may have further columns."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from msgspec import Struct

from bagatelle.catalogue.material_rules import UNIT_ID_LIMIT
from bagatelle.model.text import Message, Value
from bagatelle.pitches import pitch_number
from bagatelle.toml_catalogue.expression import Exact, exact
from bagatelle.toml_catalogue.form import ChoiceValue
from bagatelle.toml_catalogue.placeholders import TERMS, PlaceholderError, names_in, parameter_name

OWN_COLUMNS: Final = ("name", "label")
_TEXT_COLUMNS: Final = frozenset(OWN_COLUMNS)


class Choice(Struct, frozen=True):
    """One value of a list."""

    name: str
    position: int
    """In the whole list."""
    columns: Mapping[str, str | int | float]
    """The label among them."""
    messages: Mapping[str, Message]
    """By column of words, the label's too, the message that says it."""

    def has(self, column: str, *, in_text: bool) -> bool:
        """Say whether there is such a column, and a number in it, or words where these do."""
        return column in self.columns and (in_text or _counts(self.columns[column]))

    def said(self, column: str) -> Value:
        """Return a column for a text."""
        return self.messages[column] if column in self.messages else self.columns[column]

    def number(self, column: str) -> Exact:
        """Return a column for an expression: a number, or a pitch as its number.

        :raises KeyError: where it is neither; `choice_faults` finds it before.
        """
        value = self.columns[column]
        if isinstance(value, str):
            pitch = pitch_number(value)
            if pitch is None:
                raise KeyError(column)
            return pitch
        return exact(value)


class ChoiceList(Struct, frozen=True):
    """A list, found right by itself."""

    name: str
    choices: Mapping[str, Choice]
    """By name, in their order."""
    columns: frozenset[str]
    """Those that every value has."""
    countable: frozenset[str]
    """Of these, the ones that are a number or a pitch in every value."""

    def wanting(self, column: str, *, in_text: bool) -> Sequence[Choice]:
        """Return the values that have no such column while others do, or no number in it.

        :param in_text: whether words do as well as a number.
        """
        good = [choice for choice in self.choices.values() if choice.has(column, in_text=in_text)]
        return [choice for choice in self.choices.values() if choice not in good] if good else ()

    def narrowed(self, only: Sequence[str] | None) -> "ChoiceList":
        """Return the list with those values alone, in the list's order."""
        if only is None:
            return self
        return ChoiceList(
            self.name,
            {name: choice for name, choice in self.choices.items() if name in only},
            self.columns,
            self.countable,
        )


def choice_list(instrument: str, name: str, values: Sequence[ChoiceValue]) -> ChoiceList:
    """Return a list of values in which `choice_faults` found nothing."""
    choices = {}
    for position, value in enumerate(values):
        identifier = f"{instrument}.choice.{name}.{value['name']}"
        messages = {
            column: Message(identifier if column == "label" else f"{identifier}.{column}", _terms(words))
            for column, words in value.items()
            if isinstance(words, str) and column != "name"
        }
        choices[str(value["name"])] = Choice(str(value["name"]), position, value, messages)
    columns = frozenset.intersection(*(frozenset(value) for value in values))
    countable = {column for column in columns if all(_counts(value[column]) for value in values)}
    return ChoiceList(name, choices, columns, frozenset(countable))


def _counts(value: str | float) -> bool:
    return not isinstance(value, str) or pitch_number(value) is not None


def choice_faults(values: Sequence[ChoiceValue]) -> Iterator[tuple[tuple[str | int, ...], str]]:
    """Find what is wrong in a list: where in it, and why."""
    seen = set()
    for position, value in enumerate(values):
        for column in OWN_COLUMNS:
            if not isinstance(value.get(column), str):
                yield (position, column), f"the value needs a text `{column}`"
        name = value.get("name")
        if isinstance(name, str) and len(name) > UNIT_ID_LIMIT:
            yield (
                (position, "name"),
                f"{len(name)} characters are too many (accepted: at most {UNIT_ID_LIMIT})",
            )
        if name is not None and name in seen:
            yield (position, "name"), f"the list has {name!r} twice"
        seen.add(name)
        for column, words in value.items():
            if isinstance(words, str) and column != "name":
                yield from (((position, column), reason) for reason in _text_faults(words))


def _text_faults(words: str) -> Iterator[str]:
    try:
        names = names_in(words)
    except PlaceholderError as error:
        yield str(error)
        return
    for name, more in sorted(names, key=str):
        if name != "term" or more not in TERMS:
            yield f"{{{name}{'.' + more if more else ''}}} cannot stand here (accepted: {{term.…}} alone)"


def _terms(words: str) -> dict[str, Value]:
    return {
        parameter_name(name, more): Message(f"engine.term.{more}")
        for name, more in sorted(names_in(words), key=str)
    }
