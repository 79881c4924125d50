"""What the files of a catalogue name and its exercises use: sources, cautions, lists of choices."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from msgspec import Struct

from bagatelle.json_pointer import pointer_to
from bagatelle.model.exercise import Source
from bagatelle.toml_catalogue.choices import ChoiceList, choice_faults, choice_list
from bagatelle.toml_catalogue.faults import FileFault
from bagatelle.toml_catalogue.reading import ReadPart

COMMON: Final = "common-"
"""How names begin that the common exercises use."""


class Scope(Struct, frozen=True):
    """What is named, by its name."""

    sources: Mapping[str, Source]
    cautions: Mapping[str, str]
    choices: Mapping[str, ChoiceList]
    lists_in: Mapping[str, ReadPart]
    """By list of choices, the file that it stands in; those in which something is wrong, too."""


def shown_names(names: Iterable[str]) -> str:
    """Return names as a fault lists them: not those that the common exercises have for themselves."""
    own = sorted(name for name in names if not name.startswith(COMMON))
    return ", ".join(own) or "none is given"


def scope_of(instrument: str, parts: Sequence[ReadPart], common: ReadPart, faults: list[FileFault]) -> Scope:
    """Gather what all files name; what is wrong goes to `faults`.

    :param common: what instruments share; where a catalogue takes a name for itself, its own counts.
    """
    sources, cautions = dict(common.part.sources), dict(common.part.cautions)
    choices: dict[str, ChoiceList] = {}
    lists_in: dict[str, ReadPart] = {}
    seen: set[tuple[str, str]] = set()
    for read in (common, *parts):
        for name, values in read.part.choices.items():
            wrong = [
                read.fault(pointer_to(("choices", name, *path)), reason)
                for path, reason in choice_faults(values)
            ]
            faults.extend(wrong)
            lists_in[name] = read
            if not wrong:
                choices[name] = choice_list(instrument, name, values)
        if read is common:
            continue
        sources |= read.part.sources
        cautions |= read.part.cautions
        for kind, names in (
            ("sources", read.part.sources),
            ("cautions", read.part.cautions),
            ("choices", read.part.choices),
        ):
            faults.extend(
                read.fault(pointer_to((kind, name)), "another file of the catalogue has this name already")
                for name in names
                if (kind, name) in seen
            )
            seen |= {(kind, name) for name in names}
    return Scope(sources, cautions, choices, lists_in)
