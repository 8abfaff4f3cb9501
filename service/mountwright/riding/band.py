"""A figure that is known within bounds only, with the value that is taken for it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from mountwright.errors import InvalidQuantityError


@dataclass(frozen=True)
class Band:
    """A figure with its likely value and its bounds, all three in one unit.

    Parameters
    ----------
    low, likely, high : float
        Finite and in this order; both bounds inclusive.

    Raises
    ------
    InvalidQuantityError
        For figures out of order, NaN and infinities.
    """

    low: float
    likely: float
    high: float

    def __post_init__(self) -> None:
        found = (self.low, self.likely, self.high)
        if not (all(map(math.isfinite, found)) and self.low <= self.likely <= self.high):
            raise InvalidQuantityError(found, "a finite low, likely and high value in this order")

    def __str__(self) -> str:
        return f"{self.likely:.6g} ({self.low:.6g} to {self.high:.6g})"

    @property
    def is_exact(self) -> bool:
        """Tell whether both bounds are the likely value."""
        return self.low == self.high


def exactly(value: float) -> Band:
    """Give a figure that is known."""
    return Band(value, value, value)


def around(value: float, half_width: float) -> Band:
    """Give a figure with the same doubt on both sides, ``half_width`` 0 or more."""
    return Band(value - half_width, value, value + half_width)
