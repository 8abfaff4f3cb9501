"""Rolling, bearings and the power balance against published and independently computed values, by id."""

from __future__ import annotations

import csv
import math
import re
from pathlib import Path

import numpy as np
import pytest

from mountwright.riding.bearing_drag import BALL_FRICTION, ball_torque_n_mm, bearing_drag
from mountwright.riding.power import (
    AIR_DENSITY_KG_M3,
    Balance,
    Posture,
    drag_area_m2,
    felt_slope_percent,
    glide_slope_deg,
    power_by_part,
    speed_at_power,
)
from mountwright.riding.rolling import rolling
from mountwright.riding.rubber import gent_mpa

with (Path(__file__).parent / "physics.csv").open(encoding="utf-8", newline="") as _file:
    _ROWS = {row["id"]: row for row in csv.DictReader(_file)}

#: Standard gravity (CGPM 1901).
_G = 9.80665


def _given(row: str) -> dict[str, float]:
    """Give the inputs of a row: every ``name=number`` in them."""
    return {name: float(number) for name, number in re.findall(r"(\w+)=(-?[\d.]+)", _ROWS[row]["inputs"])}


def _as_published(row: str) -> object:
    """Give the value of a row, to be met within its tolerance."""
    kind, size = _ROWS[row]["tolerance"].split()
    value = float(_ROWS[row]["value"])
    return pytest.approx(value, rel=float(size)) if kind == "rel" else pytest.approx(value, abs=float(size))


def _coefficient(
    load_n: float, radius_mm: float, profile_mm: float, modulus_mpa: float, lost_share: float, wheels: int = 1
) -> float:
    loads = np.full((1, wheels), load_n / wheels)
    return float(rolling(loads, radius_mm, profile_mm, modulus_mpa, lost_share).total[0])


class TestRolling:
    """A rolling coefficient ..."""

    def test_of_a_round_wheel_is_a_spheres(self) -> None:
        """... of a wheel as round across as along is that of a sphere, for each unit of loss."""
        given = _given("02-012")
        found = _coefficient(given["W"], given["R"], given["R"], given["E"], 1)

        assert _as_published("02-012") == found

    @pytest.mark.parametrize("row", ["02-013", "02-014", "02-015", "02-016"])
    def test_of_a_crowned_wheel_is_the_computed_one(self, row: str) -> None:
        """... of a crowned wheel is that of the elliptical contact."""
        given = _given(row)
        found = _coefficient(given["W"], given["R"], given["r"], gent_mpa(85.0), given.get("alpha", 1))

        assert _as_published(row) == found

    @pytest.mark.parametrize(
        ("row", "load_n", "radius_mm", "modulus_mpa"),
        [("02-019", 400, 40, 8), ("02-020", 200, 50, 8), ("02-021", 200, 40, 16)],
    )
    def test_scales_as_a_point_contact(self, row: str, load_n: float, radius_mm: float, modulus_mpa: float) -> None:
        """... scales with load, radius and modulus as that of a point contact."""
        before, after = (
            _coefficient(load, radius, radius, modulus, 0.3)
            for load, radius, modulus in ((200, 40, 8), (load_n, radius_mm, modulus_mpa))
        )

        assert _as_published(row) == after / before

    @pytest.mark.parametrize(("row", "radius_mm"), [("04-030", 40), ("04-031", 55)])
    def test_of_three_wheels_stands_to_that_of_four(self, row: str, radius_mm: float) -> None:
        """... of three wheels stands to that of four of 80 as computed, of one size and of 110."""
        three = _coefficient(785, radius_mm, radius_mm, 13, 0.35, wheels=3)
        four = _coefficient(785, 40, 40, 13, 0.35, wheels=4)

        assert _as_published(row) == three / four


class TestBearings:
    """A bearing ..."""

    def test_has_the_handbooks_friction(self) -> None:
        """... has the friction of the handbooks, within their range."""
        low, high = _ROWS["03-002"]["value"].split(" to ")

        assert (float(low), float(high)) == (BALL_FRICTION.low, BALL_FRICTION.high)
        assert float(_ROWS["03-001"]["value"]) == BALL_FRICTION.likely

    @pytest.mark.parametrize("row", ["03-003", "03-004"])
    def test_takes_the_computed_torque(self, row: str) -> None:
        """... takes the computed torque."""
        given = _given(row)

        assert _as_published(row) == float(ball_torque_n_mm(given["P"], given["d"], given["mu"]))

    @pytest.mark.parametrize("row", ["03-005", "03-006", "03-007", "03-008", "03-009", "03-010"])
    def test_takes_the_computed_share_of_any_load(self, row: str) -> None:
        """... takes the computed share of any load without a seal."""
        (diameter,) = re.findall(r"wheel (\d+) mm", _ROWS[row]["inputs"])
        light, heavy = bearing_drag(np.array([[50.0, 60.0], [500.0, 100.0]]), float(diameter) / 2, 0)

        assert _as_published(row) == light
        assert _as_published(row) == heavy

    def test_adds_its_seal(self) -> None:
        """... adds the constant drag of its seal."""
        loads = np.full((1, 4), 80 * _G / 4)

        assert _as_published("03-011") == float(bearing_drag(loads, 40, 3, friction=0)[0])

    def test_takes_the_computed_power(self) -> None:
        """... takes, with all the others under a rider, the computed power."""
        given = _given("03-013")
        share = float(bearing_drag(np.full((1, 4), given["P"] / 4), 40, 0)[0])

        assert _as_published("03-013") == share * given["P"] * given["v"]


