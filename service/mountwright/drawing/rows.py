"""Labels side by side, each as near as it can be to what it belongs to, and none over another."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate, pairwise
from typing import NamedTuple

from mountwright.drawing.lettering import cut, width

#: Free room between two labels, in ems.
_APART = 0.5
#: A label further from its place, in ems, is better off in a row below, as long as there are not too many.
_ASIDE, _MOST_ROWS = 1.5, 3


class Label(NamedTuple):
    """A line of text and the place along the picture that it belongs to."""

    text: str
    x: float


class Placed(NamedTuple):
    """A label where it stands: its middle, and its row from 0."""

    text: str
    x: float
    row: int


def spread(labels: Sequence[Label], left: float, right: float, size: float) -> tuple[Placed, ...]:
    """Give labels a place between two ends in as few rows as hold them close to where they belong.

    Parameters
    ----------
    labels : sequence of Label
        From the left; their order stays, row by row. One that is too long for a row of its own is cut.
    left, right : float
        The ends, in the picture's units.
    size : float
        Of the letters.
    """
    free = _Row(left, right, size)
    whole = [Label(cut(label.text, size, free.width), label.x) for label in labels]
    fitting: list[tuple[Placed, ...]] = []
    for rows in range(1, max(len(whole), 1) + 1):
        dealt = [whole[row::rows] for row in range(rows)]
        if all(_length(part, size) <= free.width for part in dealt):
            fitting.append(tuple(each for row, part in enumerate(dealt) for each in _placed(part, row, free)))
            if rows >= _MOST_ROWS or _farthest(dealt, fitting[-1], free) <= _ASIDE * size:
                return fitting[-1]
    return fitting[0]


class _Row(NamedTuple):
    """What a row has: its ends, and the size of its letters."""

    left: float
    right: float
    size: float

    @property
    def width(self) -> float:
        return self.right - self.left


def _farthest(dealt: Sequence[Sequence[Label]], placed: Sequence[Placed], free: _Row) -> float:
    """Give how far the worst label stands from where it would, had it the row for itself."""
    alone = [place.x for row in dealt for label in row for place in _placed([label], 0, free)]
    return max((abs(place.x - x) for place, x in zip(placed, alone, strict=True)), default=0.0)


def _length(labels: Sequence[Label], size: float) -> float:
    return sum(width(label.text, size) for label in labels) + _APART * size * max(len(labels) - 1, 0)


def _placed(labels: Sequence[Label], row: int, free: _Row) -> list[Placed]:
    """Give the places closest to those wanted, by least squares: they are monotone once the widths are taken off."""
    if not labels:
        return []
    halves = [width(label.text, free.size) / 2 for label in labels]
    steps = [a + b + _APART * free.size for a, b in pairwise(halves)]
    starts = list(accumulate(steps, initial=0.0))
    low, high = free.left + halves[0], free.right - halves[-1] - starts[-1]
    wanted = _rising([label.x - start for label, start in zip(labels, starts, strict=True)])
    return [
        Placed(label.text, min(max(place, low), high) + start, row)
        for label, place, start in zip(labels, wanted, starts, strict=True)
    ]


def _rising(values: Sequence[float]) -> list[float]:
    """Give the nearest values of which none is below the one before it (pool adjacent violators)."""
    pools: list[tuple[float, int]] = []
    for value in values:
        mean, size = value, 1
        while pools and pools[-1][0] > mean:
            other, more = pools.pop()
            mean, size = (mean * size + other * more) / (size + more), size + more
        pools.append((mean, size))
    return [mean for mean, size in pools for _ in range(size)]
