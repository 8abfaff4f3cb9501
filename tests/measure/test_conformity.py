"""Conformity by JCGM 106:2012 and ISO 14253-1: published figures and laws that hold for every figure."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st
from scipy.stats import norm

from mountwright.errors import InvalidQuantityError
from mountwright.measure.conformity import (
    Zone,
    acceptance_zone,
    conformance_probability,
    normal_cdf,
    uniform_conformance,
    zone_of,
)
from mountwright.measure.quantity import Estimate, Limits

VALUES = st.integers(-20_000, 20_000)
DOUBTS = st.floats(0.01, 10_000)
WIDTHS = st.integers(0, 20_000)

#: What rounding may do to a probability.
ROUNDING = 1e-12


@st.composite
def limits(draw: st.DrawFn) -> Limits:
    """Give limits of which either end may be open."""
    low = draw(VALUES)
    high = low + draw(WIDTHS)
    return Limits(draw(st.sampled_from([low, None])), draw(st.sampled_from([high, None])))


class TestConformanceProbability:
    """The probability of conformity ..."""

    @pytest.mark.parametrize(
        ("estimate", "allowed", "expected"),
        [
            (Estimate(13.6, 1.8), Limits(12.5, 16.3), 0.66263),
            (Estimate(-5.47, 0.05), Limits(None, -5.40), 0.919243),
            (Estimate(509.7, 8.6), Limits(490, None), 0.98901),
        ],
        ids=["both limits", "upper limit", "lower limit"],
    )
    def test_is_the_published_one(self, estimate: Estimate, allowed: Limits, expected: float) -> None:
        """... is that of the examples of JCGM 106:2012, 7.3 and 7.4."""
        assert pytest.approx(expected, rel=1e-5) == conformance_probability(estimate, allowed)

    @given(VALUES, DOUBTS, limits())
    def test_is_the_share_of_the_normal_curve_between_the_limits(
        self, value: int, doubt: float, allowed: Limits
    ) -> None:
        """... is what scipy's normal distribution has between the limits."""
        low = -math.inf if allowed.low is None else allowed.low
        high = math.inf if allowed.high is None else allowed.high
        expected = norm.cdf(high, value, doubt) - norm.cdf(low, value, doubt)

        assert pytest.approx(expected, abs=1e-9) == conformance_probability(Estimate(value, doubt), allowed)

    @given(VALUES, st.one_of(st.just(0.0), DOUBTS), limits())
    @example(0, 1.0, Limits(9, 10))
    def test_is_a_probability(self, value: int, doubt: float, allowed: Limits) -> None:
        """... lies between 0 and 1."""
        assert 0 <= conformance_probability(Estimate(value, doubt), allowed) <= 1

    @given(VALUES, DOUBTS)
    def test_is_one_half_on_a_single_limit(self, limit: int, doubt: float) -> None:
        """... is exactly one half on a single limit, however large the doubt."""
        assert 0.5 == conformance_probability(Estimate(limit, doubt), Limits(limit, None))
        assert 0.5 == conformance_probability(Estimate(limit, doubt), Limits(None, limit))

    @given(VALUES, DOUBTS, limits(), WIDTHS, WIDTHS)
    def test_never_falls_when_the_limits_widen(
        self, value: int, doubt: float, allowed: Limits, down: int, up: int
    ) -> None:
        """... does not fall when either limit moves outward."""
        wider = Limits(
            None if allowed.low is None else allowed.low - down, None if allowed.high is None else allowed.high + up
        )
        estimate = Estimate(value, doubt)

        assert conformance_probability(estimate, allowed) <= conformance_probability(estimate, wider) + ROUNDING

    @given(VALUES, limits())
    def test_is_all_or_nothing_for_an_exact_value(self, value: int, allowed: Limits) -> None:
        """... of an exact value is 1 within the limits and 0 outside."""
        assert float(allowed.contain(value)) == conformance_probability(Estimate(value, 0), allowed)

    @given(VALUES, WIDTHS)
    def test_is_one_for_an_exact_value_on_the_limit(self, low: int, width: int) -> None:
        """... of an exact value on either limit is 1."""
        allowed = Limits(low, low + width)

        assert [1, 1] == [conformance_probability(Estimate(end, 0), allowed) for end in (low, low + width)]

    @given(VALUES, DOUBTS)
    def test_is_one_where_everything_is_allowed(self, value: int, doubt: float) -> None:
        """... is 1 where both ends are open."""
        assert 1 == conformance_probability(Estimate(value, doubt), Limits(None, None))


