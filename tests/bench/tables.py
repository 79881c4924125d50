"""Plain tables in Markdown, and the few statistics that stand in them."""

from collections.abc import Sequence
from math import ceil


def table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """A Markdown table; the first column to the left, the others to the right."""
    widths = [max(len(row[place]) for row in (head, *rows)) for place in range(len(head))]

    def line(cells: Sequence[str]) -> str:
        first, *others = cells
        padded = [
            first.ljust(widths[0]),
            *(cell.rjust(width) for cell, width in zip(others, widths[1:], strict=True)),
        ]
        return f"| {' | '.join(padded)} |"

    rule = f"| {'-' * widths[0]} | {' | '.join('-' * (width - 1) + ':' for width in widths[1:])} |"
    return "\n".join([line(head), rule, *(line(row) for row in rows)])


def milliseconds(seconds: float) -> str:
    """Seconds as milliseconds in three figures or so."""
    value = 1000 * seconds
    return f"{value:.2f} ms" if value < 10 else f"{value:.0f} ms" if value >= 100 else f"{value:.1f} ms"


def percentile(values: Sequence[float], percent: float) -> float:
    """The smallest value that so many percent of all do not exceed (nearest rank)."""
    return sorted(values)[max(0, ceil(len(values) * percent / 100) - 1)]
