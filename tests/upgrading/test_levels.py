"""Half-halvings of a complaint."""

from __future__ import annotations

from math import floor, log2

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.errors import InvalidQuantityError
from mountwright.upgrading.levels import relief, relief_points


class TestReliefPoints:
    """The points of a remedy ..."""

    @pytest.mark.parametrize(
        ("points", "reliability"),
        [(0, 0.0), (0, 0.29), (1, 0.3), (2, 0.5), (4, 0.75), (6, 0.9), (3, 0.7499), (8, 0.9375), (40, 1 - 1e-12)],
    )
    def test_are(self, points: int, reliability: float) -> None:
        """... are these, rounded down, and no more than 40."""
        assert points == relief_points(reliability)

    @given(st.floats(0, 0.999))
    def test_follow_the_formula(self, reliability: float) -> None:
        """... are floor(-2 log2(1 - r)), save where the logarithm itself is a hair beside a whole number."""
        exact = -2 * log2(1 - reliability)

        assert floor(exact) == relief_points(reliability) or abs(exact - round(exact)) < 1e-9

    @pytest.mark.parametrize("reliability", [-0.1, 1.0, float("nan")])
    def test_refuse(self, reliability: float) -> None:
        """... are not told of what is no share, or of certainty."""
        with pytest.raises(InvalidQuantityError, match="a share of 0 or more and below 1"):
            relief_points(reliability)


class TestRelief:
    """Relief ..."""

    @pytest.mark.parametrize(("share", "points"), [(0.0, 0), (0.5, 2), (0.75, 4), (0.875, 6)])
    def test_is_what_is_taken_away(self, share: float, points: int) -> None:
        """... is one less what is left after so many half-halvings."""
        assert share == relief(points)

    @given(st.integers(0, 30), st.integers(0, 30))
    def test_of_independent_remedies_adds_in_points(self, one: int, other: int) -> None:
        """... of two remedies leaves the product of what each leaves."""
        assert pytest.approx((1 - relief(one)) * (1 - relief(other))) == 1 - relief(one + other)

    def test_refuses(self) -> None:
        """... is not told of points below 0."""
        with pytest.raises(InvalidQuantityError, match="0 points or more"):
            relief(-1)