class TestNormalCdf:
    """The normal distribution function ..."""

    @pytest.mark.parametrize(
        ("share", "quantile"),
        [(0.8, 0.841621), (0.9, 1.28155), (0.95, 1.64485), (0.99, 2.32635), (0.999, 3.09023)],
    )
    def test_has_the_published_quantiles(self, share: float, quantile: float) -> None:
        """... reaches each share at its quantile (JCGM 106:2012, table 1, recomputed)."""
        assert pytest.approx(share, abs=2e-6) == normal_cdf(quantile)

    def test_is_accurate_far_out(self) -> None:
        """... is not rounded to nothing at ten standard deviations."""
        assert pytest.approx(norm.cdf(-10), rel=1e-9) == normal_cdf(-10)


class TestAcceptanceZone:
    """The zone of acceptance ..."""

    @given(VALUES, WIDTHS, WIDTHS)
    def test_is_guarded_at_both_limits_or_empty(self, low: int, width: int, guard_band: int) -> None:
        """... is narrower by the guard band at each limit, and None where nothing is left."""
        expected = Limits(low + guard_band, low + width - guard_band) if 2 * guard_band <= width else None

        assert expected == acceptance_zone(Limits(low, low + width), guard_band)

    def test_may_be_a_single_reading(self) -> None:
        """... is one reading where the guard bands meet, and none a thousandth later."""
        assert Limits(50, 50) == acceptance_zone(Limits(0, 100), 50)
        assert acceptance_zone(Limits(0, 100), 50.5) is None

    def test_stays_open_where_the_limits_are(self) -> None:
        """... keeps an open end."""
        assert Limits(None, 90) == acceptance_zone(Limits(None, 100), 10)
        assert Limits(10, None) == acceptance_zone(Limits(0, None), 10)

    def test_takes_no_guard_band_below_nothing(self) -> None:
        """... is refused for a guard band below 0, which would accept what is out of tolerance."""
        with pytest.raises(InvalidQuantityError, match="a guard band of 0 or more"):
            acceptance_zone(Limits(0, 100), -1)


class TestZone:
    """A reading ..."""

    @pytest.mark.parametrize(
        ("reading", "expected"),
        [
            (20_035, Zone.CONFORMING),
            (20_036, Zone.UNDECIDED),
            (20_040, Zone.UNDECIDED),
            (20_064, Zone.UNDECIDED),
            (20_065, Zone.NONCONFORMING),
        ],
    )
    def test_on_the_edge_of_a_zone_belongs_to_the_proof(self, reading: int, expected: Zone) -> None:
        """... of 20.035 or 20.065 mm is proof with an upper limit of 20.05 and U = 0.015 mm (ISO 14253-1)."""
        assert expected == zone_of(reading, Limits(None, 20_050), 15)

    def test_near_both_limits_is_judged_by_the_nearer(self) -> None:
        """... of 10.03 mm proves nothing for 10.00 plus or minus 0.05 mm with U = 0.04 mm."""
        assert Zone.UNDECIDED == zone_of(10_030, Limits(9950, 10_050), 40)

    @given(VALUES, limits())
    def test_without_doubt_is_never_undecided(self, reading: int, allowed: Limits) -> None:
        """... without doubt is proof one way or the other, and on the limit it conforms."""
        expected = Zone.CONFORMING if allowed.contain(reading) else Zone.NONCONFORMING

        assert expected == zone_of(reading, allowed, 0)

    @given(VALUES, DOUBTS, limits())
    def test_is_conforming_exactly_within_the_zone_of_acceptance(
        self, reading: int, doubt: float, allowed: Limits
    ) -> None:
        """... proves conformity exactly where the zone of acceptance contains it."""
        edges = [end for end in (allowed.low, allowed.high) if end is not None]
        assume(all(abs(abs(reading - end) - doubt) > 1e-6 for end in edges))
        accepted = acceptance_zone(allowed, doubt)

        assert (zone_of(reading, allowed, doubt) is Zone.CONFORMING) is bool(accepted and accepted.contain(reading))


class TestUniformConformance:
    """A value that is anywhere between two ends ..."""

    @pytest.mark.parametrize(
        ("allowed", "expected"),
        [
            (Limits(None, None), 1),
            (Limits(0, 10), 1),
            (Limits(4, None), 0.25),
            (Limits(None, 2), 0.25),
            (Limits(2, 4), 0.5),
            (Limits(6, 9), 0),
        ],
    )
    def test_conforms_with_the_share_within_limits(self, allowed: Limits, expected: float) -> None:
        """... conforms with the share of them that lies within limits."""
        assert expected == uniform_conformance(1, 5, allowed)

    def test_that_is_exact_conforms_on_the_limit(self) -> None:
        """... that is exact conforms on the limit, and not beyond."""
        assert [1.0, 0.0] == [uniform_conformance(value, value, Limits(None, 5)) for value in (5, 6)]
