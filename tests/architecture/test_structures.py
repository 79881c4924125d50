"""What is asked and answered is made of trees: no structure of it is searched for cycles."""

import inspect
from types import ModuleType

import pytest
from bagatelle.engine import settled, timing
from bagatelle.model import card, forecast, plan, request, sheet, text
from msgspec import Struct


@pytest.mark.parametrize("module", [card, forecast, plan, request, sheet, text, settled, timing])
def test_structures_are_trees(module: ModuleType) -> None:
    structures = [
        each
        for _, each in inspect.getmembers(module, inspect.isclass)
        if issubclass(each, Struct) and each.__module__ == module.__name__
    ]
    assert structures
    searched = [each.__name__ for each in structures if each.__struct_config__.gc]
    assert searched == []
    assert all(each.__struct_config__.frozen for each in structures)
