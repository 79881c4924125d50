"""A year in the life of a school, over HTTP alone; `tests/integration/test_a_year.py` plays it."""
