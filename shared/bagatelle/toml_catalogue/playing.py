"""Whether each value that an exercise makes units of can be played at all, with some settings or others."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import islice, product
from typing import Any, Final

from bagatelle.catalogue.pitch_range import PitchRange
from bagatelle.pitches import pitch_name
from bagatelle.toml_catalogue.choices import Choice
from bagatelle.toml_catalogue.settings import ChoiceSetting, EachValue, Setting, WholeSetting
from bagatelle.toml_catalogue.unit_bounds import UnitError
from bagatelle.toml_catalogue.units import UnitRule

_TRIED: Final = 256
"""At most so many settings are tried for a value that cannot be played with the defaults."""


class Player:
    """Tries the units of one exercise."""

    def __init__(self, rule: UnitRule, defaults: Mapping[str, Any], reach: PitchRange) -> None:
        """Look at what the units differ in.

        :param defaults: a value for every setting.
        :param reach: of the instrument.
        """
        self._rule = rule
        self._defaults = defaults
        self._reach = reach
        # What is the same for all units is found out with the defaults.
        self._timed = "each" in rule.length_names
        self._pitched = "each" in rule.pitch_names

    def unplayable(self) -> Iterator[tuple[ChoiceSetting, Choice, str]]:
        """Go through the values of the list that units are made of: which can never be played, and why."""
        setting = self._rule.settings.get(self._rule.each or "")
        if not isinstance(setting, ChoiceSetting) or not (self._timed or self._pitched):
            return
        one = setting.one()
        for choice in setting.choices.choices.values():
            error = self._never_played(EachValue(choice.name, one, choice.name))
            if error is not None:
                yield setting, choice, f"{choice.name!r} as a unit {error}"

    def _never_played(self, value: EachValue) -> UnitError | None:
        """Say why a value can be played with no settings; None where it can, or where nobody can say."""
        first = self._error(value, self._defaults)
        if first is None:
            return None
        others = list(islice(self._other_settings(), _TRIED + 1))
        if len(others) > _TRIED:
            return None
        for given in others:
            error = self._error(value, given)
            # Too long with some and too short with others: between them it may be right.
            if error is None or error.kind != first.kind:
                return None
        return first

    def _other_settings(self) -> Iterator[Mapping[str, Any]]:
        """Settings at their ends, those that the length and the pitches hang on."""
        settings = self._rule.settings
        names = sorted((self._rule.length_names | self._rule.pitch_names) & settings.keys())
        ends = (_ends(settings[name], self._defaults[name]) for name in names)
        for values in product(*ends):
            yield {**self._defaults, **dict(zip(names, values, strict=True))}

    def _error(self, value: EachValue, given: Mapping[str, Any]) -> UnitError | None:
        """Say why a value cannot be played: pitches first, as on these hang the fewest settings."""
        try:
            if self._pitched:
                _check_reach(*self._rule.pitches(given, value), self._reach)
            if self._timed:
                self._rule.timing(given, value)
        except UnitError as error:
            return error
        return None


def _ends(setting: Setting, default: Any) -> Sequence[Any]:
    if setting.is_list:
        return (default,)
    if isinstance(setting, WholeSetting):
        return (setting.least, setting.greatest)
    return tuple(setting.choices.choices) if isinstance(setting, ChoiceSetting) else (default,)


def _check_reach(low: int | None, high: int | None, reach: PitchRange) -> None:
    if low is not None and reach.lowest is not None and low < reach.lowest:
        accepted = f"from {pitch_name(reach.lowest)}, the instrument's lowest"
        raise UnitError("low", f"goes down to {pitch_name(low)}", accepted)
    if high is not None and reach.highest is not None and high > reach.highest:
        accepted = f"to {pitch_name(reach.highest)}, the instrument's highest"
        raise UnitError("high", f"goes up to {pitch_name(high)}", accepted)
