"""Run the benchmark and print its tables; ratios, which hold on any machine, before times, which do not."""

import platform
import sys
from os import cpu_count
from time import perf_counter

from bagatelle.engine import search as engine_search

from tests.bench import (
    days,
    endpoint,
    engine_alone,
    ladder,
    logs,
    optimum,
    preparing,
    search,
    starting,
    windows,
)

PARTS = {
    "optimum": optimum.run,
    "engine": engine_alone.run,
    "endpoint": endpoint.run,
    "ladder": ladder.run,
    "windows": windows.run,
    "days": days.run,
    "logs": logs.run,
    "preparing": preparing.run,
    "search": search.run,
    "starting": starting.run,
}


def main(names: list[str]) -> int:
    """Run the parts named, or all."""
    if unknown := sorted(set(names) - set(PARTS)):
        print(f"No such part: {', '.join(unknown)}; there are {', '.join(PARTS)}.", file=sys.stderr)
        return 2
    start = perf_counter()
    made = "as Python runs it" if engine_search.__file__.endswith(".py") else "compiled"
    machine = f"Python {platform.python_version()}, {platform.machine()}, {cpu_count()} cores"
    print(f"# Benchmark\n\n{machine}; the engine {made}.", flush=True)
    for name in names or PARTS:
        print(f"\n{PARTS[name]()}", flush=True)
    print(f"\nTook {perf_counter() - start:.0f} s.")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
