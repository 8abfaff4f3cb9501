"""What the best shift at one turn proves about other turns.

Let ``D(f)`` be what the worst bolt misses by at turn ``f`` and the best shift for it, and let ``m_i``, ``e_i`` be
weights of sum 1 and unit directions with ``sum m_i e_i = 0``. Then at every turn, with boot hole ``a_i``, part hole
``b_i``, half slots ``u_i`` and ``v_i``, play ``c_i`` and the rotation ``R``::

    D(f) >= sum m_i (e_i . R(f) b_i - e_i . a_i - |e_i . u_i| - |e_i . R(f) v_i| - c_i)

with equality at the turn where the weights and directions are the best ones. As a function of the turn the right
side is a wave with a kink wherever a part's slot comes square to its direction. Directions that turn with the part
give the same with boot and part changed over; slots in one of the two then cause no kink at all.

Lengths are micrometres, turns are radians.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import acos, atan2, ceil, cos, hypot, inf, pi, sin, sqrt
from typing import NamedTuple

from mountwright.mounts.bolt_shift import Bolt, Rest, Vector, turned

# A kink nearer than this to the end of a stretch is rounding in a kink at the end: ignoring it costs 1e-5 um at most.
_AT_THE_END = 1e-10
_SMALL_TURN = 1e-3
_WIDEST_CLEARANCE = 0.1


class Wave(NamedTuple):
    """The function ``constant + cosine cos(turn) + sine sin(turn)``."""

    constant: float
    cosine: float
    sine: float

    def at(self, turn: float) -> float:
        """Evaluate at one turn."""
        return self.constant + self.cosine * cos(turn) + self.sine * sin(turn)


class Floor(NamedTuple):
    """A lower limit of what the worst bolt misses by, valid at every turn.

    Attributes
    ----------
    wave : Wave
        The smooth part.
    kinks : tuple of tuple of float
        Pairs (p, q), each of which takes ``|p cos(turn) + q sin(turn)|`` off the wave.
    """

    wave: Wave
    kinks: tuple[Vector, ...]

    def at(self, turn: float) -> float:
        """Evaluate at one turn."""
        return self.wave.at(turn) - sum(abs(p * cos(turn) + q * sin(turn)) for p, q in self.kinks)

    def kinks_between(self, low: float, high: float) -> Iterator[float]:
        """Give the turns of the kinks well inside a stretch, in no order."""
        for p, q in self.kinks:
            turn = atan2(-p, q)
            turn += pi * ceil((low + _AT_THE_END - turn) / pi)
            while turn < high - _AT_THE_END:
                yield turn
                turn += pi

    def wave_between(self, low: float, high: float) -> Wave:
        """Give the wave that the floor is on a stretch without kinks inside."""
        middle = (low + high) / 2
        constant, cosine, sine = self.wave
        for p, q in self.kinks:
            sign = 1.0 if p * cos(middle) + q * sin(middle) > 0 else -1.0
            cosine, sine = cosine - sign * p, sine - sign * q
        return Wave(constant, cosine, sine)


def floor_under(bolts: Sequence[Bolt], rest: Rest, turn: float) -> Floor:
    """Give the floor that the best shift at ``turn`` proves.

    Parameters
    ----------
    bolts : sequence of Bolt
        The bolts that ``rest`` was found for.
    rest : Rest
        Best shift at ``turn``.
    turn : float
        Turn of the part.

    Returns
    -------
    Floor
        At ``turn`` it has the value ``rest.at_least``. Of the two floors, directions held by the boot or by the
        part, it is the one that falls off less nearby.
    """
    floors = _floor(_held_by_boot(bolts, rest), 1.0), _floor(_held_by_part(bolts, rest, turn), -1.0)
    return max(floors, key=lambda floor: min(floor.at(turn - _SMALL_TURN), floor.at(turn + _SMALL_TURN)))


class _Held(NamedTuple):
    """A touch seen from the side that holds its direction: weighted direction, own and turning side's hole."""

    pull: Vector
    own: Vector
    own_reach: Vector
    turning: Vector
    turning_reach: Vector
    play: float


