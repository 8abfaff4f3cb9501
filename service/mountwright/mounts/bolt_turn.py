"""The best turn of a part, with a proof that no other turn is better.

Every turn tried gives a floor under all turns (`mountwright.mounts.bolt_floor`). Between two turns tried, the higher
of their floors has a lowest point: the next turn to try. The search ends when no floor leaves room for anything
better than the best place found, so that neither a false yes nor a false no is possible.

Lengths are micrometres, turns are radians.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from heapq import heappop, heappush
from itertools import combinations, count, pairwise
from math import hypot
from typing import NamedTuple

from mountwright.errors import PatternError
from mountwright.mounts.bolt_floor import Floor, clear_turn, floor_under, lowest_between, rate_of_turn
from mountwright.mounts.bolt_shift import FIRST_TOUCHES, Bolt, Rest, Vector, best_shift

TURN_TOLERANCE = 1e-4
_SHIFT_TOLERANCE = 1e-5
# Far from the end a shift need not be exact, it only has to rule turns out; of 0, 0.02, 0.1 and 0.3 this was quickest.
_SHARE_OF_GAP = 0.02
_MOST_TURNS = 5_000
# Radians to a turn that lies on the other side of a best turn, and still is like it.
_BESIDE = 1e-5
_SMALLEST_WEIGHT = 1e-9


class Pull(NamedTuple):
    """What one bolt's place counts for: its index, its weight, and the direction from its spot to the shift."""

    bolt: int
    weight: float
    along: float
    across: float


class Place(NamedTuple):
    """The best place of a part.

    Attributes
    ----------
    over : float
        What the worst bolt misses by here; 0 or less passes.
    turn : float
        Turn of the part.
    shift : tuple of float
        Shift after the turn.
    pulls : tuple of Pull
        The bolts that decide; weights of sum 1, the weighted directions cancel.
    """

    over: float
    turn: float
    shift: Vector
    pulls: tuple[Pull, ...]


class _Tried(NamedTuple):
    """A turn, the best shift for it, and what that proves about other turns."""

    turn: float
    rest: Rest
    floor: Floor


class _Stretch(NamedTuple):
    """Turns from ``low`` to ``high``, the floors from both sides, and where the higher of them is lowest."""

    at_least: float
    order: int
    turn: float
    low: float
    high: float
    left: _Tried
    right: _Tried


def best_turn(bolts: Sequence[Bolt], largest: float) -> Place:
    """Find the place at which the worst bolt misses least.

    Parameters
    ----------
    bolts : sequence of Bolt
        At least one.
    largest : float
        Largest turn to either side, included, 0 to pi.

    Returns
    -------
    Place
        No place within the largest turn is better by more than `TURN_TOLERANCE`.

    Raises
    ------
    PatternError
        If 5,000 turns do not settle it; no such pattern is known.

    Notes
    -----
    The search is that of S. A. Piyavskii (1972) with floors that curve with the turn instead of straight slopes.
    """
    return _Search(bolts).run(largest)


def pulls_alone(bolts: Sequence[Bolt]) -> tuple[Pull, ...]:
    """Say what counts where diameters alone set the margin.

    Parameters
    ----------
    bolts : sequence of Bolt
        At least one.

    Returns
    -------
    tuple of Pull
        Usually the tightest bolt, without direction, as no small move of a hole changes anything. Where several
        equally tight bolts in round holes are all centred, any change of their spacing takes margin away; then the
        two furthest apart, each with half the weight.
    """
    alone = max(bolt.alone for bolt in bolts)
    centred = [i for i, bolt in enumerate(bolts) if bolt.alone == alone == -bolt.play and _round(bolt)]
    pairs = [(hypot(*_spacing(bolts[i], bolts[j])), i, j) for i, j in combinations(centred, 2)]
    spacing, first, second = max(pairs, default=(0.0, 0, 0))
    if not spacing:
        return (Pull(next(i for i, bolt in enumerate(bolts) if bolt.alone == alone), 1.0, 0.0, 0.0),)
    along, across = (part / spacing for part in _spacing(bolts[first], bolts[second]))
    return Pull(first, 0.5, along, across), Pull(second, 0.5, -along, -across)


def _round(bolt: Bolt) -> bool:
    return bolt.boot_reach == bolt.part_reach == (0.0, 0.0)


def _spacing(first: Bolt, second: Bolt) -> Vector:
    return second.boot[0] - first.boot[0], second.boot[1] - first.boot[1]


