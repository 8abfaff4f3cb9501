"""Partial plans, grown position by position: what cannot come to what is asked for is dropped, and what is beaten.

A label is beaten by another that leaves the same open, is no worse in the order of plans and has spent no more by any
stage. The sweep is exact as long as no label is dropped for want of room.
"""

from __future__ import annotations

from collections.abc import Sequence
from time import monotonic
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from mountwright.upgrading.dominance import undominated
from mountwright.upgrading.pricing import Bound
from mountwright.upgrading.relaxation import Relaxation

Whole = NDArray[np.int64]
Floats = NDArray[np.float64]

#: So many pairs of label and choice are weighed at a time.
_PAIRS = 100_000

#: So many times the room may be grown before the beaten ones are taken out.
_GROWN = 4


class Quest(NamedTuple):
    """What a sweep looks for.

    Parameters
    ----------
    bounds : sequence of Bound
        One or more; labels are ranked by the last where there is no room for all.
    least : sequence of int
        What a plan has to come to under each bound.
    order : array of int (n, g)
        The order of plans, as :func:`mountwright.upgrading.packing.packed` gives it.
    room : int
        How many labels are kept.
    ends_at : float
        When to give up, on the monotonic clock.
    is_strict : bool
        Whether to give up as soon as there is no room.
    """

    bounds: Sequence[Bound]
    least: Sequence[int]
    order: Whole
    room: int
    ends_at: float
    is_strict: bool = False


class Sweep(NamedTuple):
    """What a sweep found.

    Parameters
    ----------
    rows : array of int or None
        Rows that make the best plan that was found, one a turn. It keeps the budgets, and may come to less than what
        was asked for.
    is_whole : bool
        Whether nothing that comes to what was asked for was dropped for want of room or time.
    """

    rows: Whole | None
    is_whole: bool


class _Labels(NamedTuple):
    """Partial plans, a row each: what they leave open, have spent and come to, and how they grew."""

    states: Whole
    costs: Whole
    orders: Whole
    worths: Floats
    parents: Whole
    rows: Whole

    def picked(self, chosen: Whole) -> _Labels:
        return _Labels(
            self.states[chosen],
            self.costs[chosen],
            self.orders[chosen],
            self.worths[chosen],
            self.parents[chosen],
            self.rows[chosen],
        )


def swept(relaxation: Relaxation, quest: Quest) -> Sweep:
    """Give the best plan that comes to what is asked for."""
    labels, is_whole = _none(relaxation, quest), True
    history = []
    for number in range(len(relaxation.turns)):
        labels, is_all = _grown(relaxation, quest, labels, number)
        labels = _unbeaten(relaxation, labels, number, quest.ends_at)
        is_whole &= is_all and len(labels.rows) <= quest.room
        # Late first: what time cut off says nothing.
        if monotonic() > quest.ends_at or (quest.is_strict and not is_whole):
            return Sweep(None, is_whole=False)
        if not len(labels.rows):
            return Sweep(None, is_whole)
        if len(labels.rows) > quest.room:
            labels = _most_hopeful(labels, quest, number)
        history.append((labels.parents, labels.rows))
    return Sweep(_traced(history), is_whole)


def _none(relaxation: Relaxation, quest: Quest) -> _Labels:
    """Give the one label before the first turn."""
    zero = np.zeros((1, 1), dtype=np.int64)
    costs, orders = zero.repeat(relaxation.stages, axis=1), zero.repeat(quest.order.shape[1], axis=1)
    return _Labels(zero[0], costs, orders, np.zeros((1, len(quest.bounds))), zero[0], zero[0])


def _grown(relaxation: Relaxation, quest: Quest, labels: _Labels, number: int) -> tuple[_Labels, bool]:
    """Give every label with every choice of a turn that can still come to what is asked for, and whether that is all.

    Where there are too many, the most hopeful are given.
    """
    part, most = relaxation.parts[number], _GROWN * quest.room
    step, count = max(1, _PAIRS // (part.stop - part.start)), len(labels.rows)
    pairs, hopes, is_all = np.zeros((2, 0), dtype=np.int64), np.zeros(0), True
    for start in range(0, count, step):
        if monotonic() > quest.ends_at or (quest.is_strict and not is_all):
            return labels.picked(pairs[0, :0]), False
        more = _hopeful(relaxation, quest, labels, number, np.arange(start, min(start + step, count)))
        pairs, hopes = np.concatenate([pairs, more[0]], axis=1), np.concatenate([hopes, more[1]])
        if len(hopes) > most:
            best = np.sort(np.argpartition(-hopes, most)[:most])
            pairs, hopes, is_all = pairs[:, best], hopes[best], False
    return _extended(relaxation, quest, labels, number, pairs), is_all


def _extended(relaxation: Relaxation, quest: Quest, labels: _Labels, number: int, pairs: Whole) -> _Labels:
    """Give labels with a row of the turn each."""
    parents, rows = pairs
    return _Labels(
        relaxation.turns[number].after[labels.states[parents], relaxation.courses[rows]],
        labels.costs[parents] + relaxation.table[rows, : relaxation.stages],
        labels.orders[parents] + quest.order[rows],
        labels.worths[parents] + np.column_stack([each.outlook.worth[rows] for each in quest.bounds]),
        parents,
        rows,
    )


def _hopeful(relaxation: Relaxation, quest: Quest, labels: _Labels, number: int, chunk: Whole) -> tuple[Whole, Floats]:
    """Give the pairs of label and row that keep the budgets and can still come to what is asked for, and their hopes.

    The pairs are (2, n); hopes are by the bound that labels are ranked by.
    """
    turn, part = relaxation.turns[number], relaxation.parts[number]
    after = turn.after[labels.states[chunk]][:, relaxation.courses[part]]
    fits = after < turn.states
    for stage, budget in enumerate(relaxation.field.budgets):
        fits &= labels.costs[chunk, stage][:, None] + relaxation.table[part, stage] <= budget
    label, row = np.nonzero(fits)
    hopes = np.zeros(len(label))
    for which, (bound, least) in enumerate(zip(quest.bounds, quest.least, strict=True)):
        hopes = labels.worths[chunk[label], which] + bound.outlook.worth[part][row]
        hopes += bound.outlook.best[number + 1][after[label, row]] + bound.constant
        is_hopeful = hopes >= least
        label, row, hopes = label[is_hopeful], row[is_hopeful], hopes[is_hopeful]
    return np.stack([chunk[label], row + part.start]), hopes


def _unbeaten(relaxation: Relaxation, labels: _Labels, number: int, ends_at: float) -> _Labels:
    """Give the labels that no other beats, by state, the best first; money that cannot run out does not count."""
    costs = np.maximum(labels.costs, relaxation.field.budgets - relaxation.dearest[number + 1])
    groups = labels.states.astype(np.int32)
    order = np.lexsort([*costs.T, *-labels.orders.T[::-1], groups])
    return labels.picked(order[undominated(costs[order], groups[order], ends_at=ends_at)])


def _most_hopeful(labels: _Labels, quest: Quest, number: int) -> _Labels:
    """Give as many labels as there is room for, in the same order."""
    hopes = labels.worths[:, -1] + quest.bounds[-1].outlook.best[number + 1][labels.states]
    return labels.picked(np.sort(np.argsort(-hopes, kind="stable")[: quest.room]))


def _traced(history: Sequence[tuple[Whole, Whole]]) -> Whole:
    at, found = 0, []
    for parents, rows in reversed(history):
        found.append(int(rows[at]))
        at = int(parents[at])
    return np.array(found[::-1], dtype=np.int64)
