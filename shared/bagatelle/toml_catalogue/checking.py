"""Find what leads nowhere in an exercise's texts and expressions, and parse what leads somewhere."""

from collections.abc import Callable, Iterable, Mapping
from typing import Final

from bagatelle.accepted import shown as quoted
from bagatelle.catalogue.text_rules import ENGINE_PARAMETERS
from bagatelle.model.exercise import Template
from bagatelle.model.vocabulary import Loudness
from bagatelle.pitches import pitch_number
from bagatelle.toml_catalogue.choices import Choice
from bagatelle.toml_catalogue.expression import ExpressionError, Sum, parsed
from bagatelle.toml_catalogue.faults import Report
from bagatelle.toml_catalogue.form import Expression, UnitsEntry
from bagatelle.toml_catalogue.placeholders import TERMS, PlaceholderError, names_in
from bagatelle.toml_catalogue.settings import ChoiceSetting, Setting, WholeSetting, WordsSetting
from bagatelle.toml_catalogue.units import By, Placeholder, UnitRule

RowReport = Callable[[str, int, str, str], None]
"""Takes a list of choices, the position of a value and its column, and what is wrong there."""
_LOUDNESS: Final[Mapping[str, Loudness]] = {
    "silent": "silent",
    "soft": "soft",
    "moderate": "moderate",
    "loud": "loud",
}


