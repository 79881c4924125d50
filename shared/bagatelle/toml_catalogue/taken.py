"""The exercises of a catalogue: its own, and those that it takes of the common ones."""

from collections.abc import Iterator, Sequence

from msgspec import UNSET, Struct

from bagatelle.toml_catalogue.faults import FileFault
from bagatelle.toml_catalogue.form import ExerciseEntry
from bagatelle.toml_catalogue.reading import ReadPart


class TakenExercise(Struct, frozen=True):
    """An exercise, and where it stands: a common one stands where it is taken."""

    read: ReadPart
    pointer: str
    entry: ExerciseEntry
    is_common: bool

    def fault(self, field: str, reason: str) -> FileFault:
        """Say that a field of it is wrong.

        :param field: the rest of the JSON Pointer.
        """
        if not self.is_common:
            return self.read.fault(f"{self.pointer}{field}", reason)
        return self.read.fault(self.pointer, f"the common exercise {self.entry.name!r}{field}: {reason}")


def taken_exercises(
    parts: Sequence[ReadPart], common: ReadPart, faults: list[FileFault]
) -> list[TakenExercise]:
    """Return all exercises, each name once; what is wrong goes to `faults`.

    :param common: what instruments share.
    """
    found: dict[str, TakenExercise] = {}
    for taken in _all(parts, common, faults):
        name = taken.entry.name
        if name not in found:
            found[name] = taken
        elif taken.is_common:
            reason = f"the catalogue has an exercise {name!r} already (accepted: one of each name)"
            faults.append(taken.read.fault(taken.pointer, reason))
        else:
            faults.append(taken.fault("/name", f"the catalogue has {name!r} twice"))
    return list(found.values())


def _all(parts: Sequence[ReadPart], common: ReadPart, faults: list[FileFault]) -> Iterator[TakenExercise]:
    known = {entry.name: entry for entry in common.part.exercise}
    taking = []
    for read in parts:
        for position, entry in enumerate(read.part.exercise):
            yield TakenExercise(read, f"/exercise/{position}", entry, is_common=False)
        take = read.part.common.take if read.part.common is not UNSET else ()
        for position, name in enumerate(take):
            pointer = f"/common/take/{position}"
            if name in known:
                taking.append(TakenExercise(read, pointer, known[name], is_common=True))
            else:
                accepted = ", ".join(known) or "none"
                reason = f"there is no common exercise {name!r} (accepted: {accepted})"
                faults.append(read.fault(pointer, reason))
    yield from taking