def _held_by_boot(bolts: Sequence[Bolt], rest: Rest) -> Iterator[_Held]:
    for (index, x, y), weight in zip(rest.touches, rest.weights, strict=True):
        _, boot, part, boot_reach, part_reach, play, _ = bolts[index]
        yield _Held((weight * x, weight * y), boot, boot_reach, part, part_reach, weight * play)


def _held_by_part(bolts: Sequence[Bolt], rest: Rest, turn: float) -> Iterator[_Held]:
    # Seen from the part, the boot turns the other way and pulls the other way.
    c, s = -cos(turn), -sin(turn)
    for (x, y), boot, boot_reach, part, part_reach, play in _held_by_boot(bolts, rest):
        yield _Held((c * x + s * y, c * y - s * x), part, part_reach, boot, boot_reach, play)


def _floor(held: Iterator[_Held], sense: float) -> Floor:
    constant = cosine = sine = 0.0
    kinks = []
    for (x, y), (a, b), (u, v), (p, q), (w, z), play in held:
        constant -= x * a + y * b + abs(x * u + y * v) + play
        cosine, sine = cosine + x * p + y * q, sine + sense * (y * p - x * q)
        if w or z:
            kinks.append((x * w + y * z, sense * (y * w - x * z)))
    return Floor(Wave(constant, cosine, sine), tuple(kinks))


def lowest_between(one: Wave, other: Wave, low: float, high: float) -> tuple[float, float]:
    """Find where the higher of two waves is lowest.

    Parameters
    ----------
    one, other : Wave
        Two lower limits.
    low, high : float
        The stretch, ends included.

    Returns
    -------
    tuple of float
        The lowest value and its turn.
    """
    turns = (_trough(one), _trough(other), *_crossings(one, other))
    candidates = [low, high, *_within(turns, low, high)]
    return min((max(one.at(turn), other.at(turn)), turn) for turn in candidates)


def _trough(wave: Wave) -> float:
    return atan2(-wave.sine, -wave.cosine)


def _crossings(one: Wave, other: Wave) -> tuple[float, ...]:
    constant, cosine, sine = one.constant - other.constant, one.cosine - other.cosine, one.sine - other.sine
    height = hypot(cosine, sine)
    if height <= abs(constant):
        return ()
    crest, half = atan2(sine, cosine), acos(-constant / height)
    return crest - half, crest + half


def _within(turns: Sequence[float], low: float, high: float) -> Iterator[float]:
    for turn in turns:
        near = turn - 2 * pi * round((turn - (low + high) / 2) / (2 * pi))
        if low < near < high:
            yield near


class _Grip(NamedTuple):
    """A touch whose direction goes with the boot (turns 0) or with the part (turns 1), and what it proves.

    ``level`` is what it says the bolt misses by, ``rate`` how fast that changes with the turn, ``reach`` a limit
    of that and of the next derivative, ``kink`` the least turn to the next kink.
    """

    along: float
    across: float
    turns: int
    level: float
    rate: float
    reach: float
    kink: float


class _Tally(NamedTuple):
    """The weighted sum of what three grips prove beyond a target.

    ``value`` and ``rate`` are the sum's, ``bend`` is a limit of its second derivative, ``weights`` the sum of the
    weights and ``widest`` the turn to either side for which all this holds.
    """

    value: float
    rate: float
    bend: float
    weights: float
    widest: float


def rate_of_turn(bolts: Sequence[Bolt], rest: Rest, turn: float) -> float:
    """Give the slope, um per radian, of what the worst bolt misses by at its best shift."""
    tally = _tally(_grips(bolts, rest, turn), rest.at_least)
    return tally.rate / tally.weights


