"""What is proposed for a vague task of the learner's own, where no plugin proposes anything for its area."""

from collections.abc import Mapping
from typing import Final

from msgspec.structs import replace

from bagatelle.catalogue.instruments import Instruments
from bagatelle.engine.timing import time_of, timing_of_passage
from bagatelle.model.exercise import Family, OwnTaskProposal
from bagatelle.model.request import Passage
from bagatelle.model.vocabulary import AREAS, MUSIC_AREAS, Area

PROPOSED_SECONDS: Final = 60
"""Of a proposal that names neither bars nor seconds."""
_GENERAL: Final[dict[Area, OwnTaskProposal]] = {
    area: OwnTaskProposal(
        area=area,
        label=f"engine.proposal.{area}.label",
        manner=f"engine.proposal.{area}.manner",
        done_when=f"engine.proposal.{area}.done_when",
        bars=8.0 if area in MUSIC_AREAS else None,
        bpm=60.0 if area in MUSIC_AREAS else None,
        seconds=None if area in MUSIC_AREAS else PROPOSED_SECONDS,
        passes=3 if area in MUSIC_AREAS else 1,
    )
    for area in AREAS
}

_TONE: Final[Mapping[Family, str]] = {
    "voice": "engine.proposal.tone.manner.breath",
    "wind": "engine.proposal.tone.manner.breath",
    "brass": "engine.proposal.tone.manner.breath",
    "bowed": "engine.proposal.tone.manner.bow",
}


def proposal_for(instruments: Instruments, instrument: str | None, area: Area) -> OwnTaskProposal:
    """The plugin's proposal for the area, else the engine's, by the breath or the bow where there is one."""
    proposal = instruments.proposal(instrument, area) or _GENERAL[area]
    tone = _TONE.get(instruments.family(instrument))
    return replace(proposal, manner=tone) if proposal is _GENERAL["tone"] and tone is not None else proposal


def within(proposal: OwnTaskProposal, room_seconds: int) -> OwnTaskProposal:
    """The proposal cut to a room: fewer passes, else as much of it as that time holds."""
    if proposal.bars is None or proposal.bpm is None:
        return replace(proposal, seconds=min(proposal.seconds or PROPOSED_SECONDS, room_seconds))
    passage = Passage(id="p1", label=proposal.label, bars=proposal.bars, bpm=proposal.bpm)
    passes = passes_within(passage, proposal.passes, room_seconds)
    if passes == 0:
        return replace(proposal, bars=None, bpm=None, seconds=room_seconds, passes=1)
    return replace(proposal, passes=passes)


def passes_within(passage: Passage, most: int, room_seconds: int) -> int:
    """The most passes, up to so many, that take no longer than a room; 0 where not even one does."""
    for passes in range(most, 0, -1):
        timing = timing_of_passage(replace(passage, passes=passes))
        if timing is not None and time_of(timing).seconds <= room_seconds:
            return passes
    return 0
