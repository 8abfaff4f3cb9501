"""What one more run without pushing would tell of a rider's coefficients."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from mountwright.errors import InvalidQuantityError
from mountwright.riding.band import Band, around
from mountwright.riding.coast_grid import Axes, Foretold, Weighed, foretold, least_variance, roads_of
from mountwright.riding.coasting import AT_REST, Coaster, Launch, Run
from mountwright.riding.draws import Floats
from mountwright.riding.estimates import estimate

#: Faster than this nobody is sent: the upper end of cruising (Millet 2003, 5.5 to 7.0 m/s).
_FASTEST_ADVISED_M_S = 7.0

#: A run is advised unless it is likelier than this that it never comes to rest.
_MAY_NEVER_END = 0.1


@dataclass(frozen=True)
class FurtherRun:
    """What one more run to rest would leave of today's doubts, by first order.

    Parameters
    ----------
    code : str
        Message code of the run.
    start_speed_m_s : float
        Above 0.
    rolling_left, drag_area_left : float
        Shares of both doubts on the logarithmic scale, within 0 and 1, both inclusive.

    Raises
    ------
    InvalidQuantityError
        For figures beyond these bounds.
    """

    code: str
    start_speed_m_s: float
    rolling_left: float
    drag_area_left: float

    def __post_init__(self) -> None:
        if not (self.start_speed_m_s > 0 and 0 <= self.rolling_left <= 1 and 0 <= self.drag_area_left <= 1):
            found = (self.start_speed_m_s, self.rolling_left, self.drag_area_left)
            raise InvalidQuantityError(found, "a speed above 0 m/s and two shares within 0 and 1")


def further_runs(coaster: Coaster, runs: Sequence[Run], grid: Weighed) -> tuple[FurtherRun, ...]:
    """Give what one more run would tell, on the road of the last one; the most telling of rolling first.

    Parameters
    ----------
    coaster : Coaster
    runs : sequence of Run
        Those that were made.
    grid : Weighed
        What they told.
    """
    road = roads_of(runs).index(runs[-1].road)
    every = slice(None, None, 2)  # a first-order answer needs no finer grid
    axes = Axes(grid.axes.rolling[every], grid.axes.area[every], ())
    slopes, joint = grid.axes.slopes[road][every], grid.joint(road)[every, every, every]
    told = []
    for code, launch in _candidates(runs[-1]):
        left = _left(foretold(coaster, launch, axes, slopes), axes, joint)
        if left is not None:
            told.append(FurtherRun(code, launch.start_speed_m_s.likely, *left))
    return tuple(sorted(told, key=lambda each: (each.rolling_left, each.code)))


def _candidates(last: Run) -> Iterator[tuple[str, Launch]]:
    speed = last.start_speed_m_s.likely
    yield "ride.run_again", _launch(last, speed)
    yield "ride.run_slower", _launch(last, speed / 2)
    if speed < _FASTEST_ADVISED_M_S:
        yield "ride.run_faster", _launch(last, min(1.5 * speed, _FASTEST_ADVISED_M_S))
    if not last.road.rise.is_exact:
        yield "ride.run_the_other_way", _launch(last, speed, is_other_way=True)


def _launch(last: Run, speed_m_s: float, *, is_other_way: bool = False) -> Launch:
    """Give a run to rest where the last one was made, its wind as little known."""
    start = around(speed_m_s, speed_m_s * estimate("coast_down_speed_share").likely)
    wind = last.wind_m_s
    if is_other_way:
        wind = Band(-wind.high, -wind.likely, -wind.low)
    return Launch(last.road, start, AT_REST, wind, last.is_back != is_other_way)


def _left(told: Foretold, axes: Axes, joint: Floats) -> tuple[float, float] | None:
    """Give the shares of both doubts that a run would leave, None where it is likely never to come to rest.

    Distance and time, both read, are taken for linear in the logarithms of the coefficients (Bayes linear: Goldstein
    and Wooff 2007).
    """
    weights = np.exp(joint - joint.max())
    holds = np.isfinite(told.log_distance) & np.isfinite(told.distance_variance)
    if weights[~holds].sum() > _MAY_NEVER_END * weights.sum():
        return None
    lines = (axes.rolling[:, np.newaxis, np.newaxis], axes.area[np.newaxis, :, np.newaxis])
    known = [np.broadcast_to(line, weights.shape)[holds] for line in lines]
    spread = np.cov(np.stack([*known, told.log_distance[holds], told.log_time[holds]]), aweights=weights[holds], ddof=0)
    own = [np.average(part[holds], weights=weights[holds]) for part in told[2:]]
    noise = np.array([[own[0], own[2]], [own[2], own[1]]]) + least_variance() * np.eye(2)
    gain = spread[:2, 2:] @ np.linalg.solve(spread[2:, 2:] + noise, spread[2:, :2])
    rolling, area = np.sqrt(np.clip(1 - np.diag(gain) / np.diag(spread)[:2], 0, 1)).tolist()
    return rolling, area
