"""The version of the engine; a test keeps it equal to the distribution's."""

from typing import Final

ENGINE_VERSION: Final = "0.1.0"
