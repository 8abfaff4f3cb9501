"""Fixed draws from what is known within bounds only, the same at every call and for every set-up.

What several set-ups share is drawn under one name, so that it cancels in their ratio. Each name's 512 draws are
stratified: one from each of 512 equally likely parts, in an order of its own (McKay, Beckman, Conover 1979).
"""

from __future__ import annotations

import zlib
from functools import lru_cache
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from mountwright.riding.band import Band

Floats = NDArray[np.float64]

#: How many draws there are.
DRAWS = 512

#: The middle of each of as many equally likely parts.
_MIDDLES: Floats = (np.arange(DRAWS) + 0.5) / DRAWS

_NORMALS: Floats = np.array([NormalDist().inv_cdf(float(middle)) for middle in _MIDDLES])

#: Standard deviations from the middle of a normal distribution to the ends of its inner 90 %.
_TO_95_PERCENT = NormalDist().inv_cdf(0.95)


@lru_cache(maxsize=1024)
def _order(what: str) -> NDArray[np.int64]:
    """Give the order of the parts under a name; a bit generator's raw stream never changes between NumPy releases."""
    order = np.argsort(np.random.PCG64(zlib.crc32(what.encode())).random_raw(DRAWS), kind="stable").astype(np.int64)
    order.flags.writeable = False
    return order


def uniform(what: str) -> Floats:
    """Give the draws under a name, within 0 and 1, both exclusive, of shape (512,)."""
    return _MIDDLES[_order(what)]


def normal(what: str) -> Floats:
    """Give standard normal draws under a name, of shape (512,)."""
    return _NORMALS[_order(what)]


def drawn(band: Band, at: Floats) -> Floats:
    """Give the values of a band at shares of its probability.

    The likely value is the likeliest and the bounds are the ends of a triangle: the inverse of its distribution.

    Parameters
    ----------
    band : Band
    at : array of float
        Shares within 0 and 1, of any shape; 0.5 is the middle of the probability.
    """
    span = band.high - band.low
    below = band.low + np.sqrt(at * span * (band.likely - band.low))
    above = band.high - np.sqrt((1 - at) * span * (band.high - band.likely))
    # A root may end a rounding beyond a bound.
    return np.clip(np.where(at * span < band.likely - band.low, below, above), band.low, band.high)


def drawn_factor(band: Band, at: Floats) -> Floats:
    """Give the values of a factor's band, above 0: a triangle on the scale on which halving and doubling are equal."""
    return np.exp(drawn(Band(*np.log([band.low, band.likely, band.high]).tolist()), at))


def drawn_from_summary(band: Band, at_normal: Floats) -> Floats:
    """Give the values of a band above 0 that draws filled, or runs told: 5 % of them lie beyond each bound.

    Each side of the likely value is half a normal distribution on the scale on which halving and doubling are equal.

    Parameters
    ----------
    band : Band
        5 %, 50 % and 95 %.
    at_normal : array of float
        Standard normal draws, of any shape.
    """
    below, above = np.log(band.likely / band.low), np.log(band.high / band.likely)
    return band.likely * np.exp(at_normal / _TO_95_PERCENT * np.where(at_normal < 0, below, above))


def summed_up(values: Floats) -> Band:
    """Give the band that draws fill: 5 % of them lie below it, as many above, half on either side of the likely value.

    Parameters
    ----------
    values : array of float
        Of shape (n,), one at least.
    """
    low, likely, high = np.quantile(values, [0.05, 0.5, 0.95]).tolist()
    return Band(low, likely, high)


def share_below(values: Floats, limit: float) -> float:
    """Give how likely a value lies below a limit, a draw on the limit counting half.

    A count of draws proves neither 0 nor 1: half a draw is added on either side (Jeffreys' rule).
    """
    count = float(np.count_nonzero(values < limit) + np.count_nonzero(values == limit) / 2)
    return (count + 0.5) / (values.size + 1)
