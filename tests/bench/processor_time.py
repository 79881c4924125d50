"""The processor time of a program and all that it has started, as Linux counts it."""

import os
from pathlib import Path


def spent_seconds(process_id: int) -> float:
    """User and system time of a process and of every process under it that still runs."""
    ticks, parents = {}, {}
    for folder in Path("/proc").glob("[0-9]*"):
        try:
            # After the name, which is in brackets and may hold anything; see proc_pid_stat(5).
            fields = (folder / "stat").read_text().rpartition(")")[2].split()
        except (FileNotFoundError, ProcessLookupError):
            continue  # it ended meanwhile
        parents[int(folder.name)] = int(fields[1])
        ticks[int(folder.name)] = int(fields[11]) + int(fields[12])
    under = {process_id}
    while more := {child for child, parent in parents.items() if parent in under} - under:
        under |= more
    return sum(ticks[each] for each in under) / os.sysconf("SC_CLK_TCK")


def parent_of(process_id: int) -> int:
    """The process that started another."""
    return int(Path(f"/proc/{process_id}/stat").read_text().rpartition(")")[2].split()[1])
