"""What it takes to turn the skate on the spot: every wheel that carries is dragged around the turning point.

The moment is friction x the sum of load x distance from the turning point (Coulomb), which lies where that is least:
at the median of the wheels' places, each weighted by its load. Friction and load cancel in a ratio. What each contact
takes to spin about itself is left out: it is much the same on every line.
"""

from __future__ import annotations

import numpy as np

from mountwright.riding.loads import LoadCases, shared_loads
from mountwright.riding.stands import Floats


def turning_levers_mm(along_mm: Floats, loads_n: Floats) -> Floats:
    """Give the mean distance of the load from the turning point; times friction and load it is the turning moment.

    Parameters
    ----------
    along_mm : numpy.ndarray
        (w,) or (n, w), places of the wheels.
    loads_n : numpy.ndarray
        (n, w), 0 or more, some load in each row.

    Returns
    -------
    numpy.ndarray
        (n,), millimetres, 0 where one wheel carries all.
    """
    along = np.broadcast_to(along_mm, loads_n.shape)
    distances = np.abs(along[:, :, np.newaxis] - along[:, np.newaxis, :])
    moments = np.einsum("nw,nwp->np", loads_n, distances)
    return np.asarray(moments.min(axis=1) / loads_n.sum(axis=1), dtype=np.float64)


def flat_levers_mm(along_mm: Floats, load_along_mm: Floats) -> Floats:
    """Give the same for wheels on the same axle places that are all alike and level, the flat reference.

    How stiff they are does not matter: all loads keep their shares.

    Parameters
    ----------
    along_mm : numpy.ndarray
        (n, w).
    load_along_mm : numpy.ndarray
        (n,), between the outer axles, both exclusive.

    Raises
    ------
    InvalidQuantityError
        For a load that tips the skate.
    """
    rows = len(along_mm)
    flat = LoadCases(along_mm, np.zeros_like(along_mm), np.ones_like(along_mm), np.ones(rows), load_along_mm)
    return turning_levers_mm(along_mm, shared_loads(flat).loads_n)


def turning_ratios(along_mm: Floats, loads_n: Floats, load_along_mm: Floats) -> Floats:
    """Give the turning moment on the spot as a ratio to that of the flat reference: below 1 it turns more easily.

    Parameters
    ----------
    along_mm : numpy.ndarray
        (n, w).
    loads_n : numpy.ndarray
        (n, w), the load on each wheel, 0 or more.
    load_along_mm : numpy.ndarray
        (n,), where the load stands, between the outer axles, both exclusive.

    Raises
    ------
    InvalidQuantityError
        For a load that tips the skate.
    """
    return turning_levers_mm(along_mm, loads_n) / flat_levers_mm(along_mm, load_along_mm)
