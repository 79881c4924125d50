"""A catalogue in TOML beside exercises that are made by code."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from msgspec.structs import replace

from bagatelle.model.exercise import Instrument, Material, Texts
from bagatelle.toml_catalogue.plugin import CataloguePlugin


class CatalogueBesideCode:
    """For the hooks of a plugin that has both: joins what code makes with what stands in TOML files.

    No plugin itself. The files have an `[instrument]` of the same id; what else is known of it the code says.
    """

    def __init__(self, in_files: CataloguePlugin) -> None:
        """Remember what reads the files; it does so when they are first asked for."""
        self._in_files = in_files

    def instrument(self, coded: Instrument) -> Instrument:
        """Return the code's instrument with the exercises and proposals of the files after its own.

        :raises CatalogueFileError: with everything that is wrong in the files.
        :raises ValueError: where the files are of another instrument, or have an exercise that code has too.
        """
        more = self._in_files.catalogue().instrument
        if more.id != coded.id:
            raise ValueError(f"The files are of {more.id!r}, the code of {coded.id!r} (accepted: one id).")
        if twice := sorted({each.id for each in coded.exercises} & {each.id for each in more.exercises}):
            raise ValueError(f"{', '.join(twice)} stands in both, files and code (accepted: in one of them).")
        return replace(
            coded,
            exercises=(*coded.exercises, *more.exercises),
            proposals=(*coded.proposals, *more.proposals),
        )

    def texts(self, coded: Sequence[Texts]) -> tuple[Texts, ...]:
        """Return the texts of both by locale; where both have a text, the code's counts."""
        joined = {entry.locale: dict(entry.messages) for entry in self._in_files.catalogue().texts}
        for entry in coded:
            joined.setdefault(entry.locale, {}).update(entry.messages)
        return tuple(Texts(locale=locale, messages=messages) for locale, messages in joined.items())

    def material(
        self,
        exercise: str,
        settings: Mapping[str, Any],
        coded: Mapping[str, Callable[[Mapping[str, Any]], Material]],
    ) -> Material:
        """Turn settings into units, by whichever has the exercise.

        :param coded: by exercise, what makes the units in code.
        :raises KeyError: where neither has the exercise.
        :raises ValueError: where settings do not go together.
        """
        catalogue = self._in_files.catalogue()
        if catalogue.has(exercise):
            return catalogue.material(exercise, settings)
        return coded[exercise](settings)
