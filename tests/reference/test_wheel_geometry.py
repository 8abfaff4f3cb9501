"""The wheel line's geometry against values that were computed by other routes: tangents, sagittas, tipping."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence

import pytest

from mountwright.riding.band import exactly
from mountwright.riding.clearance import Wheel, gaps_between
from mountwright.riding.line import Axle, Diameter, Line, Tyre
from mountwright.riding.posture import tip_margin
from mountwright.riding.stands import Stand, circles, gaps_on_level_mm, rocker_radius_mm, rocking_deg, stands

Given = Mapping[str, float | str]
Rows = Mapping[str, Sequence[Mapping[str, str]]]

#: What rows of this section are compared to where they print fewer digits than their tolerance needs.
_PRINTED = 1.5e-5

_NUMBER = re.compile(r"(?<![\w.])-?\d+(?:\.\d+)?")


def _text(given: Given) -> str:
    return ";".join(f"{key}={value}" for key, value in given.items())


def _numbers(given: Given) -> list[float]:
    """Give the numbers of a row's inputs in their order."""
    return [float(each) for each in _NUMBER.findall(_text(given))]


def _line(places: Sequence[tuple[float, float, float]]) -> Line:
    """Give a line of wheels: along from the rear as the tables have it, height, radius."""
    ordered = sorted(places, reverse=True)
    tyres = tuple(
        Tyre(Diameter(2 * radius, exactly(0), 0, True), exactly(85), exactly(12), exactly(0.6))
        for _, _, radius in ordered
    )
    return Line(tuple(Axle(x, -y) for x, y, _ in ordered), tyres, (0,) * len(tyres))


def _pair(apart: float, first: float, second: float) -> tuple[Line, Stand]:
    """Give two wheels on level axles, the first of the table behind, and their one stand."""
    line = _line([(0, 0, first), (apart, 0, second)])
    (stand,) = stands(line)
    return line, stand


@pytest.mark.published("physics", "radius from chord and sagitta R=L^2/(8h)+h/2")
def test_the_radius_of_a_rocker_is_that_of_the_circle_through_three_points(given: Given, value: float) -> None:
    """A chord and its sagitta make the circle that a linear solve puts through their three points."""
    assert pytest.approx(value, rel=1e-6) == rocker_radius_mm(*_numbers(given))


@pytest.mark.published("physics", "sagitta from radius h=R-sqrt(R^2-L^2/4)")
def test_the_sagitta_of_a_radius_gives_the_radius_back(given: Given, value: float) -> None:
    """The published sagitta over its chord makes the radius that it was computed from."""
    radius, chord = _numbers(given)

    assert pytest.approx(radius, rel=3e-5) == rocker_radius_mm(chord, value)


@pytest.mark.published("physics", "slope of the lower common tangent asin((r1-r2)/D)")
def test_two_wheels_stand_at_the_slope_of_their_tangent(given: Given, value: float) -> None:
    """Two wheels on level axles tilt by the slope of their common tangent, the smaller one's end down."""
    _, stand = _pair(*_numbers(given))

    assert pytest.approx(value, rel=_PRINTED) == stand.tilt_deg
    assert (0, 1) == stand.touching


@pytest.mark.published("physics", "length between tangent points sqrt(D^2-(r1-r2)^2)")
def test_two_wheels_touch_as_far_apart_as_the_tangent_points(given: Given, value: float) -> None:
    """Turned by the tilt of their stand, two axles are as far apart along the ground as the tangent points."""
    line, stand = _pair(*_numbers(given))
    tilt = math.radians(stand.tilt_deg)
    front, rear = (axle.along_mm * math.cos(tilt) - axle.stands_mm * math.sin(tilt) for axle in line.axles)

    assert pytest.approx(value, rel=2e-6) == front - rear


