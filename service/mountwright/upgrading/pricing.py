"""The prices at which the relaxation bounds best: a small linear programme whose columns are whole plans.

Columns come from the relaxation itself (Dantzig, Wolfe 1960, Operations Research 8:101). Prices that are not the best
ones still bound, so that the search may stop at any time.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import floor, inf
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from mountwright.upgrading.relaxation import Outlook, Relaxation
from mountwright.upgrading.simplex import Master

Whole = NDArray[np.int64]
Floats = NDArray[np.float64]

#: Looks for better prices, at most; a bound this much above the best one, in units of its level, is good enough.
_LOOKS, _CLOSE = 200, 0.02

#: What the arithmetic of a bound may be out by, as a share of what is summed up.
_DOUBT = 1e-9


class Level(NamedTuple):
    """What is bounded.

    Parameters
    ----------
    column : int
        The level's column among the values.
    floors : tuple of int
        What the levels before it have to come to.
    known : int
        What a plan is known to come to at the level; a bound as low as that is good enough.
    """

    column: int
    floors: tuple[int, ...]
    known: int


class Bound(NamedTuple):
    """What no plan exceeds at one level while it keeps budgets and the levels before.

    Parameters
    ----------
    limit : float
        The bound, doubt of the arithmetic included.
    constant : float
        What is added to an outlook's figures, doubt included.
    prices : array of float (k + v,)
        Of a unit of each column of the table.
    outlook : Outlook
    """

    limit: float
    constant: float
    prices: Floats
    outlook: Outlook

    def of(self, relaxation: Relaxation) -> Bound:
        """Give the same for a relaxation with fewer choices."""
        return self._replace(outlook=relaxation.outlook(self.prices))


def bound(relaxation: Relaxation, plan: Whole, level: Level) -> Bound:
    """Give the best bound that so many looks find.

    Parameters
    ----------
    relaxation : Relaxation
    plan : array of int
        Rows of a plan that keeps budgets and floors.
    level : Level
    """
    rows = _Rows(relaxation, level)
    slack, worth = rows.of(plan)
    master = Master(slack, worth)
    best, trusted = Bound(inf, 0.0, np.zeros(0), Outlook(np.zeros(0), ())), np.zeros(len(slack))
    for look in range(_LOOKS):
        prices = master.prices()
        # Half-way to the best prices so far: the newest ones alone swing about (in-out separation).
        at = prices if look == 0 else (prices + trusted) / 2
        found = _bounded(relaxation, rows.priced(at), rows.constant(at))
        if found.limit < best.limit:
            best, trusted = found, at
        if floor(best.limit) <= level.known or best.limit - master.mixture < _CLOSE:
            break
        master.add(*rows.of(relaxation.best(found.outlook)))
    return best


class _Rows:
    """Budgets and floors as rows of the linear programme, each scaled to about 1."""

    def __init__(self, relaxation: Relaxation, level: Level) -> None:
        self._relaxation, self._level = relaxation, level
        self._limits = np.concatenate([relaxation.field.budgets, np.array(level.floors, dtype=np.int64)])
        self._signs = np.concatenate([np.ones(relaxation.stages), -np.ones(len(level.floors))])
        self._scales = 1.0 / (np.abs(self._limits) + 1)

    def of(self, plan: Sequence[int] | Whole) -> tuple[Floats, float]:
        """Give what a plan leaves of each row, and what it comes to at the level."""
        sums = self._relaxation.table[plan].sum(axis=0)
        left = (self._limits - sums[: len(self._limits)]) * self._signs * self._scales
        return left, float(sums[self._relaxation.stages + self._level.column])

    def priced(self, prices: Floats) -> Floats:
        """Give what a unit of each column of the table is worth."""
        found = np.zeros(self._relaxation.table.shape[1])
        found[: len(self._limits)] = -prices * self._signs * self._scales
        found[self._relaxation.stages + self._level.column] = 1.0
        return found

    def constant(self, prices: Floats) -> float:
        """Give what is paid for all that the rows leave."""
        return float((prices * self._signs * self._scales) @ self._limits)


def _bounded(relaxation: Relaxation, prices: Floats, constant: float) -> Bound:
    outlook = relaxation.outlook(prices)
    summed = abs(constant) + float(np.abs(relaxation.table * prices).max(axis=0).sum()) * len(relaxation.turns)
    above = constant + _DOUBT * (1 + summed)
    return Bound(above + float(outlook.best[0][0]), above, prices, outlook)
