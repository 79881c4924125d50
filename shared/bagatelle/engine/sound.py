"""How much of what ears may take in a day the loud steps come to: a range, as nothing is measured.

Allowed minutes at a level L in dB(A): `480 / 2 ** ((L - 85) / 3)`, so 8 hours at 85 dB(A) and half of it for each
3 dB more (NIOSH Publ. 98-126, recommended exposure limit). What a tag stands for, in dB(A) at the player's ear:
loud 90 to 105 (percussion 90 to 105, brass 90 to 106, flute 92 to 105), moderate 80 to 90 (violin 80 to 90, singing
85, piano 82); HSE, Sound Advice (HSG260), notes 12 and 16. Softer steps count nothing.
"""

import math
from collections.abc import Iterable
from typing import Final

from bagatelle.engine.settled import SettledTask
from bagatelle.model.plan import SoundExposure
from bagatelle.model.vocabulary import Loudness

HEARING_CAUTION: Final = ".caution.hearing"
"""How the id of a caution ends that speaks of the ears."""
WHOLE_DAY_MILLIONTHS: Final = 1_000_000
"""What a day allows ears, in the parts that cards count in."""
_LEVELS: Final[dict[Loudness, tuple[int, int]]] = {"moderate": (80, 90), "loud": (90, 105)}
_FULL_DAY_SECONDS: Final = 480 * 60
_FULL_DAY_DECIBELS: Final = 85
_EXCHANGE_DECIBELS: Final = 3


def is_loud(task: SettledTask) -> bool:
    """Whether ears get it loud."""
    return task.loudness_at_ear == "loud"


def is_loud_unsaid(task: SettledTask) -> bool:
    """Whether a task is loud and its own cautions do not speak of the ears."""
    return is_loud(task) and not any(caution.id.endswith(HEARING_CAUTION) for caution in task.cautions)


def is_much(playing: Iterable[tuple[Loudness, int]]) -> bool:
    """Whether sounds of a loudness and so many seconds take more than a day allows ears, without ear plugs.

    Reckoned in the middle of what a loudness stands for: at its top a few minutes would do, and who is warned every
    day hears it no more.
    """
    return sum(_millionths(loudness) * seconds for loudness, seconds in playing) > WHOLE_DAY_MILLIONTHS


def millionths_a_second(loudness: Loudness, sounding_share: float) -> int:
    """What a second takes of what a day allows ears, rests with it, in millionths, rounded up; see `is_much`.

    :param sounding_share: how much of the time it sounds, 0 to 1.
    """
    return math.ceil(_millionths(loudness) * sounding_share)


def _millionths(loudness: Loudness) -> float:
    if loudness not in _LEVELS:
        return 0
    return WHOLE_DAY_MILLIONTHS / allowed_seconds(sum(_LEVELS[loudness]) / 2)


def sound_exposure(playing: Iterable[tuple[Loudness, int]]) -> SoundExposure | None:
    """What sounds of a loudness and so many seconds come to, without ear plugs; None where none is loud.

    Percents of a day's allowance, rounded outwards to whole ones.
    """
    steps = list(playing)
    if not any(loudness == "loud" for loudness, _ in steps):
        return None
    lowest, highest = (
        math.fsum(
            100 * seconds / allowed_seconds(_LEVELS[loudness][end])
            for loudness, seconds in steps
            if loudness in _LEVELS
        )
        for end in (0, 1)
    )
    return SoundExposure(
        loud_seconds=sum(seconds for loudness, seconds in steps if loudness == "loud"),
        lowest_percent=math.floor(lowest),
        highest_percent=math.ceil(highest),
    )


def allowed_seconds(decibels: float) -> float:
    """How long a day may be so loud."""
    return _FULL_DAY_SECONDS / 2 ** ((decibels - _FULL_DAY_DECIBELS) / _EXCHANGE_DECIBELS)
