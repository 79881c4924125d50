"""Faults of a plugin: each names the item that is wrong and the reason."""

from collections.abc import Iterable, Sequence
from typing import Final

from msgspec import Struct

from bagatelle.model.errors import BagatelleError, FieldError

FAULTS_SHOWN: Final = 100
CHARACTERS_SHOWN: Final = 1000
"""Of each; what a plugin calls itself has no end but this."""


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
        super().__init__("; ".join(_shown(self.faults)))


def _shown(faults: Sequence[Fault]) -> Iterable[str]:
    for fault in faults[:FAULTS_SHOWN]:
        text = str(fault)
        yield text if len(text) <= CHARACTERS_SHOWN else f"{text[: CHARACTERS_SHOWN - 1]}…"
    if len(faults) > FAULTS_SHOWN:
        yield f"and {len(faults) - FAULTS_SHOWN} more"


def field_faults(item: str, errors: Iterable[FieldError]) -> list[Fault]:
    """Turn wrong fields into faults of one item."""
    return [
        Fault(item, f"{error.pointer or 'as a whole'}: {error.message}{_accepted(error)}") for error in errors
    ]


def _accepted(error: FieldError) -> str:
    return f" (accepted: {error.accepted})" if error.accepted else ""


def raised(hook: str, error: BaseException) -> Fault:
    """Say that a hook, or another stage of loading, raised.

    :raises KeyboardInterrupt: where it is one: that is the operator's, not the plugin's.
    """
    if isinstance(error, KeyboardInterrupt):
        raise error
    return Fault(hook, f"raised {described(error)}")


def described(error: BaseException) -> str:
    """Name an error and what it says, where it can say it."""
    said = said_by(error)
    return type(error).__name__ if said is None else f"{type(error).__name__}: {said}"


def said_by(error: BaseException) -> str | None:
    """Return what an error of a plugin's says; None where it fails at that."""
    try:
        return str(error)
    except Exception:  # its text is made by the plugin's own code, which may raise anything
        return None
