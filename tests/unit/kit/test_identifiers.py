"""Ids that were there before must still be there, or say what superseded them."""

import shutil
from itertools import pairwise
from pathlib import Path

import pytest
from bagatelle.kit.checking import check_project, read_ids
from bagatelle.kit.identifiers import Listing, id_faults, read_listing, written_listing
from bagatelle.kit.subject import SubjectError
from hypothesis import given
from hypothesis import strategies as st

from tests.architecture.source_tree import ROOT
from tests.unit.kit.projects import Edit, failed, project, reasons, report_of

IDS = st.from_regex(r"[a-z]{1,3}\.[a-z]{1,3}", fullmatch=True)


@given(st.frozensets(IDS))
def test_a_written_listing_is_read_again(ids: frozenset[str]) -> None:
    assert read_listing(written_listing(ids)) == Listing(ids)


@given(st.frozensets(IDS, min_size=1), st.data())
def test_whatever_is_lost_is_named_and_nothing_else(before: frozenset[str], data: st.DataObject) -> None:
    kept = data.draw(st.frozensets(st.sampled_from(sorted(before))))
    new = data.draw(st.frozensets(IDS))
    faults = id_faults(kept | new, Listing(before), {})
    assert [fault.item for fault in faults] == sorted(before - kept - new)


@given(st.lists(IDS, min_size=2, unique=True))
def test_a_chain_of_successors_ends_at_what_is_there(chain: list[str]) -> None:
    before = Listing(frozenset(chain[:-1]), dict(pairwise(chain)))
    assert id_faults({chain[-1]}, before, {}) == []
    lost = id_faults({"kazoo.x0"}, before, {})
    assert [fault.item for fault in lost] == sorted(chain[:-1])


def test_successors_that_go_round_lead_nowhere() -> None:
    before = Listing(frozenset({"k.a", "k.b"}), {"k.a": "k.b", "k.b": "k.a"})
    assert [fault.item for fault in id_faults({"k.c"}, before, {})] == ["k.a", "k.b"]


def test_a_listing_may_repeat_itself_and_hold_remarks() -> None:
    text = "# once\nk.a\n\nk.a  # again\nk.b -> k.a\n"
    assert read_listing(text) == Listing(frozenset({"k.a", "k.b"}), {"k.b": "k.a"})


@pytest.mark.parametrize("line", ["k.a k.b", "k.a ->", "k.a => k.b", "k.a -> k.b k.c"])
def test_a_line_that_is_none_is_named(tmp_path: Path, line: str) -> None:
    file = tmp_path / "ids.txt"
    file.write_text(f"k.a\n{line}\n")
    with pytest.raises(SubjectError, match=r"line 2 is .* \(accepted: an id, or `old -> new`\)"):
        read_ids(file)


def test_a_file_before_counts_besides_the_projects_own(tmp_path: Path) -> None:
    report = report_of(tmp_path, before=Listing(frozenset({"kazoo.buzz"})))
    assert failed(report) == ["ids"]
    assert reasons(report, "ids")[0].startswith("kazoo.buzz: was there before and is gone")
    (again,) = check_project(
        str(tmp_path / "bagatelle-kazoo"),
        Listing(frozenset({"kazoo.buzz"}), {"kazoo.buzz": "kazoo.held-notes"}),
    )
    assert again.is_right


def test_what_another_installed_plugin_has_is_taken(tmp_path: Path) -> None:
    copy = shutil.copytree(ROOT / "plugins" / "piano", tmp_path / "grand")
    file = copy / "pyproject.toml"
    file.write_text(file.read_text().replace("piano = ", "grand = "))
    (report,) = check_project(str(copy))
    assert failed(report) == ["ids"]
    assert "piano: the installed plugin 'piano' has this id" in reasons(report, "ids")
    assert len(reasons(report, "ids")) == 1 + len(report.exercises)


def test_two_plugins_of_one_project_stand_for_each_others_ids(tmp_path: Path) -> None:
    made = project(tmp_path)
    (made / "bagatelle_kazoo" / "comb.py").write_text(
        (made / "bagatelle_kazoo" / "plugin.py").read_text().replace('"kazoo', '"comb')
    )
    for name in ("en", "en-US"):
        file = made / "bagatelle_kazoo" / "texts" / f"{name}.json"
        (made / "bagatelle_kazoo" / "texts" / f"comb-{name}.json").write_text(
            file.read_text().replace('"kazoo.', '"comb.')
        )
    code = made / "bagatelle_kazoo" / "comb.py"
    code.write_text(code.read_text().replace('f"{locale}.json"', 'f"comb-{locale}.json"'))
    file = made / "pyproject.toml"
    file.write_text(file.read_text().replace("kazoo = ", 'comb = "bagatelle_kazoo.comb"\nkazoo = '))
    with (made / "ids.txt").open("a") as listing:
        listing.write("comb\ncomb.held-notes\n")
    reports = check_project(str(made))
    assert [(report.name, failed(report), report.is_right) for report in reports] == [
        ("comb", [], True),
        ("kazoo", [], True),
    ]


def test_two_plugins_of_one_project_do_not_share_an_id(tmp_path: Path) -> None:
    again = Edit("kazoo = ", 'comb = "bagatelle_kazoo.plugin"\nkazoo = ', "pyproject.toml")
    comb, kazoo = check_project(str(project(tmp_path, [again])))
    assert failed(comb) == failed(kazoo) == ["ids"]
    assert reasons(comb, "ids") == [
        f"{identifier}: the plugin 'kazoo' of the same project has this id"
        for identifier in ("kazoo", "kazoo.held-notes")
    ]
