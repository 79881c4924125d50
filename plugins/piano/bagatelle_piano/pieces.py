"""Pieces: a passage, a run-through, reading at sight, the voices of a chorale."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

from bagatelle.contract import Material, Message, PlainTiming, Unit, Value

from bagatelle_piano.manner import (
    Settings,
    bar_timing,
    counted,
    manner,
    passes_said,
    tempo,
    time_said,
)

VOICES: Final = ("soprano", "alto", "tenor", "bass")
_PASSAGE_DEFAULTS: Final[dict[str, Any]] = {"beats_per_bar": 4, "beat": "crotchet", "bpm": 60, "passes": 3}
_SECONDS_A_MINUTE: Final = 60


def passage(settings: Settings) -> Material:
    """One unit a passage, in the order in which they are given; their ids are the client's.

    :raises ValueError: where two passages have the same id, or one is longer than ten minutes.
    """
    passages = [_PASSAGE_DEFAULTS | each for each in settings["passages"]]
    ids = [each["id"] for each in passages]
    twice = sorted({each for each in ids if ids.count(each) > 1})
    if twice:
        raise ValueError(f"Each passage needs an id of its own; given more than once: {', '.join(twice)}.")
    units = tuple(_passage_unit(each, settings) for each in passages)
    said: dict[str, Value] = {"piece": _piece(settings), **_tempos(passages), **_passes(passages)}
    return Material(units=units, parameters=manner(settings) | said)


def _passage_unit(given: Mapping[str, Any], settings: Settings) -> Unit:
    try:
        timing = bar_timing({**settings, **given}, given["bars"], given["beats_per_bar"])
    except ValueError as reason:
        raise ValueError(f"Passage {given['id']}: {reason}") from reason
    detail = Message(
        "piano.passage.detail",
        {"tempo": tempo(given["beat"], timing.bpm), "passes": counted("passes", timing.passes)},
    )
    return Unit(id=given["id"], label=_passage_label(given), timing=timing, detail=detail)


def _passage_label(given: Mapping[str, Any]) -> Message:
    if "label" in given:
        return Message("piano.passage.labelled", {"label": given["label"]})
    return Message(
        "piano.passage.marked", {"count": int(given["bars"]), "bars": counted("bars", given["bars"])}
    )


def _piece(settings: Settings) -> Value:
    title: str = settings["piece"]
    return title or Message("piano.piece-on-the-stand")


def _tempos(passages: Sequence[Mapping[str, Any]]) -> dict[str, Value]:
    """The tempo where all passages have one, else where it is to be found."""
    tempos = {(each["beat"], int(each["bpm"])) for each in passages}
    if len(tempos) == 1:
        said = tempo(*tempos.pop())
        return {"tempo": said, "tempo_each": said}
    return {"tempo": Message("piano.passage.tempo"), "tempo_each": Message("piano.passage.tempo-each")}


def _passes(passages: Sequence[Mapping[str, Any]]) -> dict[str, Value]:
    """How many passes, of one passage and of several; if they vary, where to find them."""
    counts = [int(each["passes"]) for each in passages]
    most = max(counts)
    said = passes_said(most)
    if min(counts) == most:
        plural: dict[str, Value] = {"count": most, "passes": said["passes"]}
        said["passes_here"] = Message("piano.passage.passes", plural)
        said["passes_each"] = Message("piano.passage.passes-each", plural)
    else:
        said["passes_here"] = Message("piano.passage.passes-vary")
        said["passes_each"] = Message("piano.passage.passes-vary-each")
    return said


def run_through(settings: Settings) -> Material:
    """One unit: the piece from beginning to end, as long as it lasts."""
    seconds = round(settings["minutes"] * _SECONDS_A_MINUTE)
    unit = Unit(id="whole", label=_piece_label(settings), timing=PlainTiming(seconds=seconds))
    return Material(units=(unit,), parameters={"speed": _speed(settings)})


def _speed(settings: Settings) -> Message:
    bpm = settings["bpm"]
    return Message("piano.run-through.speed") if bpm is None else tempo(settings["beat"], bpm)


def _piece_label(settings: Settings) -> Message:
    title: str = settings["piece"]
    return Message("piano.piece-titled", {"title": title}) if title else Message("piano.piece-in-hand")


def sight_reading(settings: Settings) -> Material:
    """One unit a piece read (`piece-1`), with the time to look it through first."""
    units = tuple(
        Unit(
            id=f"piece-{number}",
            label=Message("piano.unread-piece", {"number": number}),
            timing=bar_timing({**settings, "passes": 1}, settings["bars"], settings["beats_per_bar"]),
        )
        for number in range(1, int(settings["pieces"]) + 1)
    )
    said: dict[str, Value] = {
        "bars": counted("bars", settings["bars"]),
        "look": time_said(int(settings["pause_seconds"])),
    }
    return Material(units=units, parameters=manner(settings) | said)


def chorale(settings: Settings) -> Material:
    """One unit a voice that is brought out (`soprano`), from the top down."""
    units = tuple(
        Unit(
            id=voice,
            label=Message(f"piano.voice.{voice}"),
            timing=bar_timing(settings, settings["bars"], settings["beats_per_bar"]),
        )
        for voice in VOICES
        if voice in settings["voices"]
    )
    said: dict[str, Value] = {"title": _chorale(settings), "bars": counted("bars", settings["bars"])}
    return Material(units=units, parameters=manner(settings) | said)


def _chorale(settings: Settings) -> Value:
    title: str = settings["chorale"]
    return title or Message("piano.chorale-in-hand")