class _Search:
    """The stretches of turns that may still hold something better, the most promising one first."""

    def __init__(self, bolts: Sequence[Bolt]) -> None:
        self._bolts = bolts
        self._alone = max(bolt.alone for bolt in bolts)
        self._two_slotted = all(any(any(reach) for reach in side) for side in self._reaches())
        self._stretches: list[_Stretch] = []
        self._order = count()
        self._best = self._tried(0.0, None, _SHIFT_TOLERANCE)

    def _reaches(self) -> tuple[list[Vector], list[Vector]]:
        return [bolt.boot_reach for bolt in self._bolts], [bolt.part_reach for bolt in self._bolts]

    def run(self, largest: float) -> Place:
        straight = self._best
        self._add(-largest, 0.0, straight, straight)
        self._add(0.0, largest, straight, straight)
        for _ in range(_MOST_TURNS):
            at_least = self._stretches[0].at_least if self._stretches else self._best.rest.over
            gap = self._best.rest.over - max(at_least, self._alone)
            if gap <= TURN_TOLERANCE:
                return self._place(largest)
            self._try_in(heappop(self._stretches), max(_SHIFT_TOLERANCE, _SHARE_OF_GAP * gap))
        raise PatternError(f"no certain answer after {_MOST_TURNS} turns", "patterns that can be compared")

    def _tried(self, turn: float, start: Rest | None, tolerance: float) -> _Tried:
        rest = best_shift(self._bolts, turn, start.touches if start else FIRST_TOUCHES, self._alone, tolerance)
        return _Tried(turn, rest, floor_under(self._bolts, rest, turn))

    def _try_in(self, stretch: _Stretch, tolerance: float) -> None:
        _, _, turn, low, high, left, right = stretch
        nearer = left if turn - low < high - turn else right
        tried = self._tried(turn, nearer.rest, tolerance)
        if tried.rest.over < self._best.rest.over:
            self._best = tried
        clear = self._clear(tried)
        if turn - clear > low:
            self._add(low, turn - clear, left, tried)
        if turn + clear < high:
            self._add(turn + clear, high, tried, right)

    def _clear(self, tried: _Tried) -> float:
        target = self._best.rest.over - TURN_TOLERANCE
        return clear_turn(self._bolts, tried.rest, tried.turn, target) if self._two_slotted else 0.0

    def _add(self, low: float, high: float, left: _Tried, right: _Tried) -> None:
        kinks = {*left.floor.kinks_between(low, high), *right.floor.kinks_between(low, high)}
        for start, end in pairwise([low, *sorted(kinks), high]):
            waves = left.floor.wave_between(start, end), right.floor.wave_between(start, end)
            at_least, turn = lowest_between(*waves, start, end)
            heappush(self._stretches, _Stretch(at_least, next(self._order), turn, start, end, left, right))

    def _place(self, largest: float) -> Place:
        turn, rest, _ = self._best
        if rest.over <= self._alone + TURN_TOLERANCE:
            return Place(rest.over, turn, rest.shift, pulls_alone(self._bolts))
        return Place(rest.over, turn, rest.shift, _merged(self._balanced(largest)))

    def _balanced(self, largest: float) -> Iterator[Pull]:
        """Mix the touches on both sides of the best turn so that their turning effects cancel too."""
        turn, rest, _ = self._best
        rate = rate_of_turn(self._bolts, rest, turn)
        other_turn = max(-largest, min(largest, turn + (_BESIDE if rate < 0 else -_BESIDE)))
        other = self._tried(other_turn, rest, _SHIFT_TOLERANCE).rest
        other_rate = rate_of_turn(self._bolts, other, other_turn)
        share = rate / (rate - other_rate) if rate * other_rate < 0 else 0.0
        for source, part in ((rest, 1 - share), (other, share)):
            for touch, weight in zip(source.touches, source.weights, strict=True):
                yield Pull(touch.bolt, part * weight, touch.along, touch.across)


def _merged(pulls: Iterator[Pull]) -> tuple[Pull, ...]:
    """Join the pulls of one bolt into one, of their mean direction."""
    by_bolt: dict[int, list[Pull]] = {}
    for pull in pulls:
        by_bolt.setdefault(pull.bolt, []).append(pull)
    joined = (_joined(bolt, by_bolt[bolt]) for bolt in sorted(by_bolt))
    return tuple(pull for pull in joined if pull.weight > _SMALLEST_WEIGHT)


def _joined(bolt: int, pulls: Sequence[Pull]) -> Pull:
    weight = sum(pull.weight for pull in pulls)
    along = sum(pull.weight * pull.along for pull in pulls)
    across = sum(pull.weight * pull.across for pull in pulls)
    return Pull(bolt, weight, along / (weight or 1.0), across / (weight or 1.0))
