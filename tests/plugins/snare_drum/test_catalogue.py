"""The catalogue: taken by the host without a fault, and what a teacher would insist on."""

import re
import subprocess
import sys
import tomllib
from importlib.metadata import EntryPoint
from pathlib import Path

import bagatelle_snare_drum
import pytest
from bagatelle.catalogue.loading import load_instruments
from bagatelle.contract import ENTRY_POINT_GROUP, Exercise
from bagatelle.model.vocabulary import AREAS
from bagatelle.wording import engine_texts
from bagatelle_snare_drum.catalogue import instrument, texts
from bagatelle_snare_drum.durations import exact_seconds
from bagatelle_snare_drum.plugin import MATERIAL, bagatelle_material
from bagatelle_snare_drum.rudiments import rudiments

PROJECT = Path(bagatelle_snare_drum.__file__).parents[1] / "pyproject.toml"
EXERCISES = instrument().exercises
EACH = pytest.mark.parametrize("exercise", EXERCISES, ids=lambda each: each.id)
ENGLISH, AMERICAN = (dict(entry.messages) for entry in texts())
BRITISH_ONLY = re.compile(r"crotchet|quaver|metres?\b|centimetre|\bbars?\b(?! line)")
AMERICAN_ONLY = re.compile(r"eighth|quarter|sixteenth|\bmeter|\bmeasures?\b")


def without_gaps(template: object) -> str:
    whole = " ".join(template.values()) if isinstance(template, dict) else str(template)
    return re.sub(r"\{[a-z_]+\}", "", whole)


def test_the_host_takes_it_without_a_fault() -> None:
    declared = tomllib.loads(PROJECT.read_text())["project"]["entry-points"][ENTRY_POINT_GROUP]
    points = [EntryPoint(name, value, ENTRY_POINT_GROUP) for name, value in declared.items()]
    instruments = load_instruments(entry_points=points)
    (report,) = instruments.plugins
    assert (report.name, report.status, report.reason) == ("snare-drum", "loaded", None)
    # Those that are made by code come first; the others are in test_toml_catalogue.
    assert [each.id for each in instruments.exercises][: len(EXERCISES)] == [each.id for each in EXERCISES]
    assert all(instruments.settings_errors(each.id, each.defaults) == () for each in instruments.exercises)


def test_every_exercise_has_its_material() -> None:
    assert list(MATERIAL) == [each.id for each in EXERCISES]


@pytest.mark.parametrize("family", ["roll", "diddle", "flam", "drag"])
def test_a_family_takes_its_rudiments_by_name_and_by_slug(family: str) -> None:
    exercise = next(each for each in EXERCISES if each.id == f"snare-drum.{family}s")
    known = [each for each in rudiments() if each.family == family]
    accepted = exercise.settings_schema["properties"]["rudiments"]["items"]["enum"]
    assert accepted == [each.name for each in known] + [each.id for each in known]


def test_the_ladder_takes_all_forty() -> None:
    exercise = next(each for each in EXERCISES if each.id == "snare-drum.open-closed-open")
    accepted = exercise.settings_schema["properties"]["rudiments"]["items"]["enum"]
    assert accepted == [each.name for each in rudiments()] + [each.id for each in rudiments()]


@EACH
def test_a_soft_form_makes_no_sound_and_needs_no_drum(exercise: Exercise) -> None:
    assert exercise.soft_form is not None
    assert exercise.soft_form.loudness == "silent"
    assert not exercise.soft_form.needs_instrument
    assert exercise.soft_form.strain in {"none", "low"}


@EACH
def test_what_strains_or_is_loud_carries_its_caution(exercise: Exercise) -> None:
    # What strains moderately gets the engine's own caution.
    assert ("snare-drum.caution.hands" in exercise.cautions) == (exercise.strain == "high")
    assert ("snare-drum.caution.hearing" in exercise.cautions) == (exercise.loudness == "loud")
    assert (exercise.daily_cap_seconds is not None) == (exercise.strain == "high")


@EACH
def test_the_figure_for_hearing_is_a_source_and_no_text(exercise: Exercise) -> None:
    # NIOSH Publication 98-126: 85 dBA for 8 hours, 3 dB exchange (verified).
    facts = [each.fact for each in exercise.sources if each.source == "NIOSH Publication 98-126"]
    figures = ["85 dBA for 8 hours, halved for each 3 dB more"]
    assert facts == (figures if exercise.loudness == "loud" else [])


