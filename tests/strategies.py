"""Hypothesis strategies for real requests: catalogue tasks of both instruments, tasks of one's own, days, history.

Everything is drawn as the JSON that a client would send; `request_of` decodes it as the service does.
"""

import json
import math
from collections.abc import Sequence
from functools import cache
from typing import Any

from bagatelle import Instruments, compress, decode_request, load_instruments
from bagatelle.model.errors import (
    InvalidInputError,
    NoShortDayFitsError,
    NothingAllowedError,
    NothingFitsError,
)
from bagatelle.model.plan import Plan
from bagatelle.model.request import CompressionRequest
from bagatelle.model.vocabulary import AREAS
from hypothesis import reject
from hypothesis import strategies as st

from tests.plugins.piano.schemas import legal as legal_piano_settings
from tests.plugins.snare_drum.schemas import from_schema as legal_snare_drum_settings

Sent = dict[str, Any]
"""A piece of a request, as JSON."""

DAY = "2027-03-01"
EARLIER_DAYS = ("2027-01-10", "2027-02-01", "2027-02-20", "2027-02-27", "2027-02-28")
DUE_DAYS = ("2027-02-20", "2027-03-01", "2027-03-03", "2027-03-10", "2027-03-15", "2027-03-16", "2027-06-01")
STAGES = ("new", "learning", "refining", "maintaining")
STRAINS = ("none", "low", "low", "moderate", "high")
LOCALES = ("en-GB", "en-US")
SETTINGS_OF = {"piano": legal_piano_settings, "snare-drum": legal_snare_drum_settings}


@cache
def instruments() -> Instruments:
    """Return the catalogues, loaded once."""
    return load_instruments()


def request_of(sent: Sent) -> CompressionRequest:
    """Return the request as the service decodes it."""
    return decode_request(json.dumps(sent).encode())


def plan_of(sent: Sent) -> Plan:
    """Return the plan of a request."""
    return compress(request_of(sent), instruments()).plan


def plan_or_reject(sent: Sent) -> Plan:
    """Return the plan; an example that can have none (nothing fits, nothing is allowed) is drawn anew."""
    try:
        return plan_of(sent)
    except (NothingFitsError, NoShortDayFitsError, NothingAllowedError):
        reject()


