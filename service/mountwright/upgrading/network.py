"""The positions one after the other, and what the ones before leave open for the ones after.

Open is the course of a position that is still to meet a linked one. A state is what is open, one course a position.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import prod
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from mountwright.upgrading.choices import Field

Whole = NDArray[np.int64]
Small = NDArray[np.int32]
Floats = NDArray[np.float64]


class Turn(NamedTuple):
    """A position's turn.

    Parameters
    ----------
    place : int
        Of the position.
    after : array of int (s, c)
        State after it, by the state before and its course; the number of states after for what does not go
        together.
    states : int
        How many states there are after it.
    courses, afters : array of int (m,)
        Of every state before with every course that goes together with it, by state: the course and the state after.
    firsts : array of int (s,)
        Where each state before begins in them; each has one at least.
    """

    place: int
    after: Small
    states: int
    courses: Whole
    afters: Whole
    firsts: Whole


class _Pairs(NamedTuple):
    """Every state before with every course that goes together with it, by state, and the state after."""

    states: int
    before: Whole
    courses: Whole
    after: Whole


def turns(field: Field) -> tuple[Turn, ...]:
    """Give the turns, linked positions first, each next one such that as little as possible is open."""
    open_now: tuple[int, ...] = ()
    states = np.zeros((1, 0), dtype=np.int64)
    joined: list[_Pairs] = []
    order = _order(field)
    for number, place in enumerate(order):
        open_next = _open_after(field, open_now, order[number + 1 :], place)
        pairs, states = _joined(field, open_now, states, place, open_next)
        joined.append(pairs)
        open_now = open_next
    return tuple(_alive(field, order, joined))


def most_pairs(field: Field) -> int:
    """Give how many pairs of a state and a course the largest turn has at most, without making them."""
    open_now: tuple[int, ...] = ()
    most, order = 0, _order(field)
    for number, place in enumerate(order):
        most = max(most, prod(field.counts[each] for each in (*open_now, place)))
        open_now = _open_after(field, open_now, order[number + 1 :], place)
    return most


def _order(field: Field) -> list[int]:
    found: list[int] = []
    left = list(range(len(field.choices)))
    open_now: tuple[int, ...] = ()
    linked = {place for pair in field.together for place in pair}
    while left:
        opened = {
            place: _open_after(field, open_now, [each for each in left if each != place], place) for place in left
        }
        weights = {place: prod(field.counts[each] for each in opened[place]) for place in left}
        found.append(min(left, key=lambda place: (place not in linked, weights[place], place)))
        left.remove(found[-1])
        open_now = opened[found[-1]]
    return found


def _open_after(field: Field, open_now: tuple[int, ...], left: Sequence[int], place: int) -> tuple[int, ...]:
    return tuple(each for each in (*open_now, place) if any((each, other) in field.together for other in left))


def _joined(
    field: Field, open_now: tuple[int, ...], states: Whole, place: int, open_next: tuple[int, ...]
) -> tuple[_Pairs, Whole]:
    """Give the pairs of a turn, and the states after it by the courses that are open."""
    passing = np.ones((len(states), field.counts[place]), dtype=np.bool_)
    for column, each in enumerate(open_now):
        if (each, place) in field.together:
            passing &= field.together[each, place][states[:, column]]
    before, courses = np.nonzero(passing)
    known = {each: states[before, column] for column, each in enumerate(open_now)} | {place: courses}
    codes = np.zeros(len(before), dtype=np.int64)
    for each in open_next:
        codes = codes * field.counts[each] + known[each]
    _, firsts, after = np.unique(codes, return_index=True, return_inverse=True)
    rows = [known[each][firsts] for each in open_next]
    return _Pairs(len(states), before, courses, after), np.stack(rows, axis=1) if rows else np.zeros(
        (1, 0), dtype=np.int64
    )


def _alive(field: Field, order: Sequence[int], joined: Sequence[_Pairs]) -> list[Turn]:
    """Give the turns without the states that lead nowhere."""
    found: list[Turn] = []
    is_alive = np.ones(1, dtype=np.bool_)
    for place, pairs in zip(reversed(order), reversed(joined), strict=True):
        states = int(is_alive.sum())
        kept = is_alive[pairs.after]
        afters = (np.cumsum(is_alive) - 1)[pairs.after[kept]]
        before, courses = pairs.before[kept], pairs.courses[kept]
        is_alive = np.bincount(before, minlength=pairs.states) > 0
        before = (np.cumsum(is_alive) - 1)[before]
        after = np.full((int(is_alive.sum()), field.counts[place]), states, dtype=np.int32)
        after[before, courses] = afters
        found.append(Turn(place, after, states, courses, afters, np.searchsorted(before, np.arange(len(after)))))
    return found[::-1]
