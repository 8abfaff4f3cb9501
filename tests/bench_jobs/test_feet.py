"""Both feet, which decides, and what the other wants."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.bench.feet import Feet, Foot, Measure, Pair, Side, larger
from mountwright.bench.foot_padding import Padding, PadNeed, PadPlace, paddings
from mountwright.errors import InvalidQuantityError
from mountwright.measure.quantity import Quantity


def reading(mm: float, doubt_um: float = 300) -> Quantity:
    """Give a reading."""
    return Quantity(round(mm * 1000), doubt_um, "steel_rule")


READINGS = st.builds(Quantity, st.integers(200_000, 330_000), st.floats(0, 3000), st.just("steel_rule"))


def pads(left_mm: float, right_mm: float, doubt_um: float = 300) -> Padding:
    """Give what two lengths want."""
    [found] = paddings(Feet(Foot(reading(left_mm, doubt_um)), Foot(reading(right_mm, doubt_um))))
    return found


class TestFoot:
    """A foot ..."""

    @pytest.mark.parametrize(
        "figures",
        [
            {"length": reading(79)},
            {"length": reading(401)},
            {"length": reading(270), "breadth": reading(29)},
            {"length": reading(270), "instep_height": reading(151)},
            {"length": reading(100), "breadth": reading(100)},
        ],
    )
    def test_that_cannot_be_is_refused(self, figures: dict[str, Quantity]) -> None:
        """... with figures that no foot has, or as broad as long, is refused."""
        with pytest.raises(InvalidQuantityError):
            Foot(**figures)

    def test_on_the_bounds_is_taken(self) -> None:
        """... on the bounds is taken."""
        assert 80_000 == Foot(reading(80), reading(30), reading(20)).length.value
        assert 400_000 == Foot(reading(400), reading(180), reading(150)).length.value

    def test_measured_otherwise_than_the_other_is_refused(self) -> None:
        """... with a breadth that the other lacks is refused: nobody could tell which decides."""
        with pytest.raises(InvalidQuantityError, match="both feet"):
            Feet(Foot(reading(270), reading(100)), Foot(reading(270)))


class TestLarger:
    """Of two feet ..."""

    def test_the_longer_decides(self) -> None:
        """... the longer decides, as surely as the readings are apart."""
        found = larger(Pair(reading(270, 300), reading(270.5, 400)))

        assert (Side.RIGHT, 270.5) == (found.side, found.size.likely)
        assert pytest.approx(0.5 * math.erfc(-1 / math.sqrt(2))) == found.probability
        assert pytest.approx((-0.5, 0.5, 1.5)) == (
            found.difference.low,
            found.difference.likely,
            found.difference.high,
        )

    def test_that_read_alike_neither_is_longer(self) -> None:
        """... that read alike neither is longer, and each is with one half."""
        assert (None, 0.5) == larger(Pair(reading(270), reading(270)))[:2]

    def test_known_exactly_one_is_certain(self) -> None:
        """... that are known exactly one is the longer for certain."""
        assert (Side.LEFT, 1.0) == larger(Pair(reading(270, 0), reading(269, 0)))[:2]

    @given(READINGS, READINGS)
    def test_sides_change_nothing_but_names(self, one: Quantity, two: Quantity) -> None:
        """... left and right change nothing but names."""
        there, back = larger(Pair(one, two)), larger(Pair(two, one))
        names = {Side.LEFT: Side.RIGHT, Side.RIGHT: Side.LEFT, None: None}

        assert (names[there.side], there[1:]) == (back.side, back[1:])

    @given(READINGS, READINGS, st.floats(0, 3000))
    def test_doubt_never_narrows_the_size(self, one: Quantity, two: Quantity, more_um: float) -> None:
        """... more doubt about one never narrows the size of the larger."""
        wider = Quantity(one.value, one.standard_uncertainty + more_um, one.instrument)
        less, more = larger(Pair(one, two)), larger(Pair(wider, two))

        assert more.size.low <= less.size.low
        assert less.size.high <= more.size.high
        assert more.probability <= less.probability

    @given(READINGS, READINGS, st.integers(0, 20_000))
    def test_growth_never_makes_the_size_smaller(self, one: Quantity, two: Quantity, longer_um: int) -> None:
        """... a longer one never makes the size smaller."""
        grown = Quantity(one.value + longer_um, one.standard_uncertainty, one.instrument)
        before, after = larger(Pair(one, two)).size, larger(Pair(grown, two)).size

        assert (before.low, before.likely, before.high) <= (after.low, after.likely, after.high)


class TestPadding:
    """The smaller foot ..."""

    @pytest.mark.parametrize(
        ("shorter_by_mm", "need"),
        [(0, PadNeed.NONE), (2.5, PadNeed.NONE), (4, PadNeed.TRY_WITHOUT), (6, PadNeed.PAD), (20, PadNeed.BEYOND)],
    )
    def test_wants_padding_from_half_a_size_on(self, shorter_by_mm: float, need: PadNeed) -> None:
        """... wants none below half a size, padding above, and another size where it is far smaller."""
        assert need is pads(270, 270 - shorter_by_mm).need

    def test_is_named(self) -> None:
        """... is named, whichever it is, and none is where both are alike."""
        assert [Side.RIGHT, Side.LEFT, None] == [pads(*each).side for each in ((270, 264), (264, 270), (264, 264))]

    def test_is_filled_behind_the_heel(self) -> None:
        """... that is 6 mm shorter, known exactly, gets 6 mm behind the heel, and more of foam that is pressed."""
        found = pads(270, 264, 0)

        assert PadPlace.BEHIND_HEEL is found.place
        assert pytest.approx((6.0, 6 / 0.85, 6 / 0.7)) == (
            found.thickness.low,
            found.thickness.likely,
            found.thickness.high,
        )

    def test_is_filled_on_both_sides_and_under_the_tongue(self) -> None:
        """... that is narrower and lower gets half of it on each side, and all of it under the tongue."""
        large = Foot(reading(270, 0), reading(110, 0), reading(70, 0))
        small = Foot(reading(270, 0), reading(104, 0), reading(64, 0))
        length, breadth, instep = paddings(Feet(small, large))

        assert (0.0, 3.0, 6.0) == tuple(each.thickness.low for each in (length, breadth, instep))
        assert (Side.LEFT, PadPlace.EACH_SIDE) == (breadth.side, breadth.place)
        assert (Measure.INSTEP, PadPlace.UNDER_TONGUE, PadNeed.PAD) == (instep.measure, instep.place, instep.need)

    @given(READINGS, READINGS)
    def test_never_wants_less_than_nothing(self, one: Quantity, two: Quantity) -> None:
        """... never wants padding of less than nothing, whichever it is."""
        there, back = (paddings(Feet(Foot(a), Foot(b)))[0] for a, b in ((one, two), (two, one)))

        assert 0 <= there.thickness.low
        assert (there.need, there.thickness) == (back.need, back.thickness)
