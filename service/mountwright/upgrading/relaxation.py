"""The problem with its budgets and settled levels priced instead of kept: an upper bound, and what each choice loses.

Any prices of 0 or more bound the objective from above (Lagrangian relaxation; Fisher 1981, Management Science 27:1).
What goes together is kept exactly, by passing the best completion back from the last turn to the first.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from mountwright.upgrading.choices import Field
from mountwright.upgrading.network import Turn, turns

Whole = NDArray[np.int64]
Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


class Outlook(NamedTuple):
    """The best that can still come, at given prices.

    Parameters
    ----------
    worth : array of float
        Of every row of the table, less its price.
    best : tuple of array of float
        For each turn, and after the last, the best from it on by the state before it; one more of minus infinity for
        no state.
    """

    worth: Floats
    best: tuple[Floats, ...]


class Relaxation:
    """All choices in one table, a row each, positions in turn.

    Parameters
    ----------
    field : Field
        Of one position or more.

    Attributes
    ----------
    turns : tuple of Turn
    parts : tuple of slice
        The rows of each turn.
    table : array of int (n, k + v)
        What has been spent by each stage, then what is added to each level.
    courses : array of int (n,)
    dearest : array of int (t + 1, k)
        The most that can still be spent by each stage from a turn on.
    """

    def __init__(self, field: Field) -> None:
        self.field = field
        self.stages = len(field.budgets)
        self.turns: tuple[Turn, ...] = turns(field)
        ordered = [field.choices[turn.place] for turn in self.turns]
        ends = np.cumsum([0, *(len(choices.ties) for choices in ordered)])
        self.parts = tuple(slice(start, end) for start, end in pairwise(ends.tolist()))
        self.table: Whole = np.vstack([np.hstack([choices.costs, choices.values]) for choices in ordered])
        self.courses: Whole = np.concatenate([choices.courses for choices in ordered])
        tops = np.array([choices.costs.max(axis=0) for choices in ordered] + [np.zeros(self.stages, dtype=np.int64)])
        self.dearest: Whole = np.cumsum(tops[::-1], axis=0)[::-1]
        self._floats: Floats = self.table.astype(np.float64)
        # Rows stand by course, so that the best of each course is the best of a stretch.
        begins = np.ones(len(self.courses), dtype=np.bool_)
        begins[1:] = self.courses[1:] != self.courses[:-1]
        begins[ends[:-1]] = True
        self._firsts: Whole = np.flatnonzero(begins)
        cuts = np.searchsorted(self._firsts, ends)
        self._stretches = tuple(slice(start, end) for start, end in pairwise(cuts.tolist()))

    @property
    def as_is(self) -> Whole:
        """Give the rows that leave the skate as it is; they are there until :meth:`fewer` takes them out."""
        return np.flatnonzero(np.concatenate([self.field.choices[turn.place].options < 0 for turn in self.turns]))

    def value(self, rows: Whole) -> tuple[int, ...]:
        """Give what a plan comes to, level by level."""
        return tuple(self.table[rows, self.stages :].sum(axis=0).tolist())

    def outlook(self, prices: Floats) -> Outlook:
        """Give the best that can still come.

        Parameters
        ----------
        prices : array of float (k + v,)
            What a unit of each column of the table is worth: 0 or below for money.
        """
        worth = self._floats @ prices
        tops = np.maximum.reduceat(worth, self._firsts)
        best = [np.array([0.0, -np.inf])]
        for turn, stretch in zip(reversed(self.turns), reversed(self._stretches), strict=True):
            reached = best[-1][turn.afters] + tops[stretch][turn.courses]
            best.append(np.append(np.maximum.reduceat(reached, turn.firsts), -np.inf))
        return Outlook(worth, tuple(best[::-1]))

    def best(self, outlook: Outlook) -> Whole:
        """Give the rows that make the best of an outlook, one a turn."""
        state, found = 0, []
        for turn, part, best in zip(self.turns, self.parts, outlook.best[1:], strict=True):
            after = turn.after[state][self.courses[part]]
            row = int(np.argmax(outlook.worth[part] + best[after]))
            found.append(part.start + row)
            state = int(after[row])
        return np.array(found, dtype=np.int64)

    def hopes(self, outlook: Outlook) -> Floats:
        """Give for each row the best of the plans that it is in, at the prices of an outlook."""
        tops = np.maximum.reduceat(outlook.worth, self._firsts)
        so_far, found = np.zeros(1), np.empty_like(outlook.worth)
        for number, (turn, part) in enumerate(zip(self.turns, self.parts, strict=True)):
            rest = (so_far[:, None] + outlook.best[number + 1][turn.after]).max(axis=0)
            found[part] = outlook.worth[part] + rest[self.courses[part]]
            reached = so_far[:, None] + tops[self._stretches[number]]
            so_far = np.full(turn.states + 1, -np.inf)
            np.maximum.at(so_far, turn.after.ravel(), reached.ravel())
            so_far = so_far[:-1]
        return found

    def fewer(self, kept: Flags, plan: Whole) -> tuple[Relaxation, Whole]:
        """Give the same with some of the rows only, and where the rows of a plan stand in it; they have to be kept."""
        by_place = {turn.place: part for turn, part in zip(self.turns, self.parts, strict=True)}
        flags = [kept[by_place[place]] for place in range(len(by_place))]
        found = Relaxation(self.field.fewer(flags))
        chosen = dict(zip((turn.place for turn in self.turns), plan.tolist(), strict=True))
        return found, found._moved(chosen, by_place, kept)

    def _moved(self, chosen: dict[int, int], by_place: dict[int, slice], kept: Flags) -> Whole:
        rows: Sequence[int] = [
            part.start + int(kept[by_place[turn.place].start : chosen[turn.place]].sum())
            for turn, part in zip(self.turns, self.parts, strict=True)
        ]
        return np.array(rows, dtype=np.int64)
