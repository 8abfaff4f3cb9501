"""A length with its worst case."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.bench.length import Length, read_length
from mountwright.errors import InvalidQuantityError

_LENGTHS = st.builds(lambda ends: Length(*sorted(ends)), st.tuples(*[st.integers(-(10**6), 10**6)] * 3))


class TestLength:
    """A length ..."""

    def test_adds_doubts_up(self) -> None:
        """... plus or minus another has both doubts."""
        long, short = read_length(200_000, 750), read_length(20_000, 200)

        assert (read_length(220_000, 950), read_length(180_000, 950)) == (long + short, long - short)

    @given(_LENGTHS, _LENGTHS, st.data())
    def test_holds_whatever_its_parts_may_be(self, one: Length, other: Length, data: st.DataObject) -> None:
        """... of a sum, a difference or a share holds what comes of any values within its parts."""
        first, second = (data.draw(st.integers(each.least_um, each.most_um)) for each in (one, other))
        part, whole = data.draw(st.integers(0, 40)), data.draw(st.integers(1, 40))

        for whole_length, value in ((one + other, first + second), (one - other, first - second)):
            assert whole_length.least_um <= value <= whole_length.most_um
        share = one.share(part, whole)
        assert share.least_um <= first * part / whole <= share.most_um

    @pytest.mark.parametrize("ends", [(2, 1, 3), (1, 3, 2), (0.5, 1, 2), (0, 1, float("nan")), (True, 1, 2)])
    def test_out_of_order_or_in_parts_is_refused(self, ends: tuple[int, int, int]) -> None:
        """... out of order, or of less than whole micrometres, is refused."""
        with pytest.raises(InvalidQuantityError, match="whole micrometres"):
            Length(*ends)
