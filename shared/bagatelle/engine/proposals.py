"""What is proposed for a vague task of the learner's own, where no plugin proposes anything for its area."""

from typing import Final

from bagatelle.catalogue.instruments import Instruments
from bagatelle.model.exercise import OwnTaskProposal
from bagatelle.model.vocabulary import AREAS, MUSIC_AREAS, Area

_GENERAL: Final[dict[Area, OwnTaskProposal]] = {
    area: OwnTaskProposal(
        area=area,
        label=f"engine.proposal.{area}.label",
        manner=f"engine.proposal.{area}.manner",
        done_when=f"engine.proposal.{area}.done_when",
        bars=8.0 if area in MUSIC_AREAS else None,
        bpm=60.0 if area in MUSIC_AREAS else None,
        seconds=None if area in MUSIC_AREAS else 60,
        passes=3 if area in MUSIC_AREAS else 1,
    )
    for area in AREAS
}


def proposal_for(instruments: Instruments, instrument: str | None, area: Area) -> OwnTaskProposal:
    """The plugin's proposal for the area, else the engine's."""
    return instruments.proposal(instrument, area) or _GENERAL[area]
