"""The hooks: what the entry point hands to the host."""

from collections.abc import Callable, Mapping
from typing import Any, Final

import msgspec
from bagatelle.contract import Instrument, Material, Texts, hookimpl
from bagatelle.toml_catalogue import CatalogueBesideCode, CataloguePlugin

from bagatelle_piano import cadences, chords, finger_work, musicianship, pieces, scales
from bagatelle_piano.loading import load_instrument, load_texts
from bagatelle_piano.manner import Settings

IN_TOML: Final = CatalogueBesideCode(
    CataloguePlugin("bagatelle_piano", "piano.toml", "technique.toml", "harmony.toml", "music.toml")
)

MATERIAL: Final[Mapping[str, Callable[[Settings], Material]]] = {
    "piano.arpeggio": chords.arpeggios,
    "piano.broken-chord": chords.broken_chords,
    "piano.cadence": cadences.cadences,
    "piano.chorale": pieces.chorale,
    "piano.chromatic-scale": scales.chromatic_scales,
    "piano.contrary-motion-scale": scales.contrary_motion_scales,
    "piano.cross-rhythm": musicianship.cross_rhythms,
    "piano.double-thirds": finger_work.double_thirds,
    "piano.five-finger": finger_work.five_finger_patterns,
    "piano.ground-improvisation": musicianship.ground_improvisation,
    "piano.interval-singing": musicianship.interval_singing,
    "piano.key-signatures": musicianship.key_signatures,
    "piano.major-scale": scales.major_scales,
    "piano.minor-scale": scales.minor_scales,
    "piano.octaves": scales.octave_scales,
    "piano.passage": pieces.passage,
    "piano.repeated-notes": finger_work.repeated_notes,
    "piano.run-through": pieces.run_through,
    "piano.sight-reading": pieces.sight_reading,
    "piano.trill": finger_work.trills,
    "piano.warm-up": finger_work.warm_up,
}


@hookimpl
def bagatelle_contract() -> int:
    """Written for version 2 of the contract: units have pitches."""
    return 2


@hookimpl
def bagatelle_instruments() -> tuple[Instrument, ...]:
    """The piano: what code makes and what the data files say, in one, ordered by id."""
    piano = IN_TOML.instrument(load_instrument())
    in_order = sorted(piano.exercises, key=lambda exercise: exercise.id)
    return (msgspec.structs.replace(piano, exercises=tuple(in_order)),)


@hookimpl
def bagatelle_texts() -> tuple[Texts, ...]:
    """British English, and what American English says otherwise."""
    return IN_TOML.texts(load_texts())


@hookimpl
def bagatelle_material(exercise: str, settings: Mapping[str, Any]) -> Material:
    """Turn settings into units; `ValueError` where they do not go together."""
    return IN_TOML.material(exercise, settings, MATERIAL)
