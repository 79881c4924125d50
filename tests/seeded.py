"""Instances made again by their name alone."""

from random import Random


def seeded(name: str) -> Random:
    """The same draws for the same name, on every machine."""
    return Random(name)  # noqa: S311 - wanted for being reproducible, nothing is secret
