"""How likely each rolling coefficient and drag area is after runs without pushing, on a grid.

Both stand on the scale on which halving and doubling are equal. Nothing is searched step by step, so that nothing can
run away. What nobody knows of a road's slope is summed out, once for all runs on it, so that a run there and one back
tell the slope as well. Doubts of speeds, wind and readings are carried to first order (JCGM 100:2008, 5.1.2).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import reduce
from typing import NamedTuple

import numpy as np

from mountwright.measure.uncertainty import rectangular
from mountwright.riding.band import Band
from mountwright.riding.coasting import Coasted, Coaster, Launch, Road, Run, braking, coasted
from mountwright.riding.draws import Floats
from mountwright.riding.estimates import estimate

#: Standard deviations from the middle of a normal distribution to either end of its inner 90 %.
TO_5_PERCENT = 1.6449

#: Points over rolling, drag area and slope: each grid lies where the one before found something. The bounds that the
#: last one gives were within 0.6 % of those of a grid with 16 times as many points.
_GRIDS = ((31, 15, 21), (31, 15, 21), (81, 31, 41))

#: What lies so far below the likeliest, as a logarithm, is left out of the next grid.
_OF_NO_WEIGHT = 18.0

#: The first grid reaches so many times beyond the bounds of what was known.
_BEYOND = 2.0

#: Variance of what was not read, on the logarithmic scale: it says nothing.
_UNREAD = 1e6

#: Squared distance of a run that the wheels would never finish.
_NEVER = 1e9

#: Either way by which the wind is moved to see what it does, m/s.
_WIND_STEP_M_S = 1e-3


class Axes(NamedTuple):
    """The grid's lines: logarithms of rolling and of the drag area, and of each road its slopes."""

    rolling: Floats
    area: Floats
    slopes: tuple[Floats, ...]


class Foretold(NamedTuple):
    """Logarithms of distance and time at each point, and their covariance before anything is read.

    All of shape (rolling, area, slope); not finite where the end speed is never reached.
    """

    log_distance: Floats
    log_time: Floats
    distance_variance: Floats
    time_variance: Floats
    covariance: Floats


class Weighed(NamedTuple):
    """A grid with the logarithm of how likely its points are.

    Parameters
    ----------
    axes : Axes
    likely : array of float
        Of shape (rolling, area), up to a constant.
    roads : tuple of array of float
        Of each road, in the order of its first run, what its runs say: of shape (rolling, area, slope).
    squared_distance : float
        Of the readings, the roads' slopes and the drag area from what fits them best, whatever rolling is usual.
    """

    axes: Axes
    likely: Floats
    roads: tuple[Floats, ...]
    squared_distance: float

    @property
    def rolling(self) -> Band:
        """Give the rolling coefficient: 5 %, 50 % and 95 %."""
        return _summed_up(self.axes.rolling, np.logaddexp.reduce(self.likely, axis=1))

    @property
    def drag_area_m2(self) -> Band:
        """Give the drag area: 5 %, 50 % and 95 %."""
        return _summed_up(self.axes.area, np.logaddexp.reduce(self.likely, axis=0))

    def joint(self, road: int) -> Floats:
        """Give how likely each point over rolling, drag area and one road's slope is, as a logarithm."""
        own = self.roads[road]
        summed: Floats = np.logaddexp.reduce(own, axis=2)
        return (self.likely - summed)[:, :, np.newaxis] + own


def rolling_reach(coaster: Coaster) -> Band:
    """Give the ends of the first grid over the rolling coefficient."""
    usual = coaster.usual_rolling
    return Band(usual.low / _BEYOND, usual.likely, usual.high * _BEYOND)


def area_reach(coaster: Coaster) -> Band:
    """Give the ends of the first grid over the drag area, m2."""
    area = coaster.drag_area_m2
    return Band(area.low / _BEYOND, area.likely, area.high * _BEYOND)


def roads_of(runs: Sequence[Run]) -> tuple[Road, ...]:
    """Give the roads that runs were made on, in the order of their first runs."""
    return tuple(dict.fromkeys(run.road for run in runs))


