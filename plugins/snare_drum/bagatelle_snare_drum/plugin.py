"""The hooks of the snare drum plugin: exercises that are made by code, and those that stand in TOML."""

from collections.abc import Callable, Mapping
from typing import Any, Final

from bagatelle.contract import Instrument, Material, Texts, hookimpl
from bagatelle.toml_catalogue import CatalogueBesideCode, CataloguePlugin

from bagatelle_snare_drum import catalogue
from bagatelle_snare_drum.exercises import control, music, rhythm, rudiments

WRITTEN_FOR_CONTRACT: Final = 1

IN_TOML: Final = CatalogueBesideCode(CataloguePlugin("bagatelle_snare_drum", *catalogue.FILES))

MATERIAL: Final[Mapping[str, Callable[[Mapping[str, Any]], Material]]] = {
    "snare-drum.warm-up": control.warm_up,
    "snare-drum.single-strokes": control.single_strokes,
    "snare-drum.rolls": rudiments.family,
    "snare-drum.diddles": rudiments.family,
    "snare-drum.flams": rudiments.family,
    "snare-drum.drags": rudiments.family,
    "snare-drum.open-closed-open": rudiments.open_closed_open,
    "snare-drum.rolls-by-length": rudiments.rolls_by_length,
    "snare-drum.paradiddle-chain": rudiments.paradiddle_chain,
    "snare-drum.accents": control.accents,
    "snare-drum.buzz-roll": control.buzz_roll,
    "snare-drum.dynamics": control.dynamics,
    "snare-drum.fast-singles": control.fast_singles,
    "snare-drum.metre": rhythm.metre,
    "snare-drum.subdivision": rhythm.subdivision,
    "snare-drum.sight-reading": music.sight_reading,
    "snare-drum.passage": music.passage,
    "snare-drum.improvisation": music.improvisation,
}


@hookimpl
def bagatelle_contract() -> int:
    """Say which version of the contract this plugin was written for."""
    return WRITTEN_FOR_CONTRACT


@hookimpl
def bagatelle_instruments() -> tuple[Instrument, ...]:
    """Hand over the snare drum."""
    return (IN_TOML.instrument(catalogue.instrument()),)


@hookimpl
def bagatelle_texts() -> tuple[Texts, ...]:
    """Hand over the texts in British and American English."""
    return IN_TOML.texts(catalogue.texts())


@hookimpl
def bagatelle_material(exercise: str, settings: Mapping[str, Any]) -> Material:
    """Turn settings into units.

    :raises ValueError: where settings do not go together; the message says what would be accepted.
    """
    return IN_TOML.material(exercise, settings, MATERIAL)
