"""Standard uncertainties, against the figures that JCGM 100:2008 prints or that follow from it."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.measure.uncertainty import (
    arcsine,
    combined,
    expanded,
    rectangular,
    resolution,
    trapezoidal,
    triangular,
)

WIDTHS = st.floats(0, 1e6)


class TestStandardUncertainty:
    """A standard uncertainty ..."""

    @pytest.mark.parametrize(
        ("found", "expected"),
        [
            (rectangular(1), 0.57735),
            (triangular(1), 0.408248),
            (arcsine(1), 0.707107),
            (trapezoidal(1, 1 / 3), 0.430331),
            (resolution(0.01), 0.00288675),
            (resolution(1), 0.288675),
        ],
        ids=["rectangular", "triangular", "arcsine", "trapezoidal", "hundredths", "whole millimetres"],
    )
    def test_follows_the_shape_of_the_doubt(self, found: float, expected: float) -> None:
        """... follows from the half-width and the shape (JCGM 100:2008, 4.3 and F.2.2.1)."""
        assert pytest.approx(expected, rel=2e-6) == found

    @given(WIDTHS)
    def test_of_a_trapezoid_lies_between_its_extremes(self, half_width: float) -> None:
        """... of a trapezoid is a triangle's without a top and a rectangle's with a full one."""
        assert pytest.approx(triangular(half_width)) == trapezoidal(half_width, 0)
        assert pytest.approx(rectangular(half_width)) == trapezoidal(half_width, 1)

    @given(WIDTHS, st.floats(0, 1), st.floats(0, 1))
    def test_grows_with_the_top_of_a_trapezoid(self, half_width: float, first: float, second: float) -> None:
        """... grows with the share of a trapezoid's top."""
        narrow, wide = sorted((first, second))

        assert trapezoidal(half_width, narrow) <= trapezoidal(half_width, wide)


class TestCombined:
    """A combined uncertainty ..."""

    def test_of_the_end_gauge_is_the_published_one(self) -> None:
        """... of the end gauge is 32 nm (JCGM 100:2008, H.1)."""
        assert 32 == round(combined([25, 9.7, 2.9, 16.6]))

    @given(st.lists(WIDTHS, min_size=1))
    def test_lies_between_the_largest_contribution_and_their_sum(self, contributions: list[float]) -> None:
        """... is no smaller than its largest contribution and no larger than all of them together."""
        found = combined(contributions)

        assert max(contributions) <= found * (1 + 1e-12)
        assert found <= math.fsum(contributions) * (1 + 1e-12)

    def test_of_nothing_is_nothing(self) -> None:
        """... of no contributions is 0."""
        assert 0 == combined([])


class TestExpanded:
    """An expanded uncertainty ..."""

    def test_is_twice_the_standard_one_unless_said(self) -> None:
        """... is twice the standard one, or as many times as one says (JCGM 100:2008, 6.2.1)."""
        assert 0.05 == expanded(0.025)
        assert pytest.approx(59.1782, rel=1e-5) == expanded(32.3378, 1.83)
