"""Every silent form says what of the body it works, so that it is left alone while that is sore.

Common practice, no source: fingering, tapping and bowing in the air work the hands; hearing inwardly works nothing.
"""

import re
from typing import Final

import pytest
from bagatelle.model.exercise import Exercise
from bagatelle.model.vocabulary import SorePlace
from bagatelle.wording.render import FALLBACK_LANGUAGE

from tests.strategies import instruments

HANDS: Final = re.compile(
    r"finger it|fingers? (only|moving)|finger (on|tapping)|fingertips|bare (hands|fingers)"
    r"|on the (knees?|thighs?|lid)|forearm|in the air|\btap(ped|s)?\b|press the valves"
)
VOICE: Final = re.compile(r"whisper|under your breath")
"""A hoarse voice does not whisper (common practice, no source)."""
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


def _saying(words: re.Pattern[str], part: str) -> dict[str, tuple[SorePlace, ...]]:
    """By exercise, what its silent form works whose text has such words."""
    loaded = instruments()
    texts = {
        name: text
        for plugin in loaded.plugins
        for entry in loaded.texts_of(plugin.name)
        if entry.locale == FALLBACK_LANGUAGE
        for name, text in entry.messages.items()
    }
    return {
        each.id: each.soft_form.works or ()
        for each in _silent()
        if each.soft_form is not None and words.search(str(texts[f"{each.id}.soft.{part}"]))
    }


@pytest.mark.parametrize("part", ["what", "how"])
def test_what_hands_do_is_said_to_work_them(part: str) -> None:
    played = {
        name: works
        for name, works in _saying(HANDS, part).items()
        if name.partition(".")[0] not in FOR_THE_EYE
    }
    assert {name for name, works in played.items() if not works} == set()


def test_what_is_whispered_is_said_to_work_the_voice() -> None:
    whispered = _saying(VOICE, "how")
    assert len(whispered) > 5
    assert {name for name, works in whispered.items() if "voice" not in works} == set()
