"""Which plugins a process of the service loads."""

from collections.abc import Mapping

from bagatelle import Instruments, load_instruments
from msgspec import Struct


class PluginChoice(Struct, frozen=True, kw_only=True):
    """The same for every process of one service, so that all of them know the same exercises."""

    allowed: tuple[str, ...] | None = None
    """By name; None: all that are installed."""
    left_out: Mapping[str, str] = {}
    """Those that did not load when they were tried, with the reason."""

    def load(self) -> Instruments:
        """Load them."""
        return load_instruments(allowed=self.allowed, left_out=self.left_out)
