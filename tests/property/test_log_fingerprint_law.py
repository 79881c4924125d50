"""What was sent is told by its meaning: in whatever order units stand, and whatever is left out."""

from datetime import UTC
from uuid import UUID

import msgspec
from bagatelle_service.school.log_entries import LogContent, NewLogEntry, fingerprint_of
from hypothesis import given
from hypothesis import strategies as st

CONTENTS = st.builds(
    LogContent,
    day=st.none() | st.dates(),
    done_at=st.none() | st.datetimes(timezones=st.just(UTC)),
    kind=st.sampled_from(("usual", "short", "free")),
    step=st.none() | st.text(min_size=1, max_size=8),
    units=st.none() | st.lists(st.text(min_size=1, max_size=3), unique=True, max_size=5).map(tuple),
    seconds=st.integers(0, 86_400),
    done_when_met=st.none() | st.booleans(),
)


@given(CONTENTS, st.data())
def test_order_of_units_and_nulls_do_not_matter(content: LogContent, data: st.DataObject) -> None:
    said = msgspec.to_builtins(content)
    plain = {name: value for name, value in said.items() if value is not None}
    if content.units is not None:
        plain["units"] = data.draw(st.permutations(content.units))
    assert fingerprint_of(msgspec.convert(plain, LogContent)) == fingerprint_of(content)
    assert fingerprint_of(msgspec.convert({**plain, "id": str(UUID(int=7))}, NewLogEntry)) == fingerprint_of(
        content
    )


@given(CONTENTS, CONTENTS)
def test_other_content_has_another(one: LogContent, other: LogContent) -> None:
    same = msgspec.structs.replace(one, units=None) == msgspec.structs.replace(other, units=None)
    units = [None if each.units is None else sorted(each.units) for each in (one, other)]
    assert (fingerprint_of(one) == fingerprint_of(other)) == (same and units[0] == units[1])
