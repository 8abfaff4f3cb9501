"""The order of plans as few whole numbers that add up: levels of the objective, then stage and key by position."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from mountwright.upgrading.relaxation import Relaxation

Whole = NDArray[np.int64]

#: The numbers stay below this.
_MOST = 2**62


def packed(relaxation: Relaxation, levels: int, *, with_ties: bool) -> Whole:
    """Give what each row adds to the numbers, (n, g): of two plans the better has the larger sums, the first one first.

    Parameters
    ----------
    relaxation : Relaxation
    levels : int
        How many levels of the objective count.
    with_ties : bool
        Whether plans that are equal in them are told apart by stage and key, position by position.
    """
    columns = [_above_least(relaxation, relaxation.table[:, relaxation.stages + level]) for level in range(levels)]
    columns += _ties(relaxation) if with_ties else []
    numbers, room = [np.zeros(len(relaxation.table), dtype=np.int64)], _MOST
    for column in columns:
        width = 1 + sum(int(column[part].max()) for part in relaxation.parts)
        if width > room:
            numbers.append(np.zeros_like(numbers[0]))
            room = _MOST
        numbers[-1] = numbers[-1] * width + column
        room //= width
    return np.column_stack(numbers)


def _above_least(relaxation: Relaxation, column: Whole) -> Whole:
    return np.concatenate([column[part] - column[part].min() for part in relaxation.parts])


def _ties(relaxation: Relaxation) -> list[Whole]:
    """Give a column for each position, in order: larger for what comes earlier by stage and key."""
    parts = {turn.place: part for turn, part in zip(relaxation.turns, relaxation.parts, strict=True)}
    found = []
    for place, choices in enumerate(relaxation.field.choices):
        column = np.zeros(len(relaxation.table), dtype=np.int64)
        column[parts[place]] = len(choices.ties) - 1 - np.argsort(np.argsort(choices.ties))
        found.append(column)
    return found
