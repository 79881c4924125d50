"""The catalogue's two-minute warm-up, as a task beside the routine's."""

from typing import Final

from bagatelle.catalogue.instruments import Instruments
from bagatelle.catalogue.pitch_range import range_of_learner
from bagatelle.engine.body import Traits
from bagatelle.engine.catalogue_task import exercise_with
from bagatelle.engine.form import form_for
from bagatelle.engine.settled import SettledTask
from bagatelle.model.errors import InvalidInputError
from bagatelle.model.plan import Factors
from bagatelle.model.request import CompressionRequest
from bagatelle.model.text import Message
from bagatelle.wording.render import Say

STAND_IN: Final = "_warm-up"
"""Its id; no client's key can begin with a low line."""


def stand_in_task(request: CompressionRequest, instruments: Instruments, say: Say) -> SettledTask | None:
    """The warm-up of the request's instrument; None where it has none that the day and the learner's range allow.

    It has no worth of its own, so it is planned only where something that strains needs it.
    """
    exercise = instruments.stand_in(request.instrument) if request.instrument is not None else None
    if exercise is None:
        return None
    usual = Traits(
        strain=exercise.strain, loudness=exercise.loudness, needs_instrument=exercise.needs_instrument
    )
    family = instruments.family(request.instrument)
    form, _ = form_for(usual, exercise, request.circumstances, "warm-up", family)
    if form != "usual":
        return None
    try:
        found = exercise_with(instruments, exercise.id, {}, range_of_learner(request.learner.limits))
    except InvalidInputError:
        return None
    seconds = sum(unit.time.seconds for unit in found.units)
    return SettledTask(
        id=STAND_IN,
        block=STAND_IN,
        block_position=-1,
        pointer="",
        title=say(found.title),
        area="warm-up",
        stage="maintaining",
        concreteness="exact",
        divisibility="whole",
        strain=exercise.strain,
        family=family,
        loudness=exercise.loudness,
        loudness_at_ear=found.loudness_at_ear or exercise.loudness,
        pin="auto",
        due_days=None,
        near=False,
        usual_seconds=seconds,
        cap_seconds=None,
        units=found.units,
        chunk_seconds=seconds,
        set_up_seconds=0,
        factors=Factors(stage=1.0, concreteness=1.0, need=1.0, circumstances=1.0, pin=0.0),
        weight=0.0,
        form="usual",
        words=found.words,
        exercise=exercise,
        filled_in=found.filled_in,
        cautions=tuple(Message(caution) for caution in exercise.cautions),
        stand_in=True,
    )
