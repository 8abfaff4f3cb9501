"""A small linear programme whose columns come one by one: the best mixture of plans, and the prices of its rows."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

#: Pivots at a time, and what counts as nothing.
_PIVOTS, _NOTHING = 60, 1e-9


class Master:
    """The largest mean worth of a mixture of plans that leaves 0 or more of each row.

    Primal simplex on a basis and its inverse. Each row may be overdrawn by a ten-millionth, another for each, so that
    ties between rows do not send it round in circles; the prices bound all the same.

    Parameters
    ----------
    left : array of float (r,)
        What the first plan leaves of each row, 0 or more.
    worth : float
        Of the first plan.

    Attributes
    ----------
    mixture : float
        Worth of the best mixture of what is known.
    """

    def __init__(self, left: Floats, worth: float) -> None:
        rows = len(left)
        self._columns: Floats = np.vstack([np.eye(rows, rows + 1), np.append(-left, 1.0)])
        self._worths: Floats = np.append(np.zeros(rows), worth)
        self._basis = np.arange(rows + 1)
        self._inverse: Floats = np.linalg.inv(self._columns.T).astype(np.float64)
        self._right: Floats = np.append(1e-7 * np.arange(1, rows + 1), 1.0)
        self.mixture = worth

    def add(self, left: Floats, worth: float) -> None:
        """Add a plan."""
        self._columns = np.vstack([self._columns, np.append(-left, 1.0)])
        self._worths = np.append(self._worths, worth)

    def prices(self) -> Floats:
        """Give the price of each row, 0 or more, once the mixture is the best."""
        for _ in range(_PIVOTS):
            duals = self._worths[self._basis] @ self._inverse
            gains = self._worths - self._columns @ duals
            enters = int(np.argmax(gains))
            if gains[enters] <= _NOTHING * (1 + abs(float(duals[-1]))) or not self._pivoted(enters):
                break
        duals = self._worths[self._basis] @ self._inverse
        self.mixture = float(duals @ self._right)
        return np.maximum(duals[:-1], 0.0)

    def _pivoted(self, enters: int) -> bool:
        """Bring a column into the basis; tell whether one had to leave for it."""
        direction = self._inverse @ self._columns[enters]
        usable = np.flatnonzero(direction > _NOTHING)
        if not len(usable):
            return False
        leaves = usable[np.argmin((self._inverse[usable] @ self._right) / direction[usable])]
        row = self._inverse[leaves] / direction[leaves]
        self._inverse -= np.outer(direction, row)
        self._inverse[leaves] = row
        self._basis[leaves] = enters
        return True
