"""What room the wheels have: to each other, to what stands above them, and beyond the sole's ends.

Places are micrometres in the skate's own axes: along, forward positive, from midway between the
frame bolts; down, from the plane under the front of the sole.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot
from typing import NamedTuple

from mountwright.errors import InvalidQuantityError


@dataclass(frozen=True)
class Wheel:
    """A wheel where it stands.

    Parameters
    ----------
    along_um, down_um : float
        The place of its axle.
    diameter_um : float

    Raises
    ------
    InvalidQuantityError
        For a diameter that is not above nothing.
    """

    along_um: float
    down_um: float
    diameter_um: float

    def __post_init__(self) -> None:
        if not self.diameter_um > 0:
            raise InvalidQuantityError(self.diameter_um, "a diameter above 0 um")


class Place(NamedTuple):
    """A place on an outline that is seen from the side."""

    along_um: float
    down_um: float


class Overhang(NamedTuple):
    """How far the wheels reach beyond the sole, micrometres; below 0 where the sole reaches further."""

    toe_um: float
    heel_um: float


def gaps_between(wheels: Sequence[Wheel]) -> tuple[float, ...]:
    """Give the gap between each wheel and the next, micrometres, from the front; below 0 where they overlap.

    Parameters
    ----------
    wheels : sequence of Wheel
        In any order; one gap fewer than wheels is given.
    """
    line = sorted(wheels, key=lambda wheel: (wheel.along_um, wheel.down_um, wheel.diameter_um), reverse=True)
    return tuple(
        hypot(a.along_um - b.along_um, a.down_um - b.down_um) - (a.diameter_um + b.diameter_um) / 2
        for a, b in pairwise(line)
    )


def gap_to_outline(wheel: Wheel, outline: Sequence[Place]) -> float:
    """Give the gap between a wheel and an outline above it, micrometres; below 0 where it stands in it.

    Parameters
    ----------
    wheel : Wheel
    outline : sequence of Place
        Two at least, joined by straight lines in their order. A wheel whose axle lies above one of them is in the
        sole up to its axle and beyond, however far it is from the line.

    Raises
    ------
    InvalidQuantityError
        For an outline of fewer places.
    """
    if len(outline) < 2:
        raise InvalidQuantityError(len(outline), "2 places of an outline at least")
    lines = list(pairwise(outline))
    distance = min(_distance(wheel, a, b) for a, b in lines)
    inside = any(_is_above(wheel, a, b) for a, b in lines)
    return (-distance if inside else distance) - wheel.diameter_um / 2


def overhang(wheels: Sequence[Wheel], outline: Sequence[Place]) -> Overhang:
    """Give how far the wheels reach beyond the ends of an outline.

    Raises
    ------
    InvalidQuantityError
        Without a wheel or a place.
    """
    if not wheels or not outline:
        raise InvalidQuantityError(min(len(wheels), len(outline)), "a wheel and a place of an outline at least")
    front = max(wheel.along_um + wheel.diameter_um / 2 for wheel in wheels)
    rear = min(wheel.along_um - wheel.diameter_um / 2 for wheel in wheels)
    ends = [place.along_um for place in outline]
    return Overhang(front - max(ends), min(ends) - rear)


def _distance(wheel: Wheel, a: Place, b: Place) -> float:
    """Give the distance of a wheel's axle from the line between two places."""
    x, y = b.along_um - a.along_um, b.down_um - a.down_um
    u, v = wheel.along_um - a.along_um, wheel.down_um - a.down_um
    length = x * x + y * y
    share = min(1.0, max(0.0, (u * x + v * y) / length)) if length else 0.0
    return hypot(u - share * x, v - share * y)


def _is_above(wheel: Wheel, a: Place, b: Place) -> bool:
    """Tell whether a wheel's axle lies above the line between two places, somewhere along it."""
    (front, high), (rear, low) = max(a, b), min(a, b)
    if not rear <= wheel.along_um <= front or front == rear:
        return False
    return wheel.down_um < low + (high - low) * (wheel.along_um - rear) / (front - rear)
