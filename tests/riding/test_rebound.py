"""What a wheel loses, from how high it bounces."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.errors import InvalidQuantityError
from mountwright.riding.band import Band
from mountwright.riding.rebound import WheelOrigin, lost_share, rebound_by_kind, rebound_if_measured, rebound_measured

_HEIGHTS = st.tuples(st.floats(1, 2000), st.floats(0.001, 0.999))


class TestLostShare:
    """The share that is lost ..."""

    def test_is_what_does_not_come_back(self) -> None:
        """... is what the bounce does not give back."""
        assert pytest.approx(0.35) == lost_share(0.65)


class TestReboundByKind:
    """The rebound of a wheel that nobody knows ..."""

    def test_is_better_the_dearer_the_skate(self) -> None:
        """... is likely the better, the dearer the skate that it comes with."""
        kinds = (WheelOrigin.STOCK_CHEAP, WheelOrigin.STOCK_MIDDLE, WheelOrigin.STOCK_DEAR)
        likely = [rebound_by_kind(kind, False).likely for kind in kinds]

        assert sorted(set(likely)) == likely

    @pytest.mark.parametrize("origin", list(WheelOrigin))
    def test_is_wide(self, origin: WheelOrigin) -> None:
        """... is far wider than a measured one, of every kind."""
        prior, measured = rebound_by_kind(origin, None), rebound_if_measured(0.6)

        assert prior.high - prior.low > 3 * (measured.high - measured.low)

    @pytest.mark.parametrize("origin", list(WheelOrigin))
    def test_of_a_core_that_nobody_knows_covers_both(self, origin: WheelOrigin) -> None:
        """... covers a hard core and none where nobody knows which it has."""
        bare, hard, either = (rebound_by_kind(origin, core) for core in (False, True, None))

        assert (bare.low, hard.high) == (either.low, either.high)
        assert hard.likely > bare.likely

    def test_covers_every_kind_where_nobody_knows_its_kind(self) -> None:
        """... covers every kind of stock wheel where nobody knows its kind."""
        unknown = rebound_by_kind(WheelOrigin.UNKNOWN, None)
        kinds = [rebound_by_kind(origin, None) for origin in WheelOrigin]

        assert unknown.low == min(kind.low for kind in kinds)
        assert unknown.high == max(kind.high for kind in kinds)


class TestReboundMeasured:
    """A measured rebound ..."""

    def test_is_the_return_over_the_drop(self) -> None:
        """... is the return over the drop, with each reading at the end that is worst for it."""
        assert Band(290 / 505, 0.6, 310 / 495) == rebound_measured(500, 300, 5, 10)

    def test_has_the_usual_half_widths_unless_said(self) -> None:
        """... has the half-widths of a film beside a rule unless they are given."""
        assert rebound_measured(500, 300, 5, 10) == rebound_measured(500, 300)

    @given(_HEIGHTS, st.floats(0, 0.99), st.floats(0, 0.99))
    def test_stays_within_nothing_and_everything(
        self, heights: tuple[float, float], off_drop: float, off_return: float
    ) -> None:
        """... stays above nothing and below everything, however coarse the readings."""
        drop, share = heights
        found = rebound_measured(drop, share * drop, off_drop * drop, off_return * drop)

        assert 0 < found.low <= found.high < 1

    @pytest.mark.parametrize(
        ("drop", "back", "off"),
        [(500, 500, 5), (500, 0, 5), (500, -1, 5), (0, 0, 0), (500, 300, -1), (500, 300, 500)],
    )
    @pytest.mark.parametrize("spoilt", [0.0, float("nan")])
    def test_is_refused_where_it_cannot_be(self, drop: float, back: float, off: float, spoilt: float) -> None:
        """... of a wheel that returns everything, nothing, or what nobody can read is refused."""
        with pytest.raises(InvalidQuantityError, match="drop height"):
            rebound_measured(drop, back + spoilt, off, off)

    def test_of_no_height_is_refused(self) -> None:
        """... from a drop without an end is refused."""
        with pytest.raises(InvalidQuantityError, match="drop height"):
            rebound_measured(float("inf"), 300)