def clear_turn(bolts: Sequence[Bolt], rest: Rest, turn: float, target: float) -> float:
    """Give a turn to both sides within which the worst bolt misses by ``target`` at least.

    Parameters
    ----------
    bolts : sequence of Bolt
        The bolts that ``rest`` was found for.
    rest : Rest
        Best shift at ``turn``.
    turn : float
        Turn of the part.
    target : float
        What some other place of the part misses by.

    Returns
    -------
    float
        0 if nothing is proved.

    Notes
    -----
    With slots in both the boot and the part a floor may have its kink right at its own turn. Here every direction
    goes with that slot to which it is square, so that there is none; the weights that make turning directions
    cancel, ``sin`` of the angle between the two others, change with the turn. The weighted sum is bounded by its
    value, its slope and a limit of its second derivative.
    """
    value, rate, bend, _, widest = _tally(_grips(bolts, rest, turn), target)
    if value <= 0 or widest <= 0:
        return 0.0
    return min(widest, 2 * value / (abs(rate) + sqrt(rate * rate + 2 * max(bend, 0.0) * value) or inf))


def _grips(bolts: Sequence[Bolt], rest: Rest, turn: float) -> list[_Grip]:
    centre = bolts[rest.touches[0].bolt].part
    x, y = turned(centre, turn)
    middle = rest.shift[0] + x, rest.shift[1] + y
    grips = [_grip(bolts[index], (along, across), turn, centre, middle) for index, along, across in rest.touches]
    (x1, y1), (x2, y2), (x3, y3) = (grip[:2] for grip in grips)
    counter_clockwise = (x2 - x1) * (y3 - y1) > (x3 - x1) * (y2 - y1)
    return grips if counter_clockwise else grips[::-1]


def _grip(bolt: Bolt, direction: Vector, turn: float, centre: Vector, middle: Vector) -> _Grip:
    x, y = direction
    boot_arm = bolt.boot[0] - middle[0], bolt.boot[1] - middle[1]
    part_arm = turned((bolt.part[0] - centre[0], bolt.part[1] - centre[1]), turn)
    boot_slot, part_slot = bolt.boot_reach, turned(bolt.part_reach, turn)
    on_boot, on_part = x * boot_slot[0] + y * boot_slot[1], x * part_slot[0] + y * part_slot[1]
    level = x * (part_arm[0] - boot_arm[0]) + y * (part_arm[1] - boot_arm[1]) - abs(on_boot) - abs(on_part) - bolt.play
    boot_kink, part_kink = _kink(on_boot, boot_slot), _kink(on_part, part_slot)
    if part_kink < boot_kink:
        turns, kink, arm, slot, sign = 1, boot_kink, boot_arm, boot_slot, 1.0 if on_boot > 0 else -1.0
    else:
        turns, kink, arm, slot, sign = 0, part_kink, part_arm, part_slot, -1.0 if on_part > 0 else 1.0
    a, b = arm[0] + sign * slot[0], arm[1] + sign * slot[1]
    return _Grip(x, y, turns, level, y * a - x * b, hypot(*arm) + hypot(*slot), kink)


def _kink(on_slot: float, slot: Vector) -> float:
    half = hypot(*slot)
    return abs(on_slot) / half if half else inf


def _tally(grips: list[_Grip], target: float) -> _Tally:
    value = rate = bend = weights = 0.0
    widest = _WIDEST_CLEARANCE
    for grip, one, other in zip(grips, grips[1:] + grips[:1], grips[2:] + grips[:2], strict=True):
        weight = one.along * other.across - one.across * other.along
        cosine = one.along * other.along + one.across * other.across
        twist, excess = other.turns - one.turns, grip.level - target
        value, weights = value + weight * excess, weights + weight
        rate += twist * cosine * excess + weight * grip.rate
        bend += abs(twist) * abs(excess) + (weight + abs(twist) * (2 + 2 * _WIDEST_CLEARANCE)) * grip.reach
        widest = min(widest, grip.kink, weight / abs(twist) if twist else inf)
    return _Tally(value, rate, bend, weights, widest)
