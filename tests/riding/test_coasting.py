"""A run without pushing, and how far a rider coasts."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from mountwright.errors import InvalidQuantityError
from mountwright.riding.band import Band, around, exactly
from mountwright.riding.coasting import (
    Braking,
    Coaster,
    Launch,
    Road,
    Run,
    braking,
    coasted,
    wheels_spinning_kg,
)

#: Standard gravity (CGPM 1901).
_G = 9.80665

_LEVEL = Road("level", exactly(0.0))
_COASTER = Coaster(80.0, around(0.27, 0.03), air_density_kg_m3=1.2)


def _integrated(coaster: Coaster, rolling: float, area: float, slope: float, speeds: tuple[float, float, float]) -> Any:
    """Give distance and time between two speeds in a head wind by an adaptive integration, infinite without an end."""
    start, end, wind = speeds
    angle = math.atan(slope)

    def motion(_: float, state: Any) -> list[float]:
        speed = state[1]
        air = coaster.air_density_kg_m3 * area / 2 * (speed + wind) * abs(speed + wind)
        weight = coaster.mass_kg * _G
        force = weight * (rolling * math.cos(angle) + math.sin(angle)) + air
        return [speed, -force / (coaster.mass_kg + coaster.spinning_kg)]

    def is_slow(_: float, state: Any) -> float:
        return float(state[1] - end)

    is_slow.terminal = True  # type: ignore[attr-defined]  # how solve_ivp is told to stop
    found = solve_ivp(motion, (0, 1e5), [0.0, start], events=is_slow, rtol=1e-10, atol=1e-10)
    return (found.y_events[0][0][0], found.t_events[0][0]) if found.t_events[0].size else (math.inf, math.inf)


class TestCoasted:
    """A rider who coasts ..."""

    @pytest.mark.parametrize("slope", [0.0, 0.004, -0.004, -0.02])
    @pytest.mark.parametrize("wind", [0.0, 1.5, -1.5, -6.0])
    @pytest.mark.parametrize("end", [3.0, 0.0])
    def test_goes_as_far_as_an_integration_of_the_motion(self, slope: float, wind: float, end: float) -> None:
        """... goes as far and for as long as scipy integrates, uphill and downhill, with the wind and against it."""
        coaster = Coaster(80.0, around(0.27, 0.03), spinning_kg=1.5, air_density_kg_m3=1.2)
        found = coasted(braking(coaster, 0.0235, 0.45, slope), 6.0, end, wind)
        assert pytest.approx(_integrated(coaster, 0.0235, 0.45, slope, (6.0, end, wind)), rel=1e-7) == tuple(found)

    def test_is_held_by_the_air_where_the_slope_pushes(self) -> None:
        """... down a slope that pushes more than rolling takes still slows to a speed at which the air balances it."""
        found = coasted(braking(_COASTER, 0.006, 0.45, -0.01), 8.0, 5.0)
        assert pytest.approx(_integrated(_COASTER, 0.006, 0.45, -0.01, (8.0, 5.0, 0.0)), rel=1e-7) == tuple(found)

    @pytest.mark.parametrize(("slope", "wind"), [(-0.01, 0.0), (0.0, -8.0)])
    def test_never_comes_to_rest_where_something_pushes(self, slope: float, wind: float) -> None:
        """... is carried on for ever by a slope or by a wind that is stronger than rolling."""
        found = coasted(braking(_COASTER, 0.006, 0.45, slope), 5.0, 0.0, wind)
        assert (math.inf, math.inf) == tuple(found)

    def test_goes_on_smoothly_where_slope_and_rolling_cancel(self) -> None:
        """... is held by the air alone where the slope just takes off what rolling adds: ``m/B ln(v0/v1)`` (limit)."""
        found = coasted(Braking(0.0, 0.27, 80.0), 6.0, 3.0)
        assert pytest.approx(80 / 0.27 * math.log(2), rel=1e-6) == found.distance_m
        assert pytest.approx(80 / 0.27 * (1 / 3 - 1 / 6), rel=1e-6) == found.time_s

    @given(
        st.floats(0.002, 0.05),
        st.floats(0.1, 1.0),
        st.floats(-0.001, 0.05),
        st.floats(0.5, 15),
        st.floats(0.01, 0.99),
        st.floats(-1, 5),
    )
    def test_goes_through_any_speed_on_its_way(
        self, rolling: float, area: float, slope: float, start: float, share: float, wind: float
    ) -> None:
        """... goes as far to rest as to any speed between and from there to rest."""
        by, middle = braking(_COASTER, rolling, area, slope), start * share
        whole = coasted(by, start, 0.0, wind)
        parts = [coasted(by, start, middle, wind), coasted(by, middle, 0.0, wind)]
        if math.isfinite(whole.time_s):
            assert pytest.approx(sum(part.distance_m for part in parts), rel=1e-6) == whole.distance_m
            assert pytest.approx(sum(part.time_s for part in parts), rel=1e-6) == whole.time_s

    def test_is_told_of_many_cases_at_once(self) -> None:
        """... is judged over a whole grid at once, each case as by itself."""
        rolling, slope = np.array([[0.006], [0.012]]), np.array([[-0.02, 0.0, 0.01]])
        together = coasted(braking(_COASTER, rolling, 0.45, slope), 5.0)
        assert (2, 3) == together.distance_m.shape
        for i, j in np.ndindex(2, 3):
            alone = coasted(braking(_COASTER, float(rolling[i, 0]), 0.45, float(slope[0, j])), 5.0)
            assert (alone.distance_m, alone.time_s) == (together.distance_m[i, j], together.time_s[i, j])


class TestSpinning:
    """Wheels that spin ..."""

    def test_add_their_inertia_over_the_square_of_their_radius(self) -> None:
        """... of 80 g, heavy at the rim by three quarters, add 0.48 kg on two skates of four."""
        assert pytest.approx(0.48) == wheels_spinning_kg(8, 0.080, 0.75)

    def test_are_between_a_disc_and_a_hoop_where_nobody_said(self) -> None:
        """... of which nobody knows the shape add more than discs and less than hoops."""
        assert wheels_spinning_kg(8, 0.1, 0.5) < wheels_spinning_kg(8, 0.1) < wheels_spinning_kg(8, 0.1, 1.0)

    @pytest.mark.parametrize("figures", [(-1, 0.1, 0.5), (8, -0.1, 0.5), (8, math.nan, 0.5), (8, 0.1, 1.1)])
    def test_that_cannot_be_are_refused(self, figures: tuple[int, float, float]) -> None:
        """... of no mass, or of more inertia than a hoop, are refused."""
        with pytest.raises(InvalidQuantityError, match="0 wheels or more"):
            wheels_spinning_kg(*figures)


def _run(**more: Any) -> Run:
    return Run(**{"road": _LEVEL, "start_speed_m_s": around(5.0, 0.2), "head_wind_m_s": exactly(0.0), **more})


class TestRun:
    """A run ..."""

    @pytest.mark.parametrize(
        ("figures", "expected"),
        [
            ({"start_speed_m_s": Band(0.0, 5.0, 6.0)}, "above 0 and up to 20 m/s"),
            ({"start_speed_m_s": around(20.0, 0.1)}, "above 0 and up to 20 m/s"),
            ({"end_speed_m_s": around(4.0, 0.9)}, "below the start speed"),
            ({"end_speed_m_s": around(0.1, 0.2)}, "0 m/s or more"),
            ({"head_wind_m_s": around(9.0, 1.1)}, "wind within"),
            ({"distance_m": around(1.0, 1.0)}, "distance above 0 m"),
            ({"time_s": exactly(0.0)}, "time above 0 s"),
            ({"distance_m": None}, "a distance, a time or both"),
        ],
    )
    def test_that_cannot_be_is_refused(self, figures: dict[str, Any], expected: str) -> None:
        """... with a figure that no run has is refused, and the figure named."""
        with pytest.raises(InvalidQuantityError, match=expected):
            _run(**{"distance_m": around(100.0, 1.0), **figures})

    @pytest.mark.parametrize(("distance_m", "time_s"), [(110.0, 20.0), (1.0, 10.0)])
    def test_is_no_faster_than_it_started_and_no_slower_than_it_ended(self, distance_m: float, time_s: float) -> None:
        """... whose mean speed is above that of its start or below that of its end is refused."""
        with pytest.raises(InvalidQuantityError, match=r"mean speed between 1\.9 and 5\.2 m/s"):
            _run(distance_m=exactly(distance_m), time_s=exactly(time_s), end_speed_m_s=around(2.0, 0.1))

    @pytest.mark.parametrize(
        ("figures", "most"), [({"distance_m": 145.0}, "137.9 m at most"), ({"time_s": 55.0}, "53.03 s at most")]
    )
    def test_uphill_ends_where_even_no_loss_would_end_it(self, figures: dict[str, float], most: str) -> None:
        """... up a slope of 1 % from 5.2 m/s ends after ``v0^2/(2 g sin t)`` at the latest."""
        read = {name: exactly(value) for name, value in figures.items()}
        uphill = Road("up", exactly(0.01))
        with pytest.raises(InvalidQuantityError, match=most):
            _run(road=uphill, **read)
        assert 1 == _run(road=uphill, is_back=True, **read).readings

    def test_back_has_the_slope_the_other_way(self) -> None:
        """... back has the road fall where it rose, its doubt turned round."""
        road = Road("hill", Band(0.001, 0.002, 0.005))
        assert Band(-0.005, -0.002, -0.001) == Launch(road, around(5.0, 0.2), is_back=True).slope
        assert Band(0.001, 0.002, 0.005) == Launch(road, around(5.0, 0.2)).slope

    def test_of_which_wind_and_slope_were_not_said_has_both_in_doubt(self) -> None:
        """... of which nobody said wind or slope has a little of either, both ways."""
        launch = Launch(Road("street"), around(5.0, 0.2))
        for band in (launch.wind_m_s, launch.slope):
            assert band.low < band.likely == 0 < band.high


class TestRoad:
    """A road ..."""

    @pytest.mark.parametrize("slope", [around(0.1, 0.001), around(-0.1, 0.001)])
    def test_too_steep_to_coast_is_refused(self, slope: Band) -> None:
        """... steeper than one in ten is refused."""
        with pytest.raises(InvalidQuantityError, match="slope within"):
            Road("wall", slope)


class TestCoaster:
    """A rider ..."""

    @pytest.mark.parametrize(
        "figures",
        [
            {"mass_kg": 0.0},
            {"mass_kg": 1001.0},
            {"mass_kg": math.nan},
            {"drag_area_m2": around(0.1, 0.1)},
            {"drag_area_m2": around(10.0, 0.1)},
            {"rolling": Band(0.0, 0.01, 0.02)},
            {"rolling": Band(0.01, 0.02, 1.1)},
            {"spinning_kg": -0.1},
            {"spinning_kg": 80.0},
            {"air_density_kg_m3": 0.0},
            {"air_density_kg_m3": 2.1},
        ],
    )
    def test_who_cannot_be_is_refused(self, figures: dict[str, Any]) -> None:
        """... of no mass, no size, or in no air is refused."""
        with pytest.raises(InvalidQuantityError):
            Coaster(**{"mass_kg": 80.0, "drag_area_m2": around(0.27, 0.03), **figures})
