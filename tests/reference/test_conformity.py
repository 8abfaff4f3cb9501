"""Conformity and uncertainty against JCGM 106, ISO 14253-1 and JCGM 100."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from mountwright.measure.conformity import Zone, acceptance_zone, conformance_probability, normal_cdf, zone_of
from mountwright.measure.quantity import Estimate, Limits
from mountwright.measure.uncertainty import (
    arcsine,
    combined,
    expanded,
    rectangular,
    resolution,
    trapezoidal,
    triangular,
)

Given = Mapping[str, float]


def _thousandths(given: Given, name: str) -> float | None:
    return given[name] * 1000 if name in given else None


def _limits(given: Given) -> Limits:
    return Limits(_thousandths(given, "low"), _thousandths(given, "high"))


def _conformance(given: Given) -> float:
    return conformance_probability(Estimate(given["value"] * 1000, given["uncertainty"] * 1000), _limits(given))


@pytest.mark.published("conformity", "normal quantile")
def test_a_quantile_has_its_probability(given: Given, value: float) -> None:
    """The distribution function at a printed quantile is the probability that it was printed for."""
    assert given["probability"] == pytest.approx(normal_cdf(value), abs=2e-6)


@pytest.mark.published("conformity", "conformance probability")
def test_a_value_conforms_as_likely_as_published(given: Given, value: float, last_digit: float) -> None:
    """The probability of lying within limits is the published one."""
    assert value == pytest.approx(_conformance(given), abs=last_digit)


@pytest.mark.published("conformity", "nonconformance probability")
def test_a_value_misses_its_limits_as_likely_as_published(given: Given, value: float, last_digit: float) -> None:
    """The probability of lying outside is the published risk."""
    assert value == pytest.approx(1 - _conformance(given), abs=last_digit)


@pytest.mark.published("conformity", "edge of proven conformity")
def test_conformity_is_proven_up_to_the_published_edge(given: Given, value: float) -> None:
    """The acceptance zone ends at the published edge, and on it a reading still proves conformity."""
    limits, guard = Limits(None, given["limit"] * 1000), given["expanded"] * 1000
    assert Limits(None, value * 1000) == acceptance_zone(limits, guard)
    assert Zone.CONFORMING is zone_of(value * 1000, limits, guard)


@pytest.mark.published("conformity", "edge of proven nonconformity")
def test_nonconformity_is_proven_from_the_published_edge(given: Given, value: float) -> None:
    """On the edge a reading proves nonconformity; a micrometre before it proves nothing."""
    limits, guard = Limits(None, given["limit"] * 1000), given["expanded"] * 1000
    assert Zone.NONCONFORMING is zone_of(value * 1000, limits, guard)
    assert Zone.UNDECIDED is zone_of(value * 1000 - 1, limits, guard)


@pytest.mark.published("conformity", "zone of a reading")
def test_a_reading_near_a_limit_is_undecided(given: Given, value: str) -> None:
    """A reading less than its uncertainty away from a limit proves nothing."""
    assert value == zone_of(given["reading"] * 1000, _limits(given), given["expanded"] * 1000)


@pytest.mark.published("conformity", "rectangular")
def test_a_half_width_counts_as_rectangular(given: Given, value: float, last_digit: float) -> None:
    """A half-width alone gives the published standard uncertainty."""
    assert value == pytest.approx(rectangular(given["half_width"]), abs=last_digit)


@pytest.mark.published("conformity", "resolution")
def test_a_reading_step_gives_the_published_uncertainty(given: Given, value: float, last_digit: float) -> None:
    """The step of a scale or display gives the published standard uncertainty."""
    assert value == pytest.approx(resolution(given["step"]), abs=last_digit)


@pytest.mark.published("conformity", "triangular")
def test_a_triangle_gives_the_published_uncertainty(given: Given, value: float, last_digit: float) -> None:
    """A triangular distribution gives the published standard uncertainty."""
    assert value == pytest.approx(triangular(given["half_width"]), abs=last_digit)


@pytest.mark.published("conformity", "arcsine")
def test_a_cycle_gives_the_published_uncertainty(given: Given, value: float, last_digit: float) -> None:
    """A cyclic disturbance gives the published standard uncertainty."""
    assert value == pytest.approx(arcsine(given["half_width"]), abs=last_digit)


@pytest.mark.published("conformity", "trapezoidal")
def test_a_trapezoid_gives_the_published_uncertainty(given: Given, value: float, last_digit: float) -> None:
    """A trapezoid gives the published standard uncertainty."""
    assert value == pytest.approx(trapezoidal(given["half_width"], given["top_share"]), abs=last_digit)


@pytest.mark.published("conformity", "certificate")
def test_a_certificate_is_the_expanded_uncertainty(given: Given, value: float) -> None:
    """The published standard uncertainty, expanded, is what the certificate states."""
    assert given["expanded"] == pytest.approx(expanded(value, given["factor"]))


@pytest.mark.published("conformity", "caliper budget")
def test_a_budget_adds_up_as_published(given: Given, value: float, last_digit: float) -> None:
    """Contributions of a caliper combine to the published standard uncertainty."""
    assert value == pytest.approx(_caliper(given), abs=last_digit)


@pytest.mark.published("conformity", "expanded caliper budget")
def test_a_budget_expands_as_published(given: Given, value: float, last_digit: float) -> None:
    """The same contributions, expanded, give the published uncertainty."""
    assert value == pytest.approx(expanded(_caliper(given), given["factor"]), abs=last_digit)


def _caliper(given: Given) -> float:
    mean = given["scatter"] / given["readings"] ** 0.5
    return combined([rectangular(given["half_width"]), resolution(given["step"]), mean])


@pytest.mark.published("conformity", "end gauge")
def test_the_end_gauge_has_its_published_uncertainty(given: Given, value: float, last_digit: float) -> None:
    """The four contributions of the end gauge of JCGM 100, H.1, combine to the published one."""
    assert value == pytest.approx(combined(given.values()), abs=last_digit)
