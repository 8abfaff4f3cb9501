"""Both feet as they were measured, and which of them decides."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

from mountwright.errors import InvalidQuantityError
from mountwright.measure.conformity import normal_cdf
from mountwright.measure.quantity import Quantity
from mountwright.measure.uncertainty import combined, expanded
from mountwright.riding.band import Band, around


class Side(StrEnum):
    """Which foot."""

    LEFT = "left"
    RIGHT = "right"


class Measure(StrEnum):
    """What is measured of a foot, and inside a shell."""

    LENGTH = "length"
    BREADTH = "breadth"
    INSTEP = "instep_height"


#: Plausible figures of a foot, mm, both ends inclusive, to catch slips of the pen (estimate).
PLAUSIBLE_MM = {Measure.LENGTH: (80, 400), Measure.BREADTH: (30, 180), Measure.INSTEP: (20, 150)}


@dataclass(frozen=True)
class Foot:
    """One foot, standing, without a sock.

    Parameters
    ----------
    length : Quantity
        Heel to the longest toe.
    breadth : Quantity or None
        Where it is broadest, straight across.
    instep_height : Quantity or None
        From the floor to the top of the foot, halfway along.

    Raises
    ------
    InvalidQuantityError
        For figures that no foot has, or a foot broader than long.
    """

    length: Quantity
    breadth: Quantity | None = None
    instep_height: Quantity | None = None

    def __post_init__(self) -> None:
        for measure, (low, high) in PLAUSIBLE_MM.items():
            found = self.reading(measure)
            if found is not None and not low * 1000 <= found.value <= high * 1000:
                raise InvalidQuantityError(f"{measure} {found.value} um", f"{low} to {high} mm")
        if self.breadth is not None and self.breadth.value >= self.length.value:
            raise InvalidQuantityError(f"breadth {self.breadth.value} um", "less than the length")

    def reading(self, measure: Measure) -> Quantity | None:
        """Give what was measured, None where it was not."""
        found: Quantity | None = getattr(self, measure)
        return found


class Pair(NamedTuple):
    """One measure of both feet."""

    left: Quantity
    right: Quantity


@dataclass(frozen=True)
class Feet:
    """Both feet.

    Parameters
    ----------
    left, right : Foot

    Raises
    ------
    InvalidQuantityError
        Where one foot has a figure that the other lacks: nobody could tell which decides.
    """

    left: Foot
    right: Foot

    def __post_init__(self) -> None:
        for measure in Measure:
            if (self.left.reading(measure) is None) != (self.right.reading(measure) is None):
                raise InvalidQuantityError(f"{measure} of one foot", "that of both feet")

    @property
    def lengths(self) -> Pair:
        """Give the lengths of both."""
        return Pair(self.left.length, self.right.length)

    def pair(self, measure: Measure) -> Pair | None:
        """Give one measure of both, None where it was not taken."""
        left, right = self.left.reading(measure), self.right.reading(measure)
        return None if left is None or right is None else Pair(left, right)


class Larger(NamedTuple):
    """Which foot decides by one measure.

    Parameters
    ----------
    side : Side or None
        None where both read alike.
    probability : float
        That this one really is the larger, from one half to 1.
    size : Band
        Of the larger foot, mm: wherever both feet together leave it, 95 % of each counted.
    difference : Band
        By how much it is larger, mm; below 0 where it may be the other.
    """

    side: Side | None
    probability: float
    size: Band
    difference: Band


def larger(pair: Pair) -> Larger:
    """Give which foot is larger by one measure, how sure that is, and how large it is."""
    gap = abs(pair.left.value - pair.right.value)
    doubt = combined([reading.standard_uncertainty for reading in pair])
    side = None if gap == 0 else Side.LEFT if pair.left.value > pair.right.value else Side.RIGHT
    probability = 0.5 if gap == 0 else 1.0 if doubt == 0 else normal_cdf(gap / doubt)
    return Larger(side, probability, _size(pair), around(gap / 1000, expanded(doubt) / 1000))


def _size(pair: Pair) -> Band:
    bands = [around(reading.value / 1000, expanded(reading.standard_uncertainty) / 1000) for reading in pair]
    low, likely, high = (max(ends) for ends in zip(*[(b.low, b.likely, b.high) for b in bands], strict=True))
    return Band(low, likely, high)


def other(side: Side) -> Side:
    """Give the other foot."""
    return Side.RIGHT if side is Side.LEFT else Side.LEFT
