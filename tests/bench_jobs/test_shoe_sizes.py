"""Sizes of a foot as bands."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.bench.shoe_sizes import Wish, allowance_mm, eu_sizes_of_foot, foot_size, mondopoint_size, scales
from mountwright.errors import InvalidQuantityError
from mountwright.riding.band import Band, around, exactly

FEET = st.floats(80, 400)
DOUBTS = st.floats(0, 8)
SCALES = st.sampled_from(sorted(scales()))
WISHES = st.sampled_from([None, *Wish])


class TestSize:
    """A size ..."""

    def test_of_270_mm_is_eu_42_5_to_43_5(self) -> None:
        """... of a foot of 270 mm is EU 42.5 to 43.5, 43 first."""
        found = foot_size(exactly(270.0), scales()["eu_size"])

        assert pytest.approx((42.5, 43.0, 43.5)) == (found.size.low, found.size.likely, found.size.high)
        assert ((42.5, 43.0, 43.5), 43.0) == (found.marked, found.try_first)

    def test_is_longer_than_the_foot_by_two_to_three_paris_points(self) -> None:
        """... is of a last that is 13.3 to 20 mm longer than the foot."""
        assert pytest.approx((40 / 3, 20.0)) == allowance_mm()

    def test_is_the_baskets(self) -> None:
        """... of a foot that is known exactly is the one that a basket goes by."""
        low, high = eu_sizes_of_foot(262_000)
        found = foot_size(exactly(262.0), scales()["eu_size"]).size

        assert pytest.approx((low / 1000, high / 1000)) == (found.low, found.high)

    def test_says_what_is_from_memory(self) -> None:
        """... of the UK and the US says that its zero is from memory, one of the EU that it is of a standard."""
        standings = {name: foot_size(exactly(270.0), scale).standing for name, scale in scales().items()}

        assert "standard" == standings.pop("eu_size")
        assert {"from memory"} == set(standings.values())

    def test_of_women_has_the_doubt_of_its_zero(self) -> None:
        """... of US women is in doubt by half a size more than that of men, of which sources differ."""
        men, women = (foot_size(exactly(270.0), scales()[name]).size for name in ("us_men_size", "us_women_size"))

        assert men.low + 1 <= women.low
        assert men.high - men.low < women.high - women.low

    @given(SCALES, FEET, DOUBTS)
    def test_has_half_a_size_of_doubt_at_the_least(self, name: str, foot: float, doubt: float) -> None:
        """... has half a size of doubt to either side at the least, and marks within it."""
        found = foot_size(around(foot, doubt), scales()[name])

        assert found.size.high - found.size.likely >= 0.5 - 1e-9
        assert found.size.likely - found.size.low >= 0.5 - 1e-9
        assert len(found.marked) >= 2
        assert list(found.marked) == sorted(set(found.marked))
        assert found.try_first in found.marked

    @given(SCALES, FEET, DOUBTS, st.floats(0, 20))
    def test_is_never_smaller_for_a_longer_foot(self, name: str, foot: float, doubt: float, longer: float) -> None:
        """... is never smaller for a longer foot."""
        short, long = (foot_size(around(each, doubt), scales()[name]) for each in (foot, foot + longer))

        assert short.try_first <= long.try_first
        assert (short.size.low, short.size.high) <= (long.size.low, long.size.high)
        assert short.marked <= long.marked

    @given(SCALES, FEET, DOUBTS, DOUBTS)
    def test_is_never_narrowed_by_doubt(self, name: str, foot: float, doubt: float, more: float) -> None:
        """... is never narrowed by more doubt."""
        sure, unsure = (foot_size(around(foot, each), scales()[name]).size for each in (doubt, doubt + more))

        assert unsure.low <= sure.low <= sure.high <= unsure.high


class TestMondopoint:
    """A Mondopoint size ..."""

    @pytest.mark.parametrize("wish", [None, *Wish])
    def test_of_a_foot_that_has_one_is_that(self, wish: Wish | None) -> None:
        """... of a foot of exactly 270 mm is 270, whatever is wished."""
        found = mondopoint_size(exactly(270.0), wish)

        assert ((270.0,), 270.0, "standard") == (found.marked, found.try_first, found.standing)

    def test_reaches_over_what_the_foot_may_be(self) -> None:
        """... of a foot of 268 to 271 mm is 265 to 275."""
        found = mondopoint_size(Band(268, 269, 271))

        assert ((265.0, 270.0, 275.0), Band(265, 269, 275)) == (found.marked, found.size)

    @given(FEET, DOUBTS, st.floats(0, 20), WISHES)
    def test_is_never_smaller_for_a_longer_foot(
        self, foot: float, doubt: float, longer: float, wish: Wish | None
    ) -> None:
        """... is never smaller for a longer foot, nor for comfort than for performance."""
        short, long = (mondopoint_size(around(each, doubt), wish) for each in (foot, foot + longer))

        assert short.try_first <= long.try_first
        assert short.marked <= long.marked
        tight, loose = (mondopoint_size(around(foot, doubt), each).try_first for each in Wish)
        assert tight <= loose
        assert {tight, loose} <= set(short.marked)

    @given(FEET, DOUBTS, DOUBTS)
    def test_is_never_narrowed_by_doubt(self, foot: float, doubt: float, more: float) -> None:
        """... is never narrowed by more doubt."""
        sure, unsure = (mondopoint_size(around(foot, each)).size for each in (doubt, doubt + more))

        assert unsure.low <= sure.low <= sure.high <= unsure.high


class TestScale:
    """A scale ..."""

    @pytest.mark.parametrize(
        "more", [{"grade_mm": 0.0}, {"grade_mm": float("nan")}, {"zero": (2.0, 1.0)}, {"standing": "a guess"}]
    )
    def test_that_cannot_be_is_refused(self, more: dict[str, Any]) -> None:
        """... without a grade, with zeros out of order or of no standing is refused."""
        with pytest.raises(InvalidQuantityError):
            replace(scales()["eu_size"], **more)
