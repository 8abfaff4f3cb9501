"""What the bearings of a wheel line take."""

from __future__ import annotations

import numpy as np
import pytest

from mountwright.riding.bearing_drag import BALL_FRICTION, Seal, ball_torque_n_mm, bearing_drag, seal_drag_n_mm


class TestSeal:
    """A seal ..."""

    def test_drags_more_the_better_it_keeps_dirt_out(self) -> None:
        """... likely drags more, the better it keeps dirt out."""
        likely = [seal_drag_n_mm(seal).likely for seal in Seal]

        assert sorted(set(likely)) == likely

    def test_that_nobody_knows_may_be_any(self) -> None:
        """... that nobody knows may drag as any of them."""
        kinds, unknown = [seal_drag_n_mm(seal) for seal in Seal], seal_drag_n_mm(None)

        assert (min(kind.low for kind in kinds), max(kind.high for kind in kinds)) == (unknown.low, unknown.high)


class TestBearingDrag:
    """The bearings of a line ..."""

    def test_take_the_same_of_any_load_without_seals(self) -> None:
        """... take the same share of any load, however it is spread, where nothing but the balls drags."""
        found = bearing_drag(np.array([[200.0, 200.0], [1.0, 900.0]]), 40, 0)

        assert pytest.approx([BALL_FRICTION.likely * 8 / 80] * 2) == found

    def test_take_less_of_a_larger_load_with_seals(self) -> None:
        """... take half of what the seals took of half the load."""
        light, heavy = bearing_drag(np.array([[100.0, 100.0], [200.0, 200.0]]), 40, 3, friction=0)

        assert pytest.approx(2 * heavy) == light
        assert pytest.approx(4 * 3 / 40 / 200) == light

    def test_of_a_wheel_in_the_air_do_not_turn(self) -> None:
        """... of a wheel in the air take nothing."""
        both, one = bearing_drag(np.array([[200.0, 200.0], [0.0, 400.0]]), 40, 3, friction=0)

        assert pytest.approx(both / 2) == one

    def test_turn_on_the_radius_of_their_own_wheel(self) -> None:
        """... drag on the radius of their own wheel, each by its own load."""
        found = bearing_drag(np.array([[100.0, 300.0]]), np.array([40.0, 50.0]), 2)
        torques = ball_torque_n_mm(np.array([100.0, 300.0])) + 4

        assert pytest.approx([(torques[0] / 40 + torques[1] / 50) / 400]) == found
