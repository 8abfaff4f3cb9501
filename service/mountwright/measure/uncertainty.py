"""Standard uncertainty after JCGM 100:2008; any unit, the result in the unit of the input."""

from __future__ import annotations

import math
from collections.abc import Iterable


def rectangular(half_width: float) -> float:
    """Give the standard uncertainty of a value somewhere within plus or minus a half-width (JCGM 100:2008, 4.3.7)."""
    return half_width / math.sqrt(3)


def triangular(half_width: float) -> float:
    """Give the standard uncertainty where the middle is likelier than the ends (JCGM 100:2008, 4.3.9)."""
    return half_width / math.sqrt(6)


def arcsine(half_width: float) -> float:
    """Give the standard uncertainty of a cyclic disturbance's half-width (JCGM 100:2008, H.1.3.4)."""
    return half_width / math.sqrt(2)


def trapezoidal(half_width: float, top_share: float) -> float:
    """Give the standard uncertainty of a symmetric trapezoid (JCGM 100:2008, 4.3.9).

    Parameters
    ----------
    half_width : float
        Half of the base.
    top_share : float
        Top over base, 0 (triangular) to 1 (rectangular), both inclusive.
    """
    return half_width * math.sqrt((1 + top_share**2) / 6)


def resolution(step: float) -> float:
    """Give the standard uncertainty of reading in whole steps (JCGM 100:2008, F.2.2.1)."""
    return rectangular(step / 2)


def combined(contributions: Iterable[float]) -> float:
    """Give the combined standard uncertainty of independent contributions (JCGM 100:2008, 5.1.2)."""
    return math.hypot(*contributions)


def expanded(standard_uncertainty: float, coverage_factor: float = 2.0) -> float:
    """Give the expanded uncertainty U = k u (JCGM 100:2008, 6.2.1)."""
    return coverage_factor * standard_uncertainty
