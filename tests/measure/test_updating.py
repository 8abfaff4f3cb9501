"""What a reading does to what was known, and when it speaks against it."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import chi2

from mountwright.measure.quantity import Estimate
from mountwright.measure.updating import CHI_SQUARE_95_ONE, is_contradicted, squared_distance, updated

VALUES = st.integers(-200_000, 200_000)
DOUBTS = st.floats(1, 10_000)
DOUBTFUL = st.builds(Estimate, VALUES, DOUBTS)
EXACT = st.builds(Estimate, VALUES, st.just(0.0))

ROUNDING_UM = 1e-6


class TestUpdated:
    """What was known, after a reading, ..."""

    @given(st.one_of(DOUBTFUL, EXACT), DOUBTFUL)
    def test_lies_between_the_two(self, prior: Estimate, reading: Estimate) -> None:
        """... lies between what was known and what was read."""
        low, high = sorted((prior.value, reading.value))

        assert low - ROUNDING_UM <= updated(prior, reading).value <= high + ROUNDING_UM

    @given(st.one_of(DOUBTFUL, EXACT), st.one_of(DOUBTFUL, EXACT))
    def test_is_no_more_doubtful_than_the_better_of_the_two(self, prior: Estimate, reading: Estimate) -> None:
        """... has no larger doubt than either had alone."""
        better = min(prior.standard_uncertainty, reading.standard_uncertainty)

        assert updated(prior, reading).standard_uncertainty <= better + ROUNDING_UM

    @given(st.one_of(DOUBTFUL, EXACT), EXACT)
    def test_is_the_reading_when_that_is_exact(self, prior: Estimate, reading: Estimate) -> None:
        """... is an exact reading as it stands."""
        assert reading == updated(prior, reading)

    @given(EXACT, DOUBTFUL)
    def test_does_not_move_when_it_was_exact(self, prior: Estimate, reading: Estimate) -> None:
        """... stays where it was when it was exact and the reading is not."""
        assert prior == updated(prior, reading)

    @given(DOUBTFUL, DOUBTFUL, DOUBTFUL)
    def test_does_not_depend_on_the_order_of_readings(self, prior: Estimate, one: Estimate, other: Estimate) -> None:
        """... is the same whichever of two readings came first."""
        first, second = updated(updated(prior, one), other), updated(updated(prior, other), one)

        assert pytest.approx(first.value, rel=1e-9, abs=ROUNDING_UM) == second.value
        assert pytest.approx(first.standard_uncertainty, rel=1e-9) == second.standard_uncertainty

    def test_weighs_by_the_inverse_square_of_the_doubts(self) -> None:
        """... lies four times as near to the one with half the doubt (JCGM 106:2012, 6.4)."""
        found = updated(Estimate(165_000, 200), Estimate(164_500, 400))

        assert 164_900 == found.value
        assert pytest.approx(1 / math.sqrt(1 / 200**2 + 1 / 400**2)) == found.standard_uncertainty


class TestSquaredDistance:
    """The distance of a reading ..."""

    def test_is_counted_in_joint_spreads(self) -> None:
        """... is counted in units of both doubts together: 1 mm is two of 0.3 and 0.4 mm."""
        assert 4 == squared_distance(Estimate(0, 300), Estimate(1000, 400))

    @given(st.one_of(DOUBTFUL, EXACT), st.one_of(DOUBTFUL, EXACT))
    def test_is_the_same_from_either_side(self, one: Estimate, other: Estimate) -> None:
        """... does not depend on which of the two is the reading."""
        assert squared_distance(one, other) == squared_distance(other, one)

    def test_is_nothing_or_infinite_between_exact_values(self) -> None:
        """... between exact values is 0 where they agree, else infinite."""
        assert 0 == squared_distance(Estimate(165_000, 0), Estimate(165_000, 0))
        assert math.inf == squared_distance(Estimate(165_000, 0), Estimate(165_001, 0))


class TestIsContradicted:
    """A claim ..."""

    @pytest.mark.parametrize("readings", range(1, 13))
    def test_falls_at_the_quantile_that_scipy_gives(self, readings: int) -> None:
        """... stands just before the 0.999 quantile of chi-square and falls just after it."""
        quantile = float(chi2.ppf(0.999, readings))

        assert is_contradicted(quantile - 0.0006, readings) is False
        assert is_contradicted(quantile + 0.0006, readings) is True

    def test_is_judged_more_strictly_past_twelve_readings(self) -> None:
        """... with more than twelve readings is held to the quantile for twelve, which is stricter."""
        assert chi2.ppf(0.999, 12) < chi2.ppf(0.999, 40)
        assert is_contradicted(float(chi2.ppf(0.999, 12)) + 0.0006, 40) is True

    def test_is_never_contradicted_by_nothing(self) -> None:
        """... stands where nothing was read."""
        assert is_contradicted(math.inf, 0) is False

    def test_is_contradicted_by_exact_values_that_differ(self) -> None:
        """... falls when two exact values differ."""
        assert is_contradicted(math.inf, 1) is True

    def test_is_in_doubt_from_the_quantile_for_one_reading(self) -> None:
        """... is in doubt from the 0.95 quantile of chi-square for one reading on."""
        assert pytest.approx(chi2.ppf(0.95, 1), abs=0.0006) == CHI_SQUARE_95_ONE
