"""The draw of a day, against hashes that the program `sha256sum` of GNU coreutils printed."""

import datetime as dt
from fractions import Fraction

import pytest
from bagatelle.forecasting.drawing import drawn_position

# printf %s '7:2027-03-01' | sha256sum, and so on.
DIGESTS = {
    (7, "2027-03-01"): "52ec68f7d8e122fa9b456e18ebfe1c71c2a63446b537e46b3fc1df6a75400587",
    (7, "2027-03-02"): "6dbfe77a92c5e1ce6e1de59483b015d9dc42fcb9cf85642bdc84932b98344196",
    (0, "2027-03-01"): "ee8f056873d5f1a1206f8005b21cf388bf57eea617efeec470c0eebab714e66d",
    (2**53 - 1, "2028-02-29"): "10acbb4f3cc2ed801932426ae59e51a554395b8f104d1407ef4be776c5cb6fe4",
}
WEIGHTS = ((1,), (1, 1), (5, 1, 1), (1, 2, 3, 4), (1_000_000, 1), (1, 1_000_000))


@pytest.mark.parametrize(("key", "digest"), DIGESTS.items(), ids=str)
@pytest.mark.parametrize("weights", WEIGHTS, ids=str)
def test_it_is_the_share_of_the_weights_that_the_hash_says(
    key: tuple[int, str], digest: str, weights: tuple[int, ...]
) -> None:
    seed, day = key
    share = Fraction(int(digest, 16), 2**256)
    below = [Fraction(sum(weights[: place + 1]), sum(weights)) for place in range(len(weights))]
    expected = next(place for place, end in enumerate(below) if share < end)
    assert drawn_position(seed, dt.date.fromisoformat(day), weights) == expected


def test_worked_by_hand() -> None:
    # 0x52 / 0x100 is 0.32, 0x6d / 0x100 is 0.43, 0xee / 0x100 is 0.93: of 1, 2, 1 in 4 the second, second, third.
    march = [dt.date(2027, 3, 1), dt.date(2027, 3, 2)]
    assert [drawn_position(7, day, (1, 2, 1)) for day in march] == [1, 1]
    assert drawn_position(0, march[0], (1, 2, 1)) == 2