@pytest.mark.published("physics", "horizontal gap of two equal wheels on axle spacing")
def test_two_wheels_leave_what_the_axle_spacing_has_beyond_them(given: Given, value: float) -> None:
    """Two equal wheels leave the axle spacing less a diameter."""
    apart, diameter = _numbers(given)

    assert pytest.approx([value * 1000]) == gaps_between([Wheel(x, 0, diameter * 1000) for x in (0, apart * 1000)])


@pytest.mark.published("physics", "minimum axle spacing of unequal wheels at different heights")
def test_two_unequal_wheels_meet_at_the_published_spacing(given: Given, value: float) -> None:
    """Wheels of two sizes on axles of two heights just touch each other at the published spacing."""
    first, second, step = (each * 1000 for each in _numbers(given))
    wheels = [Wheel(0, 0, 2 * first), Wheel(value * 1000, step, 2 * second)]

    assert pytest.approx([0], abs=1) == gaps_between(wheels)


@pytest.mark.published("physics", "gap of each wheel to the level line through the lowest point")
def test_wheels_hang_by_the_published_gaps(given: Given, value: str) -> None:
    """With the deck level, each wheel has the published gap, whichever end the table starts from."""
    line = _line(_places(given))
    _, down, diameters = circles(line)

    found = gaps_on_level_mm(down, diameters)[::-1].tolist()

    assert pytest.approx([float(each) for each in value.split(";")], abs=1e-6) == found


def test_the_wheels_of_the_published_hull_are_those_that_touch_in_some_stand(tables: Rows) -> None:
    """A wheel touches flat ground at some tilt just when it is on the lower convex hull."""
    rows = [row for row in tables["physics"] if row["note"].startswith("wheels on the lower convex hull")]

    assert 5 == len(rows)
    assert [row["note"].partition(": ")[2] for row in rows] == [_touching(row["inputs"]) for row in rows]


def _touching(inputs: str) -> str:
    """Give the wheels that touch in some stand as the table writes them, 1 for the rearmost."""
    places = _places({inputs: ""})
    found = {len(places) - index for stand in stands(_line(places)) for index in stand.touching}
    return ",".join(map(str, sorted(found)))


def _places(given: Given) -> list[tuple[float, float, float]]:
    along, high, radii = (
        [float(each) for each in inside.split(",")] for inside in re.findall(r"\(([^)]*)\)", _text(given))
    )
    return list(zip(along, high, radii, strict=True))


@pytest.mark.published("physics", "rocking range of the 38/40/40/38 set between the two stable wheel pairs")
def test_four_wheels_rock_between_their_outer_pairs(given: Given, value: float) -> None:
    """A set of 38/40/40/38 rocks by the published angle from its rear pair to its front pair."""
    pitch, step = _numbers(given)
    line = _line([(0, 0, 40 - step), (pitch, 0, 40), (2 * pitch, 0, 40), (3 * pitch, 0, 40 - step)])
    found = stands(line)

    assert pytest.approx(value, rel=_PRINTED) == rocking_deg(found)
    assert [(2, 3), (2,), (1, 2), (1,), (0, 1)] == [stand.touching for stand in found]


@pytest.mark.published("physics", "tip-over angle atan(d/h)")
def test_a_load_tips_at_the_published_angle(given: Given, value: float) -> None:
    """A load so high, and so far from the last wheel that carries, tips at the published angle."""
    height_m, distance_m = _numbers(given)

    assert pytest.approx(value, rel=_PRINTED) == tip_margin(distance_m * 1000, height_m * 1000).angle_deg


def test_a_load_tips_at_the_published_slowing_down(tables: Rows) -> None:
    """The same loads tip at the decelerations that are printed beside the angles, to their last digit."""
    rows = [row for row in tables["physics"] if row["quantity"] == "tip-over angle atan(d/h)"]
    found = [_numbers({row["inputs"]: ""}) for row in rows]
    printed = [_numbers({row["note"]: ""})[0] for row in rows]

    assert 4 == len(rows)
    assert printed == [round(tip_margin(1000 * away, 1000 * high).limit_m_s2, 3) for high, away in found]
