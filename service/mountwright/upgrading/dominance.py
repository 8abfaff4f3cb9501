"""What nothing else is at least as good as: better first, and cheaper at every stage."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from time import monotonic
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Whole = NDArray[np.int64]
Small = NDArray[np.int32]
Flags = NDArray[np.bool_]
Ranks: TypeAlias = NDArray[np.int16] | NDArray[np.int32]

#: So many rows are held against all that were kept before them at a time.
_BLOCK = 128


def undominated(costs: Whole, groups: Whole | Small, covers: Flags | None = None, ends_at: float = inf) -> Whole:
    """Give the rows that no earlier row beats by costing no more at any stage, in order.

    Parameters
    ----------
    costs : array of int (n, k)
        The better row first.
    groups : array of int (n,)
        A row beats those of its own group only, or of every group that its group covers. Without covers, groups stand
        in rising order and the better row comes first within each.
    covers : array of bool (g, g) or None
        Whether the first group covers the second; every group covers itself.
    ends_at : float
        When to give up, on the monotonic clock; what was not reached by then is left out.
    """
    columns = [ranks for ranks in map(_ranks, costs.T) if ranks.max(initial=0) > 0]
    kept = np.empty(0, dtype=np.int64)
    for start in range(0, len(costs), _BLOCK):
        if monotonic() > ends_at:
            break
        block = np.arange(start, min(start + _BLOCK, len(costs)))
        rivals = kept if covers is not None else kept[np.searchsorted(groups[kept], groups[start]) :]
        block = block[~_beaten(rivals, block, columns, groups, covers).any(axis=0)]
        earlier = np.triu(_beaten(block, block, columns, groups, covers), 1)
        kept = np.concatenate([kept, block[~earlier.any(axis=0)]])
    return kept


def _ranks(column: Whole) -> Ranks:
    """Give the places of figures among the different ones; small numbers are compared several times as fast."""
    different, ranks = np.unique(column, return_inverse=True)
    return ranks.astype(np.int16) if len(different) < 2**15 else ranks.astype(np.int32)


def _beaten(by: Whole, rows: Whole, columns: Sequence[Ranks], groups: Whole | Small, covers: Flags | None) -> Flags:
    """Tell which rows each other row beats, (by, rows)."""
    one, other = groups[by][:, None], groups[rows][None, :]
    beaten: Flags = np.asarray(one == other) if covers is None else covers[one, other]
    for column in columns:
        beaten &= column[by][:, None] <= column[rows][None, :]
    return beaten
