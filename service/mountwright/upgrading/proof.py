"""The best plan, level by level, with the proof that none is better.

Each level is settled in turn with the levels before it held at their best: by its bound alone, or by a sweep that finds
nothing better. Choices that no best plan can hold go as soon as a bound shows it. As early as there is room, one sweep
in the whole order over all that can still be the best ends it.
"""

from __future__ import annotations

from math import floor
from time import monotonic
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from mountwright.upgrading.choices import Field
from mountwright.upgrading.labels import Quest, Sweep, swept
from mountwright.upgrading.packing import packed
from mountwright.upgrading.pricing import Bound, Level, bound
from mountwright.upgrading.relaxation import Relaxation

Whole = NDArray[np.int64]

#: Labels that a sweep may keep at first, by the pairs of label and choice that come to, and how many times more each
#: further one.
_LEAST_ROOM, _PAIRS, _MOST_ROOM, _MORE = 50, 2_000_000, 5000, 8

#: Labels that the one sweep may keep that is to end it.
_ROOM_TO_END = 8000


class Found(NamedTuple):
    """A plan and what is known of it.

    Parameters
    ----------
    chosen : tuple of (int, int)
        For each position the place of its option and the stage from 0; -1 and the number of stages where it stays.
    value : tuple of int
        What it comes to, level by level.
    limit : tuple of int
        No plan is larger, level by level; shorter than ``value`` where time ended before.
    is_proved : bool
    """

    chosen: tuple[tuple[int, int], ...]
    value: tuple[int, ...]
    limit: tuple[int, ...]
    is_proved: bool


class _Settled(NamedTuple):
    """A level that is done."""

    level: int
    bound: Bound
    least: int


class Proof:
    """The search for the best plan.

    Parameters
    ----------
    field : Field
        Of one position or more.
    ends_at : float
        When to give up, on the monotonic clock.
    """

    def __init__(self, field: Field, ends_at: float) -> None:
        self._relaxation, self._ends_at = Relaxation(field), ends_at
        self._plan = self._relaxation.as_is
        self._settled: list[_Settled] = []

    @property
    def _value(self) -> tuple[int, ...]:
        return self._relaxation.value(self._plan)

    @property
    def _is_late(self) -> bool:
        return monotonic() > self._ends_at

    def found(self) -> Found:
        """Give the best plan, or the best so far when time ends."""
        levels = np.flatnonzero(self._relaxation.table[:, self._relaxation.stages :].any(axis=0)).tolist()
        for level in levels:
            limit = self._limit(level)
            if limit > self._value[level]:
                return self._told((*self._value[:level], limit), is_proved=False)
            self._trim()
            if level != levels[0] and self._ended(_ROOM_TO_END):
                return self._told(self._value, is_proved=True)
        room, is_proved = _ROOM_TO_END, not levels
        while not (is_proved or self._is_late):
            room *= _MORE
            is_proved = self._ended(room)
        return self._told(self._value, is_proved=is_proved)

    def _limit(self, level: int) -> int:
        """Raise the plan to the best at a level and settle it; give what no plan exceeds there."""
        found = bound(self._relaxation, self._plan, Level(level, self._value[:level], self._value[level]))
        limit = floor(found.limit)
        room = min(_MOST_ROOM, max(_LEAST_ROOM, _PAIRS // len(self._relaxation.table)))
        order = packed(self._relaxation, level + 1, with_ties=False)
        while limit > self._value[level] and not self._is_late:
            aims = [*(each.least for each in self._settled), self._value[level] + 1]
            bounds = [*(each.bound for each in self._settled), found]
            sweep = swept(self._relaxation, Quest(bounds, aims, order, room, self._ends_at))
            is_better = self._taken(sweep, level + 1)
            if sweep.is_whole:
                limit = self._value[level]
            elif not is_better:
                room *= _MORE
        self._settled.append(_Settled(level, found, self._value[level]))
        return limit

    def _taken(self, sweep: Sweep, levels: int) -> bool:
        """Take what a sweep found if it is better at the first levels; tell whether it is."""
        if sweep.rows is None or self._relaxation.value(sweep.rows)[:levels] <= self._value[:levels]:
            return False
        self._plan = sweep.rows
        return True

    def _trim(self) -> None:
        """Leave out the choices that no best plan can hold."""
        relaxation = self._relaxation
        kept = np.ones(len(relaxation.table), dtype=np.bool_)
        for each in self._settled:
            kept &= relaxation.hopes(each.bound.outlook) + each.bound.constant >= each.least
        if not kept.all():
            self._relaxation, self._plan = relaxation.fewer(kept, self._plan)
            self._settled = [each._replace(bound=each.bound.of(self._relaxation)) for each in self._settled]

    def _ended(self, room: int) -> bool:
        """Take the best in the whole order of all that comes to what is settled, if there is room to look at it."""
        order = packed(self._relaxation, len(self._value), with_ties=True)
        bounds, least = [each.bound for each in self._settled], [each.least for each in self._settled]
        sweep = swept(self._relaxation, Quest(bounds, least, order, room, self._ends_at, is_strict=True))
        if sweep.rows is not None and sweep.is_whole:
            self._plan = sweep.rows
        return sweep.is_whole

    def _told(self, limit: tuple[int, ...], *, is_proved: bool) -> Found:
        rows = dict(zip((turn.place for turn in self._relaxation.turns), self._plan.tolist(), strict=True))
        starts = {
            turn.place: part.start for turn, part in zip(self._relaxation.turns, self._relaxation.parts, strict=True)
        }
        chosen = []
        for place, choices in enumerate(self._relaxation.field.choices):
            row = rows[place] - starts[place]
            chosen.append((int(choices.options[row]), int(choices.stages[row])))
        return Found(tuple(chosen), self._value, limit, is_proved)
