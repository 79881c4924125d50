"""Blanks in texts that nobody sees and that would stand in a sentence."""

import re
from collections.abc import Iterator, Mapping
from typing import Final

from bagatelle.model.exercise import Template

_BLANKS: Final = re.compile(r"[\n\r\t]|  |^ | $")


def blank_faults(messages: Mapping[str, Template]) -> Iterator[tuple[str, str]]:
    """Return the ids of such texts, and what is wrong."""
    for identifier, template in messages.items():
        for text in (template,) if isinstance(template, str) else template.values():
            if _BLANKS.search(text):
                yield identifier, "has a line break, a tab, two blanks together, or a blank at an end"
                break