def beside_slack(plan: Plan, window_seconds: int) -> int:
    """What a window holds beside what stays free of it, its rests counted in."""
    free = max(math.floor(window_seconds * plan.policy.slack_share + 1e-6), plan.policy.least_slack_seconds)
    return window_seconds - min(free, window_seconds // 2)


def maybe(strategy: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    """Draw a value, or None where the field is to be left out."""
    return st.none() | strategy


def without_none(fields: Sent) -> Sent:
    """Leave out the fields that were not drawn."""
    return {name: value for name, value in fields.items() if value is not None}


@st.composite
def passages(draw: st.DrawFn, name: str) -> Sent:
    """One passage: by bars, by notes, or by plain seconds."""
    sent: Sent = {"id": name, "label": f"passage {name}"}
    kind = draw(st.sampled_from(("bars", "notes", "seconds")))
    if kind == "seconds":
        sent["seconds"] = draw(st.integers(15, 400))
    else:
        sent |= {kind: draw(st.integers(2, 32)), "bpm": draw(st.integers(40, 160))}
        sent["pause_seconds"] = draw(st.sampled_from((0, 5, 12.5)))
    if draw(st.integers(0, 3)):
        sent["passes"] = draw(st.integers(1, 4))
    return sent


@st.composite
def own_tasks(draw: st.DrawFn, name: str) -> Sent:
    """A task of the learner's own, from a bare title to one that leaves no question open."""
    sent: Sent = {"title": draw(st.sampled_from(("Sonatina", "Scales", "Waltz", "Ear training", "March")))}
    sent["minutes"] = draw(st.sampled_from((2, 3, 4.5, 5, 8, 10, 12.25, 15, 20, 30, 45)))
    if draw(st.integers(0, 9)):
        sent["id"] = name
    if draw(st.booleans()):
        sent["passages"] = [draw(passages(f"p{number}")) for number in range(draw(st.integers(1, 5)))]
    if draw(st.booleans()):
        sent |= {"manner": "slowly, with the metronome", "done_when": "two clean passes in a row"}
    sent |= {
        "area": draw(maybe(st.sampled_from(AREAS))),
        "strain": draw(maybe(st.sampled_from(STRAINS))),
        "loudness": draw(maybe(st.sampled_from(("silent", "soft", "moderate", "loud")))),
        "needs_instrument": draw(maybe(st.booleans())),
        "concreteness": draw(maybe(st.sampled_from(("exact", "guided", "open")))),
        "divisibility": draw(maybe(st.sampled_from(("fine", "sectioned", "whole")))),
    }
    return without_none(sent)


@st.composite
def catalogue_tasks(draw: st.DrawFn, name: str, instrument: str) -> Sent:
    """A catalogue exercise with legal settings, some of them left at their defaults."""
    ids = [exercise.id for exercise in instruments().exercises if exercise.id.startswith(f"{instrument}.")]
    exercise = draw(st.sampled_from(ids))
    properties = instruments().exercise(exercise).settings_schema["properties"]
    chosen = draw(st.sets(st.sampled_from(sorted(properties)), max_size=2))
    settings = {each: draw(SETTINGS_OF[instrument](properties[each])) for each in sorted(chosen)}
    try:
        instruments().material(exercise, instruments().complete_settings(exercise, settings))
    except InvalidInputError:
        settings = {}  # legal one by one, refused together: the defaults do instead
    return {
        "id": name,
        "exercise": exercise,
        "settings": settings,
        "minutes": draw(st.sampled_from((2, 3, 5, 5, 8, 10, 15))),
    }


@st.composite
def tasks(draw: st.DrawFn, name: str, instrument: str) -> Sent:
    """A task of either kind, with stage, date, cadence, pin, chunk and set-up."""
    sent: Sent = draw(own_tasks(name) | catalogue_tasks(name, instrument))
    sent |= {
        "stage": draw(maybe(st.sampled_from(STAGES))),
        "due": draw(st.sampled_from((None,) * 5 + DUE_DAYS)),
        "cadence_days": draw(maybe(st.integers(1, 14))),
        "pin": draw(st.sampled_from((None,) * 8 + ("always", "never", "more", "less"))),
        "smallest_chunk_seconds": draw(st.sampled_from((None,) * 3 + (30, 60, 180, 600))),
        "set_up_seconds": draw(st.sampled_from((None,) * 3 + (0, 20, 90))),
    }
    return without_none(sent)


@st.composite
def routines(draw: st.DrawFn, instrument: str, most_tasks: int = 8) -> Sent:
    """Blocks of one to three tasks; now and then a block without tasks."""
    names = [f"t{number}" for number in range(draw(st.integers(1, most_tasks)))]
    blocks: list[Sent] = []
    while names:
        size = draw(st.integers(1, 3))
        inside, names = names[:size], names[size:]
        block: Sent = {"title": f"Block {len(blocks)}", "area": draw(maybe(st.sampled_from(AREAS)))}
        if draw(st.integers(0, 5)):
            block["tasks"] = [draw(tasks(name, instrument)) for name in inside]
            block["minutes"] = draw(st.none() | st.integers(5, 60))
        else:
            block |= {"id": f"b{len(blocks)}", "minutes": draw(st.sampled_from((5, 10, 20, 40)))}
        blocks.append(without_none(block))
    return {"blocks": blocks}


@st.composite
def circumstances(draw: st.DrawFn, most_windows: int = 6) -> Sent:
    """What the day gives: no time named, minutes, or windows; and every other kind of hard day."""
    day: Sent = {}
    kind = draw(st.sampled_from(("nothing", "minutes", "windows")))
    if kind == "minutes":
        day["minutes"] = draw(st.sampled_from((3, 5, 7.5, 10, 15, 20, 30, 35, 60, 90)))
    if kind == "windows" and most_windows:
        lengths = draw(st.lists(st.sampled_from((3, 4.25, 5, 8, 10, 15, 35, 50)), max_size=most_windows))
        day["windows"] = [{"minutes": minutes} for minutes in lengths]
    for name in ("energy", "focus"):
        if draw(st.integers(0, 3)) == 0:
            day[name] = "low"
    for name, value in (("quiet", True), ("instrument_at_hand", False), ("soreness", True)):
        if draw(st.integers(0, 6)) == 0:
            day[name] = value
    if draw(st.integers(0, 5)) == 0:
        day["sore"] = sorted(draw(st.sets(st.sampled_from(("hands", "lip", "voice", "back")), min_size=1)))
    return day


@st.composite
def histories(draw: st.DrawFn, names: Sequence[str]) -> list[Sent]:
    """What was done of the routine's tasks, and now and then of another."""
    count = draw(st.sampled_from((0, 0, 1, 3, 6)))
    return [
        {
            "task": draw(st.sampled_from((*names, "gone"))),
            "date": draw(st.sampled_from((*EARLIER_DAYS, DAY))),
            "seconds": draw(st.integers(0, 900)),
            "units": draw(st.lists(st.sampled_from(("p0", "p1", "p2", "C", "G", "time")), max_size=3)),
        }
        for _ in range(count)
    ]


@st.composite
def requests(draw: st.DrawFn, most_tasks: int = 8, most_windows: int = 6, measured: bool = False) -> Sent:
    """A whole request that is legal in every field."""
    instrument = draw(st.sampled_from(tuple(SETTINGS_OF)))
    routine = draw(routines(instrument, most_tasks))
    names = [task["id"] for block in routine["blocks"] for task in block.get("tasks", ()) if "id" in task]
    sent: Sent = {
        "instrument": draw(st.sampled_from((instrument, instrument, instrument, None))),
        "date": DAY,
        "locale": draw(st.sampled_from(LOCALES)),
        "routine": routine,
        "circumstances": draw(circumstances(most_windows)),
        "history": draw(histories(names)),
        "measure_ladder": measured,
        "learner": {"limits": {"widest_interval_semitones": 11}} if draw(st.integers(0, 7)) == 0 else None,
        "policy": draw(st.sampled_from((None,) * 6 + ({"share": 0.4}, {"near_days": 3}, {"share": 0.1}))),
    }
    return without_none(sent)
