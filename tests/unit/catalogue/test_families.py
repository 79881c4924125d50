"""The family of an ordinary instrument, by the name that a player writes."""

import pytest
from bagatelle.catalogue.families import ordinary_family
from bagatelle.catalogue.instruments import Instruments


@pytest.mark.parametrize(
    ("name", "family"),
    [
        ("Alto Saxophone", "wind"),
        ("english horn", "wind"),
        ("French horn", "brass"),
        ("baritone", "voice"),
        ("baritone horn", "brass"),
        ("snare-drum", "percussion"),
        ("electric bass", "plucked"),
        ("  double   bass ", "bowed"),
        ("bass", None),
        ("kazoo", None),
        ("", None),
    ],
)
def test_a_name_tells_the_family_by_its_longest_end(name: str, family: str | None) -> None:
    assert ordinary_family(name) == family
    assert Instruments.none().family(name) == (family or "none")