class ExerciseReader:
    """Knows the settings of one exercise, and so what its texts and expressions may name."""

    def __init__(
        self, settings: Mapping[str, Setting], units: UnitsEntry, report: Report, report_row: RowReport
    ) -> None:
        self._settings = settings
        self._units = units
        self._report = report
        self._report_row = report_row
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
        self,
        place: str,
        template: Template,
        *,
        in_units: bool = False,
        says_units: bool = True,
        report: Report | None = None,
    ) -> tuple[Placeholder, ...]:
        """Return the placeholders of a text that are not the engine's; wrong ones are reported.

        :param in_units: whether it is a text of one unit, which may name `each`.
        :param says_units: whether the engine's own may stand in it.
        :param report: is told in place of the exercise's, where the text stands elsewhere.
        """
        tell = report or self._report
        try:
            names = sorted(names_in(template), key=str)
        except PlaceholderError as error:
            tell(place, str(error))
            return ()
        if isinstance(template, Mapping):
            self._check_plural(place, template, tell)
        found = []
        for name, more in names:
            if more is None and name in ENGINE_PARAMETERS:
                if in_units or not says_units:
                    tell(place, f"{{{name}}} is of a dose, and no dose is known here")
            elif self._leads_somewhere(place, name, more, tell, in_units=in_units):
                found.append((name, more))
        return tuple(found)

    def _check_plural(self, place: str, template: Mapping[str, str], tell: Report) -> None:
        for category in sorted(template.keys() - _PLURAL):
            tell(f"{place}/{category}", f"is no part of a plural (accepted: {', '.join(_PLURAL)})")
        for category in ("by", "other"):
            if category not in template:
                tell(f"{place}/{category}", "is missing, and a plural needs `by` and `other`")
        by = template.get("by")
        setting = self._settings.get(by or "")
        if by in _NUMBERLESS or (setting is not None and not _is_number(setting)):
            own = [name for name, each in self._settings.items() if _is_number(each)]
            numbers = ", ".join(sorted((*own, *(ENGINE_PARAMETERS - _NUMBERLESS))))
            tell(f"{place}/by", f"{by!r} is no number, so nothing tells one from many (accepted: {numbers})")

    def _leads_somewhere(
        self, place: str, name: str, more: str | None, tell: Report, *, in_units: bool
    ) -> bool:
        shown = f"{{{name}{'' if more is None else f'.{more}'}}}"
        if name == "term":
            if more not in TERMS:
                tell(place, f"{shown} is no term (accepted: {', '.join(TERMS)})")
            return more in TERMS
        if name == "each" and in_units and self._units.each is not None:
            setting = self._each
            if setting is None:
                return False  # what is wrong with it is said there
        elif name in self._settings:
            setting = self._settings[name]
        else:
            names = ", ".join(sorted((*self._settings, *ENGINE_PARAMETERS, *(("each",) if in_units else ()))))
            tell(place, f"{shown} names nothing (accepted: {names}, term.…)")
            return False
        return self._has_column(place, shown, setting, more, tell, in_text=True)

    def _has_column(
        self, place: str, shown: str, setting: Setting, more: str | None, tell: Report, *, in_text: bool
    ) -> bool:
        columns = setting.columns(in_text=in_text)
        if more in columns:
            return True
        if isinstance(setting, ChoiceSetting) and more is not None:
            wanting = setting.choices.wanting(more, in_text=in_text)
            for choice in wanting:
                self._tell_row(setting, choice, more, shown, in_text=in_text)
            if wanting:
                return False
            if more in setting.choices.columns:
                said = next(iter(setting.choices.choices.values())).columns[more]
                tell(place, f"{shown} is text, such as {quoted(said)}, and no number{_after(columns)}")
                return False
        if setting.is_list and not columns - {None}:
            tell(place, f"{shown} has several values, as its setting has `most`, and here is one needed")
        else:
            tell(place, f"{shown} leads nowhere{_after(columns)}")
        return False

    def _tell_row(
        self, setting: ChoiceSetting, choice: Choice, column: str, shown: str, *, in_text: bool
    ) -> None:
        if column not in choice.columns:
            what = f"{choice.name!r} has no `{column}`, and {shown} asks every value for one"
            accepted = "a text or a number" if in_text else "a number, or a pitch such as F#3"
        else:
            what = f"{quoted(choice.columns[column])} is text and no number, and {shown} counts with it"
            accepted = "a number without quotes, or a pitch such as F#3"
        self._report_row(setting.choices.name, choice.position, column, f"{what} (accepted: {accepted})")

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
        setting = self._settings[name]
        if isinstance(setting, WordsSetting) or setting.is_list:
            return setting.one()
        self._report(
            f"/settings/{name}/most",
            f"is missing, and `each` makes a unit of each value of {name!r} "
            "(accepted: how many there may be at most, and a list for the default)",
        )
        return None

    def _sum(self, table: str, field: str, given: Expression, also: Iterable[str] = ()) -> Sum | None:
        place = f"/{table}/{field}"
        if isinstance(given, str) and (pitch := pitch_number(given.strip())) is not None:
            reason = f"{given!r} is a pitch, and here stands its number (accepted: {pitch}, C4 being 60)"
            self._report(place, reason)
            return None
        try:
            found = parsed(given)
        except ExpressionError as error:
            self._report(place, str(error))
            return None
        good = [self._names_number(place, name) for name in sorted(found.names - set(also))]
        return found if all(good) else None

    def _names_number(self, place: str, name: str) -> bool:
        first, _, column = name.partition(".")
        if first == "each" and self._units.each is not None and self._each is None:
            return False  # what is wrong with it is said there
        setting = self._each if first == "each" else self._settings.get(first)
        if setting is None:
            names = ", ".join(sorted((*self._settings, *(("each",) if self._each else ()))))
            self._report(place, f"{name!r} names nothing (accepted: {names or 'numbers alone'})")
            return False
        return self._has_column(place, repr(name), setting, column or None, self._report, in_text=False)

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
_PLURAL: Final = ("by", "one", "other")
_NUMBERLESS: Final = ENGINE_PARAMETERS - {"unit_count", "seconds", "minutes"}
"""Lists and words."""


def _is_number(setting: Setting) -> bool:
    return isinstance(setting, WholeSetting) and not setting.is_list


def _after(columns: frozenset[str | None]) -> str:
    after = sorted(each for each in columns if each is not None)
    if not after:
        return " (accepted: its name alone)" if None in columns else ", and nothing of it is a number"
    return f" (accepted after its name: {', '.join(after)}{', or nothing' if None in columns else ''})"
