"""The coefficients about feet, shells and linings, from ``size_estimates.toml``, each with its range."""

from __future__ import annotations

import math

from mountwright.bench.estimates import estimates_in
from mountwright.measure.conformity import normal_cdf
from mountwright.measure.quantity import Estimate
from mountwright.riding.band import Band

#: Where the estimates stand.
_FILE = "size_estimates.toml"


def size_estimate(name: str) -> Band:
    """Give one coefficient, in the unit that its name ends in.

    Raises
    ------
    KeyError
        For a name that the file does not have.
    """
    return estimates_in(_FILE)[name].band


def mean_and_spread(band: Band) -> Estimate:
    """Give mean and standard deviation of a triangle over a band, in the band's unit (JCGM 100:2008, 4.3.9)."""
    low, likely, high = band.low, band.likely, band.high
    # As a sum of squares, rounding never takes it below 0.
    squared = ((high - low) ** 2 + (high - likely) ** 2 + (likely - low) ** 2) / 36
    return Estimate((low + likely + high) / 3, math.sqrt(squared))


def probability_above(value: Estimate, bound: Band) -> float:
    """Give how likely a value lies above a bound that is itself known within a range only, both in one unit."""
    at, spread = mean_and_spread(bound)
    doubt = math.hypot(value.standard_uncertainty, spread)
    if doubt == 0:
        return float(value.value > at)
    return normal_cdf((value.value - at) / doubt)
