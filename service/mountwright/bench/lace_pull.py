"""How long a lace is between its eyelets, and how hard it draws them together: in the plane, with every angle exact.

The eyelets of a side stand on a straight line, one pitch apart, and both lines may lean. Across from a pair ``i`` to a
pair ``k`` steps further it is ``sqrt(g_i g_j + (k h)^2)`` (Ptolemy), so every length grows with each gap and the pitch.

Each stretch of lace pulls with its tension along itself. Without friction the tension is 1 everywhere: the sum of all
that pulls sideways is the strength of a lacing (Polster 2002). An eyelet that rubs leaves ``exp(-mu theta)`` of it
(Euler, Eytelwein), with ``theta`` the angle by which the lace turns there; what comes from the nearer end counts.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mountwright.bench.lacing import Eyelet
from mountwright.riding.draws import Floats

_Places = NDArray[np.complex128]


@dataclass(frozen=True, eq=False)
class Rows:
    """Two rows of eyelets, for as many cases at once as the figures have.

    Parameters
    ----------
    pairs : int
        2 or more.
    gap_top, gap_bottom : array of float
        Between the eyelets of the top pair and of the lowest, mm, above 0, of shape (cases,); evenly between.
    pitch : array of float
        From one eyelet of a side to the next, mm, of shape (cases,), more than each step opens or closes a side's row.
    """

    pairs: int
    gap_top: Floats
    gap_bottom: Floats
    pitch: Floats

    @property
    def gaps(self) -> Floats:
        """Give the gap at each pair from the top, mm, of shape (pairs, cases)."""
        down = np.linspace(0.0, 1.0, self.pairs)[:, np.newaxis]
        return self.gap_top + down * (self.gap_bottom - self.gap_top)

    def places(self, eyelets: Sequence[Eyelet]) -> _Places:
        """Give where eyelets stand, mm: to the right and, as the imaginary part, down; of shape (eyelets, cases)."""
        side, pair = np.array(eyelets).T
        lean = (self.gap_bottom - self.gap_top) / (2 * (self.pairs - 1))
        fall = np.sqrt(self.pitch**2 - lean**2)
        found: _Places = side[:, np.newaxis] * self.gaps[pair] / 2 + 1j * pair[:, np.newaxis] * fall
        return found


def path_length_mm(path: Sequence[Eyelet], rows: Rows) -> Floats:
    """Give how long a lace is from its first eyelet to its last, mm, of shape (cases,)."""
    found: Floats = np.abs(np.diff(rows.places(path), axis=0)).sum(axis=0)
    return found


def capstan(friction: float | Floats, turn_rad: float | Floats) -> Floats:
    """Give which share of its tension a lace keeps around a bend, ``exp(-mu theta)``.

    Parameters
    ----------
    friction, turn_rad : float or array of float
        0 or more.
    """
    return np.exp(-np.asarray(friction) * turn_rad)


def pulls(path: Sequence[Eyelet], rows: Rows, friction: float | Floats = 0.0) -> Floats:
    """Give how hard each pair is drawn together where both ends are pulled with 1, from the top, (pairs, cases).

    The bow stands for a bar between the ends. What pulls on a pair is the mean of what pulls on its two eyelets,
    inward; what pulls outward counts against it.

    Parameters
    ----------
    path : sequence of Eyelet
        From end to end, each eyelet once.
    rows : Rows
    friction : float or array of float
        Between lace and eyelet, 0 or more, of shape (cases,) where it is an array.
    """
    at = rows.places(path)
    ways = np.roll(at, -1, axis=0) - at
    turns = np.abs(np.angle(ways / np.roll(ways, 1, axis=0)))
    from_one = np.cumsum(turns, axis=0)
    tension = capstan(friction, np.minimum(from_one, turns.sum(axis=0) - from_one))
    sideways = tension * ways.real / np.abs(ways)
    side, pair = np.array(path).T
    on_each = side[:, np.newaxis] * (np.roll(sideways, 1, axis=0) - sideways) / 2
    found = np.zeros((rows.pairs, at.shape[1]))
    np.add.at(found, pair, on_each)
    return found
