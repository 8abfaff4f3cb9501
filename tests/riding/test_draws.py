"""Fixed draws from what is known within bounds only."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from mountwright.riding.band import Band, exactly
from mountwright.riding.draws import (
    DRAWS,
    drawn,
    drawn_factor,
    drawn_from_summary,
    normal,
    share_below,
    summed_up,
    uniform,
)

_BANDS = st.lists(st.floats(-1e6, 1e6), min_size=3, max_size=3).map(lambda found: Band(*sorted(found)))


class TestUniform:
    """Draws under a name ..."""

    def test_are_one_from_each_equally_likely_part(self) -> None:
        """... are one from each of 512 equally likely parts."""
        assert ((np.arange(512) + 0.5) / 512).tolist() == np.sort(uniform("lean")).tolist()

    def test_never_change(self) -> None:
        """... are these, on every machine and under every NumPy: the raw stream of PCG64 is promised to stay."""
        assert [41.5, 257.5, 337.5] == (uniform("lean")[:3] * DRAWS).tolist()

    def test_go_their_own_way(self) -> None:
        """... hardly go with those under another."""
        assert 0.15 > abs(np.corrcoef(uniform("rebound of lot 0"), uniform("rebound of lot 1"))[0, 1])

    def test_cannot_be_spoilt(self) -> None:
        """... are the caller's own to change."""
        uniform("lean")[:] = 0

        assert 0 < uniform("lean").min()


class TestNormal:
    """Normal draws ..."""

    def test_follow_the_normal_distribution(self) -> None:
        """... are the quantiles of SciPy's normal distribution in an order of their own."""
        assert pytest.approx(stats.norm.ppf(uniform("a wheel")), abs=1e-12) == normal("a wheel")


class TestDrawn:
    """A value that is drawn from a band ..."""

    @given(_BANDS, st.floats(0, 1))
    def test_lies_within_it(self, band: Band, at: float) -> None:
        """... lies within its bounds."""
        assert band.low <= drawn(band, np.array([at]))[0] <= band.high

    @pytest.mark.parametrize("band", [Band(0.4, 0.57, 0.7), Band(0.001, 0.0015, 0.0015), Band(0, 0, 10)])
    def test_follows_a_triangle(self, band: Band) -> None:
        """... follows SciPy's triangular distribution."""
        span = band.high - band.low
        triangle = stats.triang((band.likely - band.low) / span, band.low, span)

        assert pytest.approx(triangle.ppf(uniform("at")), rel=1e-9) == drawn(band, uniform("at"))

    def test_is_what_is_known(self) -> None:
        """... is the value itself where that is known."""
        assert {0.65} == set(drawn(exactly(0.65), uniform("at")).tolist())

    def test_halves_as_likely_as_it_doubles(self) -> None:
        """... of a factor of two either way lies as likely below 1 as above."""
        found = drawn_factor(Band(0.5, 1, 2), np.array([0, 0.1, 0.5, 0.9, 1]))

        assert pytest.approx([0.5, 1, 2]) == found[[0, 2, 4]]
        assert pytest.approx(1) == found[1] * found[3]


class TestSummedUp:
    """The band of draws ..."""

    def test_is_the_one_that_they_were_drawn_from(self) -> None:
        """... is the one that they were drawn from, where that was a summary itself."""
        found = summed_up(drawn_from_summary(Band(0.006, 0.008, 0.012), normal("own rolling")))

        assert pytest.approx([0.006, 0.008, 0.012], rel=3e-3) == [found.low, found.likely, found.high]

    def test_leaves_out_a_tenth(self) -> None:
        """... leaves out a twentieth at either end."""
        assert Band(5, 50, 95) == summed_up(np.arange(101.0))

    @given(st.lists(st.floats(-10, 10), min_size=1), st.floats(-10, 10))
    def test_is_never_certain(self, values: list[float], limit: float) -> None:
        """... says of no limit that it is kept for certain, and both sides of it add up to all."""
        found = share_below(np.array(values), limit)

        assert 0 < found < 1
        assert pytest.approx(1) == found + share_below(-np.array(values), -limit)

    def test_counts_a_draw_on_the_limit_half(self) -> None:
        """... says one half of a limit that every draw lies on."""
        assert 0.5 == share_below(np.ones(512), 1.0)
