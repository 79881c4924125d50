"""Catalogues of any size for the benchmark, of made-up exercises with texts as long as real ones."""

from collections.abc import Iterator
from typing import Any, Final, get_args

from bagatelle import Instruments
from bagatelle.catalogue.hooks import PluginHooks
from bagatelle.catalogue.plugin import LoadedPlugin
from bagatelle.contract import (
    Exercise,
    Instrument,
    Material,
    Message,
    PlainTiming,
    SoftForm,
    Source,
    Texts,
    Unit,
    hookimpl,
)
from bagatelle.model.vocabulary import Area, Concreteness, Divisibility, Level, Loudness, Stage, Strain
from bagatelle.wrong_fields import CheckedSchema

INSTRUMENTS: Final = 7
WORDS: Final = 6000
_SYLLABLES: Final = (
    "ar",
    "bel",
    "cro",
    "dul",
    "ent",
    "fi",
    "gam",
    "hor",
    "il",
    "jo",
    "kan",
    "lem",
    "mo",
    "nis",
    "ost",
)
_SCHEMA: Final = {"type": "object", "additionalProperties": False}
_TITLE_WORDS: Final = 3
_TEXT_WORDS: Final = 12
_MULTIPLIER: Final = 48_271
"""Of Park and Miller's generator, modulo 2**31 - 1: the same numbers in every version of Python."""


def numbers(seed: int) -> Iterator[int]:
    """Numbers without end, which look random."""
    value = seed % 2_147_483_646 + 1
    while True:
        value = value * _MULTIPLIER % 2_147_483_647
        yield value


def word(number: int) -> str:
    """A word of 6 to 12 letters; small numbers are used most."""
    parts = []
    value = number % WORDS + len(_SYLLABLES) ** 2
    while value:
        value, place = divmod(value, len(_SYLLABLES))
        parts.append(_SYLLABLES[place])
    return "".join(parts)


def words(drawn: Iterator[int], count: int) -> str:
    """Words, the common ones far more often, as in real texts."""
    return " ".join(word(next(drawn) % (1 + next(drawn) % WORDS)) for _ in range(count))


def title_of(number: int) -> str:
    """The title of one of the exercises."""
    return words(numbers(7919 * number + 1), _TITLE_WORDS)


class _Plugin:
    """Says of each exercise that it has three units."""

    @hookimpl
    def bagatelle_contract(self) -> int:
        return 1

    @hookimpl
    def bagatelle_instruments(self) -> tuple[Instrument, ...]:
        return ()

    @hookimpl
    def bagatelle_texts(self) -> tuple[Texts, ...]:
        return ()

    @hookimpl
    def bagatelle_material(self, exercise: str) -> Material:
        longest = 5 + sum(exercise.encode()) % 200
        return Material(
            units=tuple(
                Unit(id=str(part), label=Message("b0.name"), timing=PlainTiming(seconds=longest - part))
                for part in range(3)
            )
        )


def made_up(count: int) -> Instruments:
    """So many exercises of seven instruments, the same ones each time."""
    messages = {f"b{number}.name": f"Instrument {number}" for number in range(INSTRUMENTS)}
    exercises: list[list[Exercise]] = [[] for _ in range(INSTRUMENTS)]
    for number in range(count):
        drawn = numbers(7919 * number + 1)
        title = title_of(number)
        exercise = _exercise(number, drawn)
        exercises[number % INSTRUMENTS].append(exercise)
        messages |= {
            f"{exercise.id}.title": title,
            f"{exercise.id}.also_called": words(drawn, 1),
            **{f"{exercise.id}.{part}": words(drawn, _TEXT_WORDS) for part in ("what", "how")},
            **{f"{exercise.id}.{part}": words(drawn, 3) for part in ("how_much", "done_when")},
            **{f"{exercise.id}.soft.{part}": words(drawn, 3) for part in ("what", "how")},
        }
    asked = _Plugin()
    materials = {each.id: asked.bagatelle_material(each.id) for one in exercises for each in one}
    plugin = LoadedPlugin(
        name="bench",
        version="1",
        hash="none",
        hooks=PluginHooks(asked),
        instruments=tuple(
            Instrument(id=f"b{number}", family="wind", exercises=tuple(each))
            for number, each in enumerate(exercises)
        ),
        texts=(Texts(locale="en", messages=messages),),
        settings=dict.fromkeys(materials, CheckedSchema(_SCHEMA)),
        materials=materials,
    )
    return Instruments((plugin,), ())


def _exercise(number: int, drawn: Iterator[int]) -> Exercise:
    def one_of(closed_list: Any) -> Any:
        values = get_args(closed_list)
        return values[next(drawn) % len(values)]

    soft = SoftForm(strain="none", loudness="silent", needs_instrument=False)
    return Exercise(
        id=f"b{number % INSTRUMENTS}.x-{number}",
        area=one_of(Area),
        level=one_of(Level),
        stage_hint=one_of(Stage),
        concreteness=one_of(Concreteness),
        divisibility=one_of(Divisibility),
        strain=one_of(Strain),
        loudness=one_of(Loudness),
        needs_instrument=next(drawn) % 5 > 0,
        soft_form=soft if next(drawn) % 2 else None,
        usual_minutes=5,
        smallest_chunk_seconds=30,
        set_up_seconds=0,
        settings_schema=_SCHEMA,
        defaults={},
        sources=(Source(fact="Made up.", source="none", status="from memory"),),
    )
