"""What the tyres of a wheel line take."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate

from mountwright.riding.contact import contact_ellipse
from mountwright.riding.rolling import over_load, rolling

_LOADS, _RADII, _PROFILES = st.floats(1, 1500), st.floats(25, 63), st.floats(4, 60)
_MODULI, _LOST = st.floats(1.2, 45), st.floats(0.01, 0.99)


def _of_one(load: float, radius: float, profile: float, modulus: float, lost: float) -> float:
    return float(rolling(np.array([[load]]), radius, profile, modulus, lost).total[0])


class TestRolling:
    """A wheel that rolls ..."""

    @given(_LOADS, _RADII, _PROFILES, _MODULI, _LOST, st.floats(0.01, 0.99))
    def test_never_rolls_harder_with_more_rebound(
        self, load: float, radius: float, profile: float, modulus: float, lost: float, other: float
    ) -> None:
        """... never rolls harder with more rebound."""
        less, more = (_of_one(load, radius, profile, modulus, each) for each in sorted((lost, other)))

        assert less <= more

    @given(_LOADS, st.tuples(_RADII, _RADII), _PROFILES, _MODULI, _LOST)
    def test_never_rolls_harder_for_being_larger(
        self, load: float, radii: tuple[float, float], profile: float, modulus: float, lost: float
    ) -> None:
        """... never rolls harder for being larger, of the same kind and under the same load."""
        small, large = (_of_one(load, radius, profile, modulus, lost) for radius in sorted(radii))

        assert large <= small * (1 + 1e-12)

    @given(_LOADS, _RADII, _PROFILES, _MODULI, _LOST, st.floats(0.1, 10))
    def test_takes_more_than_its_load_grows(
        self, load: float, radius: float, profile: float, modulus: float, lost: float, times: float
    ) -> None:
        """... takes of its load the cube root of what that grows by (a of a point contact goes with W^1/3)."""
        once, often = (_of_one(each, radius, profile, modulus, lost) for each in (load, times * load))

        assert pytest.approx(once * times ** (1 / 3), rel=1e-9) == often

    def test_loses_a_share_of_what_the_front_half_takes_up(self) -> None:
        """... loses its share of the work of the front half, integrated here over the pressure of the contact."""
        a, b = (float(axis) for axis in contact_ellipse(184.0, 40.0, 12.0, 13.18))
        peak = 3 * 184 / (2 * np.pi * a * b)

        def pressed_backwards(y: float, x: float) -> float:
            return float(peak * np.sqrt(max(0.0, 1 - (x / a) ** 2 - (y / b) ** 2)) * x / 40)

        taken_up, _ = integrate.dblquad(
            pressed_backwards, 0, a, lambda x: -b * np.sqrt(1 - (x / a) ** 2), lambda x: b * np.sqrt(1 - (x / a) ** 2)
        )

        assert pytest.approx(0.3 * taken_up / 184, rel=1e-5) == _of_one(184, 40, 12, 13.18, 0.3)


class TestLine:
    """A line of wheels ..."""

    def test_weighs_each_wheel_by_its_own_load(self) -> None:
        """... takes what its wheels take, each weighed by its own load."""
        loads = np.array([[100.0, 300.0]])
        found = rolling(loads, np.array([40.0, 38.0]), 12, 10, np.array([0.3, 0.4]))
        first, second = _of_one(100, 40, 12, 10, 0.3), _of_one(300, 38, 12, 10, 0.4)

        assert pytest.approx([first, second]) == found.by_wheel[0]
        assert pytest.approx([0.25 * first + 0.75 * second]) == found.total

    def test_takes_nothing_for_a_wheel_in_the_air(self) -> None:
        """... takes nothing for a wheel in the air."""
        with_one = rolling(np.array([[0.0, 400.0]]), 40, 12, 10, 0.3)

        assert 0 == with_one.by_wheel[0, 0]
        assert pytest.approx(_of_one(400, 40, 12, 10, 0.3)) == with_one.total[0]

    def test_is_worked_out_row_by_row(self) -> None:
        """... is worked out row by row, for many lines as for one."""
        loads = np.array([[100.0, 300.0], [250.0, 150.0], [0.0, 400.0]])
        radii = np.array([[40.0, 38.0], [50.0, 50.0], [55.0, 40.0]])
        alone = [rolling(loads[row : row + 1], radii[row : row + 1], 12, 10, 0.3).total[0] for row in range(3)]

        assert pytest.approx(alone, rel=1e-12) == rolling(loads, radii, 12, 10, 0.3).total

    def test_that_carries_nothing_takes_nothing(self) -> None:
        """... that carries nothing takes nothing of it."""
        assert [0.0] == over_load(np.zeros((1, 4)), np.zeros((1, 4))).tolist()
