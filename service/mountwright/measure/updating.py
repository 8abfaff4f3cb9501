"""What a reading does to what was known: the normal prior, and the test of a claim against a reading."""

from __future__ import annotations

import math

from mountwright.measure.quantity import Estimate

#: 0.999 quantiles of chi-square for 1, 2, 3 … degrees of freedom; recomputed in the tests.
_CHI_SQUARE_999 = (10.828, 13.816, 16.266, 18.467, 20.515, 22.458, 24.322, 26.124, 27.877, 29.588, 31.264, 32.909)

#: A squared distance that no number of readings explains.
BEYOND_ALL = _CHI_SQUARE_999[-1]

#: 0.95 quantile of chi-square with one degree of freedom.
CHI_SQUARE_95_ONE = 3.841


def updated(prior: Estimate, reading: Estimate) -> Estimate:
    """Give the normal prior after a reading (JCGM 106:2012, 6.4): an exact reading replaces it.

    Parameters
    ----------
    prior, reading : Estimate
        Same unit.
    """
    (expected, prior_spread), (value, reading_spread) = prior, reading
    if reading_spread == 0:
        return reading
    variance = prior_spread * prior_spread + reading_spread * reading_spread
    gain = prior_spread * prior_spread / variance
    return Estimate(expected + gain * (value - expected), prior_spread * reading_spread / math.sqrt(variance))


def squared_distance(prior: Estimate, reading: Estimate) -> float:
    """Give the squared distance of a reading from a prior in units of their joint spread.

    Infinite where both are exact and differ.
    """
    (expected, prior_spread), (value, reading_spread) = prior, reading
    gap = value - expected
    variance = prior_spread * prior_spread + reading_spread * reading_spread
    if variance == 0:
        return 0.0 if gap == 0 else math.inf
    return gap * gap / variance


def is_contradicted(distance: float, readings: int) -> bool:
    """Tell whether readings lie too far out to be explained: beyond the 0.999 quantile of chi-square.

    Parameters
    ----------
    distance : float
        Sum of the squared distances.
    readings : int
        How many were summed; from 1, and past 12 the quantile for 12 is used, which is stricter.
    """
    return readings > 0 and distance > _CHI_SQUARE_999[min(readings, len(_CHI_SQUARE_999)) - 1]
