"""A verdict in words, for people."""

from collections.abc import Iterator

from bagatelle.verify.verdict import Group, Verdict


def report_lines(name: str, verdict: Verdict) -> Iterator[str]:
    """One line a group of checks, its faults and what it left unchecked below it, the outcome last."""
    width = max(len(group.name) for group in verdict.groups)
    for group in verdict.groups:
        yield f"{group.name:<{width}}  {_outcome(group):<12}  {group.checked}"
        for fault in group.faults:
            yield f"    fault {fault.code} at {fault.pointer}: {fault.message}"
        for left in group.not_checked:
            yield f"    not checked {left.code} at {left.pointer}: {left.message}"
    yield f"{name}: {_summary(verdict)}"


def _outcome(group: Group) -> str:
    if group.faults:
        return _counted(len(group.faults), "fault")
    return "in part" if group.not_checked else "right"


def _summary(verdict: Verdict) -> str:
    left = f" {len(verdict.not_checked)} not checked." if verdict.not_checked else ""
    if verdict.accepted:
        return f"accepted.{left}"
    return f"rejected, {_counted(len(verdict.faults), 'fault')}.{left}"


def _counted(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"
