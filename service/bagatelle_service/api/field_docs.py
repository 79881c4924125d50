"""The docstrings that stand below fields, for the description: msgspec keeps those of classes alone."""

import ast
import inspect
import itertools
import textwrap
from collections.abc import Iterable, Iterator
from functools import cache
from typing import Any

import msgspec
from msgspec.inspect import StructType


def add_field_descriptions(components: dict[str, Any], kinds: Iterable[Any]) -> None:
    """Add descriptions to the properties of components, where the fields have them; straighten those of classes.

    :param components: schemas by the names of their classes, as msgspec makes them; changed in place.
    :param kinds: the types that the components were made from.
    """
    for cls in set(_structs_in(msgspec.inspect.multi_type_info(kinds), set())):
        component = components[cls.__name__]
        if "description" in component:
            # Python strips a docstring's margin from 3.13 on only.
            component["description"] = inspect.cleandoc(component["description"])
        properties = component.get("properties", {})
        descriptions = field_descriptions(cls)
        for field in msgspec.structs.fields(cls):
            if field.name in descriptions:
                properties[field.encode_name].setdefault("description", descriptions[field.name])


def field_descriptions(cls: type) -> dict[str, str]:
    """Read the docstrings below the fields of a class and of those that it derives from."""
    found: dict[str, str] = {}
    for each in reversed(cls.__mro__):
        if each.__module__.startswith("bagatelle"):
            found |= _own_descriptions(each)
    return found


@cache
def _own_descriptions(cls: type) -> dict[str, str]:
    body = _class_body(cls)
    found = {}
    for field, below in itertools.pairwise(body):
        match field, below:
            case ast.AnnAssign(target=ast.Name(id=name)), ast.Expr(value=ast.Constant(value=str(text))):
                found[name] = inspect.cleandoc(text)
    return found


def _class_body(cls: type) -> list[ast.stmt]:
    (definition,) = ast.parse(textwrap.dedent(inspect.getsource(cls))).body
    return definition.body if isinstance(definition, ast.ClassDef) else []


def _structs_in(info: Any, seen: set[type]) -> Iterator[type]:
    if isinstance(info, list | tuple):
        for part in info:
            yield from _structs_in(part, seen)
    elif isinstance(info, StructType):
        if info.cls not in seen:
            seen.add(info.cls)
            yield info.cls
            yield from _structs_in([field.type for field in info.fields], seen)
    elif isinstance(info, msgspec.inspect.Type):
        yield from _structs_in([getattr(info, name) for name in info.__struct_fields__], seen)
