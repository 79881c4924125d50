"""The process in which a plugin is imported and asked: a question on standard input, an outcome on standard output.

What the plugin itself prints goes to standard error.
"""

import faulthandler
import os
import signal
import sys
import time
from contextlib import AbstractContextManager, nullcontext
from importlib import metadata
from pathlib import Path
from typing import Any

import msgspec
from msgspec import Struct

from bagatelle.catalogue.answers import data_hash
from bagatelle.catalogue.faults import Fault, RefusedError
from bagatelle.catalogue.loading import Distribution, PlacesFaults, load_plugin
from bagatelle.catalogue.plugin import LoadedPlugin
from bagatelle.catalogue.validation import answers_of
from bagatelle.contract import ENTRY_POINT_GROUP
from bagatelle.kit.announcing import AnnouncedPlugin, RaisedAt, Step, Tell
from bagatelle.kit.checks import Outcome
from bagatelle.kit.exercise_rules import default_faults, source_faults, strain_faults
from bagatelle.kit.imported import import_faults
from bagatelle.kit.own_files import OwnFiles
from bagatelle.kit.said import name_faults
from bagatelle.kit.schema_bounds import schema_faults
from bagatelle.kit.subject import Subject, places_of
from bagatelle.kit.trying import Trying
from bagatelle.kit.watching import Watch, Watching
from bagatelle.toml_catalogue import CatalogueFile
from bagatelle.wording.render import Wording, engine_texts


class Question(Struct, frozen=True, kw_only=True):
    """What is asked of the process."""

    subject: Subject
    watched: bool
    """Whether to watch what the plugin does; that makes it slower, so its import is then not measured."""
    only_import: bool = False
    backwards: bool = False
    """Whether to try exercises and settings in the reverse order, so that what hangs on earlier ones shows."""


class MeasuredPoint:
    """The subject's entry point; importing it is measured or watched."""

    def __init__(self, subject: Subject, tell: Tell, watching: Watching, raised_at: RaisedAt) -> None:
        self.name = subject.name
        self.dist: Distribution | None = None
        self.seconds: float | None = None
        self.plugin: object = None
        self._subject = subject
        self._tell = tell
        self._watching = watching
        self._raised_at = raised_at

    def load(self) -> Any:
        """Import what it names. Counts what this process reckons itself, so that other work does not disturb."""
        self._tell(Step("import"))
        start = time.process_time()
        try:
            with self._watching("import"):
                plugin = self._loaded()
        except BaseException as error:
            self._raised_at.note("import", error)
            raise
        self.seconds = time.process_time() - start
        try:
            announced = AnnouncedPlugin(plugin, self._tell, self._watching, self._raised_at)
        except Exception:  # whatever it is, the host will find it too, and say it
            return plugin
        self.plugin = plugin
        return announced

    def _loaded(self) -> Any:
        subject = self._subject
        if subject.catalogue is not None:
            return CatalogueFile(Path(subject.catalogue)).load()
        return metadata.EntryPoint(subject.name, subject.value, ENTRY_POINT_GROUP).load()


def answer(question: Question, tell: Tell) -> Outcome:
    """Import, load and try a plugin.

    :param tell: is told of each step before it is taken.
    """
    subject = question.subject
    sys.path[:0] = subject.paths
    own_files = OwnFiles(places_of(subject))
    watch = Watch(own_files) if question.watched else None
    watching: Watching = watch.watching if watch else _unwatched
    raised_at = RaisedAt(own_files)
    point = MeasuredPoint(subject, tell, watching, raised_at)
    outcome = Outcome()
    try:
        if question.only_import:
            point.load()
        else:
            plugin = load_plugin(point)
            outcome.add("imports", import_faults(places_of(subject)))
            _try_all(plugin, Trying(tell, raised_at, backwards=question.backwards), outcome)
    except RefusedError as error:
        outcome.add("loading", [raised_at.placed(fault) for fault in error.faults])
    _place(point.plugin, outcome)
    outcome.import_seconds = point.seconds
    if watch:
        outcome.add("purity", watch.faults)
    return outcome


def _try_all(plugin: LoadedPlugin, trying: Trying, outcome: Outcome) -> None:
    wording = Wording((*engine_texts(), *plugin.texts))
    outcome.locales = sorted({entry.locale for entry in plugin.texts})
    outcome.answers["bagatelle_instruments and bagatelle_texts"] = plugin.hash
    again = answers_of(plugin.hooks)
    outcome.loaded = True
    if data_hash(again.instruments, again.texts) != plugin.hash:
        reason = "two calls gave two answers"
        outcome.add("repeatability", [Fault("bagatelle_instruments and bagatelle_texts", reason)])
    for instrument in plugin.instruments:
        outcome.instruments.append(instrument.id)
        outcome.add("wording", name_faults(instrument, wording))
    exercises = [exercise for instrument in plugin.instruments for exercise in instrument.exercises]
    outcome.exercises = [exercise.id for exercise in exercises]
    for exercise in reversed(exercises) if trying.backwards else exercises:
        outcome.add("schemas", schema_faults(exercise))
        outcome.add("strain", strain_faults(exercise))
        outcome.add("sources", source_faults(exercise))
        trial = trying.exercise(exercise, plugin, wording)
        for check, faults in trial.faults.items():
            outcome.add(check, faults)
        if trial.material is not None:
            outcome.add("defaults", default_faults(exercise, trial.material, wording))
        outcome.answers[exercise.id] = trial.digest
        outcome.settings_tried += trial.settings_tried


def _place(plugin: object, outcome: Outcome) -> None:
    """Say where things stand, where a plugin is made of files that could be read."""
    if not isinstance(plugin, PlacesFaults):
        return
    for check, faults in outcome.faults.items():
        outcome.faults[check] = [plugin.placed_fault(fault) for fault in faults]
    for identifier in (*outcome.instruments, *outcome.exercises):
        outcome.places[identifier] = plugin.placed_fault(Fault(identifier, "")).item


def _unwatched(_: str) -> AbstractContextManager[None]:
    return nullcontext()


def main() -> None:
    """Answer one question."""
    faulthandler.enable()
    if os.name == "posix":
        faulthandler.register(signal.SIGUSR1)  # whoever waits too long asks so where it stands
    question = msgspec.json.decode(sys.stdin.buffer.read(), type=Question)
    out = os.dup(sys.stdout.fileno())
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())

    def tell(news: Step | Outcome) -> None:
        os.write(out, msgspec.json.encode(news) + b"\n")

    tell(answer(question, tell))
