"""The process in which a plugin is imported and asked: a question on standard input, an outcome on standard output.

What the plugin itself prints goes to standard error.
"""

import importlib.util
import os
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
from bagatelle.kit.checks import Outcome
from bagatelle.kit.exercise_rules import default_faults, schema_faults, source_faults, strain_faults
from bagatelle.kit.imported import import_faults
from bagatelle.kit.said import name_faults
from bagatelle.kit.subject import Subject
from bagatelle.kit.trying import try_exercise
from bagatelle.kit.watching import Watch, Watching
from bagatelle.toml_catalogue import CatalogueFile
from bagatelle.wording.render import Wording, engine_texts


class Question(Struct, frozen=True, kw_only=True):
    """What is asked of the process."""

    subject: Subject
    watched: bool
    """Whether to watch what the plugin does; that makes it slower, so its import is then not measured."""
    only_import: bool = False


class MeasuredPoint:
    """The subject's entry point; importing it is measured or watched."""

    def __init__(self, subject: Subject, watching: Watching) -> None:
        self.name = subject.name
        self.dist: Distribution | None = None
        self.seconds: float | None = None
        self.plugin: object = None
        self._subject = subject
        self._watching = watching

    def load(self) -> Any:
        """Import what it names. Counts what this process reckons itself, so that other work does not disturb."""
        start = time.process_time()
        with self._watching("import"):
            self.plugin = self._loaded()
        self.seconds = time.process_time() - start
        return self.plugin

    def _loaded(self) -> Any:
        subject = self._subject
        if subject.catalogue is not None:
            return CatalogueFile(Path(subject.catalogue)).load()
        return metadata.EntryPoint(subject.name, subject.value, ENTRY_POINT_GROUP).load()


def answer(question: Question) -> Outcome:
    """Import, load and try a plugin."""
    subject = question.subject
    sys.path[:0] = subject.paths
    watch = Watch(_package(subject)) if question.watched else None
    watching: Watching = watch.watching if watch else _unwatched
    point = MeasuredPoint(subject, watching)
    outcome = Outcome()
    try:
        if question.only_import:
            point.load()
        else:
            with watching("hooks at load"):
                plugin = load_plugin(point)
            outcome.add("imports", import_faults(_package(subject)))
            _try_all(plugin, watching, outcome)
    except RefusedError as error:
        outcome.add("loading", error.faults)
    else:
        _place(point.plugin, outcome)
    outcome.import_seconds = point.seconds
    if watch:
        outcome.add("purity", watch.faults)
    return outcome


def _try_all(plugin: LoadedPlugin, watching: Watching, outcome: Outcome) -> None:
    wording = Wording((*engine_texts(), *plugin.texts))
    outcome.locales = sorted({entry.locale for entry in plugin.texts})
    outcome.answers["bagatelle_instruments and bagatelle_texts"] = plugin.hash
    with watching("hooks at load"):
        again = answers_of(plugin.hooks)
    outcome.loaded = True
    if data_hash(again.instruments, again.texts) != plugin.hash:
        reason = "two calls gave two answers"
        outcome.add("repeatability", [Fault("bagatelle_instruments and bagatelle_texts", reason)])
    for instrument in plugin.instruments:
        outcome.instruments.append(instrument.id)
        outcome.add("wording", name_faults(instrument, wording))
        for exercise in instrument.exercises:
            outcome.exercises.append(exercise.id)
            outcome.add("schemas", schema_faults(exercise))
            outcome.add("strain", strain_faults(exercise))
            outcome.add("sources", source_faults(exercise))
            trial = try_exercise(exercise, plugin, wording, watching)
            for check, faults in trial.faults.items():
                outcome.add(check, faults)
            if trial.material is not None:
                outcome.add("defaults", default_faults(exercise, trial.material, wording))
            outcome.answers[exercise.id] = trial.digest
            outcome.settings_tried += trial.settings_tried


def _place(plugin: object, outcome: Outcome) -> None:
    """Say where things stand, where a plugin that was loaded is made of files."""
    if not isinstance(plugin, PlacesFaults):
        return
    for check, faults in outcome.faults.items():
        outcome.faults[check] = [plugin.placed_fault(fault) for fault in faults]
    for identifier in (*outcome.instruments, *outcome.exercises):
        outcome.places[identifier] = plugin.placed_fault(Fault(identifier, "")).item


def _unwatched(_: str) -> AbstractContextManager[None]:
    return nullcontext()


def _package(subject: Subject) -> tuple[Path, ...]:
    """The folder of the package that the entry point names, or the file of its one module."""
    if subject.catalogue is not None:
        return ()
    top = subject.value.partition(":")[0].partition(".")[0].strip()
    spec = importlib.util.find_spec(top)
    if spec is None:
        return ()
    places = spec.submodule_search_locations or [spec.origin or top]
    return tuple(map(Path, places))


def main() -> None:
    """Answer one question."""
    question = msgspec.json.decode(sys.stdin.buffer.read(), type=Question)
    out = os.dup(sys.stdout.fileno())
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())
    outcome = answer(question)
    with os.fdopen(out, "wb") as stream:
        stream.write(msgspec.json.encode(outcome))


if __name__ == "__main__":
    main()
