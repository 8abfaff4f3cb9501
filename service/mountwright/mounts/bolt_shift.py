"""The best shift of a part whose turn is given.

At one turn, bolt ``i`` passes for every shift within ``play_i`` of its *spot*: a point for two round holes, a
segment for one slot, a parallelogram for two. Sought is the shift at which the largest of
``distance to the spot - play`` is smallest. That is a convex problem. A *touch* is a bolt and a unit direction
from its spot towards the shift; it says that the bolt misses by at least so much. Three touches whose directions
can cancel leave one lowest point; the bolt that this point serves worst gives a new touch, which takes the place
of one of the three. What the best shift so far misses by and what the touches prove close in on the answer.

Lengths are micrometres, turns are radians, directions are unit vectors (along, across) in the boot's plane.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, hypot, inf, sin, sqrt
from typing import NamedTuple

Vector = tuple[float, float]

_MOST_EXCHANGES = 500
# Two slots whose directions differ by a smaller sine make a parallelogram that is flat but for rounding, and three
# touches of which one has a smaller share in the new direction would lie on a line without it.
_FLAT = 1e-10


class Bolt(NamedTuple):
    """One bolt and the two holes that it joins.

    Attributes
    ----------
    name : str
        The name that both holes carry.
    boot, part : tuple of float
        Centres of the holes, each in its own pattern's plane.
    boot_reach, part_reach : tuple of float
        From a slot's centre to the last place of the bolt's axis on its midline; (0, 0) for a round hole.
    play : float
        How far the two holes together let the bolt off their centres; negative for too thick a bolt.
    alone : float
        What the bolt misses by wherever the part lies, because of its diameters; 0 or less passes.
    """

    name: str
    boot: Vector
    part: Vector
    boot_reach: Vector
    part_reach: Vector
    play: float
    alone: float


class Spot(NamedTuple):
    """Where the shift must be for one bolt to pass without using its play: centre, half sides and area."""

    along: float
    across: float
    first: Vector
    second: Vector
    area: float
    play: float


class Touch(NamedTuple):
    """The index of a bolt, and the unit direction from its spot towards the shift."""

    bolt: int
    along: float
    across: float


Touches = tuple[Touch, Touch, Touch]

FIRST_TOUCHES: Touches = (Touch(0, 1.0, 0.0), Touch(0, -0.5, sqrt(0.75)), Touch(0, -0.5, -sqrt(0.75)))


class Rest(NamedTuple):
    """The best shift at one turn, with its proof.

    Attributes
    ----------
    over : float
        What the worst bolt misses by at this shift; 0 or less passes.
    at_least : float
        What the touches prove that the worst bolt misses by at any shift.
    shift : tuple of float
        The shift.
    touches : tuple of Touch
        Three touches.
    weights : tuple of float
        One for each touch, of sum 1; the weighted directions cancel.
    """

    over: float
    at_least: float
    shift: Vector
    touches: Touches
    weights: tuple[float, float, float]


def turned(vector: Vector, turn: float) -> Vector:
    """Turn a vector by `turn` radians, from along towards across."""
    c, s = cos(turn), sin(turn)
    return c * vector[0] - s * vector[1], s * vector[0] + c * vector[1]


def best_shift(bolts: Sequence[Bolt], turn: float, start: Touches, alone: float, tolerance: float) -> Rest:
    """Find the shift at which the worst bolt misses least.

    Parameters
    ----------
    bolts : sequence of Bolt
        At least one.
    turn : float
        Turn of the part.
    start : tuple of Touch
        Three touches whose directions can cancel, best those of a turn nearby.
    alone : float
        The largest ``alone`` of the bolts: no shift does better.
    tolerance : float
        Difference between ``over`` and what is proved at which to stop.

    Returns
    -------
    Rest
        Both its limits hold, even if rounding stops the search before ``tolerance`` is met.

    Notes
    -----
    Dual simplex method on supporting lines, made as needed (J. E. Kelley, The cutting-plane method for solving
    convex programs, 1960).
    """
    spots = [_spot(bolt, cos(turn), sin(turn)) for bolt in bolts]
    touches, depths = list(start), [_depth(spots[touch.bolt], touch) for touch in start]
    over, best = inf, (0.0, 0.0)
    for _ in range(_MOST_EXCHANGES):
        shift, weights, at_least = _lowest_point(touches, depths)
        worst, touch = _worst(spots, shift)
        if worst < over:
            over, best = worst, shift
        if over - max(at_least, alone) <= tolerance:
            break
        leaving = _leaving(touches, weights, touch)
        touches[leaving], depths[leaving] = touch, _depth(spots[touch.bolt], touch)
    return Rest(max(over, alone), at_least, best, (touches[0], touches[1], touches[2]), weights)


def _spot(bolt: Bolt, c: float, s: float) -> Spot:
    (x, y), (u, v) = bolt.part, bolt.part_reach
    first, second = bolt.boot_reach, (c * u - s * v, s * u + c * v)
    area = first[0] * second[1] - first[1] * second[0]
    if abs(area) <= _FLAT * hypot(*first) * hypot(*second):
        first, second, area = _end_to_end(first, second), (0.0, 0.0), 0.0
    return Spot(bolt.boot[0] - c * x + s * y, bolt.boot[1] - s * x - c * y, first, second, area, bolt.play)


def _end_to_end(first: Vector, second: Vector) -> Vector:
    sign = 1.0 if first[0] * second[0] + first[1] * second[1] >= 0 else -1.0
    return first[0] + sign * second[0], first[1] + sign * second[1]


def _depth(spot: Spot, touch: Touch) -> float:
    _, x, y = touch
    (u, v), (w, z) = spot.first, spot.second
    return x * spot.along + y * spot.across + abs(x * u + y * v) + abs(x * w + y * z) + spot.play


def _lowest_point(
    touches: Sequence[Touch], depths: Sequence[float]
) -> tuple[Vector, tuple[float, float, float], float]:
    (_, x1, y1), (_, x2, y2), (_, x3, y3) = touches
    d1, d2, d3 = depths
    w1, w2, w3 = x2 * y3 - y2 * x3, x3 * y1 - y3 * x1, x1 * y2 - y1 * x2
    whole = w1 + w2 + w3
    d13, d23 = d1 - d3, d2 - d3
    shift = (d13 * (y2 - y3) - d23 * (y1 - y3)) / whole, (d23 * (x1 - x3) - d13 * (x2 - x3)) / whole
    return shift, (w1 / whole, w2 / whole, w3 / whole), -(w1 * d1 + w2 * d2 + w3 * d3) / whole


def _worst(spots: Sequence[Spot], shift: Vector) -> tuple[float, Touch]:
    worst, found, away, distance = -inf, 0, (0.0, 0.0), 0.0
    for index, (along, across, first, second, area, play) in enumerate(spots):
        x, y = shift[0] - along, shift[1] - across
        if area:
            x, y = _away(x, y, first, second, area)
        elif first != (0.0, 0.0):
            x, y = _past(x, y, first, 0.0, first)
        far = hypot(x, y)
        if far - play > worst:
            worst, found, away, distance = far - play, index, (x, y), far
    return worst, Touch(found, away[0] / (distance or 1.0), away[1] / (distance or 1.0))


def _away(x: float, y: float, first: Vector, second: Vector, area: float) -> Vector:
    """Give the vector to (x, y) from the nearest point of a parallelogram round the origin."""
    over_first, over_second = (x * second[1] - y * second[0]) / area, (y * first[0] - x * first[1]) / area
    away: Vector = (0.0, 0.0)
    if abs(over_first) > 1:
        away = _past(x, y, first, over_first, second)
    if abs(over_second) > 1:
        other = _past(x, y, second, over_second, first)
        away = other if abs(over_first) <= 1 else min(away, other, key=lambda vector: hypot(*vector))
    return away


def _past(x: float, y: float, out: Vector, side: float, edge: Vector) -> Vector:
    """Give the vector to (x, y) from the nearest point of the edge that lies to the given side."""
    sign = (side > 0) - (side < 0)
    x, y = x - sign * out[0], y - sign * out[1]
    u, v = edge
    share = max(-1.0, min(1.0, (x * u + y * v) / (u * u + v * v)))
    return x - share * u, y - share * v


def _leaving(touches: Sequence[Touch], weights: Sequence[float], touch: Touch) -> int:
    """Choose the touch that the new one replaces, so that the directions can still cancel."""
    (_, x1, y1), (_, x2, y2), (_, x3, y3) = touches
    x13, y13, x23, y23 = x1 - x3, y1 - y3, x2 - x3, y2 - y3
    x, y, whole = touch.along - x3, touch.across - y3, x13 * y23 - x23 * y13
    gain1, gain2 = (x * y23 - x23 * y) / whole, (x13 * y - x * y13) / whole
    gains = (gain1, gain2, 1 - gain1 - gain2)
    return min((weights[i] / gains[i], -gains[i], i) for i in range(3) if gains[i] > _FLAT)[2]
