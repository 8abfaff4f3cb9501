"""Does a value conform to its limits, and how likely: JCGM 106:2012 and ISO 14253-1."""

from __future__ import annotations

import math
from enum import StrEnum

from mountwright.errors import InvalidQuantityError
from mountwright.measure.quantity import Estimate, Limits

_ROOT_2 = math.sqrt(2)


def normal_cdf(z: float) -> float:
    """Give the standard normal distribution function, accurate in both tails."""
    return 0.5 * math.erfc(-z / _ROOT_2)


def conformance_probability(estimate: Estimate, limits: Limits) -> float:
    """Give the probability that the true value lies within limits (JCGM 106:2012, 7.2 to 7.4).

    An exact value is compared exactly and conforms on the limit; a measured one
    on a single limit conforms with one half, whatever its uncertainty.
    """
    value, uncertainty = estimate
    if uncertainty == 0:
        return 1.0 if limits.contain(value) else 0.0
    above = 0.0 if limits.low is None else normal_cdf((limits.low - value) / uncertainty)
    beyond = 0.0 if limits.high is None else normal_cdf((value - limits.high) / uncertainty)
    return max(0.0, 1.0 - above - beyond)


def uniform_conformance(low: float, high: float, limits: Limits) -> float:
    """Give the probability that a value which is anywhere between two ends lies within limits.

    Parameters
    ----------
    low, high : float
        The ends, the lower one first; where both are alike the value is exact, and conforms on the limit.
    limits : Limits
    """
    if low == high:
        return 1.0 if limits.contain(low) else 0.0
    first = low if limits.low is None else max(low, limits.low)
    last = high if limits.high is None else min(high, limits.high)
    return max(0.0, last - first) / (high - low)


def acceptance_zone(limits: Limits, guard_band: float) -> Limits | None:
    """Give the readings to accept so that each limit is kept by a guard band (JCGM 106:2012, 8.3).

    Parameters
    ----------
    limits : Limits
        The tolerance zone.
    guard_band : float
        Thousandths, taken off at each limit; 0 or more.

    Returns
    -------
    Limits or None
        None where the guard bands leave nothing: no reading can be accepted.
    """
    if guard_band < 0:
        raise InvalidQuantityError(guard_band, "a guard band of 0 or more")
    low = None if limits.low is None else limits.low + guard_band
    high = None if limits.high is None else limits.high - guard_band
    if low is not None and high is not None and low > high:
        return None
    return Limits(low, high)


class Zone(StrEnum):
    """Where a reading stands by ISO 14253-1."""

    CONFORMING = "conforming"
    UNDECIDED = "undecided"
    NONCONFORMING = "nonconforming"


def zone_of(reading: float, limits: Limits, expanded_uncertainty: float) -> Zone:
    """Say whether a reading proves conformity, proves the opposite, or neither (ISO 14253-1).

    A reading on the edge of a zone belongs to the proof, not to the doubt.
    """
    margin = limits.margin(reading)
    if margin is None or margin >= expanded_uncertainty:
        return Zone.CONFORMING
    return Zone.NONCONFORMING if margin <= -expanded_uncertainty else Zone.UNDECIDED
