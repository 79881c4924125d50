"""Find every wrong field of a JSON value at once, by its JSON Schema."""

import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, Final, NoReturn

import jsonschema_rs

from bagatelle.accepted import Schema, describe, field_names, shown
from bagatelle.json_pointer import pointer_to
from bagatelle.model.errors import FieldError, InvalidInputError

WRONG_FIELDS_LIMIT: Final = 1000
"""So many are listed; past them one more entry says that there are others."""
VALUES_LIMIT: Final = 20_000
"""So many values are looked at, each wrong one of which takes some 30 microseconds to explain."""

_MESSAGES: Final[Mapping[str, str]] = {
    "type": "{value} is of the wrong type",
    "enum": "{value} is not among the values accepted",
    "const": "{value} is not the value accepted",
    "minimum": "{value} is too small",
    "exclusiveMinimum": "{value} is too small",
    "maximum": "{value} is too large",
    "exclusiveMaximum": "{value} is too large",
    "minLength": "{value} is too short",
    "maxLength": "{length} characters are too many",
    "minItems": "{length} are too few",
    "maxItems": "{length} are too many",
    "uniqueItems": "an item is given twice",
    "pattern": "{value} does not have the form accepted",
    "format": "{value} does not have the form accepted",
}
_DIGITS: Final = re.compile(r"\+?[0-9]+")
_CHOICES: Final = frozenset({"anyOf", "oneOf"})
_UNEXPECTED: Final = frozenset({"additionalProperties", "unevaluatedProperties"})


class CheckedSchema:
    """A JSON Schema 2020-12, compiled once. References lead only within the document."""

    def __init__(self, schema: Schema) -> None:
        """Compile.

        :raises ValueError: where it is no valid schema, or refers to another document.
        """
        self.schema = schema
        self._validator = jsonschema_rs.Draft202012Validator(
            dict(schema), validate_formats=True, retriever=_refuse_remote
        )

    def accepts(self, value: object) -> bool:
        """Say whether a value made of JSON's types is valid."""
        return self._validator.is_valid(value)

    def wrong_fields(self, value: object, pointer: str = "") -> tuple[FieldError, ...]:
        """Return every wrong field, one entry for each, sorted by pointer.

        A missing or unknown field is addressed itself, not the object around it.

        :param value: a value made of JSON's types.
        :param pointer: where the value stands in what was sent.
        """
        start = _Start(value)
        errors = [*self._explained(self._validator.iter_errors(start.value), start, pointer)]
        if start.cut and errors:
            said = f"only the first {VALUES_LIMIT} values were looked at, and some of them are wrong"
            errors.append(FieldError(pointer=pointer, message=said))
        return listed(errors)

    def _explained(
        self, errors: Iterable[jsonschema_rs.ValidationError], start: "_Start", pointer: str
    ) -> Iterator[FieldError]:
        for error in errors:
            kind = error.kind.name
            schema = self._schema_of(error)
            place = pointer_to(start.names(error.instance_path), pointer)
            if kind == "required":
                missing = error.kind.as_dict()["property"]
                yield FieldError(
                    pointer=pointer_to([missing], place),
                    message="the field is missing",
                    accepted=describe(_property(schema, missing), self.schema),
                )
            elif kind in _UNEXPECTED:
                for name in error.kind.as_dict()["unexpected"]:
                    yield FieldError(
                        pointer=pointer_to([name], place),
                        message=f"the field {shown(name)} is unknown",
                        accepted=field_names(schema, self.schema),
                    )
            elif kind in _CHOICES:
                yield from self._chosen_branch(error, start, pointer)
            else:
                yield self._plain(error, schema, start, place)

    def _plain(
        self, error: jsonschema_rs.ValidationError, schema: object, start: "_Start", place: str
    ) -> FieldError:
        value = start.original(error.instance_path)
        template = _MESSAGES.get(error.kind.name, "{value} is not accepted here")
        return FieldError(
            pointer=place,
            message=template.format(value=shown(value), length=_length(value)),
            accepted=describe(schema, self.schema),
        )

    def _chosen_branch(
        self, error: jsonschema_rs.ValidationError, start: "_Start", pointer: str
    ) -> Iterator[FieldError]:
        """Blame the fields of the one branch that was plainly meant; else the value as a whole."""
        branches = [list(branch) for branch in getattr(error.kind, "context", ())]
        meant = [branch for branch in branches if branch and not _of_another_kind(branch, error)]
        if len(meant) == 1 and any(item.instance_path != error.instance_path for item in meant[0]):
            yield from self._explained(meant[0], start, pointer)
            return
        schema = self._schema_of(error)
        place = pointer_to(start.names(error.instance_path), pointer)
        if len(meant) == 1 and meant[0][0].kind.name not in {"required", *_UNEXPECTED, *_CHOICES}:
            # One reason, but what is accepted is told of all branches: null is a choice too.
            yield self._plain(meant[0][0], schema, start, place)
        elif len(meant) == 1:
            yield from self._explained(meant[0], start, pointer)
        else:
            yield FieldError(
                pointer=place,
                message=f"{shown(error.instance)} is of the wrong type"
                if not meant
                else f"{shown(error.instance)} is not accepted here",
                accepted=describe(schema, self.schema),
            )

    def _schema_of(self, error: jsonschema_rs.ValidationError) -> object:
        """Return the schema that holds the keyword which failed; `{}` where its path leads nowhere."""
        place: Any = self.schema
        for segment in error.schema_path[:-1]:
            try:
                place = place[segment]
            except (KeyError, IndexError, TypeError):
                return {}
        return place


