"""The hooks of an instrument plugin, in the order in which the host calls them.

A plugin is a distribution with an entry point of the group `bagatelle.instruments`. The entry point names a
module or an object whose functions are marked with `hookimpl`. All hooks are synchronous and pure: same
arguments, same answer; no clock, no network, no randomness, no file written. An implementation may take
fewer arguments than its specification, so that an argument added later breaks nobody.
"""

from collections.abc import Mapping
from typing import Any, Final

import pluggy

from bagatelle.model.exercise import Instrument, Material, Texts

PROJECT: Final = "bagatelle"
ENTRY_POINT_GROUP: Final = "bagatelle.instruments"
CONTRACT_VERSION: Final = 2

hookspec = pluggy.HookspecMarker(PROJECT)
hookimpl = pluggy.HookimplMarker(PROJECT)


class InstrumentHooks:
    """The specifications. A plugin implements all four."""

    # At load, once ------------------------------------------------------------------------------------

    @hookspec
    def bagatelle_contract(self) -> int:  # type: ignore[empty-body]
        """Say which version of this contract the plugin was written for.

        Called once, at load, before any other hook. Every plugin is asked on its own.

        :returns: the contract version. The host takes its own and the one before.
        """

    @hookspec
    def bagatelle_instruments(self) -> tuple[Instrument, ...]:  # type: ignore[empty-body]
        """Hand over the plugin's instruments with all their exercises, as data.

        Called once, at load. Every plugin is asked on its own. The answer is validated whole and frozen;
        a plugin with a single wrong entry is left out, with every fault named.

        :returns: at least one instrument. Exercise ids are `instrument.name`, never reused.
        """

    @hookspec
    def bagatelle_texts(self) -> tuple[Texts, ...]:  # type: ignore[empty-body]
        """Hand over the plugin's texts, one entry a locale, `en` among them.

        Called once, at load. Every plugin is asked on its own. A variant such as `en-US` holds only what
        differs from its language. Message ids begin with one of the plugin's instrument ids and a dot.

        :returns: the texts of every locale that the plugin speaks.
        """

    # At request time ----------------------------------------------------------------------------------

    @hookspec
    def bagatelle_material(self, exercise: str, settings: Mapping[str, Any]) -> Material:  # type: ignore[empty-body]
        """Turn an exercise's settings into its units, in the exercise's own order.

        Called for each catalogue task of a request, and at load with the defaults of every exercise. Only
        the plugin that owns the exercise is asked.

        :param exercise: the id of one of this plugin's exercises.
        :param settings: every setting of it: the request's, completed by the defaults, already found valid
            against the exercise's JSON Schema. Not to be changed.
        :returns: at least one unit, ids unique, and the parameters that the exercise's texts name.
        :raises ValueError: where settings are valid one by one and yet do not go together; the message is
            shown to the person who sent them, so it says what would be accepted.
        """