def weighed(coaster: Coaster, runs: Sequence[Run]) -> Weighed:
    """Give the last of the grids.

    Parameters
    ----------
    coaster : Coaster
    runs : sequence of Run
        One at least, each of which some point of the first grid explains; the order does not matter.
    """
    roads = roads_of(runs)
    ends = [(math.log(band.low), math.log(band.high)) for band in (rolling_reach(coaster), area_reach(coaster))]
    ends += [(road.rise.likely - 3 * doubt(road.rise), road.rise.likely + 3 * doubt(road.rise)) for road in roads]
    first, *others = _GRIDS
    grid = _on_grid(coaster, runs, _axes(ends, first))
    for counts in others:
        grid = _on_grid(coaster, runs, _axes(_ends(grid), counts))
    return grid


def doubt(band: Band) -> float:
    """Give the standard uncertainty of a value that lies anywhere between its bounds."""
    return rectangular((band.high - band.low) / 2)


def foretold(coaster: Coaster, launch: Launch, axes: Axes, slopes: Floats) -> Foretold:
    """Give what a run is expected to read at each point, with the doubts of its speeds, its wind and its loss.

    Parameters
    ----------
    coaster : Coaster
    launch : Launch
    axes : Axes
    slopes : array of float
        Of its road, in the direction in which the road's slope is given.
    """
    slope = (-slopes if launch.is_back else slopes)[np.newaxis, np.newaxis, :]
    by = braking(coaster, np.exp(axes.rolling)[:, np.newaxis, np.newaxis], np.exp(axes.area)[:, np.newaxis], slope)
    start, end, wind = launch.start_speed_m_s.likely, launch.end_speed_m_s.likely, launch.wind_m_s.likely
    distance, time = coasted(by, start, end, wind)
    shifts = []
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        for speed, band in ((start, launch.start_speed_m_s), (end, launch.end_speed_m_s)):
            slowing = (by.steady_n + by.drag_kg_m * (speed + wind) * abs(speed + wind)) / by.mass_kg
            shifts.append((doubt(band) * speed / slowing / distance, doubt(band) / slowing / time))
        if not launch.wind_m_s.is_exact:
            more, less = (coasted(by, start, end, wind + step) for step in (_WIND_STEP_M_S, -_WIND_STEP_M_S))
            shifts.append(_by_wind(more, less, doubt(launch.wind_m_s) / (2 * _WIND_STEP_M_S)))
        # A loss that differs from what it usually is moves distance and time alike.
        scatter = np.full_like(time, estimate("coast_down_scatter").likely)
        shifts.append((scatter, scatter))
        return Foretold(
            np.log(distance),
            np.log(time),
            _summed([along * along for along, _ in shifts]),
            _summed([lasting * lasting for _, lasting in shifts]),
            _summed([along * lasting for along, lasting in shifts]),
        )


def _summed(shares: Sequence[Floats]) -> Floats:
    return reduce(np.add, shares)


def _by_wind(more: Coasted, less: Coasted, times: float) -> tuple[Floats, Floats]:
    """Give what the doubt of the wind moves the logarithms of distance and time by."""
    return (
        times * (np.log(more.distance_m) - np.log(less.distance_m)),
        times * (np.log(more.time_s) - np.log(less.time_s)),
    )


def least_variance() -> float:
    """Give the variance of the logarithm of a reading that was taken as closely as any."""
    return estimate("coast_down_reading_share").likely ** 2


def _own_variance(reading: Band | None) -> float:
    return _UNREAD if reading is None else max((doubt(reading) / reading.likely) ** 2, least_variance())


