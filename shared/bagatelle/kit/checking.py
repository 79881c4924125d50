"""Check a plugin: ask about it in processes of its own, and put together what they saw."""

from collections.abc import Iterable, Mapping
from collections.abc import Set as AbstractSet
from pathlib import Path
from typing import Final

from bagatelle.catalogue.faults import Fault
from bagatelle.kit.checks import CHECKS, CheckReport, Outcome
from bagatelle.kit.children import asked_in_a_process
from bagatelle.kit.examined import Question
from bagatelle.kit.identifiers import NO_IDS, NOBODYS, Listing, id_faults, read_listing
from bagatelle.kit.installed import owners_by_id
from bagatelle.kit.subject import Subject, SubjectError, subjects_of, subjects_of_wheel

IMPORT_SECONDS: Final = 0.05
WHEEL: Final = ".whl"
_WITHOUT_LOADING: Final = frozenset({"loading", "purity"})
_OF_TWO_PROCESSES: Final = frozenset({"import-time", "repeatability"})
_MEASUREMENTS: Final = 8
"""So many more imports are measured, until one is quick enough; the least counts."""


def check_project(text: str, before: Listing = NO_IDS) -> tuple[CheckReport, ...]:
    """Make every check of what a person named: each plugin of a project folder, or an installed one.

    :param before: ids that there were, besides those of the project's own listing.
    :raises SubjectError: where there is nothing to check, or the listing can't be read.
    """
    subjects = subjects_of(text)
    whole = before
    for file in dict.fromkeys(subject.listing for subject in subjects if subject.listing):
        whole = whole.joined(read_ids(Path(file)))
    ids = {subject.name: ids_of(subject).ids for subject in subjects} if len(subjects) > 1 else {}
    reports = []
    for subject in subjects:
        others = {each: other.name for other in subjects if other != subject for each in ids[other.name]}
        reports.append(check_plugin(subject, whole, others))
    return tuple(reports)


def read_ids(file: Path) -> Listing:
    """Read ids that there were, from a listing or a wheel.

    :raises SubjectError: where the file is neither.
    """
    if file.suffix == WHEEL:
        with subjects_of_wheel(file) as subjects:
            listings = [ids_of(subject) for subject in subjects]
        if not all(listing.ids for listing in listings):
            raise SubjectError(f"{file}: its plugin can't be loaded, so nobody knows its ids")
        return joined(listings)
    try:
        return read_listing(file.read_text(encoding="utf-8"))
    except OSError as error:
        raise SubjectError(f"{file} can't be read: {error.strerror}") from error
    except ValueError as error:
        raise SubjectError(f"{file}, {error}") from error


def check_plugin(
    subject: Subject, before: Listing = NO_IDS, beside: Mapping[str, str] = NOBODYS
) -> CheckReport:
    """Make every check.

    :param before: ids that there were, and what superseded some of them.
    :param beside: by id, the other plugin of the same project that has it.
    """
    outcome = asked_in_a_process(Question(subject=subject, watched=True), hash_seed=1)
    not_checked: AbstractSet[str] = frozenset()
    if outcome.loaded:
        now = {*outcome.instruments, *outcome.exercises}
        found = id_faults(now, before, owners_by_id(without=subject.name), beside)
        outcome.add("ids", [Fault(outcome.places.get(each.item, each.item), each.reason) for each in found])
        other = asked_in_a_process(Question(subject=subject, watched=False, backwards=True), hash_seed=2)
        if other.loaded:
            outcome.add("repeatability", _differences(outcome, other))
            outcome.add("import-time", _slowness(subject, other.import_seconds))
        else:
            outcome.add("loading", other.faults["loading"])
            not_checked = _OF_TWO_PROCESSES
    else:
        not_checked = CHECKS.keys() - _WITHOUT_LOADING
    return CheckReport(
        name=subject.name,
        faults={check: tuple(outcome.faults.get(check, ())) for check in CHECKS},
        not_checked=tuple(check for check in CHECKS if check in not_checked),
        instruments=tuple(outcome.instruments),
        exercises=tuple(outcome.exercises),
        locales=tuple(outcome.locales),
        settings_tried=outcome.settings_tried,
    )


def ids_of(subject: Subject) -> Listing:
    """Return the ids that a plugin has now; none where it cannot be loaded."""
    outcome = asked_in_a_process(Question(subject=subject, watched=False), hash_seed=1)
    return Listing(frozenset({*outcome.instruments, *outcome.exercises}))


def joined(listings: Iterable[Listing]) -> Listing:
    """Return several listings as one."""
    whole = NO_IDS
    for listing in listings:
        whole = whole.joined(listing)
    return whole


def _differences(one: Outcome, other: Outcome) -> list[Fault]:
    reason = (
        "two processes, with other hashes of strings and the questions in reverse order, gave two answers "
        "(does a set decide, the time, or what was asked before?)"
    )
    return [Fault(item, reason) for item, digest in one.answers.items() if other.answers.get(item) != digest]


def _slowness(subject: Subject, first_seconds: float | None) -> list[Fault]:
    measured = [first_seconds]
    for _ in range(_MEASUREMENTS):
        if any(seconds is not None and seconds < IMPORT_SECONDS for seconds in measured):
            return []
        question = Question(subject=subject, watched=False, only_import=True)
        measured.append(asked_in_a_process(question, hash_seed=2).import_seconds)
    least = min((seconds for seconds in measured if seconds is not None), default=float("inf"))
    reason = (
        f"takes {1000 * least:.0f} ms of reckoning, the least of {len(measured)} times "
        f"(accepted: less than {1000 * IMPORT_SECONDS:.0f}); leave work to the hooks"
    )
    return [Fault("import", reason)]
