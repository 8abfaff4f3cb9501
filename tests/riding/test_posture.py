"""How the skate stands: heights, pitch, what tips it, and its brake's pad."""

from __future__ import annotations

import math
from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.riding.band import exactly
from mountwright.riding.clearance import Place
from mountwright.riding.line import Axle, Deck, Diameter, Line, Load, Skate, Sole, Tyre
from mountwright.riding.posture import Pose, brake_pad_after, midway_mm, pose_in, posture, tip_margin
from mountwright.riding.stands import stands

#: A deck of a frame with bolts 165 mm apart, the rear one 10 mm higher.
STEPPED = Deck(heel_step_mm=10, front_bolt_along_mm=82.5, rear_bolt_along_mm=-82.5)

LOAD = Load(mass_kg=80, along_mm=0, skates=1, height_mm=950)


def level(diameters: Sequence[float], pitch: float = 81, down_mm: float = 56) -> Line:
    """Give a line of wheels that were measured exactly, on level axles midway between which is 0."""
    half = (len(diameters) - 1) * pitch / 2
    sizes = [Diameter(each, exactly(0), 0, True) for each in diameters]
    tyres = tuple(Tyre(size, exactly(85), exactly(12), exactly(0.6)) for size in sizes)
    return Line(tuple(Axle(half - pitch * index, down_mm) for index in range(len(tyres))), tyres, (0,) * len(tyres))


class TestPosture:
    """A skate ..."""

    def test_on_the_level_has_its_deck_above_axles_and_wheels(self) -> None:
        """... on four wheels of 80 whose axles are 56 below the deck has its toe 96 and its heel 106 up."""
        skate = Skate(level([80] * 4), STEPPED)
        found = posture(skate, stands(skate.line)[0], LOAD, 0, (0, 1, 2, 3))

        assert pytest.approx((96, 106)) == (found.toe_height_mm, found.heel_height_mm)
        assert pytest.approx(math.degrees(math.atan(10 / 165))) == found.sole_pitch_deg

    def test_on_smaller_front_wheels_stands_with_its_front_down(self) -> None:
        """... on smaller front wheels has its toe lower and pitches by the slope of the wheels as well."""
        skate = Skate(level([76, 80], 200), STEPPED)
        (stand,) = stands(skate.line)
        found = posture(skate, stand, LOAD, 0, (0, 1))

        assert pytest.approx(math.degrees(math.asin(2 / 200))) == stand.tilt_deg
        assert pytest.approx(math.degrees(math.atan(10 / 165)) + stand.tilt_deg) == found.sole_pitch_deg
        # Along the deck the ground falls by 2 in 200: 0.825 less and more than the 95 midway.
        assert pytest.approx((94.175, 105.825), abs=0.01) == (found.toe_height_mm, found.heel_height_mm)

    def test_without_bolts_is_measured_below_the_ends_of_its_sole(self) -> None:
        """... whose bolts nobody knows is measured below its sole's ends, and its pitch is not told."""
        sole = Sole(outline=(Place(150_000, 0), Place(0, -3000), Place(-140_000, -10_000)))
        skate = Skate(level([76, 80], 200), Deck(heel_step_mm=10), sole)
        (stand,) = stands(skate.line)
        found, pose = posture(skate, stand, LOAD, 0, (0, 1)), pose_in(skate.line, stand)

        assert pose.height_mm(150, 0) == found.toe_height_mm
        assert pose.height_mm(-140, -10) == found.heel_height_mm
        assert None is found.sole_pitch_deg

    @pytest.mark.parametrize(
        ("deck", "known"),
        [
            (Deck(), (False, False, False)),
            (Deck(front_bolt_along_mm=80), (True, False, False)),
            (Deck(heel_step_mm=0, rear_bolt_along_mm=-80), (False, True, False)),
            (Deck(front_bolt_along_mm=80, rear_bolt_along_mm=-80), (True, False, False)),
            (Deck(0, 80, -80), (True, True, True)),
            (Deck(0, -80, 80), (True, True, False)),
        ],
    )
    def test_says_of_what_nobody_knows_nothing(self, deck: Deck, known: tuple[bool, ...]) -> None:
        """... says nothing of what follows from a place or a step that nobody knows, or that cannot be."""
        skate = Skate(level([80] * 3), deck)
        found = posture(skate, stands(skate.line)[0], LOAD, 0, (0, 1, 2))
        told = (found.toe_height_mm, found.heel_height_mm, found.sole_pitch_deg)

        assert known == tuple(each is not None for each in told)

    def test_tips_over_the_outermost_wheels_that_carry(self) -> None:
        """... tips over the outermost wheels that carry, each as far from the load as it is."""
        skate = Skate(level([80] * 4))
        found = posture(skate, stands(skate.line)[0], LOAD, 10, (1, 2))

        assert (30.5, 50.5) == (found.tip_forward.distance_mm, found.tip_back.distance_mm)
        assert (tip_margin(30.5, 950), tip_margin(50.5, 950)) == (found.tip_forward, found.tip_back)

    def test_balanced_on_one_wheel_has_no_margin(self) -> None:
        """... that balances on one wheel has none of either, however a load's place is rounded."""
        skate = Skate(level([76, 80, 76]))
        found = posture(skate, stands(skate.line)[2], LOAD, 1e-12, (1,))

        assert (tip_margin(0, 950), 1e-12) == (found.tip_forward, pytest.approx(found.tip_back.distance_mm))


