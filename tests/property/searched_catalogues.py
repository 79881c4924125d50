"""Generated catalogues to search, and searches of them."""

from typing import Any, Final, get_args

from bagatelle.catalogue.search import ExerciseSearch, Wanted
from bagatelle.catalogue.title_words import number_words, plain_words
from bagatelle.contract import Exercise, Material, Message, PlainTiming, SoftForm, Source, Texts, Unit
from bagatelle.model.vocabulary import Area, Concreteness, Divisibility, Level, Loudness, Stage, Strain
from bagatelle.wording.render import Wording, engine_texts
from hypothesis import strategies as st
from msgspec import Struct

INSTRUMENTS: Final = ("bass-viol", "cornett", "oud")
CLOSED_LISTS: Final[dict[str, tuple[str, ...]]] = {
    "area": get_args(Area),
    "level": get_args(Level),
    "stage_hint": get_args(Stage),
    "strain": get_args(Strain),
    "loudness": get_args(Loudness),
    "concreteness": get_args(Concreteness),
    "divisibility": get_args(Divisibility),
}
ALL_LISTS: Final = {"instrument": INSTRUMENTS, **CLOSED_LISTS}
TRADE: Final = [
    "arpeggios",
    "chromatic",
    "scales",
    "vibrato",
    "trills",
    "études",
    "shifting",
    "tonguing",
    "harmonics",
    "articulation",
    "broken",
    "chords",
    "octaves",
    "thirds",
    "paradiddle",
    "intonation",
    "glissando",
    "crescendo",
    "in",
    "five",
    "finger",
    "12",
    "sight",
    "reading",
    "sightreading",
    "scale",
    "ones",
    "one",
    "Übung",
    "long",
    "tones",
    "the",
    "studies",
]
_ENGINE: Final = Wording(engine_texts())
PASSED_OVER: Final = frozenset(plain_words(_ENGINE.render(Message("engine.search.passed-over"), "en")))
NUMBERS: Final = number_words(_ENGINE, "en")
ANY_WORD = st.text(st.characters(codec="utf-8", categories=["L"]), min_size=1, max_size=12)
WORDS = st.sampled_from(TRADE) | ANY_WORD
TITLES = st.lists(WORDS, min_size=1, max_size=4).map(" ".join)
SECONDS = st.sampled_from((1, 15, 16, 30, 59, 60, 61, 600, 601, 5000))


class Described(Struct, frozen=True):
    """An exercise with its texts and the seconds of its units."""

    exercise: Exercise
    title: str
    also_called: str
    what: str
    how: str
    unit_seconds: tuple[int, ...]

    @property
    def choices(self) -> tuple[str, ...]:
        """What its settings choose from."""
        settings = self.exercise.settings_schema["properties"]
        return (*settings["one"]["enum"], *settings["several"]["items"]["enum"])

    def has(self, name: str) -> Any:
        """What a filter goes by."""
        if name == "instrument":
            return self.exercise.id.partition(".")[0]
        if name == "has_soft_form":
            return self.exercise.soft_form is not None
        if name == "longest_unit_seconds":
            return max(self.unit_seconds)
        return getattr(self.exercise, name)


class Catalogue(Struct, frozen=True):
    """Exercises in the order of the catalogue, and the search of them."""

    described: tuple[Described, ...]
    search: ExerciseSearch


@st.composite
def described(draw: st.DrawFn, number: int, texts: st.SearchStrategy[str] = TITLES) -> Described:
    """One exercise, its texts as given."""
    lists: dict[str, Any] = {name: draw(st.sampled_from(values)) for name, values in CLOSED_LISTS.items()}
    soft = SoftForm(strain="none", loudness="silent", needs_instrument=False)
    exercise = Exercise(
        id=f"{draw(st.sampled_from(INSTRUMENTS))}.x{draw(st.integers(0, 9))}-{number}",
        **lists,
        needs_instrument=draw(st.booleans()),
        soft_form=draw(st.sampled_from((None, soft))),
        usual_minutes=5,
        smallest_chunk_seconds=30,
        set_up_seconds=0,
        settings_schema=draw(st.lists(texts, max_size=2).map(schema_of)),
        defaults={},
        sources=(Source(fact="Made up.", source="none", status="from memory"),),
    )
    return Described(
        exercise,
        draw(texts),
        draw(st.just("") | st.lists(texts, max_size=3).map(",".join)),
        draw(texts),
        draw(texts),
        tuple(draw(st.lists(SECONDS, min_size=1, max_size=3))),
    )


def schema_of(choices: list[str]) -> dict[str, Any]:
    """Settings that choose one of some words, and several."""
    return {
        "properties": {
            "one": {"enum": choices[:1]},
            "several": {"items": {"enum": choices[1:]}},
            "count": {"type": "integer"},
        }
    }


@st.composite
def catalogues(draw: st.DrawFn, most: int = 12, texts: st.SearchStrategy[str] = TITLES) -> Catalogue:
    """Up to so many exercises of three instruments."""
    count = draw(st.integers(0, most))
    return catalogue_of(tuple(draw(described(number, texts)) for number in range(count)))


def catalogue_of(every: tuple[Described, ...]) -> Catalogue:
    """Load exercises for a search."""
    messages = {f"{instrument}.name": instrument for instrument in INSTRUMENTS}
    for each in every:
        parts = {"title": each.title, "what": each.what, "how": each.how}
        messages |= {f"{each.exercise.id}.{part}": text for part, text in parts.items()}
        if each.also_called:
            messages[f"{each.exercise.id}.also_called"] = each.also_called
    seconds = {each.exercise.id: each.unit_seconds for each in every}

    def material(exercise: Exercise) -> Material:
        return Material(
            units=tuple(
                Unit(id=str(number), label=Message("oud.name"), timing=PlainTiming(seconds=each))
                for number, each in enumerate(seconds[exercise.id])
            )
        )

    wording = Wording((*engine_texts(), Texts(locale="en", messages=messages)))
    return Catalogue(every, ExerciseSearch([each.exercise for each in every], wording, material))


@st.composite
def searches(draw: st.DrawFn) -> Wanted:
    """Some filters, more often few; words in some."""
    given: dict[str, Any] = {}
    for name, values in ALL_LISTS.items():
        if draw(st.integers(0, 4)) == 0:
            given[name] = tuple(draw(st.lists(st.sampled_from(values), min_size=1, max_size=4)))
    for name in ("needs_instrument", "has_soft_form"):
        if draw(st.integers(0, 4)) == 0:
            given[name] = draw(st.booleans())
    if draw(st.integers(0, 4)) == 0:
        given["longest_unit_seconds"] = draw(SECONDS)
    return Wanted(words=draw(st.just("") | TITLES), **given)
