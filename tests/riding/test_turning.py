"""What it takes to turn on the spot."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar

from mountwright.errors import InvalidQuantityError
from mountwright.riding.turning import flat_levers_mm, turning_levers_mm, turning_ratios

ALONG = np.array([121.5, 40.5, -40.5, -121.5])

LOADS = st.lists(st.floats(0, 900), min_size=4, max_size=4).filter(lambda loads: sum(loads) > 1)


class TestTurningLever:
    """The lever at which a load is dragged around ..."""

    def test_is_the_mean_distance_from_the_turning_point(self) -> None:
        """... is 81 mm for a load that four wheels share, 40.5 mm for the inner two, 0 for one wheel."""
        loads = np.array([[225.0, 225, 225, 225], [0, 450, 450, 0], [0, 0, 900, 0]])

        assert pytest.approx([81, 40.5, 0]) == turning_levers_mm(ALONG, loads)

    @settings(deadline=None)
    @given(LOADS)
    def test_is_the_least_that_a_search_over_turning_points_finds(self, loads: list[float]) -> None:
        """... is the least that a search over turning points finds."""
        moment = minimize_scalar(
            lambda at: float(np.dot(loads, np.abs(ALONG - at))),
            bounds=(-122, 122),
            method="bounded",
            options={"xatol": 1e-9},
        ).fun

        (found,) = turning_levers_mm(ALONG, np.array([loads])) * sum(loads)
        # The energy is convex with corners, at which a bounded search ends within its tolerance.
        assert moment >= found - 1e-6
        assert found >= moment - 1e-4 * sum(loads)

    @given(LOADS, st.floats(-500, 500), st.floats(0.5, 2))
    def test_goes_by_distances_alone(self, loads: list[float], by: float, scale: float) -> None:
        """... does not change with where places are counted from, grows with them, and is the same front to back."""
        carried = np.array([loads])
        expected = turning_levers_mm(ALONG, carried)

        assert pytest.approx(expected, abs=1e-9) == turning_levers_mm(ALONG + by, carried)
        assert pytest.approx(scale * expected, abs=1e-9) == turning_levers_mm(scale * ALONG, carried)
        assert pytest.approx(expected, abs=1e-9) == turning_levers_mm(-ALONG, carried)


class TestTurningRatio:
    """The turning moment as a ratio ..."""

    def test_is_one_for_a_flat_line(self) -> None:
        """... is 1 for the flat reference itself, wherever the load stands."""
        places = np.tile(ALONG, (3, 1))
        # models.md B, the flat rows: 900 N at 30 and at 115 mm from the middle; midway each wheel has a quarter.
        loads = np.array([[225.0] * 4, [328.366808, 255.036161, 188.160587, 128.436444], [827.777778, 72.222222, 0, 0]])

        assert pytest.approx([1, 1, 1], rel=1e-6) == turning_ratios(places, loads, np.array([0, 30, 115]))

    def test_is_that_of_the_wheelbases_where_two_wheels_carry(self) -> None:
        """... is one half where the inner two of four wheels carry all: their lever of 40.5 against 81 mm."""
        assert pytest.approx([0.5]) == turning_ratios(ALONG[np.newaxis], np.array([[0.0, 450, 450, 0]]), np.zeros(1))

    def test_of_a_load_that_tips_is_refused(self) -> None:
        """... of a load beyond the last wheel is refused."""
        with pytest.raises(InvalidQuantityError, match="outer axles"):
            flat_levers_mm(ALONG[np.newaxis], np.array([130.0]))
