"""The contact of a tyre, against integration of the pressure and against a root by another route."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.special import ellipe, ellipkm1

from mountwright.errors import InvalidQuantityError
from mountwright.riding.contact import contact_ellipse, stiffness_n_mm15

#: Load, rolling and profile radius, modulus: a crowned wheel, a round one, a flat one, and a ball.
WHEELS = [
    pytest.param(184.0, 40.0, 12.0, 13.1822, id="long"),
    pytest.param(300.0, 55.0, 40.0, 8.0, id="nearly round"),
    pytest.param(250.0, 38.0, 120.0, 20.0, id="broad"),
    pytest.param(200.0, 40.0, 40.0, 8.0, id="round"),
]

#: What integration is good to.
INTEGRAL = 1e-7

#: What rounding may do to a ratio.
ROUNDING = 1e-11

LOADS = st.floats(1e-3, 1e5)
RADII = st.floats(1, 1000)
MODULI = st.floats(0.5, 500)


def _surface_mm(
    load_n: float, axes: tuple[float, float], plane_mpa: float, at: tuple[float, float] = (0.0, 0.0)
) -> float:
    """Give how far the pressure of Hertz presses a half-space in at a place (Johnson 1985, eq. 3.14, rays from there).

    Along a ray the root of the pressure is that of a quadratic, and the ray's length cancels the distance.
    """
    a, b = axes
    peak_mpa = 1.5 * load_n / (math.pi * a * b)
    x, y = at

    def ray(angle: float) -> float:
        dx, dy = math.cos(angle), math.sin(angle)
        square, slant = (dx / a) ** 2 + (dy / b) ** 2, x * dx / a**2 + y * dy / b**2
        level = 1 - (x / a) ** 2 - (y / b) ** 2
        end = (-slant + math.sqrt(slant**2 + square * level)) / square
        # r = end (1 - s**2) takes the root's steep end off the pressure.
        return float(
            quad(
                lambda s: (
                    2 * s * end * math.sqrt(max(0.0, level - 2 * slant * (r := end * (1 - s * s)) - square * r * r))
                ),
                0,
                1,
                epsabs=0,
                epsrel=1e-10,
            )[0]
        )

    turns = np.linspace(0, 2 * math.pi, 256, endpoint=False)
    return peak_mpa / (math.pi * plane_mpa) * 2 * math.pi * float(np.mean([ray(float(angle)) for angle in turns]))


def _ratio_by_root(curvature: float) -> float:
    """Give the short axis over the long one, by bisection of the library's integrals (Johnson 1985, eq. 4.25)."""

    def miss(q: float) -> float:
        k, e = ellipkm1(q * q), ellipe(1 - q * q)
        return float(math.log((e / q**2 - k) / (k - e)) - math.log(curvature))

    return float(brentq(miss, 1e-7, 1 - 1e-5, xtol=1e-15, rtol=1e-14))