class _Start:
    """The first values of a document, lists cut off at the end, and what the whole had in their place."""

    def __init__(self, whole: object) -> None:
        self._whole = whole
        self._left = VALUES_LIMIT
        self.cut = False
        self.value = self._copied(whole)

    def original(self, path: Iterable[str | int]) -> object:
        """Return the value at a place, uncut."""
        value: Any = self._whole
        for segment in self.names(path):
            value = value[segment]
        return value

    def names(self, path: Iterable[str | int]) -> list[str | int]:
        """Return the names and positions on the way to a place; the validator gives names of digits as numbers."""
        value: Any = self._whole
        found: list[str | int] = []
        for segment in path:
            found.append(_name_in(value, segment) if isinstance(value, Mapping) else segment)
            value = value[found[-1]]
        return found

    def _copied(self, value: object) -> object:
        self._left -= 1
        if isinstance(value, Mapping):
            return {name: self._copied(part) for name, part in value.items()}
        if not isinstance(value, list | tuple):
            return value
        items: list[object] = []
        for item in value:
            if items and self._left <= 0:
                self.cut = True
                break
            items.append(self._copied(item))
        return items


def _name_in(value: Mapping[str, Any], segment: str | int) -> str:
    """Return the name that a segment stands for: 7 may be `7`, else `07`, `+7` and the like."""
    if str(segment) in value:
        return str(segment)
    digits = str(segment).lstrip("0")
    return next(name for name in value if _DIGITS.fullmatch(name) and name.lstrip("+0") == digits)


def refuse(errors: Iterable[FieldError]) -> None:
    """Raise all that is wrong at once; nothing where nothing is.

    :raises InvalidInputError: with what `listed` makes of them.
    """
    found = listed(errors)
    if found:
        raise InvalidInputError(found)


def listed(errors: Iterable[FieldError]) -> tuple[FieldError, ...]:
    """Return one error for each field, the first of it, sorted by pointer, and not too many."""
    by_pointer: dict[str, FieldError] = {}
    for error in errors:
        if len(by_pointer) == WRONG_FIELDS_LIMIT and error.pointer not in by_pointer:
            said = f"more than {WRONG_FIELDS_LIMIT} fields are wrong; here are some of them"
            more = FieldError(pointer="", message=said)
            return (*sorted(by_pointer.values(), key=_by_pointer), more)
        by_pointer.setdefault(error.pointer, error)
    return tuple(sorted(by_pointer.values(), key=_by_pointer))


def _of_another_kind(
    branch: list[jsonschema_rs.ValidationError], choice: jsonschema_rs.ValidationError
) -> bool:
    """Say whether a branch failed because the value is of another type, or has another tag."""
    depth = len(choice.instance_path)
    return any(
        (error.kind.name == "type" and len(error.instance_path) == depth)
        or (
            error.kind.name in {"enum", "const"}
            and len(error.instance_path) == depth + 1
            and len(getattr(error.kind, "options", ())) <= 1
        )
        for error in branch
    )


def _property(schema: object, name: str) -> object:
    return schema.get("properties", {}).get(name, True) if isinstance(schema, Mapping) else True


def _length(value: object) -> int:
    return len(value) if isinstance(value, str | list | tuple | dict) else 0


def _by_pointer(error: FieldError) -> str:
    return error.pointer


def _refuse_remote(uri: str) -> NoReturn:
    raise ValueError(f"a schema may not refer to another document, and this one refers to {uri}")
