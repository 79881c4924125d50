"""What a verification says: groups of checks, each with its faults and with what it could not check."""

from msgspec import Struct


class Fault(Struct, frozen=True, kw_only=True):
    """Something in the answer that contradicts the answer's own numbers."""

    code: str
    """Stable, `group.what`."""
    pointer: str
    """JSON Pointer (RFC 6901) into the answer."""
    message: str
    """What was found and what was expected."""


class NotChecked(Struct, frozen=True, kw_only=True):
    """Something that was left unchecked, and why. It is no fault, and no proof either."""

    code: str
    pointer: str
    message: str


class Group(Struct, frozen=True, kw_only=True):
    """One group of checks."""

    name: str
    checked: str
    """What was checked, in a phrase."""
    faults: tuple[Fault, ...]
    not_checked: tuple[NotChecked, ...]


class Verdict(Struct, frozen=True, kw_only=True):
    """The outcome of a verification."""

    accepted: bool
    """Whether no fault was found. What was not checked does not count against it."""
    groups: tuple[Group, ...]

    @property
    def faults(self) -> tuple[Fault, ...]:
        """All faults, in the order of the groups."""
        return tuple(fault for group in self.groups for fault in group.faults)

    @property
    def not_checked(self) -> tuple[NotChecked, ...]:
        """All that was left unchecked, in the order of the groups."""
        return tuple(left for group in self.groups for left in group.not_checked)


class Notebook:
    """Collects what one group of checks finds."""

    def __init__(self, name: str, checked: str) -> None:
        self._name = name
        self._checked = checked
        self._faults: list[Fault] = []
        self._not_checked: list[NotChecked] = []

    def fault(self, code: str, pointer: str, message: str) -> None:
        """Write down a fault."""
        self._faults.append(Fault(code=f"{self._name}.{code}", pointer=pointer, message=message))

    def expect(self, met: bool, code: str, pointer: str, message: str) -> None:  # noqa: FBT001 - reads as a sentence
        """Write down a fault unless the expectation is met."""
        if not met:
            self.fault(code, pointer, message)

    def equal(self, found: object, expected: object, code: str, pointer: str, what: str) -> None:
        """Write down a fault unless what was found is what was expected."""
        if found != expected:
            self.fault(code, pointer, f"{what} is {found}; expected {expected}.")

    def not_checked(self, code: str, pointer: str, message: str) -> None:
        """Write down what was left unchecked."""
        self._not_checked.append(NotChecked(code=f"{self._name}.{code}", pointer=pointer, message=message))

    def group(self) -> Group:
        """Close the notebook."""
        return Group(
            name=self._name,
            checked=self._checked,
            faults=tuple(self._faults),
            not_checked=tuple(self._not_checked),
        )
