"""What a rider needs to keep a speed."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import optimize

from mountwright.errors import InvalidQuantityError
from mountwright.riding.band import Band, exactly
from mountwright.riding.power import (
    Balance,
    Posture,
    Rider,
    drag_area_m2,
    felt_slope_percent,
    glide_slope_deg,
    power_by_part,
    same_effort_speed_m_s,
    speed_at_power,
)

_LEVEL = Balance(80, 0.006, 0.45, 1.2)

_BALANCES = st.builds(
    Balance,
    st.floats(10, 400),
    st.floats(0, 0.05),
    st.floats(0.05, 2),
    st.floats(0.5, 1.5),
    st.floats(-1, 1),
    st.floats(-60, 60),
)


class TestRider:
    """A rider ..."""

    def test_has_the_drag_of_the_posture_unless_measured(self) -> None:
        """... has the drag area of the posture unless it was measured."""
        rider = Rider(80, 5, Posture.UPRIGHT)

        assert drag_area_m2(Posture.UPRIGHT) == rider.drag_area
        assert Band(0.3, 0.31, 0.33) == replace(rider, own_drag_area_m2=Band(0.3, 0.31, 0.33)).drag_area

    def test_may_be_weighed_with_a_doubt(self) -> None:
        """... is weighed with a doubt or without."""
        assert exactly(80) == Rider(80, 5, Posture.UPRIGHT).mass
        assert Band(78, 80, 82) == Rider(Band(78, 80, 82), 5, Posture.UPRIGHT).mass

    @pytest.mark.parametrize(
        ("name", "found"),
        [
            ("mass_kg", 0),
            ("mass_kg", Band(0, 80, 90)),
            ("mass_kg", 1001),
            ("mass_kg", math.nan),
            ("speed_m_s", 0),
            ("speed_m_s", math.inf),
            ("own_drag_area_m2", exactly(0)),
            ("slope", 1.01),
            ("slope", math.nan),
            ("wind_m_s", -101),
            ("air_density_kg_m3", 0),
            ("skates", 3),
        ],
    )
    def test_that_cannot_be_is_refused(self, name: str, found: object) -> None:
        """... that cannot be is refused."""
        with pytest.raises(InvalidQuantityError):
            replace(Rider(80, 5, Posture.UPRIGHT), **{name: found})  # type: ignore[arg-type]  # of any field


class TestPower:
    """The power that a speed takes ..."""

    @given(_BALANCES, st.floats(0, 60))
    def test_is_always_a_number(self, balance: Balance, speed: float) -> None:
        """... is a number in any wind, also one from behind that is faster than the rider, uphill and down."""
        assert all(map(math.isfinite, power_by_part(balance, speed)))

    def test_is_less_than_nothing_with_the_wind_behind(self) -> None:
        """... is below nothing for air from behind that is faster than the rider: it pushes, by the same law."""
        behind, ahead = replace(_LEVEL, wind_m_s=-8), replace(_LEVEL, wind_m_s=-2)

        assert pytest.approx(-0.5 * 1.2 * 0.45 * 9 * 5) == power_by_part(behind, 5).air_w
        assert pytest.approx(0.5 * 1.2 * 0.45 * 9 * 5) == power_by_part(ahead, 5).air_w

    def test_is_worked_out_for_many_at_once(self) -> None:
        """... is worked out for many cases at once."""
        many = power_by_part(replace(_LEVEL, rolling_coefficient=np.array([0.006, 0.012])), 5)
        alone = [power_by_part(replace(_LEVEL, rolling_coefficient=each), 5).total_w for each in (0.006, 0.012)]

        assert pytest.approx(alone) == many.total_w

    def test_grows_with_the_mass_where_the_air_does_not(self) -> None:
        """... grows with the mass in rolling and slope, not in the air."""
        light = power_by_part(replace(_LEVEL, slope=0.02), 5)
        heavy = power_by_part(replace(_LEVEL, slope=0.02, mass_kg=160), 5)

        assert pytest.approx([2 * light.rolling_w, 2 * light.slope_w, light.air_w]) == list(heavy)

    @pytest.mark.parametrize(
        ("name", "found"),
        [
            ("mass_kg", 0),
            ("rolling_coefficient", np.array([0.006, -0.001])),
            ("rolling_coefficient", math.nan),
            ("drag_area_m2", 0),
            ("air_density_kg_m3", 0),
            ("slope", math.inf),
            ("wind_m_s", math.nan),
        ],
    )
    def test_is_not_asked_of_what_cannot_be(self, name: str, found: object) -> None:
        """... is not asked of what cannot be."""
        with pytest.raises(InvalidQuantityError):
            replace(_LEVEL, **{name: found})  # type: ignore[arg-type]  # of any field


class TestSpeed:
    """The speed that a power keeps up ..."""

    @given(_BALANCES, st.floats(1, 3000))
    def test_takes_that_power(self, balance: Balance, power: float) -> None:
        """... takes that power, in any wind, uphill and down."""
        speed = speed_at_power(balance, power)

        assert pytest.approx(power, rel=1e-6) == power_by_part(balance, speed).total_w

    @given(_BALANCES, st.floats(1, 3000))
    def test_is_the_only_one(self, balance: Balance, power: float) -> None:
        """... is the one that SciPy's brentq finds between rest and 2 km/s."""
        found = optimize.brentq(lambda speed: power_by_part(balance, speed).total_w - power, 0, 2000, xtol=1e-12)

        assert pytest.approx(found, rel=1e-6, abs=1e-9) == speed_at_power(balance, power)

    @given(_BALANCES)
    def test_without_power_is_that_of_coasting(self, balance: Balance) -> None:
        """... without power is that at which slope or wind alone carry the rider, else nothing."""
        speed = speed_at_power(balance, 0)
        force = float(power_by_part(balance, 1e-9).total_w) / 1e-9

        assert speed >= 0
        assert (force < -1e-6) <= (speed > 0)
        assert pytest.approx(0, abs=1e-6 * (1 + speed) * 400) == power_by_part(balance, speed).total_w

    def test_of_a_power_below_nothing_is_refused(self) -> None:
        """... of a power below nothing, or without end, is refused."""
        for power in (-1.0, math.nan, math.inf):
            with pytest.raises(InvalidQuantityError, match="0 W or more"):
                speed_at_power(_LEVEL, power)