class TestContactEllipse:
    """The contact of a tyre ..."""

    @pytest.mark.parametrize(("load", "rolling", "profile", "modulus"), WHEELS)
    @pytest.mark.parametrize("share", [0.3, 0.7, 0.95])
    def test_leaves_the_tyre_flat_on_the_floor(
        self, load: float, rolling: float, profile: float, modulus: float, share: float
    ) -> None:
        """... presses the tyre in, along and across, by what its curvature stands off the floor."""
        axes = tuple(map(float, contact_ellipse(load, rolling, profile, modulus)))
        a, b = axes
        middle = _surface_mm(load, (a, b), modulus / 0.75)
        along = middle - _surface_mm(load, (a, b), modulus / 0.75, (share * a, 0.0))
        across = middle - _surface_mm(load, (a, b), modulus / 0.75, (0.0, share * b))
        assert (share * a) ** 2 / (2 * rolling) == pytest.approx(along, rel=1e-6)
        assert (share * b) ** 2 / (2 * profile) == pytest.approx(across, rel=1e-6)

    @given(st.floats(1.001, 1e6))
    def test_is_as_slender_as_another_route_finds(self, curvature: float) -> None:
        """... has the ratio of axes that bisection finds, either way round."""
        along, across = contact_ellipse(1.0, curvature, 1.0, 1.0)
        turned = contact_ellipse(1.0, 1.0, curvature, 1.0)
        expected = _ratio_by_root(curvature)
        # The library's integrals cancel where the ellipse is nearly round.
        assert expected == pytest.approx(float(across / along), rel=1e-9)
        assert expected == pytest.approx(float(turned.along_mm / turned.across_mm), rel=1e-9)

    @given(LOADS, RADII, MODULI)
    def test_of_a_ball_is_a_circle(self, load: float, radius: float, modulus: float) -> None:
        """... is a circle where both radii are one (Johnson 1985, eq. 4.22)."""
        expected = (0.75 * load * radius / (modulus / 0.75)) ** (1 / 3)
        assert (expected, expected) == pytest.approx(contact_ellipse(load, radius, radius, modulus), rel=ROUNDING)

    @given(LOADS, RADII, st.floats(-1e-6, 1e-6), MODULI)
    def test_has_no_jump_where_it_is_nearly_a_circle(
        self, load: float, radius: float, off: float, modulus: float
    ) -> None:
        """... goes through the circle smoothly: its axes part by 2/3 of what the radii do."""
        along, across = contact_ellipse(load, radius * (1 + off), radius, modulus)
        assert 2 / 3 * off == pytest.approx(float(along / across) - 1, abs=1e-11)

    @given(LOADS, RADII, RADII, MODULI)
    def test_is_turned_with_the_wheel(self, load: float, rolling: float, profile: float, modulus: float) -> None:
        """... swaps its axes where the radii are swapped."""
        along, across = contact_ellipse(load, rolling, profile, modulus)
        assert (across, along) == pytest.approx(contact_ellipse(load, profile, rolling, modulus), rel=ROUNDING)

    @given(LOADS, RADII, RADII, MODULI)
    def test_grows_with_the_cube_root_of_the_load(
        self, load: float, rolling: float, profile: float, modulus: float
    ) -> None:
        """... is twice as large under eight times the load, or of an eighth of the modulus."""
        doubled = [2 * axis for axis in contact_ellipse(load, rolling, profile, modulus)]
        assert doubled == pytest.approx(contact_ellipse(8 * load, rolling, profile, modulus), rel=ROUNDING)
        assert doubled == pytest.approx(contact_ellipse(load, rolling, profile, modulus / 8), rel=ROUNDING)

    def test_is_longer_in_the_direction_of_the_larger_radius(self) -> None:
        """... lies along a crowned wheel and across a flat one."""
        crowned, flat = contact_ellipse(200.0, 40.0, 12.0, 10.0), contact_ellipse(200.0, 40.0, 90.0, 10.0)
        assert crowned.along_mm > crowned.across_mm
        assert flat.along_mm < flat.across_mm

    def test_is_nothing_without_a_load(self) -> None:
        """... has no axes under a wheel that hangs clear."""
        assert (0.0, 0.0) == contact_ellipse(0.0, 40.0, 12.0, 10.0)

    def test_takes_many_at_once(self) -> None:
        """... of each of many wheels is what it is for one."""
        loads = np.array([[0.0, 100.0, 250.0], [300.0, 50.0, 1.0]])
        rolling, profile = np.array([36.0, 40.0, 62.5]), np.array([40.0, 40.0, 11.0])
        found = contact_ellipse(loads, rolling, profile, 10.0)
        for row, column in np.ndindex(2, 3):
            one = contact_ellipse(loads[row, column], float(rolling[column]), float(profile[column]), 10.0)
            assert one == pytest.approx([axis[row, column] for axis in found], rel=ROUNDING)

    def test_of_no_wheels_is_none(self) -> None:
        """... is asked for by an empty set-up too."""
        none = np.empty((0, 4))
        assert (0, 4) == contact_ellipse(none, none, none, none).along_mm.shape

    @pytest.mark.parametrize(
        "given",
        [
            (-1.0, 40.0, 12.0, 10.0),
            (math.nan, 40.0, 12.0, 10.0),
            (math.inf, 40.0, 12.0, 10.0),
            (100.0, 0.0, 12.0, 10.0),
            (100.0, 40.0, -12.0, 10.0),
            (100.0, 40.0, math.inf, 10.0),
            (100.0, 40.0, 12.0, 0.0),
            (100.0, 40.0, 12.0, math.nan),
        ],
    )
    def test_is_refused_for_what_no_wheel_has(self, given: tuple[float, float, float, float]) -> None:
        """... is refused for a pull, and for radii and moduli that are not above nothing."""
        with pytest.raises(InvalidQuantityError):
            contact_ellipse(*given)


class TestStiffness:
    """The stiffness of a tyre ..."""

    @pytest.mark.parametrize(("load", "rolling", "profile", "modulus"), WHEELS)
    def test_makes_the_approach_that_the_pressure_does(
        self, load: float, rolling: float, profile: float, modulus: float
    ) -> None:
        """... lets the wheel down by what the pressure presses its middle in."""
        axes = contact_ellipse(load, rolling, profile, modulus)
        pressed = _surface_mm(load, (float(axes.along_mm), float(axes.across_mm)), modulus / 0.75)
        assert pressed == pytest.approx(_approach(load, rolling, profile, modulus), rel=INTEGRAL)

    @given(RADII, MODULI)
    def test_of_a_ball_is_the_closed_form(self, radius: float, modulus: float) -> None:
        """... is 4/3 E* sqrt(R) where both radii are one (Johnson 1985, eq. 4.23)."""
        expected = 4 / 3 * modulus / 0.75 * math.sqrt(radius)
        assert expected == pytest.approx(float(stiffness_n_mm15(radius, radius, modulus)), rel=ROUNDING)

    @given(RADII, RADII, MODULI)
    def test_does_not_ask_which_way_the_wheel_rolls(self, rolling: float, profile: float, modulus: float) -> None:
        """... is the same where the radii are swapped."""
        found = float(stiffness_n_mm15(rolling, profile, modulus))
        assert found == pytest.approx(float(stiffness_n_mm15(profile, rolling, modulus)), rel=ROUNDING)

    @given(st.floats(1, 5))
    def test_is_close_to_that_of_the_mean_radius(self, ratio: float) -> None:
        """... is that of a ball of the geometric mean of the radii within 6 % up to a ratio of 5, and above it."""
        ball = 4 / 3 * 10 / 0.75 * math.sqrt(40 / math.sqrt(ratio))
        found = float(stiffness_n_mm15(40.0, 40.0 / ratio, 10.0)) / ball
        assert 1 - ROUNDING <= found <= 1.06

    @pytest.mark.parametrize("given", [(0.0, 12.0, 10.0), (40.0, math.nan, 10.0), (40.0, 12.0, -1.0)])
    def test_is_refused_for_what_no_wheel_has(self, given: tuple[float, float, float]) -> None:
        """... is refused for radii and moduli that are not above nothing."""
        with pytest.raises(InvalidQuantityError):
            stiffness_n_mm15(*given)


def _approach(load: float, rolling: float, profile: float, modulus: float) -> float:
    return float((load / stiffness_n_mm15(rolling, profile, modulus)) ** (2 / 3))
