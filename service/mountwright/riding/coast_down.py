"""A rider's own rolling coefficient and drag area from runs without pushing.

Before a run, rolling is what is usual and the drag area what the posture says; each run moves both.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from mountwright.errors import InvalidQuantityError
from mountwright.measure.updating import is_contradicted
from mountwright.riding.band import Band
from mountwright.riding.coast_further import FurtherRun, further_runs
from mountwright.riding.coast_grid import TO_5_PERCENT, Weighed, area_reach, roads_of, rolling_reach, weighed
from mountwright.riding.coasting import Coaster, Run, braking, coasted
from mountwright.riding.note import Note

#: Where more of the doubt is left than this, the runs told nothing.
_TOLD_NOTHING = 0.9

#: Most runs at a time.
_MOST_RUNS = 20


@dataclass(frozen=True)
class CoastDown:
    """What runs told of a rider.

    Parameters
    ----------
    rolling, drag_area_m2 : Band
        5 %, 50 % and 95 %, above 0. Where the runs contradict each other, from the lowest to the highest that any
        of them tells by itself.
    squared_distance : float
        Of all readings from what fits them best, 0 or more.
    is_contradictory : bool
        Whether the readings lie too far apart to be of one rider on one set of wheels.
    by_run : tuple of Band
        Where they contradict each other, the rolling coefficient that each run tells by itself, in their order.
    notes : tuple of Note
    further : tuple of FurtherRun
        What one more run would tell, the most telling of rolling first; none where the runs contradict each other.

    Raises
    ------
    InvalidQuantityError
        For coefficients that are not above 0, and a squared distance below it.
    """

    rolling: Band
    drag_area_m2: Band
    squared_distance: float
    is_contradictory: bool = False
    by_run: tuple[Band, ...] = ()
    notes: tuple[Note, ...] = ()
    further: tuple[FurtherRun, ...] = ()

    def __post_init__(self) -> None:
        for band in (self.rolling, self.drag_area_m2, *self.by_run):
            if not band.low > 0:
                raise InvalidQuantityError(band, "a coefficient above 0")
        if not self.squared_distance >= 0:
            raise InvalidQuantityError(self.squared_distance, "a squared distance of 0 or more")


def coast_down(coaster: Coaster, runs: Sequence[Run]) -> CoastDown:
    """Give the coefficients that runs tell.

    Parameters
    ----------
    coaster : Coaster
    runs : sequence of Run
        1 to 20, on the same wheels and in the same posture; in any order, but that further runs follow the last.

    Raises
    ------
    InvalidQuantityError
        Without a run, for more of them, and for one that no rolling and no air explain.
    """
    if not 1 <= len(runs) <= _MOST_RUNS:
        raise InvalidQuantityError(len(runs), f"1 to {_MOST_RUNS} runs")
    for run in runs:
        _check_possible(coaster, run)
    grid = weighed(coaster, runs)
    # What the posture says counts as a reading, so that of two fitted coefficients only one has to be paid for.
    if is_contradicted(grid.squared_distance, sum(run.readings for run in runs) - 1):
        return _contradictory(coaster, runs, grid)
    notes = (*_notes(coaster, runs, grid), *_cautions(coaster))
    further = further_runs(coaster, runs, grid)
    return CoastDown(grid.rolling, grid.drag_area_m2, grid.squared_distance, notes=notes, further=further)


def _contradictory(coaster: Coaster, runs: Sequence[Run], grid: Weighed) -> CoastDown:
    """Give what each run tells by itself, and what they all span."""
    alone = [weighed(coaster, [run]) for run in runs]
    by_run = tuple([each.rolling for each in alone])
    area = _hull([each.drag_area_m2 for each in alone])
    notes = (Note("ride.runs_contradict", {"squared_distance": grid.squared_distance}), *_cautions(coaster))
    return CoastDown(_hull(by_run), area, grid.squared_distance, is_contradictory=True, by_run=by_run, notes=notes)


def _hull(bands: Sequence[Band]) -> Band:
    """Give what bands that contradict each other span; its middle is no mean of what they tell."""
    low, high = min(band.low for band in bands), max(band.high for band in bands)
    return Band(low, math.sqrt(low * high), high)


def _check_possible(coaster: Coaster, run: Run) -> None:
    """Refuse a run that not even the ends of the grid and of all doubts explain."""
    rolling, area, slope = rolling_reach(coaster), area_reach(coaster), run.slope
    start, end, wind = run.start_speed_m_s, run.end_speed_m_s, run.wind_m_s
    most = coasted(braking(coaster, rolling.low, area.low, slope.low), start.high, end.low, wind.low)
    least = coasted(braking(coaster, rolling.high, area.high, slope.high), start.low, end.high, wind.likely)
    if not math.isfinite(least.time_s):
        raise InvalidQuantityError(slope, "a slope on which wheels slow down to the end speed")
    for found, low, high, unit in (
        (run.distance_m, least.distance_m, most.distance_m, "m"),
        (run.time_s, least.time_s, most.time_s, "s"),
    ):
        if found is not None and not (found.high >= low and found.low <= high):
            raise InvalidQuantityError(found, f"{low:.4g} to {high:.4g} {unit}, which rolling and air can explain")


def _notes(coaster: Coaster, runs: Sequence[Run], grid: Weighed) -> Iterator[Note]:
    """Give what has to be said of the figures."""
    usual, posture = coaster.usual_rolling, coaster.drag_area_m2
    if not usual.low <= grid.rolling.likely <= usual.high:
        yield Note("ride.rolling_unlike_usual", {"usual_low": usual.low, "usual_high": usual.high})
    if _width(grid.rolling) > _TOLD_NOTHING * _width(usual):
        yield Note("ride.rolling_still_as_usual")
    if _width(grid.drag_area_m2) > _TOLD_NOTHING * TO_5_PERCENT * _width(posture):
        yield Note("ride.drag_area_still_of_posture", {"drag_area_m2": posture.likely})
    for road in roads_of(runs):
        if not road.rise.is_exact and len({run.is_back for run in runs if run.road == road}) == 1:
            yield Note("ride.slope_in_doubt", {"road": road.name, "low": road.rise.low, "high": road.rise.high})


def _cautions(coaster: Coaster) -> Iterator[Note]:
    if coaster.spinning_kg == 0:
        yield Note("ride.spinning_left_out")
    yield Note("ride.coast_down_caution")


def _width(band: Band) -> float:
    return math.log(band.high / band.low)
