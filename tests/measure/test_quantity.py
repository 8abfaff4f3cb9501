"""Whole thousandths, exact limits, and plates that can be set."""

from __future__ import annotations

import math
from decimal import ROUND_HALF_EVEN, Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.errors import InvalidQuantityError
from mountwright.measure.quantity import Adjustable, Limits, Quantity, in_units, significant, thousandths

#: Numbers that end in half a thousandth: the ones that rounding is about.
HALVES = st.integers(-(10**8), 10**8).map(lambda count: float(Decimal(2 * count + 1) / 2000))
LENGTHS = st.floats(-1e6, 1e6)

ENDS = st.integers(-50_000, 50_000)


def by_decimal(value: float) -> int:
    """Give whole thousandths the long way, on the shortest decimal that reads back as the float."""
    return int((Decimal(repr(value)) * 1000).to_integral_value(ROUND_HALF_EVEN))


def within(first: int, second: int) -> Limits:
    """Give limits from two ends in any order."""
    return Limits(min(first, second), max(first, second))


class TestThousandths:
    """A number in thousandths ..."""

    @given(st.one_of(LENGTHS, HALVES))
    def test_is_rounded_half_to_even_on_its_shortest_decimal(self, value: float) -> None:
        """... is what decimal arithmetic gives for the digits that one would write down."""
        assert by_decimal(value) == thousandths(value)

    @given(st.floats(allow_nan=False, allow_infinity=False))
    def test_is_right_for_every_finite_float(self, value: float) -> None:
        """... is right however large it is: the largest float is still finite."""
        assert by_decimal(value) == thousandths(value)

    @pytest.mark.parametrize(
        ("value", "expected"),
        [
            (1.0005, 1000),
            (1.0015, 1002),
            (2.0025, 2002),
            (-1.0005, -1000),
            (-1.0015, -1002),
            (0.0005, 0),
            (131.0705, 131_070),
            (131.0715, 131_072),
            (164.6, 164_600),
            (165, 165_000),
            (-0.0, 0),
            (561_933_473_629.0015, 561_933_473_629_002),
            (561_737_774_609.2225, 561_737_774_609_222),
        ],
    )
    def test_goes_to_the_even_neighbour_where_it_lies_between(self, value: float, expected: int) -> None:
        """... that ends in a five goes to the even neighbour, whatever the float is in binary."""
        assert expected == thousandths(value)

    @given(st.one_of(st.integers(-(10**9), 10**9), st.just(10**400)))
    def test_is_whole_when_the_number_is(self, value: int) -> None:
        """... is a thousand times a whole number."""
        assert value * 1000 == thousandths(value)

    @given(st.decimals(-1000, 1000, places=5))
    def test_is_the_same_for_a_decimal(self, value: Decimal) -> None:
        """... is taken from a Decimal without a detour over floats."""
        assert int((value * 1000).to_integral_value(ROUND_HALF_EVEN)) == thousandths(value)

    @pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, Decimal("NaN"), Decimal("Infinity")])
    def test_is_refused_where_there_is_none(self, value: float) -> None:
        """... is refused for NaN and infinities, and the number is named."""
        with pytest.raises(InvalidQuantityError, match="expected a finite number"):
            thousandths(value)

    @given(st.integers(-999_999, 999_999))
    def test_comes_back_in_its_unit(self, count: int) -> None:
        """... comes back as it was: six digits are enough for a metre in micrometres."""
        assert count == thousandths(in_units(count))


class TestSixDigits:
    """A float of an answer ..."""

    @pytest.mark.parametrize(
        ("value", "expected"), [(0.123456789, 0.123457), (123456.789, 123457.0), (-2.0, -2.0), (0.0, 0.0)]
    )
    def test_keeps_six_significant_digits(self, value: float, expected: float) -> None:
        """... keeps six significant digits."""
        assert expected == significant(value)

    @given(LENGTHS)
    def test_stays_as_it_is_when_rounded_again(self, value: float) -> None:
        """... does not move any further: equal answers have equal bytes."""
        assert significant(value) == significant(significant(value))