class TestPower:
    """The power balance ..."""

    @pytest.mark.parametrize("row", ["02-042", "02-043", "02-044", "02-045", "02-046", "02-047", "02-048"])
    def test_gives_the_power_at_a_speed(self, row: str) -> None:
        """... gives the computed power at a speed, level, uphill and downhill."""
        given = _given(row)
        balance = Balance(given["m"], given["Crr"], given["CdA"], given["rho"], given["grade"])

        assert _as_published(row) == power_by_part(balance, given["v"]).total_w

    @pytest.mark.parametrize("row", ["02-049", "02-050", "02-051", "02-052", "02-053"])
    def test_gives_the_speed_at_a_power(self, row: str) -> None:
        """... gives the computed speed at a power."""
        given = _given(row)
        balance = Balance(given["m"], given["Crr"], given["CdA"], given["rho"], given["grade"])

        assert _as_published(row) == speed_at_power(balance, given["P"])

    def test_at_30_km_an_hour_is_the_computed_one(self) -> None:
        """... gives the computed power at 30 km/h."""
        given = _given("10-010")
        balance = Balance(given["m"], given["Crr"], given["CdA"], given["rho"])

        assert _as_published("10-010") == power_by_part(balance, 30 / 3.6).total_w

    def test_gives_what_service_of_the_bearings_saves(self) -> None:
        """... gives what a coefficient lower by 0.0002 saves."""
        given = _given("03-021")
        gritty, clean = (power_by_part(Balance(given["m"], each, 0.27), given["v"]).total_w for each in (0.008, 0.0078))

        assert _as_published("03-021") == gritty - clean

    def test_has_the_measured_drag_areas(self) -> None:
        """... has the drag areas that were measured, with their doubt."""
        for row, posture in (("02-034", Posture.SEMI_SQUAT), ("02-035", Posture.UPRIGHT)):
            area, (_, half_width) = drag_area_m2(posture), _ROWS[row]["tolerance"].split()
            assert float(_ROWS[row]["value"]) == area.likely
            assert pytest.approx(float(half_width)) == (area.high - area.low) / 2

    def test_has_the_standard_air(self) -> None:
        """... has the air of the standard atmosphere at sea level."""
        assert _as_published("02-040") == AIR_DENSITY_KG_M3


class TestSlope:
    """A slope ..."""

    def test_is_worth_a_coefficient_of_its_size(self) -> None:
        """... is worth a rolling coefficient of its size."""
        assert _as_published("02-054") == -felt_slope_percent(0.006, 0.012) / 100

    def test_of_gliding_is_the_computed_one(self) -> None:
        """... on which a skate just keeps rolling is the computed one."""
        assert _as_published("02-055") == glide_slope_deg(_given("02-055")["Crr"])


class TestWorkedExample:
    """The worked example of Martin et al. 1998 ..."""

    def _parts(self) -> tuple[float, float, float]:
        """Give its rolling, slope and air, W; the spokes' drag is an area that the air acts on as well."""
        ground_speed = 471.8 / 56.42
        air_speed = float(_ROWS["02-062"]["value"])
        balance = Balance(90, 0.0032, 0.2565 + 0.0044, 1.2234, 0.003, air_speed - ground_speed)
        rolling_w, slope_w, air_w = power_by_part(balance, ground_speed)
        return float(rolling_w), float(slope_w), float(air_w)

    def test_is_met_by_part(self) -> None:
        """... is met in rolling, slope and air, within what its g of 9.81 makes."""
        rolling_w, slope_w, air_w = self._parts()

        assert _as_published("02-058") == rolling_w
        assert _as_published("02-060") == slope_w
        assert _as_published("02-057") == air_w

    def test_is_met_as_a_whole(self) -> None:
        """... is met as a whole: 213 W with the bicycle's own bearings, kinetic power and chain as tabled."""
        of_the_bicycle = math.fsum(float(_ROWS[row]["value"]) for row in ("02-059", "02-061"))

        assert _as_published("02-056") == (math.fsum(self._parts()) + of_the_bicycle) / 0.97698
