"""What a plan says of the ears: once for the day where that names every loud step, else in the step."""

import math
from collections.abc import Iterable, Mapping, Sequence

from msgspec.structs import replace

from bagatelle.engine.settled import SettledTask
from bagatelle.engine.sound import HEARING_CAUTION, is_loud, is_loud_unsaid, is_much
from bagatelle.model.plan import Step
from bagatelle.model.text import Message
from bagatelle.model.vocabulary import Loudness
from bagatelle.wording.render import Say


def sounding(steps: Sequence[Step], tasks: Mapping[str, SettledTask]) -> tuple[tuple[Loudness, int], ...]:
    """How loud each step is, and for how many seconds: the notes alone, as rests are quiet."""
    found: list[tuple[Loudness, int]] = []
    for step in steps:
        if step.task is not None:
            task = tasks[step.task]
            seconds = {unit.id: unit.time.music_seconds for unit in task.units}
            found.append((task.loudness_at_ear, math.ceil(sum(seconds[unit] for unit in step.units))))
    return tuple(found)


def hearing_cautions(
    steps: Sequence[Step], tasks: Mapping[str, SettledTask], playing: Sequence[tuple[Loudness, int]]
) -> Iterable[Message]:
    """What concerns the ears: every loud step, where the day is much for them or one does not say so itself.

    Nobody sings with ear plugs in.
    """
    much = is_much(playing)
    loud = {
        str(number): tasks[step.task]
        for number, step in enumerate(steps, start=1)
        if step.task and is_loud(tasks[step.task])
    }
    played = tuple(number for number, task in loud.items() if task.family != "voice")
    if much and len(played) < len(loud):
        yield Message("engine.caution.singing-much")
    if played and (much or any(is_loud_unsaid(loud[number]) for number in played)):
        text = "engine.caution.hearing-much" if much else "engine.caution.hearing"
        yield Message(text, {"steps": played, "count": len(played)})


def said_once(
    steps: Sequence[Step], tasks: Mapping[str, SettledTask], cautions: Iterable[Message], say: Say
) -> tuple[Step, ...]:
    """The steps without what they say of the ears themselves, where a caution of the day names them all."""
    if not any("steps" in caution.parameters for caution in cautions):
        return tuple(steps)
    of_the_ears = {
        say(caution)
        for task in tasks.values()
        if task.family != "voice"
        for caution in task.cautions
        if caution.id.endswith(HEARING_CAUTION)
    }
    return tuple(
        replace(step, cautions=tuple(text for text in step.cautions if text not in of_the_ears))
        for step in steps
    )
