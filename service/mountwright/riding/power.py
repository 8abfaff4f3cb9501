"""What a rider needs to keep a speed: the power balance of rolling, slope and air.

``P = (Crr m g cos t + m g sin t + 0.5 rho CdA (v + w)|v + w|) v`` (Martin et al. 1998, J. Appl. Biomech. 14, 276,
without a chain; van Ingen Schenau 1982). The stroke raises load and drag above those of coasting.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

from mountwright.errors import InvalidQuantityError
from mountwright.riding.band import Band, around, exactly
from mountwright.riding.line import STANDARD_GRAVITY_M_S2

#: One value, or one for each of many cases.
Values: TypeAlias = float | NDArray[np.float64]

#: Density of air at sea level, 15 C, kg/m3 (US Standard Atmosphere 1976).
AIR_DENSITY_KG_M3 = 1.225


class Posture(StrEnum):
    """How a rider stands in the wind."""

    SEMI_SQUAT = "semi_squat"
    UPRIGHT = "upright"


_DRAG_AREAS_M2 = {Posture.SEMI_SQUAT: around(0.27, 0.03), Posture.UPRIGHT: around(0.65, 0.05)}


def drag_area_m2(posture: Posture) -> Band:
    """Give the drag area of a rider of 80 kg and 1.75 m, m2 (Spring et al. 1988, Int. J. Sport Biomech. 4, 103)."""
    return _DRAG_AREAS_M2[posture]


@dataclass(frozen=True)
class Rider:
    """Who rides, how, and against what.

    Parameters
    ----------
    mass_kg : Band or float
        With everything worn, above 0, 1000 at most.
    speed_m_s : float
        Above 0, 100 at most.
    posture : Posture
    own_drag_area_m2 : Band or None
        A drag area of the rider's own, from coasting down, above 0: 5 %, 50 % and 95 %; None for that of the posture.
    slope : float
        Rise over run, uphill positive, within -1 and 1, both inclusive.
    wind_m_s : float
        Against the rider; below 0 from behind. Within -100 and 100, both inclusive.
    air_density_kg_m3 : float
        Above 0, 2 at most.
    skates : int
        How many carry the rider: 1 or 2.

    Raises
    ------
    InvalidQuantityError
        For figures beyond these bounds.
    """

    mass_kg: Band | float
    speed_m_s: float
    posture: Posture
    own_drag_area_m2: Band | None = None
    slope: float = 0.0
    wind_m_s: float = 0.0
    air_density_kg_m3: float = AIR_DENSITY_KG_M3
    skates: int = 1

    def __post_init__(self) -> None:
        for found, holds, expected in (
            (self.mass_kg, _is_within(self.mass_kg, 1000), "a mass above 0 and up to 1000 kg"),
            (self.speed_m_s, _is_within(self.speed_m_s, 100), "a speed above 0 and up to 100 m/s"),
            (self.drag_area, _is_within(self.drag_area, 10), "a drag area above 0 and up to 10 m2"),
            (self.slope, -1 <= self.slope <= 1, "a slope within -1 and 1"),
            (self.wind_m_s, -100 <= self.wind_m_s <= 100, "a wind within -100 and 100 m/s"),
            (self.air_density_kg_m3, _is_within(self.air_density_kg_m3, 2), "a density above 0 and up to 2 kg/m3"),
            (self.skates, self.skates in (1, 2), "1 or 2 skates"),
        ):
            if not holds:
                raise InvalidQuantityError(found, expected)

    @property
    def mass(self) -> Band:
        """Give the mass with its doubt, kg."""
        return self.mass_kg if isinstance(self.mass_kg, Band) else exactly(self.mass_kg)

    @property
    def drag_area(self) -> Band:
        """Give the drag area with its doubt, m2."""
        return self.own_drag_area_m2 or drag_area_m2(self.posture)


def _is_within(value: Band | float, most: float) -> bool:
    low, high = (value.low, value.high) if isinstance(value, Band) else (value, value)
    return low > 0 and high <= most


@dataclass(frozen=True)
class Balance:
    """What the power depends on besides the speed.

    Parameters
    ----------
    mass_kg, rolling_coefficient, drag_area_m2 : float or array
        A mass and an area above 0, a coefficient of 0 or more; of one shape, or shapes that broadcast.
    air_density_kg_m3, slope, wind_m_s : float
        As of a ``Rider``; the density above 0.

    Raises
    ------
    InvalidQuantityError
        For figures beyond these bounds.
    """

    mass_kg: Values
    rolling_coefficient: Values
    drag_area_m2: Values
    air_density_kg_m3: float = AIR_DENSITY_KG_M3
    slope: float = 0.0
    wind_m_s: float = 0.0

    def __post_init__(self) -> None:
        for found, holds in (
            (self.mass_kg, np.greater(self.mass_kg, 0)),
            (self.rolling_coefficient, np.greater_equal(self.rolling_coefficient, 0)),
            (self.drag_area_m2, np.greater(self.drag_area_m2, 0)),
            (self.air_density_kg_m3, self.air_density_kg_m3 > 0),
            (self.slope, True),
            (self.wind_m_s, True),
        ):
            if not (np.all(holds) and np.all(np.isfinite(found))):
                raise InvalidQuantityError(found, "finite figures, a mass, an area and a density above 0")


class PowerParts(NamedTuple):
    """Where the power goes, W; below 0 where the slope or the wind pushes."""

    rolling_w: Values
    slope_w: Values
    air_w: Values

    @property
    def total_w(self) -> Values:
        """Give what the rider needs; below 0 where the rider has to brake."""
        return self.rolling_w + self.slope_w + self.air_w


def power_by_part(balance: Balance, speed_m_s: Values) -> PowerParts:
    """Give the power that a speed takes, by part.

    Parameters
    ----------
    balance : Balance
    speed_m_s : float or array
        0 or more; broadcasts with the balance.
    """
    weight = balance.mass_kg * STANDARD_GRAVITY_M_S2
    level = math.cos(math.atan(balance.slope))
    through_air = speed_m_s + balance.wind_m_s
    drag = 0.5 * balance.air_density_kg_m3 * balance.drag_area_m2 * through_air * np.abs(through_air)
    rolls = balance.rolling_coefficient * weight * level
    return PowerParts(rolls * speed_m_s, weight * balance.slope * level * speed_m_s, drag * speed_m_s)


def speed_at_power(balance: Balance, power_w: float) -> float:
    """Give the steady speed that a power keeps up, m/s, 0 or more.

    Wherever the power is above 0 it grows with the speed, so that there is one such speed; it is found by halving.
    Without power it is the speed at which slope or wind alone carry the rider, else 0.

    Parameters
    ----------
    balance : Balance
        Of single figures.
    power_w : float
        0 or more.

    Raises
    ------
    InvalidQuantityError
        For a power below 0.
    """
    if not (math.isfinite(power_w) and power_w >= 0):
        raise InvalidQuantityError(power_w, "a power of 0 W or more")
    low = _carried_speed(balance)
    if power_w == 0:
        return low
    high = max(1.0, 2 * low)
    while power_by_part(balance, high).total_w < power_w:
        high *= 2
    for _ in range(100):
        middle = (low + high) / 2
        low, high = (middle, high) if power_by_part(balance, middle).total_w < power_w else (low, middle)
    return high


def same_effort_speed_m_s(rider: Rider, rolling_coefficient: float, first_coefficient: float) -> float | None:
    """Give the speed that a rider keeps up on other wheels with the power that the first ones take, m/s.

    Everything but rolling is taken as is likely.

    Parameters
    ----------
    rider : Rider
        At the speed on the first wheels.
    rolling_coefficient, first_coefficient : float
        0 or more.

    Returns
    -------
    float or None
        None where the first wheels take no power at that speed.
    """
    still = rider.air_density_kg_m3, rider.slope, rider.wind_m_s
    first, other = (
        Balance(rider.mass.likely, each, rider.drag_area.likely, *still)
        for each in (first_coefficient, rolling_coefficient)
    )
    spent_w = float(power_by_part(first, rider.speed_m_s).total_w)
    return speed_at_power(other, spent_w) if spent_w > 0 else None


def _carried_speed(balance: Balance) -> float:
    """Give the speed at which nothing is needed, 0 where something always is."""
    at_still_air = power_by_part(balance, 1.0)
    steady_n = float(at_still_air.rolling_w + at_still_air.slope_w)
    drag = 0.5 * balance.air_density_kg_m3 * float(balance.drag_area_m2)
    return max(0.0, -balance.wind_m_s - math.copysign(math.sqrt(abs(steady_n) / drag), steady_n))


def glide_slope_deg(rolling_coefficient: float) -> float:
    """Give the slope on which a rider just keeps rolling, slowly and in still air: ``atan(Crr)``, degrees."""
    return math.degrees(math.atan(rolling_coefficient))


def felt_slope_percent(rolling_coefficient: Values, against: Values) -> Values:
    """Give by how much the road seems to rise more than with another coefficient, per cent; below 0 for less.

    A difference of rolling coefficients is worth a slope of the same size.
    """
    return 100 * (rolling_coefficient - against)
