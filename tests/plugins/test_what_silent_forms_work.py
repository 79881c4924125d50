"""Every silent form says what of the body it works, so that it is left alone while that is sore.

Common practice, no source: fingering, tapping and bowing in the air work the hands; hearing inwardly works nothing.
"""

import re
from typing import Final

import pytest
from bagatelle.model.exercise import Exercise
from bagatelle.wording.render import FALLBACK_LANGUAGE

from tests.strategies import instruments

HANDS: Final = re.compile(
    r"finger it|fingers? (only|moving)|finger (on|tapping)|fingertips|bare (hands|fingers)"
    r"|on the (knees?|thighs?|lid)|forearm|in the air|\btap(ped|s)?\b|press the valves"
)
FOR_THE_EYE: Final = {"voice", "musicianship"}
"""Here a finger shows the beat or the line and plays nothing."""


def _silent() -> list[Exercise]:
    """With a soft form for which neither strain nor sound nor instrument is needed."""
    return [
        each
        for each in instruments().exercises
        if (soft := each.soft_form) is not None
        and (soft.strain, soft.loudness, soft.needs_instrument) == ("none", "silent", False)
    ]


def test_each_says_what_it_works() -> None:
    assert len(_silent()) > 400
    assert [each.id for each in _silent() if each.soft_form is None or each.soft_form.works is None] == []


@pytest.mark.parametrize("part", ["what", "how"])
def test_what_hands_do_is_said_to_work_them(part: str) -> None:
    loaded = instruments()
    texts = {
        name: text
        for plugin in loaded.plugins
        for entry in loaded.texts_of(plugin.name)
        if entry.locale == FALLBACK_LANGUAGE
        for name, text in entry.messages.items()
    }
    named = {
        each.id
        for each in _silent()
        if each.soft_form is not None
        and not each.soft_form.works
        and HANDS.search(str(texts[f"{each.id}.soft.{part}"]))
        and each.id.partition(".")[0] not in FOR_THE_EYE
    }
    assert named == set()
