"""What another locale says otherwise may name what the exercise's own texts may name."""

from bagatelle.model.text import Message
from bagatelle.toml_catalogue import Catalogue, read_part
from bagatelle.wording.render import Wording, engine_texts

FILE = b"""
form = 1

[instrument]
id = "whistle"
family = "wind"
name = "whistle"

[sources.habit]
fact = "one note"
source = "players"
status = "common practice, no source"

[[exercise]]
name = "one-note"
title = "One note"
area = "tone"
level = "beginner"
concreteness = "exact"
divisibility = "fine"
strain = "low"
loudness = "soft"
usual_minutes = 1
smallest_chunk_seconds = 10
set_up_seconds = 0
sources = ["habit"]
what = "One note, a semitone up"
how = "{bpm.crotchet}, {passes.times}"
how_much = "once"
done_when = "it ends"
settings.bpm = { about = "Crotchets a minute.", whole = [40, 80], default = 60 }
settings.passes = { about = "How often.", whole = [1, 8], default = 2 }
units = { label = "one note", bars = 4, bpm = "bpm", passes = "passes" }

[texts.en-US]
"one-note.what" = "One note, a half step up"
"one-note.how" = "{passes.times}, {bpm.crotchet}"
"""


def test_it_is_said_with_its_placeholders() -> None:
    catalogue = Catalogue([read_part("whistle.toml", FILE)])
    made = catalogue.material("whistle.one-note", {"bpm": 60, "passes": 2})
    wording = Wording((*engine_texts(), *catalogue.texts))
    how = Message("whistle.one-note.how", made.parameters)
    assert wording.render(how, "en") == "crotchet = 60, twice"
    assert wording.render(how, "en-US") == "twice, quarter note = 60"
