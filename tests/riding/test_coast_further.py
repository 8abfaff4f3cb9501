"""What one more run without pushing would tell."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from mountwright.errors import InvalidQuantityError
from mountwright.riding.band import Band, around, exactly
from mountwright.riding.coast_down import coast_down
from mountwright.riding.coast_further import FurtherRun
from mountwright.riding.coasting import Coaster, Road, Run, braking, coasted
from mountwright.riding.power import Posture, drag_area_m2

_COASTER = Coaster(80.0, drag_area_m2(Posture.SEMI_SQUAT), spinning_kg=0.5, air_density_kg_m3=1.2)
_LEVEL = Road("level", exactly(0.0))


def _run(road: Road, speed: float, distance: float, time: float | None = None) -> Run:
    return Run(
        road,
        around(speed, 0.2),
        head_wind_m_s=exactly(0.0),
        distance_m=around(distance, 1.0),
        time_s=None if time is None else around(time, 0.5),
    )


def _true_run(rolling: float, speed: float) -> Run:
    """Give the run that a rolling coefficient makes on the level, read as it is."""
    went = coasted(braking(_COASTER, rolling, 0.27, 0.0), speed)
    return _run(_LEVEL, speed, float(went.distance_m), float(went.time_s))


def _width(band: Band) -> float:
    return math.log(band.high / band.low)


class TestFurtherRun:
    """A further run ..."""

    def test_the_other_way_tells_most_where_the_slope_is_not_known(self) -> None:
        """... the other way is worth most on a road of unknown slope, and the same again next to nothing."""
        answer = coast_down(_COASTER, [_run(Road("street", around(0.0, 0.005)), 5.0, 100.0, 46.0)])
        left = {each.code: each.rolling_left for each in answer.further}
        assert "ride.run_the_other_way" == answer.further[0].code
        assert left["ride.run_the_other_way"] < 0.5 < 0.95 < left["ride.run_again"]

    def test_leaves_about_what_it_was_said_to_leave(self) -> None:
        """... leaves the doubt that was foretold, within a fifth, once it is made and reads as expected."""
        first = _true_run(0.01, 4.0)
        told = coast_down(_COASTER, [first])
        for each in told.further:
            start = each.start_speed_m_s
            went = coasted(braking(_COASTER, told.rolling.likely, told.drag_area_m2.likely, 0.0), start)
            run = replace(
                first,
                start_speed_m_s=around(start, 0.05 * start),
                distance_m=around(float(went.distance_m), 0.01),
                time_s=around(float(went.time_s), 0.01),
            )
            after = coast_down(_COASTER, [first, run])
            assert pytest.approx(each.rolling_left, rel=0.2) == _width(after.rolling) / _width(told.rolling)
            assert pytest.approx(each.drag_area_left, rel=0.2) == _width(after.drag_area_m2) / _width(told.drag_area_m2)

    def test_faster_tells_most_of_the_air(self) -> None:
        """... from a higher speed tells more of the air than one from the same or a lower speed."""
        answer = coast_down(_COASTER, [_run(_LEVEL, 4.0, 80.0)])
        assert "ride.run_faster" == min(answer.further, key=lambda each: each.drag_area_left).code

    def test_sends_nobody_faster_than_cruising(self) -> None:
        """... starts at 7 m/s at most, and none is faster than a run that was."""
        for speed in (4.0, 6.0, 7.0, 9.0):
            further = coast_down(_COASTER, [_true_run(0.01, speed)]).further
            faster = [each.start_speed_m_s for each in further if each.code == "ride.run_faster"]
            assert ([min(1.5 * speed, 7.0)] if speed < 7 else []) == faster

    def test_the_other_way_is_not_sent_down_a_hill_without_an_end(self) -> None:
        """... the other way is not advised where it would go on for ever."""
        uphill = Road("hill", around(0.03, 0.002))
        further = coast_down(_COASTER, [_run(uphill, 5.0, 30.0)]).further
        assert "ride.run_the_other_way" not in [each.code for each in further]
        assert further

    @pytest.mark.parametrize("figures", [(0.0, 0.5, 0.5), (5.0, 1.1, 0.5), (5.0, 0.5, -0.1), (5.0, math.nan, 0.5)])
    def test_that_cannot_be_is_refused(self, figures: tuple[float, float, float]) -> None:
        """... from a standstill, or that leaves more than there is, is refused."""
        with pytest.raises(InvalidQuantityError, match="two shares within 0 and 1"):
            FurtherRun("ride.run_again", *figures)
