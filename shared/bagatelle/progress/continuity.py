"""Continuity: which days were kept. Nothing in it asks how long a day was."""

from collections.abc import Mapping
from datetime import date

from bagatelle.model.progress import Continuity, LogKind
from bagatelle.progress.days import Stretch


def continuity_of(stretch: Stretch, kept: Mapping[date, LogKind]) -> Continuity:
    """Days kept, off and open, and the gaps between them.

    Parameters
    ----------
    stretch
        The days in question.
    kept
        Days of the stretch on which anything was played, with their kind.
    """
    gaps = stretch.gaps(kept)
    kinds = list(kept.values())
    return Continuity(
        days_kept=len(kinds),
        usual_days=kinds.count("usual"),
        short_days=kinds.count("short"),
        free_days=kinds.count("free"),
        days_off=len(stretch.off - kept.keys()),
        days_open=sum(gaps),
        longest_gap_days=max(gaps),
        current_gap_days=gaps[-1],
    )