def _misfit(run: Run, told: Foretold) -> tuple[Floats, Floats]:
    """Give the squared distance of a run's readings at each point, and the logarithm of how likely they are there."""
    off = 0.0 if run.distance_m is None else math.log(run.distance_m.likely) - told.log_distance
    late = 0.0 if run.time_s is None else math.log(run.time_s.likely) - told.log_time
    along = told.distance_variance + _own_variance(run.distance_m)
    lasting = told.time_variance + _own_variance(run.time_s)
    with np.errstate(invalid="ignore", over="ignore"):
        size = along * lasting - told.covariance**2
        squared = (lasting * off * off - 2 * told.covariance * off * late + along * late * late) / size
        likely = -(squared + np.log(size)) / 2
    holds = np.isfinite(likely)
    return np.where(holds, squared, _NEVER), np.where(holds, likely, -_NEVER)


def _from_prior(logs: Floats, prior: Band, spreads: float) -> Floats:
    """Give the squared distance from a prior whose bounds are so many standard deviations from its middle."""
    off = logs - math.log(prior.likely)
    # A prior without doubt is a line on the grid: a thousandth stands for none.
    below = max(math.log(prior.likely / prior.low) / spreads, 1e-3)
    above = max(math.log(prior.high / prior.likely) / spreads, 1e-3)
    squared: Floats = (off / np.where(off < 0, below, above)) ** 2
    return squared


def _axes(ends: Sequence[tuple[float, float]], counts: tuple[int, int, int]) -> Axes:
    rolling, area, *slopes = (
        np.linspace(low, high, counts[min(index, 2)]) if low < high else np.array([low])
        for index, (low, high) in enumerate(ends)
    )
    return Axes(rolling, area, tuple(slopes))


def _on_grid(coaster: Coaster, runs: Sequence[Run], axes: Axes) -> Weighed:
    from_posture = _from_prior(axes.area, coaster.drag_area_m2, 1.0)[np.newaxis, :]
    from_usual = _from_prior(axes.rolling, coaster.usual_rolling, TO_5_PERCENT)[:, np.newaxis]
    likely, squared = -(from_usual + from_posture) / 2, from_posture
    roads = []
    for road, slopes in zip(roads_of(runs), axes.slopes, strict=True):
        away, said = _on_road(coaster, [run for run in runs if run.road == road], axes, slopes)
        roads.append(said)
        likely = likely + np.logaddexp.reduce(said, axis=2)
        squared = squared + away.min(axis=2)
    return Weighed(axes, likely, tuple(roads), float(squared.min()))


def _on_road(coaster: Coaster, runs: Sequence[Run], axes: Axes, slopes: Floats) -> tuple[Floats, Floats]:
    """Give the squared distance of the runs on one road, and how likely they are, at each point."""
    rise = runs[0].road.rise
    off = (slopes - rise.likely) / (doubt(rise) or 1.0)
    squared, likely = off * off, -off * off / 2
    for run in runs:
        away, said = _misfit(run, foretold(coaster, run, axes, slopes))
        squared, likely = squared + away, likely + said
    return squared, likely


def _ends(grid: Weighed) -> list[tuple[float, float]]:
    """Give where on each axis anything has weight."""
    ends = [_weighty(grid.axes.rolling, grid.likely.max(axis=1)), _weighty(grid.axes.area, grid.likely.max(axis=0))]
    slopes = enumerate(grid.axes.slopes)
    return ends + [_weighty(line, grid.joint(index).max(axis=(0, 1))) for index, line in slopes]


def _weighty(line: Floats, likely: Floats) -> tuple[float, float]:
    """Give the ends of what has weight on a line, one step beyond it on either side where there is one."""
    kept = np.flatnonzero(likely >= likely.max() - _OF_NO_WEIGHT)
    return float(line[max(kept[0] - 1, 0)]), float(line[min(kept[-1] + 1, line.size - 1)])


def _summed_up(logs: Floats, likely: Floats) -> Band:
    """Give 5 %, 50 % and 95 % of what is spread over a line of logarithms."""
    weights = np.exp(likely - likely.max())
    below = np.concatenate([[0.0], np.cumsum((weights[1:] + weights[:-1]) / 2)])
    low, middle, high = np.exp(np.interp(np.array([0.05, 0.5, 0.95]) * below[-1], below, logs)).tolist()
    return Band(low, middle, high)