class TestLimits:
    """Limits ..."""

    def test_compare_lengths_and_not_binary_floats(self) -> None:
        """... take 12.7 and 0.1 to be 12.8, which floats deny."""
        longest = Limits(None, thousandths(12.8))

        assert longest.contain(thousandths(12.7) + thousandths(0.1))
        assert longest.contain(thousandths(12.801)) is False

    @given(ENDS, ENDS)
    def test_contain_both_of_their_ends_and_nothing_beyond(self, first: int, second: int) -> None:
        """... contain their ends and not the next thousandth on either side."""
        limits = within(first, second)

        assert [True, True] == [limits.contain(end) for end in (min(first, second), max(first, second))]
        assert [False, False] == [limits.contain(end) for end in (min(first, second) - 1, max(first, second) + 1)]

    @given(ENDS, ENDS, ENDS)
    def test_leave_a_margin_exactly_where_they_contain(self, first: int, second: int, value: int) -> None:
        """... give a margin of 0 or more exactly for the values that they contain."""
        limits = within(first, second)
        margin = limits.margin(value)

        assert margin is not None
        assert limits.contain(value) is (margin >= 0)

    @pytest.mark.parametrize(
        ("limits", "value", "expected"),
        [
            (Limits(0, 600), 55, 55),
            (Limits(0, 600), 545, 55),
            (Limits(0, 600), 700, -100),
            (Limits(0, None), 700, 700),
            (Limits(None, 600), 700, -100),
            (Limits(None, None), 700, None),
        ],
    )
    def test_give_the_distance_to_the_nearest_end(self, limits: Limits, value: int, expected: int | None) -> None:
        """... give the distance to the nearest end, negative outside, and none where both are open."""
        assert expected == limits.margin(value)

    def test_are_refused_the_wrong_way_round(self) -> None:
        """... are refused with the lower one above the upper one; both ends are named."""
        with pytest.raises(InvalidQuantityError, match=r"\(2, 1\), expected limits with the lower one first"):
            Limits(2, 1)


class TestQuantity:
    """A reading ..."""

    def test_is_refused_with_a_doubt_below_nothing(self) -> None:
        """... is refused with a standard uncertainty below 0."""
        with pytest.raises(InvalidQuantityError, match="a standard uncertainty of 0 or more"):
            Quantity(165_000, -0.1, "caliper")

    def test_may_be_exact(self) -> None:
        """... has no doubt when it comes off a drawing."""
        assert 0 == Quantity(165_000, 0, "maker_drawing").standard_uncertainty


@st.composite
def wishes(draw: st.DrawFn, steps: st.SearchStrategy[int | None]) -> tuple[Adjustable, float]:
    """Give a plate and a wish in quarters of a thousandth, so that it lies half-way between settings now and then.

    The last setting need not lie on the plate's upper end, and the wish may lie beyond either end.
    """
    low, step = draw(ENDS), draw(steps)
    travel = draw(st.integers(0, 30 * (step or 1)))
    wanted = low + draw(st.integers(-20, 4 * travel + 20)) / 4
    return Adjustable(low, low + travel, step, "teeth"), wanted


def nearest_of_all(plate: Adjustable, wanted: float) -> int:
    """Give the nearest setting by trying each; one that slides freely stands on any whole thousandth."""
    return min(range(plate.low, plate.high + 1, plate.step or 1), key=lambda stand: (abs(stand - wanted), stand))


class TestAdjustable:
    """A plate ..."""

    @given(wishes(st.integers(1, 3000)))
    def test_is_set_to_the_nearest_of_its_settings(self, wish: tuple[Adjustable, float]) -> None:
        """... goes to that of its settings which no other is nearer than; of two equally near, to the lower."""
        plate, wanted = wish

        assert nearest_of_all(plate, wanted) == plate.nearest_setting(wanted)

    @given(wishes(st.none()))
    def test_that_slides_freely_takes_any_whole_thousandth(self, wish: tuple[Adjustable, float]) -> None:
        """... that slides freely is set to the nearest whole thousandth, the lower of two."""
        plate, wanted = wish

        assert nearest_of_all(plate, wanted) == plate.nearest_setting(wanted)

    @pytest.mark.parametrize(
        ("wanted", "expected"),
        [(150_000, 160_000), (164_600, 165_000), (162_500, 160_000), (167_501, 170_000), (199_000, 175_000)],
        ids=["below", "between", "half-way", "past half-way", "above"],
    )
    def test_with_teeth_stands_on_a_tooth(self, wanted: int, expected: int) -> None:
        """... with teeth every 5 mm from 160 to 178 mm stands on 160, 165, 170 or 175."""
        assert expected == Adjustable(160_000, 178_000, 5000, "teeth").nearest_setting(wanted)

    def test_is_refused_with_its_ends_the_wrong_way_round(self) -> None:
        """... is refused with its ends the wrong way round."""
        with pytest.raises(InvalidQuantityError, match="the lower one first"):
            Adjustable(170_000, 160_000, None, "friction")

    @pytest.mark.parametrize("step", [0, -5000])
    def test_is_refused_without_a_step_forward(self, step: int) -> None:
        """... is refused with a step of 0 or less."""
        with pytest.raises(InvalidQuantityError, match="a step above 0"):
            Adjustable(160_000, 170_000, step, "teeth")
