"""Whether what a plugin answers at request time can be put into words, looked at once for all that is alike."""

from collections.abc import Iterator, Mapping
from typing import Final, TypeAlias

from bagatelle.catalogue.faults import Fault
from bagatelle.catalogue.text_rules import check_exercise_texts
from bagatelle.model.exercise import Exercise, Material
from bagatelle.model.text import Message, Value
from bagatelle.wording.render import Wording

Shape: TypeAlias = tuple[object, ...]
"""What decides whether words can be found: ids, and names and kinds of parameters, whatever their values."""
_SHAPES_KEPT: Final = 10_000


class KnownWords:
    """Remembers which shapes were put into words before."""

    def __init__(self, wording: Wording) -> None:
        self._wording = wording
        self._known: set[Shape] = set()

    def faults_of(self, exercise: Exercise, material: Material) -> list[Fault]:
        """Return what cannot be put into words, in any locale."""
        shapes = set(_shapes(exercise, material))
        if shapes <= self._known:
            return []
        faults: list[Fault] = []
        check_exercise_texts(exercise, material, self._wording, faults)
        if not faults:
            if len(self._known) > _SHAPES_KEPT:
                self._known = set()
            self._known = self._known | shapes
        return faults


def _shapes(exercise: Exercise, material: Material) -> Iterator[Shape]:
    yield (exercise.id, *_of_parameters(material.parameters))
    for unit in material.units:
        yield _of_message(unit.label)
        if unit.detail is not None:
            yield _of_message(unit.detail)


def _of_message(message: Message) -> Shape:
    return (message.id, *_of_parameters(message.parameters))


def _of_parameters(parameters: Mapping[str, Value]) -> Iterator[object]:
    for name in sorted(parameters):
        yield name
        yield _of_value(parameters[name])


def _of_value(value: Value) -> object:
    if isinstance(value, Message):
        return _of_message(value)
    if isinstance(value, tuple):
        return frozenset(map(_of_value, value))
    return type(value)
