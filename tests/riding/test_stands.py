"""Which wheels touch flat ground, in which stand."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from mountwright.errors import InvalidQuantityError
from mountwright.riding.band import Band, exactly
from mountwright.riding.line import Axle, Diameter, Line, Tyre
from mountwright.riding.stands import (
    Stand,
    bottoms_mm,
    circles,
    depths_mm,
    gaps_on_level_mm,
    likely_diameter_mm,
    never_touching,
    rocker_mm,
    rocker_radius_mm,
    rocking_deg,
    spans_mm,
    stand_under,
    standing_gaps_mm,
    stands,
    wheelbase_mm,
)


class At(NamedTuple):
    """A wheel: place along, down, diameter, all millimetres."""

    along: float
    down: float
    diameter: float


def line_of(*wheels: At) -> Line:
    """Give a line of wheels that were measured exactly."""
    tyres = tuple(
        Tyre(Diameter(each.diameter, exactly(0), 0, True), exactly(85), exactly(12), exactly(0.6)) for each in wheels
    )
    return Line(tuple(Axle(each.along, each.down) for each in wheels), tyres, (0,) * len(wheels))


def level(diameters: Sequence[float], pitch: float = 81) -> Line:
    """Give a line on level axles, midway between them at 0."""
    half = (len(diameters) - 1) * pitch / 2
    return line_of(*(At(half - index * pitch, 56, diameter) for index, diameter in enumerate(diameters)))


@st.composite
def wheels(draw: st.DrawFn, most: int = 6) -> list[At]:
    """Give wheels that leave each other room, in whole micrometres, as lengths come."""
    along, found = 0.0, []
    for _ in range(draw(st.integers(1, most))):
        diameter = draw(st.integers(60_000, 125_000)) / 1000
        found.append(At(along, draw(st.integers(40_000, 60_000)) / 1000, diameter))
        along -= 126 + draw(st.integers(0, 40_000)) / 1000
    return found


LINES = wheels().map(lambda found: line_of(*found))


class TestStands:
    """A wheel line ..."""

    def test_that_is_flat_stands_on_all_of_its_wheels(self) -> None:
        """... that is flat has one stand, on all of its wheels, and does not rock."""
        (stand,) = found = stands(level([80, 80, 80, 80]))

        assert Stand((0, 1, 2, 3), 0, 0, (0, 0, 0, 0)) == stand
        assert 0 == rocking_deg(found)

    def test_with_smaller_ends_has_a_stand_on_each_pair(self) -> None:
        """... of 76-80-80-76 stands on any two neighbours, and on one wheel between these stands."""
        found = stands(level([76, 80, 80, 76], 77))
        tilt = math.degrees(math.asin(2 / 77))

        assert [(2, 3), (2,), (1, 2), (1,), (0, 1)] == [stand.touching for stand in found]
        assert pytest.approx([-tilt, -tilt, 0, 0, tilt]) == [stand.from_tilt_deg for stand in found]
        assert pytest.approx([-tilt, 0, 0, tilt, tilt]) == [stand.to_tilt_deg for stand in found]
        assert (2, 0, 0, 2) == pytest.approx(found[2].gaps_mm)

    def test_with_a_wheel_that_is_too_small_never_touches_there(self) -> None:
        """... whose middle wheel is worn stands on the outer two, and the middle one touches at no tilt."""
        found = stands(level([90, 86, 90], 115.5))

        assert [((0, 2), (0, 2, 0))] == [(stand.touching, pytest.approx(stand.gaps_mm)) for stand in found]
        assert (1,) == never_touching(found, 3)

    def test_with_three_large_wheels_rocks_over_the_middle_one_if_that_is_lower(self) -> None:
        """... of three on a frame with its middle axle 1 mm down stands on either pair."""
        found = stands(line_of(At(115.5, 56, 90), At(0, 57, 90), At(-115.5, 56, 90)))

        assert [(1, 2), (1,), (0, 1)] == [stand.touching for stand in found]
        assert pytest.approx((1, 0, 1), abs=1e-4) == found[1].gaps_mm

    def test_of_one_wheel_has_one_stand(self) -> None:
        """... of one wheel stands on it at any tilt."""
        assert (Stand((0,), -90, 90, (0,)),) == stands(line_of(At(10, 50, 80)))

    def test_swallowed_by_one_wheel_stands_on_it_alone(self) -> None:
        """... with a wheel inside another, which no frame has, still has an answer."""
        found = stands(line_of(At(10, 50, 20), At(0, 50, 100)))

        assert [(1,)] == [stand.touching for stand in found]
        assert (0,) == never_touching(found, 2)

    @given(LINES)
    def test_has_stands_in_order_of_tilt(self, line: Line) -> None:
        """... has stands that follow each other without a gap in tilt, firm ones and those on one wheel in turn."""
        found = stands(line)
        tilts = [tilt for stand in found for tilt in (stand.from_tilt_deg, stand.to_tilt_deg)]

        assert sorted(tilts) == tilts
        assert all(before.to_tilt_deg == after.from_tilt_deg for before, after in pairwise(found))
        assert len(found) < 2 or [True, False] * (len(found) // 2) + [True] == [stand.is_firm for stand in found]

    @given(LINES)
    def test_has_gaps_of_nothing_under_the_wheels_that_touch_only(self, line: Line) -> None:
        """... has no gap below 0, and one of 0 just where a wheel touches."""
        for stand in stands(line):
            assert stand.touching == tuple(index for index, gap in enumerate(stand.gaps_mm) if gap == 0)
            assert min(stand.gaps_mm) >= 0

    @settings(deadline=None)
    @given(LINES)
    def test_stands_on_every_wheel_that_reaches_lowest_at_some_tilt(self, line: Line) -> None:
        """... stands on just the wheels that a walk over tilt finds lowest, but for those at the very ends."""
        found = stands(line)
        assume(len(found) > 1)
        walk = np.radians(np.linspace(found[0].tilt_deg, found[-1].tilt_deg, 3001)[1:-1])
        lowest = set(depths_mm(circles(line), walk).argmax(axis=1).tolist())

        assert lowest <= {index for stand in found for index in stand.touching}

    @given(wheels(), st.integers(-500, 500))
    def test_stands_alike_wherever_its_axles_are_counted_from(self, found: list[At], by: int) -> None:
        """... stands alike wherever along the skate its axles are counted from."""
        moved = [each._replace(along=each.along + by) for each in found]

        assert _rounded(stands(line_of(*found))) == pytest.approx(_rounded(stands(line_of(*moved))), abs=1e-6)

    @given(wheels())
    def test_stands_alike_front_to_back(self, found: list[At]) -> None:
        """... stands alike if it is turned round, in the opposite order of tilts."""
        turned = [each._replace(along=-each.along) for each in reversed(found)]
        last = len(found) - 1
        mirrored = [
            Stand(
                tuple(sorted(last - index for index in stand.touching)),
                -stand.to_tilt_deg,
                -stand.from_tilt_deg,
                stand.gaps_mm[::-1],
            )
            for stand in reversed(stands(line_of(*turned)))
        ]

        assert _rounded(mirrored) == pytest.approx(_rounded(stands(line_of(*found))), abs=1e-6)

    @given(wheels(), st.sampled_from([0.5, 2.0, 4.0]))
    def test_keeps_its_tilts_and_scales_its_gaps(self, found: list[At], by: float) -> None:
        """... made larger keeps its tilts, and its gaps grow with it."""
        larger = stands(line_of(*(At(*(by * each for each in wheel)) for wheel in found)))
        own = stands(line_of(*found))
        expected = [stand._replace(gaps_mm=tuple(by * gap for gap in stand.gaps_mm)) for stand in own]

        assert _rounded(expected) == pytest.approx(_rounded(larger), abs=1e-6)


def _rounded(found: Sequence[Stand]) -> list[float]:
    """Give all that is in stands as one row of numbers."""
    return [float(each) for touching, *tilts, gaps in found for each in (len(touching), *touching, *tilts, *gaps)]


class TestStandUnder:
    """The stand that a load holds ..."""

    @pytest.mark.parametrize(
        ("along", "expected"),
        [(0, (1, 2)), (40, (1, 2)), (41, (0, 1)), (121, (0, 1)), (-41, (2, 3))],
    )
    def test_has_its_wheels_on_either_side_of_the_load(self, along: float, expected: tuple[int, ...]) -> None:
        """... is the one with a wheel that touches ahead of it and one behind."""
        line = level([76, 80, 80, 76])
        stand = stand_under(stands(line), line, along)

        assert stand is not None
        assert expected == stand.touching

    def test_is_on_one_wheel_only_straight_above_it(self) -> None:
        """... is on one wheel only where the load stands straight above it."""
        line = level([76, 80, 76])
        on_one, beside = (stand_under(stands(line), line, along) for along in (0, 0.01))

        assert ((1,), (0, 1)) == (on_one and on_one.touching, beside and beside.touching)

    @pytest.mark.parametrize("along", [121.5, -121.5, 300, -300])
    def test_is_none_at_an_outer_axle_and_beyond(self, along: float) -> None:
        """... is none at an outer axle and beyond."""
        line = level([80, 80, 80, 80])

        assert None is stand_under(stands(line), line, along)

    @pytest.mark.parametrize("along", [-1, 0, 1])
    def test_is_none_on_a_single_wheel(self, along: float) -> None:
        """... is none on a single wheel, above it as well."""
        line = line_of(At(0, 50, 80))

        assert None is stand_under(stands(line), line, along)

    @given(wheels().filter(lambda found: len(found) > 1), st.floats(0.001, 0.999))
    def test_is_there_between_the_outer_axles(self, found: list[At], at: float) -> None:
        """... is there for every place between the outer axles of wheels that leave each other room."""
        line = line_of(*found)
        along = found[-1].along + at * (found[0].along - found[-1].along)

        assert None is not stand_under(stands(line), line, along)


class TestRocker:
    """A rocker ..."""

    @pytest.mark.parametrize(
        ("wheels", "expected"),
        [
            ([76, 80, 80, 76], 2),
            ([76, 80, 80, 80, 76], 2),
            ([80, 80, 80, 80], 0),
            ([80, 76, 76, 80], -2),
            ([80, 76, 78, 80], -1),
            ([76, 78, 80, 76], 2),
            ([80, 76], 0),
            ([80], 0),
        ],
    )
    def test_is_what_the_lowest_inner_wheel_reaches_below_the_outer_two(
        self, wheels: list[float], expected: float
    ) -> None:
        """... is what the lowest inner wheel reaches below the line through the outer two, below 0 where all hang."""
        assert pytest.approx([expected]) == rocker_mm(*circles(level(wheels)))

    def test_is_that_of_eccentric_axles_as_they_are_set(self) -> None:
        """... of 1 mm is what inner axles set 1 mm down make."""
        axles = tuple(Axle(121.5 - 81 * index, 56, (-1, 0, 1), 1 if index in (1, 2) else 0) for index in range(4))
        line = level([80, 80, 80, 80])

        assert pytest.approx([1]) == rocker_mm(*circles(Line(axles, line.tyres, line.lots)))

    @given(wheels(), st.floats(-0.05, 0.05))
    def test_is_the_same_on_a_frame_that_slopes(self, found: list[At], slope: float) -> None:
        """... is the same if the whole frame slopes."""
        sloping = [each._replace(down=each.down + slope * each.along) for each in found]

        assert pytest.approx(rocker_mm(*circles(line_of(*found))), abs=1e-9) == rocker_mm(*circles(line_of(*sloping)))

    def test_is_told_of_many_lines_at_once(self) -> None:
        """... is told of many lines at once, with shared or with their own axle places."""
        along, down = np.array([81.0, 0, -81]), np.array([56.0, 57, 56])
        diameters = np.array([[80.0, 80, 80], [80, 78, 80], [78, 80, 80]])

        assert pytest.approx([1, 0, 1.5]) == rocker_mm(along, down, diameters)
        assert pytest.approx([1, 0, 1.5]) == rocker_mm(np.tile(along, (3, 1)), down, diameters)

    @pytest.mark.parametrize(("base", "rocker"), [(243, 0), (243, -1), (0, 1), (math.nan, 1), (243, math.nan)])
    def test_without_a_height_has_no_radius(self, base: float, rocker: float) -> None:
        """... that is none has no radius."""
        with pytest.raises(InvalidQuantityError, match="above 0 mm"):
            rocker_radius_mm(base, rocker)


class TestStandingGaps:
    """The gaps under a load, of many lines at once, ..."""

    @settings(deadline=None)
    @given(st.lists(st.tuples(*[st.integers(0, 4000)] * 4), min_size=1, max_size=3), st.integers(-120, 120))
    def test_are_those_over_the_lowest_line_that_a_linear_program_finds(
        self, hang_um: list[tuple[int, ...]], load: int
    ) -> None:
        """... are those over the ground that a linear program brings up to the wheels under the load."""
        along = np.array([121.5, 40.5, -40.5, -121.5])
        lowest = 96 - np.array(hang_um) / 1000
        found = standing_gaps_mm(along, lowest, load)

        for row, gaps in zip(lowest, found, strict=True):
            above = -np.column_stack([np.ones(4), along])
            ground = linprog([1, load], A_ub=above, b_ub=-row, bounds=[(None, None)] * 2)
            at_load = (row + gaps)[[0, -1]] @ np.array([load + 121.5, 121.5 - load]) / 243
            assert pytest.approx(ground.fun, abs=1e-6) == at_load
            assert gaps.min() >= 0

    def test_straight_above_the_one_that_carries_are_those_midway_between_its_stands(self) -> None:
        """... straight above the one wheel that carries are those midway between the stands on either side."""
        along, lowest = np.array([100.0, 0, -100]), np.array([[90.0, 92, 91]])

        assert pytest.approx(np.array([[1.5, 0, 1.5]]), abs=1e-6) == standing_gaps_mm(along, lowest, 0)

    def test_just_inside_an_outer_wheel_are_those_of_the_stand_there(self) -> None:
        """... a hair inside an outer wheel are those of the stand on it."""
        along, lowest = np.array([100.0, 0, -100]), np.array([[90.0, 92, 90]])

        assert pytest.approx(np.array([[0, 0, 4]]), abs=1e-6) == standing_gaps_mm(along, lowest, 100 - 1e-9)

    @given(wheels().filter(lambda found: len(found) > 1), st.integers(1, 99))
    def test_agree_with_the_stand_of_circles_to_what_a_tilt_is_out_by(self, found: list[At], percent: int) -> None:
        """... agree with those of the one line's circles to what the tilt taken as small is out by."""
        line = line_of(*found)
        places, down, diameters = circles(line)
        # A load near a wheel may tip the one way and the other.
        load = places[-1] + percent / 100 * (places[0] - places[-1])
        stand = stand_under(stands(line), line, load)
        assert stand is not None
        tilt = math.radians(stand.tilt_deg)
        # Radii and heights together are within 123 mm, and a tilt changes lowest points by them times half its square.
        most = 130 * tilt * tilt * (1 + (places[0] - places[-1]) / 60) + 1e-4
        rigid = standing_gaps_mm(places, bottoms_mm(down, diameters)[np.newaxis], load)

        assert min(stand.gaps_mm) == 0
        assert most >= np.abs(rigid[0, list(stand.touching)]).max()


