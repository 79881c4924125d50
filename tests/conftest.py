"""How hard the laws are tried: the same few examples on each normal run, others and more of them when asked.

`make verify` tries those of `HYPOTHESIS_SEED`; `HYPOTHESIS_PROFILE=thorough pytest tests/property` tries hundreds,
never the same. A law that names a number of examples keeps to it. Nothing here is timed: a slow machine is no fault
of the code.
"""

import os
from collections import Counter

import pytest
from hypothesis import HealthCheck, is_hypothesis_test, seed, settings

# What authors of plugins get; here too where the distribution's entry points are older than its code.
pytest_plugins = ("bagatelle_pytest",)

# Requests for which nothing fits are drawn too, and some laws can only pass them over.
_SUPPRESSED = [HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much]

settings.register_profile(
    "normal", max_examples=25, deadline=None, derandomize=True, suppress_health_check=_SUPPRESSED
)
settings.register_profile(
    "verify", max_examples=100, deadline=None, print_blob=True, suppress_health_check=_SUPPRESSED
)
settings.register_profile(
    "thorough", max_examples=600, deadline=None, print_blob=True, suppress_health_check=_SUPPRESSED
)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "normal"))
_SEED = os.environ.get("HYPOTHESIS_SEED")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Of tests of one id xdist runs one, and says nothing of the others."""
    twice = sorted(name for name, count in Counter(item.nodeid for item in items).items() if count > 1)
    if twice:
        raise pytest.UsageError(f"several tests have one id: {', '.join(twice)}")


def pytest_itemcollected(item: pytest.Item) -> None:
    # Each law has a seed of its own: with one for all, laws of the same requests would all try the same ones.
    if _SEED and isinstance(item, pytest.Function) and is_hypothesis_test(item.obj):
        seed(f"{_SEED} {item.module.__name__} {item.originalname}")(item.obj)
