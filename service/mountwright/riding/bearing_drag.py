"""What the bearings of a wheel line take from the rider: little by their balls, more by seals and grease."""

from __future__ import annotations

from enum import StrEnum
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from mountwright.riding.band import Band
from mountwright.riding.estimates import estimate
from mountwright.riding.rolling import over_load

Floats: TypeAlias = NDArray[np.float64]

#: Friction of a deep-groove ball bearing in good oil: the handbooks' 0.0015, from a range of 0.0010 to 0.0015.
BALL_FRICTION = Band(0.0010, 0.0015, 0.0015)

#: Bore of a bearing on an axle of 8 mm (ISO 15).
BORE_MM = 8.0

BEARINGS_A_WHEEL = 2


class Seal(StrEnum):
    """What keeps dirt out of a bearing."""

    OPEN = "open"
    SHIELDED = "shielded"
    SEALED = "sealed"


def seal_drag_n_mm(seal: Seal | None) -> Band:
    """Give the torque that seal and grease of one bearing take whatever its load, N mm; None where nobody knows."""
    return estimate(f"seal_drag_{seal or 'unknown'}_n_mm")


def ball_torque_n_mm(
    load_n: float | Floats, bore_mm: float = BORE_MM, friction: float | Floats = BALL_FRICTION.likely
) -> Floats:
    """Give the friction torque of a loaded bearing, ``0.5 mu P d``, N mm (handbooks of rolling bearings).

    Parameters
    ----------
    load_n : array
        On the bearing, or on all of a wheel together, 0 or more; any shape.
    bore_mm : float
    friction : array
        Broadcasts to the loads.
    """
    return np.asarray(0.5 * friction * load_n * bore_mm)


def bearing_drag(
    loads_n: Floats,
    rolling_radius_mm: float | Floats,
    seal_drag_each_n_mm: float | Floats,
    friction: float | Floats = BALL_FRICTION.likely,
) -> Floats:
    """Give what the bearings of each line take as a share of its load, of shape (n,).

    The torques of both bearings of a wheel act on its radius. A wheel that carries nothing does not turn.

    Parameters
    ----------
    loads_n : array
        On each wheel, 0 or more, of shape (n, w): n lines of w wheels.
    rolling_radius_mm : array
        Above 0; of this shape, or one that broadcasts to it, as those below.
    seal_drag_each_n_mm : array
        Of one bearing, 0 or more.
    friction : array
    """
    seals = np.where(loads_n > 0, BEARINGS_A_WHEEL * seal_drag_each_n_mm, 0.0)
    return over_load((ball_torque_n_mm(loads_n, friction=friction) + seals) / rolling_radius_mm, loads_n)
