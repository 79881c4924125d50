"""Faults of a plugin: each names the item that is wrong and the reason."""

from collections.abc import Iterable

from msgspec import Struct

from bagatelle.model.errors import BagatelleError, FieldError


class Fault(Struct, frozen=True):
    """One thing that is wrong with a plugin."""

    item: str
    """An exercise's or a text's id, a hook, or what else is to be mended."""
    reason: str

    def __str__(self) -> str:
        return f"{self.item}: {self.reason}"


class RefusedError(BagatelleError):
    """A plugin cannot be taken. Holds every fault that was found."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("; ".join(map(str, self.faults)))


def field_faults(item: str, errors: Iterable[FieldError]) -> list[Fault]:
    """Turn wrong fields into faults of one item."""
    return [
        Fault(item, f"{error.pointer or 'as a whole'}: {error.message} (accepted: {error.accepted})")
        for error in errors
    ]


def raised(hook: str, error: BaseException) -> Fault:
    """Say that a hook, or another stage of loading, raised."""
    return Fault(hook, f"raised {type(error).__name__}: {error}")
