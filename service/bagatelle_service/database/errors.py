"""What can go wrong with a database, in words that repeat nothing of what it was to store."""


class StorageError(Exception):
    """The database refused something, for a fault of ours. The text is the kind of its error."""


class ClashError(StorageError):
    """What was to be stored clashes with what is stored already."""


class OutdatedError(StorageError):
    """A row was changed from a revision that is no longer the newest."""


class BusyError(StorageError):
    """The database is out of reach, or did not answer in time; nothing was changed."""