class TestDistances:
    """Distances along the line ..."""

    def test_reach_between_the_outermost_of_some_wheels(self) -> None:
        """... reach between the outermost of the chosen wheels, 0 for one wheel or none."""
        line = level([80, 80, 80, 80, 80], 90)

        assert [360, 180, 0, 0] == [wheelbase_mm(line, each) for each in ((0, 1, 4), (1, 3), (2,), ())]

    def test_are_told_of_many_lines_at_once(self) -> None:
        """... are told of many lines at once."""
        chosen = np.array([[True, False, True], [False, True, True], [False, True, False], [False, False, False]])

        assert [200, 100, 0, 0] == spans_mm(np.array([100.0, 0, -100]), chosen).tolist()

    def test_to_the_ground_are_counted_from_the_lowest(self) -> None:
        """... to the ground are counted from the lowest wheel, with the deck level."""
        down, diameters = np.array([56.0, 57, 56]), np.array([[80.0, 80, 78], [84, 76, 84]])

        assert [[96, 97, 95], [98, 95, 98]] == bottoms_mm(down, diameters).tolist()
        assert [[1, 0, 2], [0, 3, 0]] == gaps_on_level_mm(down, diameters).tolist()


def test_a_mark_that_is_likely_wrong_is_put_right() -> None:
    """A used wheel that nobody measured is likely smaller than its mark."""
    assert 78.5 == likely_diameter_mm(Diameter(80, Band(-6, -1.5, 0), 0.5, False))
