"""How often each step of a stage keeps its place when the estimates behind its order are other than taken.

Gains and prices are drawn from their ranges at 2,000 fixed points that fill the ranges evenly: an additive recurrence
by the square roots of the primes (Richtmyer 1951; Niederreiter 1978, Bulletin of the AMS 84:957). There is no random
generator, and nothing is planned anew: only the order of what was chosen is drawn.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import count, islice
from math import isqrt, sqrt

import numpy as np
from numpy.typing import NDArray

from mountwright.errors import InvalidQuantityError
from mountwright.upgrading.ordering import Task, check_tasks, ordered, waits

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]

#: How many points there are.
POINTS = 2000


@dataclass(frozen=True)
class Spread:
    """Between what the estimates of a task may lie.

    Parameters
    ----------
    gains : tuple of (float, float)
        The least and the most of each gain, 0 or more.
    price : (float, float)
        The least and the most of the price, 0 or more.

    Raises
    ------
    InvalidQuantityError
        For a least above its most, or figures below 0.
    """

    gains: tuple[tuple[float, float], ...]
    price: tuple[float, float]

    def __post_init__(self) -> None:
        for least, most in (*self.gains, self.price):
            if not 0 <= least <= most:
                raise InvalidQuantityError((least, most), "the least and the most, 0 or more")


def kept_places(tasks: Sequence[Task], spreads: Mapping[str, Spread]) -> dict[str, float]:
    """Give for each task, by key, the share of points at which it keeps the place that :func:`ordered` gives it.

    Parameters
    ----------
    tasks : sequence of Task
        As :func:`mountwright.upgrading.ordering.ordered` takes them.
    spreads : mapping of str to Spread
        By key. A task without one is taken to be known exactly.

    Raises
    ------
    InvalidQuantityError
        As :func:`mountwright.upgrading.ordering.ordered`, and for a spread with fewer or more gains than its task.
    """
    best = ordered(tasks)
    check_tasks(best)
    if not best:
        return {}
    gains, prices = _drawn(best, spreads)
    before = waits(best)
    places = _by_subsets(gains, prices, before) if before else _by_rule(gains, prices)
    kept = (places == np.arange(len(best))).mean(axis=0)
    return {task.key: float(share) for task, share in zip(best, kept, strict=True)}


def points(dimensions: int) -> Floats:
    """Give the points, (2000, d), each figure above 0 and below 1.

    Parameters
    ----------
    dimensions : int
        1 or more.
    """
    steps = np.array([sqrt(prime) for prime in islice(_primes(), dimensions)])
    return np.asarray((0.5 + np.arange(1, POINTS + 1)[:, None] * steps) % 1.0, dtype=np.float64)


def _primes() -> Iterator[int]:
    for number in count(2):
        if all(number % each for each in range(2, isqrt(number) + 1)):
            yield number


def _drawn(tasks: Sequence[Task], spreads: Mapping[str, Spread]) -> tuple[Floats, Floats]:
    """Give gains (2000, n, g) and prices (2000, n)."""
    ranges = []
    for task in tasks:
        spread = spreads.get(task.key) or Spread(tuple((gain, gain) for gain in task.gains), (task.price, task.price))
        if len(spread.gains) != len(task.gains):
            raise InvalidQuantityError(spread.gains, f"ranges of {len(task.gains)} gains for {task.key!r}")
        ranges.append([*spread.gains, spread.price])
    least, most = np.moveaxis(np.array(ranges, dtype=np.float64), 2, 0)
    shares = points(least.size).reshape(POINTS, *least.shape)
    drawn = least + shares * (most - least)
    return drawn[..., :-1], drawn[..., -1]


def _by_rule(gains: Floats, prices: Floats) -> Whole:
    """Give the place of each task at each point where none waits: how many go before it."""
    tasks = prices.shape[1]
    is_ahead = np.zeros((len(prices), tasks, tasks), dtype=np.bool_)
    is_equal = np.ones_like(is_ahead)
    is_free = prices == 0
    for mine in np.moveaxis(gains, 2, 0):
        rate, other = mine[:, :, None] * prices[:, None, :], mine[:, None, :] * prices[:, :, None]
        is_ahead |= is_equal & (rate > other)
        is_equal &= rate == other
    one, other_free = is_free[:, :, None], is_free[:, None, :]
    is_ahead = np.where(one | other_free, one & ~other_free, is_ahead)
    is_equal = np.where(one | other_free, one & other_free, is_equal)
    # Equal ones keep the order that they are handed in.
    is_ahead |= is_equal & np.triu(np.ones((tasks, tasks), dtype=np.bool_), 1)
    return np.asarray(is_ahead.sum(axis=1), dtype=np.int64)


def _by_subsets(gains: Floats, prices: Floats, before: Sequence[Sequence[int]]) -> Whole:
    """Give the place of each task at each point where some wait, by what has been done so far."""
    masks = [sum(1 << place for place in places) for places in before]
    return np.concatenate([_chunk_by_subsets(gains[part], prices[part], masks) for part in _CHUNKS])


#: Points are weighed so many at a time, to keep memory small.
_CHUNKS = [slice(start, start + 100) for start in range(0, POINTS, 100)]


def _chunk_by_subsets(gains: Floats, prices: Floats, masks: Sequence[int]) -> Whole:
    tasks, everything = len(masks), (1 << len(masks)) - 1
    best = {everything: np.zeros((len(prices), gains.shape[2]))}
    firsts: dict[int, Whole] = {}
    for done in range(everything - 1, -1, -1):
        open_now = [place for place in range(tasks) if not done >> place & 1 and not masks[place] & ~done]
        if any(done >> place & 1 and masks[place] & ~done for place in range(tasks)):
            continue
        spent = prices[:, [place for place in range(tasks) if done >> place & 1]].sum(axis=1)
        costs = [best[done | 1 << place] + gains[:, place] * (spent + prices[:, place])[:, None] for place in open_now]
        best[done], which = _smallest(costs)
        firsts[done] = np.array(open_now)[which]
    return _walked(firsts, len(prices), tasks)


def _smallest(costs: Sequence[Floats]) -> tuple[Floats, Whole]:
    """Give the lexicographically smallest of several at each point, and which it is, the first of equal ones."""
    found, which = costs[0].copy(), np.zeros(len(costs[0]), dtype=np.int64)
    for number, each in enumerate(costs[1:], start=1):
        is_less, is_equal = np.zeros((2, len(found)), dtype=np.bool_)
        is_equal[:] = True
        for mine, theirs in zip(each.T, found.T, strict=True):
            is_less |= is_equal & (mine < theirs)
            is_equal &= mine == theirs
        found[is_less], which[is_less] = each[is_less], number
    return found, which


def _walked(firsts: Mapping[int, Whole], points_count: int, tasks: int) -> Whole:
    places = np.zeros((points_count, tasks), dtype=np.int64)
    for point in range(points_count):
        done = 0
        for turn in range(tasks):
            place = int(firsts[done][point])
            places[point, place] = turn
            done |= 1 << place
    return places
