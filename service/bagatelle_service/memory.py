"""How a process that serves looks for garbage.

What one request leaves behind is freed as it goes, by counts of references. Python's search for cycles looks
through everything again and again for the little that is left.
"""

import gc
from typing import Final

ALLOCATIONS_BETWEEN_SEARCHES: Final = 10_000
"""Python's own is 700, later 2,000, which one request makes by itself."""


def load_without_searches() -> None:
    """Look for no cycles until `keep_what_is_loaded`: what is loaded stays, and half of its time were searches."""
    gc.disable()


def keep_what_is_loaded() -> None:
    """Take what exists now for permanent, and look for cycles less often. To be called once, when all is loaded.

    What loading left behind stays too: to look for it takes a tenth of a second, and it is little.
    """
    gc.freeze()
    gc.enable()
    gc.set_threshold(ALLOCATIONS_BETWEEN_SEARCHES, *gc.get_threshold()[1:])