def test_cautions_defer_to_those_who_are_licensed() -> None:
    hands, hearing = (str(ENGLISH[f"snare-drum.caution.{name}"]) for name in ("hands", "hearing"))
    assert all(word in hands.lower() for word in ("pain", "numbness", "tingling", "doctor"))
    assert all(word in hearing for word in ("plugs", "ringing", "muffled", "stop", "audiologist"))
    assert [name for name, text in ENGLISH.items() if re.search(r"\bdBA?\b|decibel", str(text))] == []


def test_ears_are_spoken_of_in_one_wording() -> None:
    # The engine names the steps for the day, and each of these says it alone.
    engine = {name: text for entry in engine_texts() for name, text in entry.messages.items()}
    of_the_day = engine["engine.caution.hearing"]
    assert isinstance(of_the_day, dict)
    alone = ENGLISH["snare-drum.caution.hearing"]
    assert of_the_day["one"].replace(" for step {steps}", "") == alone
    assert of_the_day["other"].replace(" for steps {steps}", "") == alone


def test_the_stand_in_is_a_two_minute_warm_up() -> None:
    (stand_in,) = (each for each in EXERCISES if each.warm_up_stand_in)
    assert (stand_in.area, stand_in.strain, stand_in.concreteness) == ("warm-up", "low", "exact")
    # One can start within ten seconds.
    assert stand_in.set_up_seconds <= 10
    units = bagatelle_material(stand_in.id, stand_in.defaults).units
    assert sum(exact_seconds(unit.timing) for unit in units) == 120


@EACH
def test_the_usual_minutes_and_the_chunk_suit_the_defaults(exercise: Exercise) -> None:
    units = bagatelle_material(exercise.id, exercise.defaults).units
    lengths = [exact_seconds(unit.timing) for unit in units]
    usual = 60 * exercise.usual_minutes
    assert exercise.smallest_chunk_seconds <= usual
    assert max(lengths) <= usual
    assert exercise.daily_cap_seconds is None or usual <= exercise.daily_cap_seconds


def test_a_proposal_for_every_area() -> None:
    assert [each.area for each in instrument().proposals] == list(AREAS)
    for proposal in instrument().proposals:
        assert (proposal.seconds is None) == (proposal.bars is not None and proposal.bpm is not None)


def test_each_locale_keeps_to_its_words() -> None:
    assert AMERICAN.keys() <= ENGLISH.keys()
    assert [name for name, text in ENGLISH.items() if AMERICAN_ONLY.search(without_gaps(text))] == []
    whole = {**ENGLISH, **AMERICAN}
    # Other names are what learners type, and they type either.
    shown = {name: text for name, text in whole.items() if not name.endswith(".also_called")}
    assert [name for name, text in shown.items() if BRITISH_ONLY.search(without_gaps(text))] == []
    assert [name for name in AMERICAN if AMERICAN[name] == ENGLISH[name]] == []


def test_every_text_is_used() -> None:
    prefixes = [f"{each.id}." for each in EXERCISES]
    kinds = ["rudiment", "number", "times", "time", "surface", "beat", "note-values", "unit", "detail"]
    kinds += ["sign", "sticking", "amount", "caution", "proposal"]
    prefixes += [f"snare-drum.{kind}." for kind in kinds]
    left = [name for name in ENGLISH if not name.startswith(tuple(prefixes))]
    assert left == ["snare-drum.name", "snare-drum.tempo"]


def test_the_import_is_light() -> None:
    # What the contract itself loads is the host's affair.
    code = (
        "import sys, bagatelle.contract; before = set(sys.modules); "
        "import bagatelle_snare_drum.plugin as p; p.bagatelle_instruments(); "
        "print(sorted({m.split('.')[0] for m in set(sys.modules) - before} & "
        "{'jsonschema_rs', 'numpy', 'litestar', 'sqlalchemy', 'bagatelle_service'}))"
    )
    answer = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert answer.stdout.strip() == "[]"


def test_of_the_host_only_the_contract_is_imported() -> None:
    source = "\n".join(path.read_text() for path in Path(bagatelle_snare_drum.__file__).parent.rglob("*.py"))
    imports = re.findall(r"^(?:from|import) (bagatelle(?:\.[a-z._]+)?)\b(?!_)", source, re.MULTILINE)
    assert set(imports) == {"bagatelle.contract", "bagatelle.toml_catalogue"}
