"""Quantities in whole thousandths of their unit: micrometres for mm, millidegrees for deg."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal
from typing import NamedTuple

from mountwright.errors import InvalidQuantityError

#: Units a name may end in, ``hole_spacing_mm`` or ``axis_deg``.
UNITS = ("mm", "deg")


#: Below this a float times 1000 lies within a hundredth of what its shortest decimal times 1000 is.
_NEAR = 2.0**33


def thousandths(value: float | Decimal) -> int:
    """Give a number in whole thousandths, rounded half to even on its shortest decimal form.

    Parameters
    ----------
    value : float, int or Decimal
        Finite, of any size; a float stands for the shortest decimal that reads back as itself.

    Raises
    ------
    InvalidQuantityError
        For NaN and infinities.
    """
    if isinstance(value, int):
        return value * 1000
    # Within a hundredth of a half, only the decimal can tell which way it goes.
    if isinstance(value, float) and -_NEAR < value < _NEAR:
        scaled = value * 1000
        nearest = round(scaled)
        if abs(scaled - nearest) < 0.49:
            return nearest
    if not math.isfinite(value):
        raise InvalidQuantityError(value, "a finite number")
    return int((Decimal(repr(value) if isinstance(value, float) else value) * 1000).to_integral_value(ROUND_HALF_EVEN))


def in_units(count: float) -> float:
    """Give thousandths back in the unit itself, rounded to six significant digits."""
    return significant(count / 1000)


_FOUR_DIGITS = 1000


def significant(value: float) -> float:
    """Round a float to six significant digits, so that equal answers have equal bytes."""
    size = abs(value)
    if size < 0.1 or size >= _FOUR_DIGITS:
        return float(f"{value:.6g}")
    # The same by rounding to a place, at a third of the time.
    return round(value, 6 if size < 1 else 5 if size < 10 else 4 if size < 100 else 3)


class Estimate(NamedTuple):
    """A value and its standard uncertainty, both in thousandths of one unit.

    A standard uncertainty of 0 marks an exact value, as on a drawing.
    """

    value: float
    standard_uncertainty: float


@dataclass(frozen=True)
class Limits:
    """Permitted values, both ends inclusive, in thousandths; None leaves an end open.

    Raises
    ------
    InvalidQuantityError
        When the lower limit lies above the upper one.
    """

    low: float | None
    high: float | None

    def __post_init__(self) -> None:
        if self.low is not None and self.high is not None and self.low > self.high:
            raise InvalidQuantityError((self.low, self.high), "limits with the lower one first")

    def contain(self, value: float) -> bool:
        """Tell whether an exact value lies within; on a limit it does."""
        return (self.low is None or value >= self.low) and (self.high is None or value <= self.high)

    def margin(self, value: float) -> float | None:
        """Give the distance to the nearest limit, negative outside; None where both ends are open."""
        low, high = self.low, self.high
        if low is None:
            return None if high is None else high - value
        return value - low if high is None else min(value - low, high - value)


@dataclass(frozen=True)
class Quantity:
    """One reading of one dimension.

    Parameters
    ----------
    value : int
        Whole thousandths of the unit that the dimension's name ends in.
    standard_uncertainty : float
        Thousandths, 0 for a drawing (JCGM 100:2008, 4.3).
    instrument : str
        What it was taken with.

    Raises
    ------
    InvalidQuantityError
        For a standard uncertainty below 0.
    """

    value: int
    standard_uncertainty: float
    instrument: str

    def __post_init__(self) -> None:
        if self.standard_uncertainty < 0:
            raise InvalidQuantityError(self.standard_uncertainty, "a standard uncertainty of 0 or more")


@dataclass(frozen=True)
class Adjustable:
    """A dimension that can be set: a plate that slides between two ends.

    Parameters
    ----------
    low, high : int
        The ends, inclusive, whole thousandths.
    step : int or None
        Distance between settings counted from ``low``; None slides freely.
    lock : str
        What holds the setting: ``teeth`` or ``friction``.
    """

    low: int
    high: int
    step: int | None
    lock: str

    def __post_init__(self) -> None:
        Limits(self.low, self.high)
        if self.step is not None and self.step <= 0:
            raise InvalidQuantityError(self.step, "a step above 0")

    def nearest_setting(self, wanted: float) -> int:
        """Give the setting closest to a wanted value, whole thousandths; of two equally close, the lower."""
        clamped = min(max(wanted, self.low), self.high)
        if self.step is None:
            return math.ceil(clamped - 0.5)
        steps = math.ceil((clamped - self.low) / self.step - 0.5)
        return self.low + min(steps, (self.high - self.low) // self.step) * self.step
