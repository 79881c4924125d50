"""Every number that the engine decides with is explained, and none else."""

from bagatelle.model.request import PolicyChoices
from bagatelle.policy.table import Policy, policy_table


def test_every_number_has_its_entry() -> None:
    assert [entry.name for entry in policy_table()] == list(Policy.__struct_fields__)


def test_every_entry_says_what_it_means_and_where_it_is_from() -> None:
    for entry in policy_table():
        assert entry.unit, entry.name
        assert entry.meaning, entry.name
        assert entry.source, entry.name


def test_open_numbers_are_those_that_a_request_may_choose() -> None:
    open_names = {entry.name for entry in policy_table() if entry.open_to_requests}
    assert open_names == set(PolicyChoices.__struct_fields__)


def test_open_numbers_have_bounds_around_their_default() -> None:
    for entry in policy_table():
        if entry.open_to_requests:
            assert entry.lowest is not None
            assert entry.highest is not None
            assert isinstance(entry.value, int | float)
            assert entry.lowest <= entry.value <= entry.highest, entry.name