class TestSlope:
    """A slope ..."""

    def test_of_gliding_needs_no_power(self) -> None:
        """... on which a skate glides keeps it rolling where the air is too thin to tell."""
        glide = math.tan(math.radians(glide_slope_deg(0.008)))
        power = power_by_part(Balance(80, 0.008, 0.45, 1.2, -glide), 1e-3)

        assert pytest.approx(0, abs=1e-12) == power.rolling_w + power.slope_w

    def test_is_felt_by_the_difference(self) -> None:
        """... of 0.4 % less is felt where a rolling coefficient is 0.004 lower."""
        assert pytest.approx(-0.4) == felt_slope_percent(0.008, 0.012)


class TestSameEffort:
    """The speed at the same effort ..."""

    def test_is_the_same_on_the_same_wheels(self) -> None:
        """... is the rider's own on wheels that lose the same."""
        rider = Rider(80, 5.5, Posture.UPRIGHT)
        assert 5.5 == pytest.approx(same_effort_speed_m_s(rider, 0.008, 0.008), rel=1e-9)

    @given(st.floats(1, 15), st.floats(0.002, 0.03), st.floats(0.002, 0.03))
    def test_is_higher_on_wheels_that_lose_less(self, speed: float, one: float, other: float) -> None:
        """... is higher on wheels that lose less, and takes as much power."""
        found = same_effort_speed_m_s(Rider(80, speed, Posture.SEMI_SQUAT), min(one, other), max(one, other))
        assert found is not None
        assert found >= speed * (1 - 1e-9)

    def test_is_unknown_where_the_wind_does_the_work(self) -> None:
        """... is not told where wind or slope alone carry the rider faster."""
        assert None is same_effort_speed_m_s(Rider(80, 2, Posture.UPRIGHT, wind_m_s=-20), 0.01, 0.02)
