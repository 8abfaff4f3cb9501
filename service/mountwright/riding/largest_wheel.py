"""The largest wheel that goes in, at each axle and everywhere alike, and what stands in the way of a larger one.

By the figures, in whole micrometres, for given least gaps: a wheel of this diameter keeps them all and one of 1 um more
does not. Diameters of other wheels are those that are likely.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import combinations
from math import floor, hypot, inf
from typing import NamedTuple

from mountwright.measure.quantity import thousandths
from mountwright.riding.line import Skate
from mountwright.riding.obstacles import ON_THE_LIMIT_UM, TO_WHEEL, LeastGaps, obstacles, place_um, usual_gaps
from mountwright.riding.room import likely_um


class Bound(NamedTuple):
    """What stands in the way of a larger wheel: a clearance's code, whose wheel, and the other as there."""

    code: str
    wheel: int
    other: int | None


class LargestWheel(NamedTuple):
    """The largest wheel that goes in.

    Parameters
    ----------
    mm : float
        Of what is known and whatever is not; 0 where no wheel goes in.
    bound : Bound
        Of several that bind alike, the first.
    at_most_mm : float or None
        The largest that goes in if what is open comes out for the best, None where nothing bounds it then.
    at_most_bound : Bound or None
    """

    mm: float
    bound: Bound | None
    at_most_mm: float | None
    at_most_bound: Bound | None


class _Room(NamedTuple):
    """Up to which diameter one bound lets a wheel grow, at least and at most, micrometres."""

    bound: Bound
    largest_um: float
    at_most_um: float


def largest_wheels(skate: Skate, gaps: LeastGaps | None = None) -> tuple[LargestWheel, ...]:
    """Give the largest wheel that goes in at each axle, from the front, with all others left as they are.

    Parameters
    ----------
    skate : Skate
    gaps : LeastGaps or None
        None for the usual ones.
    """
    held = gaps or usual_gaps()
    line = skate.line
    return tuple(
        _largest([*_beside(skate, index, held), *_around(skate, index, held)]) for index in range(len(line.axles))
    )


def largest_wheel_alike(skate: Skate, gaps: LeastGaps | None = None) -> LargestWheel:
    """Give the largest wheel that goes in at every axle at once, with the axles left as they are set."""
    held = gaps or usual_gaps()
    count = len(skate.line.axles)
    alone = [each for index in range(count) for each in _around(skate, index, held)]
    return _largest([*_pairs(skate, held), *alone])


def _beside(skate: Skate, index: int, gaps: LeastGaps) -> Iterator[_Room]:
    """Give what the other wheels leave."""
    for other, tyre in enumerate(skate.line.tyres):
        if other != index:
            room_um = 2 * (_apart_um(skate, index, other) - thousandths(gaps.wheel_mm)) - likely_um(tyre.diameter)
            yield _Room(Bound(TO_WHEEL, index, other), room_um, room_um)


def _pairs(skate: Skate, gaps: LeastGaps) -> Iterator[_Room]:
    for one, other in combinations(range(len(skate.line.axles)), 2):
        room_um = _apart_um(skate, one, other) - thousandths(gaps.wheel_mm)
        yield _Room(Bound(TO_WHEEL, one, other), room_um, room_um)


def _apart_um(skate: Skate, one: int, other: int) -> float:
    (x, y), (u, v) = place_um(skate.line.axles[one]), place_um(skate.line.axles[other])
    return hypot(x - u, y - v)


def _around(skate: Skate, index: int, gaps: LeastGaps) -> Iterator[_Room]:
    for each in obstacles(skate, place_um(skate.line.axles[index]), gaps):
        yield _Room(Bound(each.code, index, each.other), each.largest_um, each.largest_at_most_um)


def _largest(rooms: Iterable[_Room]) -> LargestWheel:
    found = list(rooms)
    sure = min(found, key=lambda each: each.largest_um, default=None)
    most = min((each for each in found if each.at_most_um < inf), key=lambda each: each.at_most_um, default=None)
    return LargestWheel(
        0.0 if sure is None else _whole_mm(sure.largest_um),
        sure and sure.bound,
        None if most is None else _whole_mm(most.at_most_um),
        most and most.bound,
    )


def _whole_mm(diameter_um: float) -> float:
    """Give a diameter in millimetres, rounded down to whole micrometres, never below 0."""
    return max(0, floor(diameter_um + 2 * ON_THE_LIMIT_UM)) / 1000
