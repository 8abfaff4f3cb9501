"""What a wheel loses of the work that rolling puts into its tyre, from how high it bounces.

A bounce is not rolling: strain, rate and temperature differ, so that the share that is lost is good to a factor of two
(``rolling_factor`` in the estimates). Rebound standards cover 30 to 85 Shore A (ISO 4662, ASTM D7121); of harder wheels
the bounce tells less.
"""

from __future__ import annotations

import math
from enum import StrEnum
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from mountwright.errors import InvalidQuantityError
from mountwright.riding.band import Band
from mountwright.riding.estimates import estimate

_Share = TypeVar("_Share", float, NDArray[np.float64])

#: A measured rebound's bounds stay within these, as no wheel returns nothing or everything.
_LEAST, _MOST = 0.01, 0.99


class WheelOrigin(StrEnum):
    """What kind of wheel it is, as far as its price and where it comes from tell."""

    STOCK_CHEAP = "stock_cheap"
    STOCK_MIDDLE = "stock_middle"
    STOCK_DEAR = "stock_dear"
    SOLD_ALONE = "sold_alone"
    UNKNOWN = "unknown"


def lost_share(rebound: _Share) -> _Share:
    """Give the share of the work that is lost, ``1 - rebound`` (ISO 4662: rebound is energy returned over given)."""
    return 1 - rebound


def rebound_by_kind(origin: WheelOrigin, hard_core: bool | None) -> Band:
    """Give what a wheel returns whose rebound nobody knows: common practice, wide.

    Parameters
    ----------
    origin : WheelOrigin
        Fitted as stock on a cheap, middle or dear skate, sold alone, or unknown.
    hard_core : bool or None
        Whether a thin tyre sits on a hard core, None where nobody knows.
    """
    bare = estimate(f"rebound_{origin}")
    more = estimate("rebound_hard_core_more")
    if hard_core is None:
        return Band(bare.low, bare.likely, bare.high + more.high)
    return Band(bare.low + more.low, bare.likely + more.likely, bare.high + more.high) if hard_core else bare


def rebound_measured(
    drop_mm: float,
    return_mm: float,
    drop_half_width_mm: float | None = None,
    return_half_width_mm: float | None = None,
) -> Band:
    """Give the rebound of a wheel that was dropped on stone and did not spin: return height over drop height.

    Parameters
    ----------
    drop_mm, return_mm : float
        Heights of its lowest point above the floor; the return is above 0 and below the drop.
    drop_half_width_mm, return_half_width_mm : float, optional
        What each reading is good for, 0 or more and below the drop; by default that of a film beside a rule.

    Raises
    ------
    InvalidQuantityError
        For heights and half-widths beyond these bounds.
    """
    off_drop = estimate("bounce_drop_half_width_mm").likely if drop_half_width_mm is None else drop_half_width_mm
    off_return = (
        estimate("bounce_return_half_width_mm").likely if return_half_width_mm is None else return_half_width_mm
    )
    if not (math.isfinite(drop_mm) and 0 < return_mm < drop_mm):
        raise InvalidQuantityError((drop_mm, return_mm), "a drop height and a return height above 0 and below it")
    if not (0 <= off_drop < drop_mm and 0 <= off_return < drop_mm):
        raise InvalidQuantityError((off_drop, off_return), "half-widths of 0 mm or more and below the drop height")
    likely = return_mm / drop_mm
    low = max(_LEAST, (return_mm - off_return) / (drop_mm + off_drop))
    high = min(_MOST, (return_mm + off_return) / (drop_mm - off_drop))
    return Band(min(low, likely), likely, max(high, likely))


def rebound_if_measured(rebound: float) -> Band:
    """Give what would be known of a wheel that returns so much, once its bounce was measured in the usual way.

    Parameters
    ----------
    rebound : float
        Within 0 and 1, both exclusive.
    """
    drop = estimate("bounce_drop_mm").likely
    return rebound_measured(drop, rebound * drop)
