"""The catalogue as a whole: that the host takes it, that it is broad, safe, and says where its facts come from."""

import re

import pytest
from bagatelle.contract import Exercise, Message
from bagatelle.engine.sound import HEARING_CAUTION
from bagatelle.engine.timing import time_of

from tests.plugins.violin.loaded import DISTRIBUTION, choices, entries, files, instruments, material

STRAINS = ("none", "low", "moderate", "high")
OWN = [each for each in instruments().exercises if each.id.removeprefix("violin.") in entries()]


def test_host_loads_it_without_fault() -> None:
    (report,) = instruments().plugins
    assert (report.status, report.reason, report.instruments) == ("loaded", None, ("violin",))


def test_forty_exercises_or_more_of_its_own_over_nearly_all_areas() -> None:
    assert len(OWN) == len(entries()) >= 40
    assert len({exercise.area for exercise in OWN}) >= 9
    assert {exercise.level for exercise in OWN} == {
        *("beginner", "elementary", "intermediate", "advanced", "professional")
    }


def test_exercises_that_instruments_share_come_with_it() -> None:
    shared = {each.id for each in instruments().exercises} - {each.id for each in OWN}
    assert {"violin.passage", "violin.run-through", "violin.sight-reading", "violin.by-ear"} <= shared


def test_areas_have_a_proposal_with_a_length() -> None:
    proposals = {each.area: each for each in instruments().instruments[0].proposals}
    assert {"warm-up", "tone", "technique", "repertoire", "sight-reading"} <= set(proposals)
    for proposal in proposals.values():
        assert (proposal.bars is not None and proposal.bpm is not None) != (proposal.seconds is not None)


@pytest.mark.parametrize("exercise", OWN, ids=lambda each: each.id)
def test_what_strains_has_a_cap_and_a_caution_that_defers(exercise: Exercise) -> None:
    """The cap is a cautious default: no safe figure is known."""
    if exercise.strain in {"moderate", "high"}:
        assert exercise.daily_cap_seconds is not None
        assert exercise.daily_cap_seconds <= (300 if exercise.strain == "high" else 600)
        said = " ".join(instruments().wording.render(Message(each), "en") for each in exercise.cautions)
        assert "doctor or physiotherapist" in said
        # One round of the defaults fits into the day's cap.
        seconds = [
            time_of(unit.timing).seconds for unit in material(exercise.id.removeprefix("violin.")).units
        ]
        assert sum(seconds) <= exercise.daily_cap_seconds


def test_only_wide_stretches_strain_most() -> None:
    assert {each.id for each in OWN if each.strain == "high"} == {"violin.fingered-octaves", "violin.tenths"}


@pytest.mark.parametrize("exercise", OWN, ids=lambda each: each.id)
def test_what_is_loud_speaks_of_the_left_ear_and_has_a_quiet_form(exercise: Exercise) -> None:
    """A violin has 85 to 105 dB near the left ear: HSE, Sound Advice (HSG260), note 12."""
    hearing = [each for each in exercise.cautions if each.endswith(HEARING_CAUTION)]
    assert bool(hearing) == (exercise.loudness == "loud")
    for caution in hearing:
        text = instruments().wording.render(Message(caution), "en")
        assert all(word in text for word in ("left ear", "ear plug", "audiologist"))
        assert exercise.soft_form is not None


@pytest.mark.parametrize("exercise", OWN, ids=lambda each: each.id)
def test_everything_can_be_done_in_a_quiet_house(exercise: Exercise) -> None:
    """In a soft form that strains no more, or as it is."""
    if exercise.soft_form is None:
        assert exercise.loudness == "silent"
        return
    assert exercise.soft_form.loudness in {"silent", "soft"}
    assert STRAINS.index(exercise.soft_form.strain) <= STRAINS.index(exercise.strain)
    if exercise.strain in {"moderate", "high"}:
        assert exercise.soft_form.strain in {"none", "low"}


def test_the_practice_mute_is_soft_at_the_ear() -> None:
    muted = [name for name, entry in entries().items() if "mute" in entry.get("settings", {})]
    assert len(muted) >= 20
    for name in muted:
        assert material(name, mute="none").loudness == "moderate"
        assert material(name, mute="practice-mute").loudness == "soft"


@pytest.mark.parametrize("exercise", OWN, ids=lambda each: each.id)
def test_units_divide_well(exercise: Exercise) -> None:
    """A few units fill the smallest useful chunk, and no unit takes more than two and a half minutes."""
    units = material(exercise.id.removeprefix("violin.")).units
    seconds = [time_of(unit.timing).seconds for unit in units]
    assert max(seconds) <= 150
    assert min(seconds) >= 20
    assert exercise.smallest_chunk_seconds <= 60 * exercise.usual_minutes
    assert sum(sorted(seconds)[-3:]) >= exercise.smallest_chunk_seconds or len(seconds) < 3


def test_every_source_and_list_is_used() -> None:
    named = {each for entry in entries().values() for each in entry["sources"]}
    given = {each for file in files() for each in file.get("sources", {})}
    assert named == given
    lists = {name for file in files() for name in file.get("choices", {})}
    used = {
        setting["of"]
        for entry in entries().values()
        for setting in entry.get("settings", {}).values()
        if "of" in setting
    }
    assert used == lists
    assert all(len(choices(name)) >= 2 for name in lists)


def test_its_code_imports_nothing_but_what_reads_catalogues() -> None:
    package = DISTRIBUTION / "bagatelle_violin"
    lines = [line for path in package.glob("*.py") for line in path.read_text("utf-8").splitlines()]
    assert [line for line in lines if "import" in line and "bagatelle" in line] == [
        "from bagatelle.toml_catalogue import CataloguePlugin"
    ]


def test_the_files_that_the_plugin_names_are_all_there_are() -> None:
    code = (DISTRIBUTION / "bagatelle_violin" / "plugin.py").read_text("utf-8")
    named = re.findall(r'"(\w+\.toml)"', code)
    assert sorted(named) == sorted(path.name for path in (DISTRIBUTION / "bagatelle_violin").glob("*.toml"))
