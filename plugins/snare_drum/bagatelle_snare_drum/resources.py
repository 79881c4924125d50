"""The data files of this package."""

from importlib.resources import files


def read_resource(name: str) -> bytes:
    """Return the bytes of a data file.

    :param name: its path inside the package, with forward slashes.
    """
    return files(__package__).joinpath(name).read_bytes()
