"""What a task asks of the body, as far as that is known; unknown is all of it.

Common practice, no source: an instrument of a family is played with these, and what is sore of them rests. Where it
is not known what works, everything is taken to.
"""

from collections.abc import Mapping
from typing import Final, TypeAlias

from msgspec import Struct

from bagatelle.model.exercise import Exercise, Family
from bagatelle.model.request import Circumstances
from bagatelle.model.text import Message
from bagatelle.model.vocabulary import SORE_PLACES, Area, Loudness, SorePlace, Strain

Places: TypeAlias = frozenset[SorePlace]

_NOTHING: Final[Places] = frozenset()
_EVERYTHING: Final[Places] = frozenset(SORE_PLACES)
_OF_FAMILY: Final[Mapping[Family, Places]] = {
    "keyboard": frozenset({"hands", "back"}),
    "percussion": frozenset({"hands", "back"}),
    "plucked": frozenset({"hands", "back"}),
    "bowed": frozenset({"hands", "back"}),
    "wind": frozenset({"hands", "lip", "back"}),
    "brass": frozenset({"hands", "lip", "back"}),
    "voice": frozenset({"voice", "back"}),
    "none": _EVERYTHING,
}
_SAID_OR_SUNG: Final[frozenset[Area]] = frozenset({"ear", "harmony", "sight-reading", "theory"})
_OFTEN_ALOUD: Final[frozenset[Area]] = frozenset({"ear", "harmony", "rhythm", "theory"})
"""Sung, named or counted aloud beside the instrument."""


class Traits(Struct, frozen=True, kw_only=True, gc=False):
    """What a form of a task asks of the body, the walls and the bag."""

    strain: Strain
    loudness: Loudness
    needs_instrument: bool
    works: Places | None = None
    """What a catalogue says that it works."""

    @property
    def rests_the_body(self) -> bool:
        """Whether it is silent work that no hand, lip or voice does."""
        return self.strain == "none" and self.loudness == "silent" and not self.needs_instrument


def works(traits: Traits, area: Area, family: Family, exercise: Exercise | None) -> Places:
    """The places that a task works.

    Those that its catalogue names. Else, with the instrument, those of its family, and the voice where one often
    counts or sings beside it. Without, and without strain: none where it is silent, the voice where a thing is said
    or sung. A theory task of the learner's own may want a pencil; an exercise on the lid or the knees may have
    something said under the breath.
    """
    if traits.works is not None:
        return traits.works
    if traits.rests_the_body:
        return _NOTHING
    if traits.needs_instrument:
        return works_of(family) | ({"voice"} if area in _OFTEN_ALOUD else _NOTHING)
    if traits.strain != "none":
        return works_of(family) | {"voice"} if exercise is not None else _EVERYTHING
    if area not in _SAID_OR_SUNG:
        return _EVERYTHING
    writes = area == "theory" and exercise is None
    return frozenset({"voice", "hands"}) if writes else frozenset({"voice"})


def works_of(family: Family) -> Places:
    """What instruments of a family work."""
    return _OF_FAMILY[family]


def sore_places(circumstances: Circumstances) -> Places:
    """Where it is sore: everywhere, where that is not said."""
    return _EVERYTHING if circumstances.soreness else frozenset(circumstances.sore)


def is_spared(places: Places, circumstances: Circumstances) -> bool:
    """Whether none of these places is sore."""
    return not places & sore_places(circumstances)


def stop_caution(family: Family) -> str:
    """The caution (a message id) that names what works: the voice, the lips, or whatever hurts."""
    if family in {"wind", "brass"}:
        return "engine.caution.body.lip"
    return f"engine.caution.body.{family}" if family in {"voice", "none"} else "engine.caution.body"


def sore_cautions(circumstances: Circumstances, family: Family) -> tuple[Message, ...]:
    """What is said of soreness: what of the day it takes, and how what is sore rests.

    That a hoarse voice should be seen to is said earlier than the four weeks of the guideline on dysphonia
    (AAO-HNS, 2018), which sends those who live by their voice sooner. The rest is common practice, no one source.
    """
    places = circumstances.sore
    if circumstances.soreness:
        of_voice = family == "voice"
        first = (Message("engine.caution.soreness-of-the-voice" if of_voice else "engine.caution.soreness"),)
    elif set(places) == {"voice"}:
        first = (Message("engine.caution.hoarse"),)
    elif places:
        named = tuple(Message(f"engine.sore.{place}") for place in SORE_PLACES if place in places)
        first = (Message("engine.caution.sore", {"places": named}),)
    else:
        return ()
    voice = "voice" in places or (circumstances.soreness and family == "voice")
    rests = (("voice", voice), ("lip", "lip" in places))
    return (*first, *(Message(f"engine.caution.rest-the-{place}") for place, rest in rests if rest))
