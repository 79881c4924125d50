"""The benchmark: `python -m tests.bench`, or `python -m tests.bench optimum endpoint ladder` for some parts."""
