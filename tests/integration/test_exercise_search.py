"""The search of exercises over HTTP: what is asked, refused, counted, paged and kept."""

from collections.abc import Iterator
from typing import Any

import pytest
from bagatelle import Instruments, load_instruments
from bagatelle.contract import Material

from tests.integration.api_client import ApiClient, api_client
from tests.integration.problem_checks import problem_in
from tests.unit.catalogue.sample_plugins import SamplePlugin, hum, point, renamed


@pytest.fixture(scope="module")
def instruments() -> Instruments:
    return load_instruments()


@pytest.fixture
def api(instruments: Instruments) -> Iterator[ApiClient]:
    with api_client(instruments=instruments) as client:
        yield client


def search(api: ApiClient, **asked: str) -> Any:
    response = api.get("/v1/exercises", params=asked)
    assert response.status_code == 200, response.text
    return response.json()


def ids(answer: Any) -> list[str]:
    return [each["id"] for each in answer["exercises"]]


@pytest.mark.parametrize(
    ("words", "first"),
    [
        # Titles and other names of the catalogue; which spellings people slip into is common practice, no source.
        ("arpegios", "piano.arpeggio"),
        ("Arpéggio", "piano.arpeggio"),
        ("ARPS", "piano.arpeggio"),
        ("cromatic scale", "piano.chromatic-scale"),
        ("chrom", "piano.chromatic-scale"),
        ("contary motoin", "piano.contrary-motion-scale"),
        ("sightreading piano", "piano.sight-reading"),
        ("5 finger", "piano.five-finger"),
        ("polyrythms", "piano.cross-rhythm"),
        ("para diddle chain", "snare-drum.paradiddle-chain"),
        ("crescendoes", "snare-drum.dynamics"),
        ("Rolls by length", "snare-drum.rolls-by-length"),
        ("trill exercises", "piano.trill"),
    ],
)
def test_words_find_what_is_meant_first(api: ApiClient, words: str, first: str) -> None:
    assert ids(search(api, q=words, instrument="piano,snare-drum"))[0] == first


def test_a_title_is_found_before_what_a_text_says(api: ApiClient) -> None:
    found = ids(search(api, q="octaves", instrument="piano"))
    assert found[0] == "piano.octaves"
    assert len(found) > 1


def test_words_that_stand_nowhere_find_nothing(api: ApiClient) -> None:
    answer = search(api, q="zzyzxq")
    assert (answer["exercises"], answer["matching"], answer["next"]) == ([], 0, None)


def test_words_are_looked_for_in_every_variant_of_the_language_asked_for(api: ApiClient) -> None:
    # British and American names of note values (common practice, no source).
    assert "piano.major-scale" in ids(search(api, q="quaver scale", locale="en-GB", limit="200"))
    british = search(api, q="quavers", instrument="piano")
    assert british["matching"] > 0
    assert ids(search(api, q="quavers", instrument="piano", locale="en-US")) == ids(british)
    assert search(api, q="quavers", instrument="piano", locale="xx") == british


def test_units_are_no_longer_than_asked_for(api: ApiClient) -> None:
    for seconds in (1, 30, 60, 600):
        answer = search(api, longest_unit_seconds=str(seconds), limit="200")
        assert all(each["longest_unit_seconds"] <= seconds for each in answer["exercises"])
        if str(seconds) in answer["counts"]["longest_unit_seconds"]:
            assert answer["counts"]["longest_unit_seconds"][str(seconds)] == answer["matching"]
    whole = api.get("/v1/exercises/piano.major-scale").json()
    assert whole["longest_unit_seconds"] == max(unit["seconds"] for unit in whole["units"])
    listed = search(api, q="major scales", instrument="piano", limit="1")["exercises"][0]
    assert listed == {name: whole[name] for name in listed}


def test_yes_and_no_filters_share_out_the_list(api: ApiClient, instruments: Instruments) -> None:
    for name in ("needs_instrument", "has_soft_form"):
        answers = {value: search(api, **{name: value}) for value in ("true", "false")}
        assert sum(each["matching"] for each in answers.values()) == len(instruments.exercises)
        for value, answer in answers.items():
            assert {str(each[name]).lower() for each in answer["exercises"]} <= {value}
            assert answer["counts"][name] == {one: all_["matching"] for one, all_ in answers.items()}


def test_pages_follow_one_another(api: ApiClient) -> None:
    for asked in ({"instrument": "piano,snare-drum"}, {"q": "scales"}, {"q": "s", "area": "rhythm"}):
        whole = ids(search(api, limit="200", **asked))
        paged: list[str] = []
        cursor: dict[str, str] = {}
        while len(paged) < len(whole):
            answer = search(api, limit="2", **asked, **cursor)
            paged += ids(answer)
            cursor = {"cursor": answer["next"] or ""}
        assert paged == whole
        assert answer["next"] is None
    beyond = search(api, cursor="____")
    assert (beyond["exercises"], beyond["next"]) == ([], None)


def test_what_did_not_change_is_not_sent_again(api: ApiClient) -> None:
    asked = {"q": "arpegios", "area": "technique"}
    tag = api.get("/v1/exercises", params=asked).headers["etag"]
    again = api.get("/v1/exercises", params=asked, headers={"If-None-Match": tag})
    assert (again.status_code, again.content) == (304, b"")
    assert api.get("/v1/exercises", params={"q": "rolls"}).headers["etag"] != tag


@pytest.mark.parametrize(
    ("query", "pointer", "accepted"),
    [
        ("strain=low,huge", "/strain", "with commas between"),
        ("strain=low,huge", "/strain", "moderate"),
        ("strain=", "/strain", "none"),
        ("level=beginner,", "/level", "professional"),
        ("divisibility=atoms", "/divisibility", "sectioned"),
        ("has_soft_form=maybe", "/has_soft_form", "true or false"),
        ("longest_unit_seconds=0", "/longest_unit_seconds", "from 1 to 86400"),
        ("longest_unit_seconds=soon", "/longest_unit_seconds", "a whole number"),
        ("limit=201", "/limit", "from 1 to 200"),
        ("cursor=AAA", "/cursor", "text"),
        ("instrument=Piano", "/instrument", "a-z"),
        ("q=" + "a" * 201, "/q", "200"),
        ("longest=1", "/longest", "longest_unit_seconds"),
        ("area=tone&area=ear", "/area", "one value"),
    ],
)
def test_what_is_not_understood_is_refused(api: ApiClient, query: str, pointer: str, accepted: str) -> None:
    (error,) = problem_in(api.get(f"/v1/exercises?{query}"), "invalid-input")["errors"]
    assert (error["in"], error["pointer"]) == ("query", pointer)
    assert accepted in error["accepted"]


def test_no_plugin_is_asked_when_somebody_searches() -> None:
    at_request: list[Any] = []
    loading = True

    def material(settings: Any) -> Material:
        if not loading:
            at_request.append(settings)
            raise RuntimeError("asked at request time")
        return hum(settings)

    points = [point(SamplePlugin(material=material)), point(renamed("whistle"), "whistle")]
    loaded = load_instruments(entry_points=points)
    loading = False
    with api_client(instruments=loaded) as api:
        found = search(api)["exercises"]
        assert {each["id"]: each["longest_unit_seconds"] for each in found} == {
            "kazoo.hum": 10,
            "whistle.hum": 10,
        }
        assert ids(search(api, q="huming evenly")) == ["kazoo.hum", "whistle.hum"]
        assert ids(search(api, q="huming", instrument="kazoo", longest_unit_seconds="10")) == ["kazoo.hum"]
    assert at_request == []
