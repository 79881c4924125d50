"""Find what leads nowhere in an exercise's texts and expressions, and parse what leads somewhere."""

from collections.abc import Callable, Iterable, Mapping
from typing import Final

from bagatelle.catalogue.text_rules import ENGINE_PARAMETERS
from bagatelle.model.exercise import Template
from bagatelle.model.vocabulary import Loudness
from bagatelle.toml_catalogue.expression import ExpressionError, Sum, parsed
from bagatelle.toml_catalogue.form import Expression, UnitsEntry
from bagatelle.toml_catalogue.placeholders import TERMS, PlaceholderError, names_in
from bagatelle.toml_catalogue.settings import ChoiceSetting, Setting
from bagatelle.toml_catalogue.units import By, Placeholder, UnitRule

Report = Callable[[str, str], None]
"""Takes where in the exercise, as the rest of a JSON Pointer, and what is wrong there."""
_LOUDNESS: Final[Mapping[str, Loudness]] = {
    "silent": "silent",
    "soft": "soft",
    "moderate": "moderate",
    "loud": "loud",
}


class ExerciseReader:
    """Knows the settings of one exercise, and so what its texts and expressions may name."""

    def __init__(self, settings: Mapping[str, Setting], units: UnitsEntry, report: Report) -> None:
        self._settings = settings
        self._units = units
        self._report = report
        self._each = self._each_setting()

    def rule(self, identifier: str, in_texts: tuple[Placeholder, ...]) -> UnitRule | None:
        """Return what makes the units; None where anything is wrong, which is reported.

        :param identifier: the exercise's id.
        :param in_texts: the placeholders of its texts.
        """
        units = self._units
        by = self._by()
        if units.each is None and units.label is None:
            self._report("/units/label", "is missing, and a single unit has no other (accepted: a text)")
        loudness = self._loudness()
        length = self._sum("units", by, getattr(units, by)) if by else None
        per_beat_field = "notes_per_beat" if by == "notes" else "beats_per_bar"
        per_beat = self._sum("units", per_beat_field, getattr(units, per_beat_field))
        passes = self._sum("units", "passes", units.passes)
        pause = self._sum("units", "pause_seconds", units.pause_seconds, also=("played",))
        bpm, lowest, highest = (
            None if given is None else self._sum("units", field, given)
            for field, given in (("bpm", units.bpm), ("lowest", units.lowest), ("highest", units.highest))
        )
        label = None if units.label is None else self.placeholders("/units/label", units.label, in_units=True)
        detail = (
            None if units.detail is None else self.placeholders("/units/detail", units.detail, in_units=True)
        )
        if by is None or length is None or per_beat is None or passes is None or pause is None:
            return None
        return UnitRule(
            exercise=identifier,
            settings=self._settings,
            each=units.each,
            by=by,
            length=length,
            per_beat=per_beat,
            bpm=bpm,
            passes=passes,
            pause_seconds=pause,
            lowest=lowest,
            highest=highest,
            label=label,
            detail=detail,
            loudness_from=units.loudness_from,
            loudness=loudness,
            in_texts=in_texts,
        )

    def placeholders(
        self, place: str, template: Template, *, in_units: bool = False, says_units: bool = True
    ) -> tuple[Placeholder, ...]:
        """Return the placeholders of a text that are not the engine's; wrong ones are reported.

        :param in_units: whether it is a text of one unit, which may name `each`.
        :param says_units: whether the engine's own may stand in it.
        """
        try:
            names = sorted(names_in(template), key=str)
        except PlaceholderError as error:
            self._report(place, str(error))
            return ()
        found = []
        for name, more in names:
            if more is None and name in ENGINE_PARAMETERS:
                if in_units or not says_units:
                    self._report(place, f"{{{name}}} is of a dose, and no dose is known here")
                continue
            reason = self._placeholder_fault(name, more, in_units=in_units)
            if reason is None:
                found.append((name, more))
            else:
                self._report(place, reason)
        return tuple(found)

    def _placeholder_fault(self, name: str, more: str | None, *, in_units: bool) -> str | None:
        shown = f"{{{name}{'' if more is None else f'.{more}'}}}"
        if name == "term":
            return None if more in TERMS else f"{shown} is no term (accepted: {', '.join(TERMS)})"
        if name == "each" and in_units and self._each is not None:
            setting = self._each
        elif name in self._settings:
            setting = self._settings[name]
        else:
            names = ", ".join(sorted((*self._settings, *ENGINE_PARAMETERS, *(("each",) if in_units else ()))))
            return f"{shown} names nothing (accepted: {names}, term.…)"
        return self._column_fault(shown, more, setting.columns(in_text=True))

    @staticmethod
    def _column_fault(shown: str, more: str | None, columns: frozenset[str | None]) -> str | None:
        if more in columns:
            return None
        after = ", ".join(sorted(each for each in columns if each is not None)) or "nothing"
        alone = ", or nothing" if None in columns else ""
        return f"{shown} leads nowhere (accepted after its name: {after}{alone})"

    def _by(self) -> By | None:
        units = self._units
        given: list[By] = [by for by in _BY if getattr(units, by) is not None]
        if len(given) != 1:
            said = ", ".join(given) or "none"
            self._report("/units", f"has {said} of notes, bars and seconds (accepted: one of them)")
            return None
        by = given[0]
        if (by == "seconds") != (units.bpm is None):
            self._report("/units/bpm", "goes with notes and bars, which need it, and not with seconds")
            return None
        return by

    def _each_setting(self) -> Setting | None:
        name = self._units.each
        if name is None:
            return None
        if name not in self._settings:
            names = ", ".join(sorted(self._settings)) or "none is given"
            self._report("/units/each", f"there is no setting {name!r} (accepted: {names})")
            return None
        values = self._settings[name].each(self._sample(name))
        return values[0].setting

    def _sample(self, name: str) -> list[object]:
        setting = self._settings[name]
        return list(setting.choices.choices) if isinstance(setting, ChoiceSetting) else [1]

    def _sum(self, table: str, field: str, given: Expression, also: Iterable[str] = ()) -> Sum | None:
        place = f"/{table}/{field}"
        try:
            found = parsed(given)
        except ExpressionError as error:
            self._report(place, str(error))
            return None
        reasons = [reason for name in sorted(found.names - set(also)) if (reason := self._number_fault(name))]
        for reason in reasons:
            self._report(place, reason)
        return None if reasons else found

    def _number_fault(self, name: str) -> str | None:
        first, _, column = name.partition(".")
        setting = self._each if first == "each" else self._settings.get(first)
        if setting is None:
            names = ", ".join(sorted((*self._settings, *(("each",) if self._each else ()))))
            return f"{name!r} names nothing (accepted: {names or 'numbers alone'})"
        columns = setting.columns(in_text=False)
        if not columns:
            return f"{name!r} is no number, and no column of it is"
        return self._column_fault(repr(name), column or None, columns)

    def _loudness(self) -> dict[str, Loudness]:
        name = self._units.loudness_from
        if name is None:
            return {}
        setting = self._settings.get(name)
        if not isinstance(setting, ChoiceSetting) or setting.is_list:
            self._report("/units/loudness_from", f"{name!r} is no setting of one choice")
            return {}
        found = {
            choice.name: _LOUDNESS[str(choice.columns.get("loudness"))]
            for choice in setting.choices.choices.values()
            if choice.columns.get("loudness") in _LOUDNESS
        }
        if len(found) < len(setting.choices.choices):
            words = ", ".join(_LOUDNESS)
            self._report(
                "/units/loudness_from",
                f"not every value of {name!r} has a column `loudness` (accepted: {words})",
            )
        return found


_BY: Final[tuple[By, ...]] = ("notes", "bars", "seconds")
