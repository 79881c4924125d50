"""Instances made again by their name alone."""

from random import Random


def seeded(name: str) -> Random:
    """The same draws for the same name, on every machine."""
    return Random(name)  # noqa: S311 - test instances; a generator fit for secrets cannot be seeded
