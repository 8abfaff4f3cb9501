"""A run without pushing as it was measured, and how far and how long rolling, slope and air let a rider coast.

The rider slows by ``(m + spinning) dv/dt = -(A + B (v + w)|v + w|)`` with ``A = m g (Crr cos t + sin t)``,
``B = rho CdA / 2`` and the head wind ``w``. On the level in still air, to rest, its closed forms are
``s = m/(2B) ln(1 + B v0^2/A)`` and ``t = m/sqrt(AB) atan(v0 sqrt(B/A))``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from mountwright.errors import InvalidQuantityError
from mountwright.riding.band import Band, exactly
from mountwright.riding.draws import Floats
from mountwright.riding.estimates import estimate
from mountwright.riding.line import STANDARD_GRAVITY_M_S2
from mountwright.riding.power import AIR_DENSITY_KG_M3, Values

#: The end speed of a run to rest.
AT_REST = exactly(0.0)

#: A force so much below any that it stands for none where a formula divides by it, N.
_NO_FORCE_N = 1e-9


@dataclass(frozen=True)
class Road:
    """Where runs were made. Runs on equal roads share what nobody knows of the slope.

    Parameters
    ----------
    name : str
        Tells it from others.
    slope : Band or None
        Rise over run in the direction that is not ``is_back``, uphill positive, within -0.1 and 0.1, both inclusive.
        The true slope lies anywhere between the bounds (JCGM 100:2008, 4.3.7). None where nobody said: it looks level.

    Raises
    ------
    InvalidQuantityError
        For a steeper road.
    """

    name: str
    slope: Band | None = None

    def __post_init__(self) -> None:
        if not -0.1 <= self.rise.low <= self.rise.high <= 0.1:
            raise InvalidQuantityError(self.rise, "a slope within -0.1 and 0.1")

    @property
    def rise(self) -> Band:
        """Give the slope, that of a road that looks level where nobody said."""
        return estimate("unstated_slope") if self.slope is None else self.slope


@dataclass(frozen=True)
class Launch:
    """How a rider is let go. Bounds are those between which the true value lies.

    Parameters
    ----------
    road : Road
    start_speed_m_s : Band
        Above 0, 20 at most.
    end_speed_m_s : Band
        0 for a run to rest; its bounds below those of the start.
    head_wind_m_s : Band or None
        In the direction of the run, below 0 from behind; within -10 and 10, both inclusive. None where nobody said.
    is_back : bool
        Whether it goes against the direction in which the road's slope is given.

    Raises
    ------
    InvalidQuantityError
        For figures beyond these bounds.
    """

    road: Road
    start_speed_m_s: Band
    end_speed_m_s: Band = AT_REST
    head_wind_m_s: Band | None = None
    is_back: bool = False

    def __post_init__(self) -> None:
        start, end, wind = self.start_speed_m_s, self.end_speed_m_s, self.wind_m_s
        for found, holds, expected in (
            (start, start.low > 0 and start.high <= 20, "a start speed above 0 and up to 20 m/s"),
            (end, end.low >= 0 and end.high < start.low, "an end speed of 0 m/s or more, below the start speed"),
            (wind, wind.low >= -10 and wind.high <= 10, "a wind within -10 and 10 m/s"),
        ):
            if not holds:
                raise InvalidQuantityError(found, expected)

    @property
    def wind_m_s(self) -> Band:
        """Give the head wind, a light one from anywhere where nobody said."""
        return estimate("unstated_wind_m_s") if self.head_wind_m_s is None else self.head_wind_m_s

    @property
    def slope(self) -> Band:
        """Give the slope in the direction of the run."""
        rise = self.road.rise
        return Band(-rise.high, -rise.likely, -rise.low) if self.is_back else rise


@dataclass(frozen=True)
class Run(Launch):
    """One run without pushing.

    Parameters
    ----------
    distance_m, time_s : Band or None
        From the start speed to the end speed, above 0; one of the two at least. The bounds are those between which
        the true value lies.

    Raises
    ------
    InvalidQuantityError
        For figures beyond these bounds and those of a ``Launch``, for a mean speed that no run between these speeds
        has, and for a run that goes on for longer than it would uphill without any loss.
    """

    distance_m: Band | None = None
    time_s: Band | None = None

    def __post_init__(self) -> None:
        super().__post_init__()
        for found, holds, expected in (
            (self.distance_m, self.distance_m is None or self.distance_m.low > 0, "a distance above 0 m"),
            (self.time_s, self.time_s is None or self.time_s.low > 0, "a time above 0 s"),
            ((self.distance_m, self.time_s), self.readings > 0, "a distance, a time or both"),
        ):
            if not holds:
                raise InvalidQuantityError(found, expected)
        self._check_mean_speed()
        self._check_without_loss()

    @property
    def readings(self) -> int:
        """Give how many of distance and time were read."""
        return (self.distance_m is not None) + (self.time_s is not None)

    def _check_mean_speed(self) -> None:
        if self.distance_m is None or self.time_s is None:
            return
        most = self.distance_m.high / self.time_s.low
        least = self.distance_m.low / self.time_s.high
        if not (most > self.end_speed_m_s.low and least < self.start_speed_m_s.high):
            speeds = f"{self.end_speed_m_s.low:g} and {self.start_speed_m_s.high:g} m/s"
            raise InvalidQuantityError((self.distance_m, self.time_s), f"a mean speed between {speeds}")

    def _check_without_loss(self) -> None:
        sine = self.slope.low / math.hypot(1, self.slope.low)
        if sine <= 0 or self.wind_m_s.low < 0:
            return
        start, end = self.start_speed_m_s.high, self.end_speed_m_s.low
        furthest = (start**2 - end**2) / (2 * STANDARD_GRAVITY_M_S2 * sine)
        longest = (start - end) / (STANDARD_GRAVITY_M_S2 * sine)
        if self.distance_m is not None and self.distance_m.low > furthest:
            raise InvalidQuantityError(self.distance_m, f"{furthest:.4g} m at most, which it goes uphill without loss")
        if self.time_s is not None and self.time_s.low > longest:
            raise InvalidQuantityError(self.time_s, f"{longest:.4g} s at most, which it goes uphill without loss")


@dataclass(frozen=True)
class Coaster:
    """Who coasted, and what was known of rolling and air before.

    Parameters
    ----------
    mass_kg : float
        With everything worn, above 0, 1000 at most.
    drag_area_m2 : Band
        What the posture says, above 0, 10 at most; its bounds stand for one standard deviation either way, as the
        published ones of a posture do at best.
    rolling : Band or None
        What was known of the rolling coefficient, above 0, 1 at most, 5 % to 95 %; None for what is usual.
    spinning_kg : float
        What the wheels add to the mass while they slow down, 0 or more, below the mass.
    air_density_kg_m3 : float
        Above 0, 2 at most.

    Raises
    ------
    InvalidQuantityError
        For figures beyond these bounds.
    """

    mass_kg: float
    drag_area_m2: Band
    rolling: Band | None = None
    spinning_kg: float = 0.0
    air_density_kg_m3: float = AIR_DENSITY_KG_M3

    def __post_init__(self) -> None:
        area, usual = self.drag_area_m2, self.usual_rolling
        for found, holds, expected in (
            (self.mass_kg, 0 < self.mass_kg <= 1000, "a mass above 0 and up to 1000 kg"),
            (area, area.low > 0 and area.high <= 10, "a drag area above 0 and up to 10 m2"),
            (usual, usual.low > 0 and usual.high <= 1, "a rolling coefficient above 0 and up to 1"),
            (self.spinning_kg, 0 <= self.spinning_kg < self.mass_kg, "0 kg or more, below the mass"),
            (self.air_density_kg_m3, 0 < self.air_density_kg_m3 <= 2, "a density above 0 and up to 2 kg/m3"),
        ):
            if not holds:
                raise InvalidQuantityError(found, expected)

    @property
    def usual_rolling(self) -> Band:
        """Give what was known of the rolling coefficient."""
        return estimate("coast_down_rolling") if self.rolling is None else self.rolling


def wheels_spinning_kg(count: int, wheel_kg: float, rim_share: float | None = None) -> float:
    """Give what spinning wheels add to the mass while speed changes: ``I/r^2`` of each.

    Parameters
    ----------
    count : int
        0 or more, of both skates.
    wheel_kg : float
        Of one, 0 or more.
    rim_share : float, optional
        ``I/(m r^2)``, 0 to 1, both inclusive: 0.5 for a disc, more for a wheel that is heavy at its rim.

    Raises
    ------
    InvalidQuantityError
        For figures beyond these bounds.
    """
    share = estimate("wheel_rim_share").likely if rim_share is None else rim_share
    if not (count >= 0 and 0 <= wheel_kg < math.inf and 0 <= share <= 1):
        raise InvalidQuantityError((count, wheel_kg, share), "0 wheels or more of 0 kg or more, a share within 0 and 1")
    return count * wheel_kg * share


class Braking(NamedTuple):
    """What slows a rider down; of shapes that broadcast.

    Parameters
    ----------
    steady_n : float or array
        Of rolling and slope together; below 0 where a slope pushes more than rolling takes.
    drag_kg_m : float or array
        Of the air, by the square of the speed through it; above 0.
    mass_kg : float
        That is slowed down, what spins included; above 0.
    """

    steady_n: Values
    drag_kg_m: Values
    mass_kg: float


class Coasted(NamedTuple):
    """How far and for how long a rider coasts; infinite where the end speed is never reached."""

    distance_m: Floats
    time_s: Floats


def braking(coaster: Coaster, rolling: Values, drag_area_m2: Values, slope: Values) -> Braking:
    """Give what slows a rider down.

    Parameters
    ----------
    coaster : Coaster
    rolling, drag_area_m2, slope : float or array
        Of shapes that broadcast; the slope is rise over run in the direction of the run.
    """
    weight = coaster.mass_kg * STANDARD_GRAVITY_M_S2
    steady = weight * (rolling + slope) / np.hypot(1, slope)
    return Braking(steady, coaster.air_density_kg_m3 * drag_area_m2 / 2, coaster.mass_kg + coaster.spinning_kg)


def coasted(by: Braking, start_m_s: float, end_m_s: float = 0.0, head_wind_m_s: float = 0.0) -> Coasted:
    """Give how far and for how long a rider coasts between two speeds.

    The closed forms of the level hold in speed through the air, once for air from ahead and once for air from behind;
    a steady wind carries the distance along.

    Parameters
    ----------
    by : Braking
    start_m_s, end_m_s : float
        The end below the start, 0 or more.
    head_wind_m_s : float
        Below 0 from behind.
    """
    steady = np.where(np.abs(by.steady_n) < _NO_FORCE_N, _NO_FORCE_N, by.steady_n)
    first, last = start_m_s + head_wind_m_s, end_m_s + head_wind_m_s
    # The brake never falls with the speed, so that it is least at the end.
    slows = steady + by.drag_kg_m * last * abs(last) > 0
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        time = by.mass_kg * (_lasting(first, steady, by.drag_kg_m) - _lasting(last, steady, by.drag_kg_m))
        through_air = by.mass_kg * (_reaching(first, steady, by.drag_kg_m) - _reaching(last, steady, by.drag_kg_m))
    return Coasted(np.where(slows, through_air - head_wind_m_s * time, np.inf), np.where(slows, time, np.inf))


def _lasting(air_m_s: float, steady: Floats, drag: Values) -> Floats:
    """Give an integral of ``1/(A + B u|u|)`` over the speed u through the air."""
    size = np.sqrt(np.abs(steady) * drag)
    ratio = air_m_s * np.sqrt(drag / np.abs(steady))
    held: Floats = np.arctan(ratio) if air_m_s >= 0 else np.arctanh(ratio)
    pushed = steady <= 0
    return (np.where(pushed, -np.arctanh(1 / ratio), held) if pushed.any() else held) / size


def _reaching(air_m_s: float, steady: Floats, drag: Values) -> Floats:
    """Give an integral of ``u/(A + B u|u|)`` over the speed u through the air."""
    share = drag * air_m_s * abs(air_m_s) / steady
    reached: Floats = np.log1p(np.where(steady > 0, share, -2 - share)) / (2 * drag)
    return math.copysign(1, air_m_s) * reached