class TestPose:
    """A place on a skate ..."""

    @given(st.floats(-1.5, 1.5), st.floats(50, 150), st.floats(-200, 200), st.floats(-20, 200))
    def test_is_found_from_its_height(self, tilt: float, ground: float, along: float, height: float) -> None:
        """... is as far down as its height says, at any tilt."""
        pose = Pose(tilt, ground)

        assert pytest.approx(height, abs=1e-6) == pose.height_mm(along, pose.down_mm(along, height))


class TestBrakePad:
    """A brake's pad ..."""

    @pytest.mark.parametrize(("after", "expected"), [(80, 12), (76, 10), (84, 14), (50, -3)])
    def test_comes_down_by_half_of_what_the_wheels_lose(self, after: float, expected: float) -> None:
        """... comes down by half of what all wheels lose, wherever it is, and may reach the ground."""
        before = Skate(level([80] * 4), brake_pad_mm=12)

        found = [brake_pad_after(before, level([after] * 4), along) for along in (-200, None)]
        assert pytest.approx([expected] * 2) == found

    def test_comes_down_behind_if_the_rear_wheels_shrink(self) -> None:
        """... behind the last wheel comes down by more than the wheels there if those alone are smaller."""
        before = Skate(level([80, 80], 200), brake_pad_mm=12)
        found = brake_pad_after(before, level([80, 76], 200), -200)

        # 2 mm at 100 behind, so 3 mm at 200 behind; a tilt of 0.6 degrees changes little.
        assert pytest.approx(9, abs=0.02) == found

    def test_whose_place_nobody_knows_is_not_told_if_the_skate_tilts(self) -> None:
        """... whose place nobody knows is not told of if the change tilts the skate."""
        before = Skate(level([80, 80], 200), brake_pad_mm=12)

        assert None is brake_pad_after(before, level([80, 76], 200), None)

    def test_that_is_not_there_is_not_told(self) -> None:
        """... that is not there, or on a line that does not stand, has no height."""
        stands_on_four = level([80] * 4)

        assert None is brake_pad_after(Skate(stands_on_four), stands_on_four, -200)
        assert None is brake_pad_after(Skate(stands_on_four, brake_pad_mm=12), level([80]), -200)
        assert None is brake_pad_after(Skate(level([80]), brake_pad_mm=12), stands_on_four, -200)


def test_midway_is_between_the_outer_axles() -> None:
    """Axles that are not spaced alike have their middle between the outer two."""
    line = Line((Axle(100, 50), Axle(90, 50), Axle(-50, 50)), level([80] * 3).tyres, (0, 0, 0))

    assert 25 == midway_mm(line)
