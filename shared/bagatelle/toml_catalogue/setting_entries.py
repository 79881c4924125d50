"""From the entries of settings to settings."""

from functools import partial

from bagatelle.toml_catalogue.faults import Report
from bagatelle.toml_catalogue.form import ExerciseEntry, SettingEntry
from bagatelle.toml_catalogue.placeholders import RESERVED
from bagatelle.toml_catalogue.scope import Scope, shown_names
from bagatelle.toml_catalogue.settings import ChoiceSetting, Setting, WholeSetting, WordsSetting
from bagatelle.wrong_fields import CheckedSchema


def made_settings(entry: ExerciseEntry, scope: Scope, report: Report) -> dict[str, Setting] | None:
    """Return the settings of an exercise by name; None where any of them is wrong, which is reported."""
    made = {}
    for name, given in entry.settings.items():
        place = f"/settings/{name}"
        if name in RESERVED:
            report(place, f"{name!r} has a meaning of its own in texts and expressions, take another name")
            continue
        setting = _made_setting(given, scope, partial(_report_at, report, place))
        if setting is not None:
            made[name] = setting
            lacks_most = name == entry.units.each and given.words is None and not setting.is_list
            if not lacks_most:  # which is said elsewhere
                _check_default(setting, given.default, partial(_report_at, report, f"{place}/default"))
    return made if len(made) == len(entry.settings) else None


def _check_default(setting: Setting, default: object, report: Report) -> None:
    if setting.accepts(default):
        return
    # The schema has the words for what is wrong, and is slow to make.
    for wrong in CheckedSchema(setting.schema()).wrong_fields(default):
        report(wrong.pointer, f"{wrong.message} (accepted: {wrong.accepted})")


def _report_at(report: Report, place: str, field: str, reason: str) -> None:
    report(f"{place}{field}", reason)


def _made_setting(entry: SettingEntry, scope: Scope, report: Report) -> Setting | None:
    kinds = [name for name in ("of", "whole", "words") if getattr(entry, name) is not None]
    if len(kinds) != 1:
        report("", f"has {', '.join(kinds) or 'none'} of `of`, `whole` and `words` (accepted: one of them)")
        return None
    if entry.only is not None and entry.of is None:
        report("/only", "narrows a list of choices, and there is none (accepted: with `of`)")
        return None
    if entry.whole is not None:
        return _whole(entry.whole, entry.most, report)
    if entry.words is not None:
        if entry.most is not None:
            report("/most", "words are one text (accepted: `most` with `of` or `whole`)")
            return None
        return WordsSetting(entry.words)
    return _choice(entry.of or "", entry, scope, report)


def _whole(bounds: tuple[int, int], most: int | None, report: Report) -> Setting | None:
    least, greatest = bounds
    if least > greatest:
        report("/whole", f"goes from {least} to {greatest} (accepted: the least number first)")
        return None
    return WholeSetting(least, greatest, most)


def _choice(name: str, entry: SettingEntry, scope: Scope, report: Report) -> Setting | None:
    if name in scope.lists_in and name not in scope.choices:
        return None  # what is wrong in the list is said there
    if name not in scope.choices:
        report("/of", f"there is no list of choices {name!r} (accepted: {shown_names(scope.choices)})")
        return None
    choices = scope.choices[name]
    unknown = sorted(set(entry.only or ()) - choices.choices.keys())
    if unknown:
        known = ", ".join(choices.choices)
        report("/only", f"the list {name!r} has no {', '.join(unknown)} (accepted: {known})")
        return None
    return ChoiceSetting(choices.narrowed(entry.only), entry.most)
