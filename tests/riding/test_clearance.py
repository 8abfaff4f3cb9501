"""What room the wheels have."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.errors import InvalidQuantityError
from mountwright.riding.clearance import Overhang, Place, Wheel, gap_to_outline, gaps_between, overhang

_PLACES = st.tuples(st.integers(-200_000, 200_000), st.integers(-100_000, 60_000)).map(lambda at: Place(*at))
_WHEELS = st.builds(Wheel, st.integers(-200_000, 200_000), st.integers(5_000, 150_000), st.integers(40_000, 125_000))


def _level(count: int, wheelbase_mm: float, diameter_mm: float) -> list[Wheel]:
    step = wheelbase_mm / (count - 1)
    return [Wheel((wheelbase_mm / 2 - i * step) * 1000, 60_000, diameter_mm * 1000) for i in range(count)]


# Common practice: the shortest wheelbase is (n - 1)(w + 1), 1 mm between wheels. 4 x 80 on 243 is a printed
# figure of the trade, the others are the rule's arithmetic.
@pytest.mark.parametrize(
    ("count", "diameter_mm", "wheelbase_mm"),
    [
        (4, 76, 231),
        (4, 80, 243),
        (4, 84, 255),
        (4, 90, 273),
        (4, 110, 333),
        (3, 110, 222),
        (3, 125, 252),
        (5, 100, 404),
    ],
)
def test_the_shortest_wheelbase_leaves_a_millimetre_between_wheels(
    count: int, diameter_mm: float, wheelbase_mm: float
) -> None:
    """The rule of the trade gives back the gap that it is made for."""
    assert gaps_between(_level(count, wheelbase_mm, diameter_mm)) == pytest.approx([1000] * (count - 1), abs=1e-6)


def test_wheels_that_overlap_have_a_gap_below_nothing() -> None:
    """Three wheels of 84 do not stand 80 apart."""
    assert gaps_between(_level(3, 160, 84)) == pytest.approx([-4000, -4000])


def test_one_wheel_raised_is_further_from_its_neighbour_than_on_the_level() -> None:
    """The gap goes by the distance of the axles, not by that along the skate."""
    level, raised = Wheel(0, 60_000, 80_000), Wheel(90_000, 20_000, 80_000)
    assert gaps_between([level, raised]) == pytest.approx([np.hypot(90_000, 40_000) - 80_000])


@given(st.lists(_WHEELS, max_size=6), st.randoms(use_true_random=False))
def test_the_order_in_which_wheels_are_given_does_not_matter(wheels: list[Wheel], chance: object) -> None:
    """They are put in line first."""
    shuffled = list(wheels)
    chance.shuffle(shuffled)  # type: ignore[attr-defined]  # hypothesis' own Random
    assert gaps_between(shuffled) == gaps_between(wheels)


def test_a_wheel_under_a_level_sole_has_what_its_radius_leaves() -> None:
    """An axle 56 below the sole leaves 16 above a wheel of 80."""
    assert 16_000 == gap_to_outline(Wheel(0, 56_000, 80_000), [Place(-100_000, 0), Place(100_000, 0)])


def test_a_wheel_in_front_of_the_sole_is_measured_to_its_tip() -> None:
    """30 ahead and 40 below are 50 from the tip."""
    sole = [Place(130_000, 0), Place(-130_000, 0)]
    assert 10_000 == gap_to_outline(Wheel(160_000, 40_000, 80_000), sole)


@given(st.integers(-90_000, 90_000), st.integers(1, 60_000))
def test_a_wheel_whose_axle_is_in_the_sole_never_has_room(along: int, above: int) -> None:
    """It is further from the line than its radius at last, and that is no clearance."""
    sole = [Place(100_000, 0), Place(0, 10_000), Place(-100_000, 0)]
    assert gap_to_outline(Wheel(along, -above, 40_000), sole) < -20_000


def test_an_outline_may_stand_twice_in_one_place() -> None:
    """A line without a length is a place."""
    sole = [Place(0, 0), Place(0, 0), Place(-50_000, 0)]
    assert 16_000 == gap_to_outline(Wheel(0, 56_000, 80_000), sole)


@given(_WHEELS, st.lists(_PLACES, min_size=2, max_size=7))
def test_the_gap_is_that_of_the_nearest_of_many_places_on_the_outline(wheel: Wheel, outline: list[Place]) -> None:
    """Held against a walk along the outline in 2,001 steps a line, which can only be too far by half a step."""
    wheel = Wheel(wheel.along_um, 61_000 + wheel.down_um, wheel.diameter_um)
    steps = np.linspace(0, 1, 2001)
    walked = np.concatenate([np.outer(1 - steps, a) + np.outer(steps, b) for a, b in pairwise(outline)])
    nearest = np.hypot(*(walked - [wheel.along_um, wheel.down_um]).T).min() - wheel.diameter_um / 2
    longest = max(np.hypot(*np.subtract(b, a)) for a, b in pairwise(outline))
    found = gap_to_outline(wheel, outline)
    assert found <= nearest + 1e-3
    assert found >= nearest - longest / 4000 - 1e-3


def test_overhang_is_told_at_either_end() -> None:
    """Wheels of 80 on 243 reach 161.5 either way."""
    sole = [Place(140_000, 0), Place(-130_000, 0)]
    assert Overhang(21_500, 31_500) == overhang(_level(4, 243, 80), sole)


def test_a_sole_that_reaches_further_gives_an_overhang_below_nothing() -> None:
    """A long boot stands out beyond its wheels."""
    assert Overhang(-8_500, -18_500) == overhang(_level(4, 243, 80), [Place(170_000, 0), Place(-180_000, 0)])


def test_what_cannot_be_is_refused() -> None:
    """With what was found and what was expected."""
    with pytest.raises(InvalidQuantityError, match="above 0 um"):
        Wheel(0, 0, 0)
    with pytest.raises(InvalidQuantityError, match="2 places"):
        gap_to_outline(Wheel(0, 60_000, 80_000), [Place(0, 0)])
    with pytest.raises(InvalidQuantityError, match="a wheel and a place"):
        overhang([], [Place(0, 0)])
