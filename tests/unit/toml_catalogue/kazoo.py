"""A small catalogue, and how to read one from a text."""

from typing import Final

from bagatelle import Instruments
from bagatelle.catalogue.loading import load_instruments
from bagatelle.toml_catalogue import Catalogue, CatalogueFileError, CataloguePlugin, read_part

KAZOO: Final = """\
form = 1

[instrument]
id = "kazoo"
family = "wind"
name = "kazoo"
lowest = "C4"
highest = "C6"
sounds_semitones = -12

[[instrument.strings]]
name = "a rubber band"
pitch = "A4"

[sources.habit]
fact = "tempi"
source = "teachers' habit"
status = "common practice, no source"

[cautions]
dizzy = "Stop when it makes you dizzy."

[[choices.key]]
name = "c-major"
label = "C major"
start = "C4"
hint = "no sharps, in {term.quavers}"

[[choices.key]]
name = "g-major"
label = "G major"
start = "G4"
hint = "one sharp"

[[choices.place]]
name = "room"
label = "in a room"
loudness = "moderate"

[[choices.place]]
name = "hall"
label = "in a hall"
loudness = "loud"

[[exercise]]
name = "scales"
title = "Scales"
also_called = ["runs", "ladders"]
area = "technique"
level = "beginner"
concreteness = "exact"
divisibility = "fine"
strain = "high"
daily_cap_seconds = 600
cautions = ["dizzy", "lip"]
loudness = "moderate"
usual_minutes = 5
smallest_chunk_seconds = 30
set_up_seconds = 0
sources = ["habit"]
what = "Scales of {octaves.words}: {units}"
how = "{place}, {bpm.crotchet}, in {term.quavers}"
how_much = { by = "unit_count", one = "{passes.times}", other = "each {passes.times}" }
done_when = "all {unit_count_in_words} are done"

[exercise.soft]
strain = "none"
loudness = "silent"
needs_instrument = false
what = "Scales heard inwardly: {units}"
how = "in the head"

[exercise.settings.keys]
about = "Keys."
of = "key"
most = 2
default = ["g-major", "c-major"]

[exercise.settings.octaves]
about = "Octaves."
whole = [1, 3]
default = 1

[exercise.settings.passes]
about = "Times."
whole = [1, 8]
default = 2

[exercise.settings.bpm]
about = "Crotchets a minute."
whole = [40, 160]
default = 80

[exercise.settings.place]
about = "Where."
of = "place"
default = "room"

[exercise.units]
each = "keys"
detail = "{each.hint}"
notes = "14 * octaves + 1"
notes_per_beat = 2
bpm = "bpm"
passes = "passes"
pause_seconds = "played"
lowest = "each.start"
highest = "each.start + 12 * octaves"
loudness_from = "place"

[[exercise]]
name = "tune"
title = "A tune"
area = "repertoire"
level = "beginner"
concreteness = "guided"
divisibility = "whole"
strain = "low"
loudness = "moderate"
usual_minutes = 3
smallest_chunk_seconds = 30
set_up_seconds = 0
sources = ["habit"]
what = "{piece}"
how = "by ear"
how_much = "{passes.times}"
done_when = "it ends where it began"

[exercise.settings.piece]
about = "Which."
words = 80
default = "a tune you know"

[exercise.settings.passes]
about = "Times."
whole = [1, 4]
default = 1

[exercise.units]
label = "{piece}"
seconds = 40
passes = "passes"

[[proposal]]
area = "tone"
label = "one long note"
manner = "steady"
done_when = "the breath ends"
seconds = 20

[texts.en-US]
"tune.done_when" = "it ends where it started"
"""


def catalogue(text: str, *more: str) -> Catalogue:
    """Read a catalogue from texts, called kazoo.toml and more-1.toml and so on."""
    names = ["kazoo.toml", *(f"more-{position}.toml" for position in range(1, len(more) + 1))]
    return Catalogue(
        [read_part(name, each.encode()) for name, each in zip(names, (text, *more), strict=True)]
    )


def faults_of(text: str, *more: str) -> list[str]:
    """All that is said against texts."""
    try:
        catalogue(text, *more)
    except CatalogueFileError as error:
        return [f"{fault.file}:{fault.line}: {fault.reason}" for fault in error.file_faults]
    return []


class TextPlugin(CataloguePlugin):
    """A plugin whose catalogue is a text."""

    def __init__(self, text: str) -> None:
        super().__init__("nowhere")
        self._text = text

    def catalogue(self) -> Catalogue:
        return catalogue(self._text)


class _Point:
    name = "kazoo"
    dist = None

    def __init__(self, text: str) -> None:
        self._text = text

    def load(self) -> object:
        return TextPlugin(self._text)


def loaded(text: str = KAZOO) -> Instruments:
    """Load a text as the one plugin there is."""
    return load_instruments(entry_points=[_Point(text)])
