"""How alike colours look: what a colour may be, what differences are called, and lists of colours."""

from __future__ import annotations

from itertools import pairwise, permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.bench.colours import (
    FARTHEST,
    SHOWN_TO,
    Lab,
    Likeness,
    differences_from,
    edges,
    lab_of,
    likeness_of,
    shown,
    together,
)
from mountwright.errors import InvalidQuantityError

BLACK, GREY, WHITE = (lab_of(srgb) for srgb in ("#101010", "#808080", "#f5f5f5"))

LABS = st.builds(Lab, st.floats(0, 100), st.floats(-FARTHEST, FARTHEST), st.floats(-FARTHEST, FARTHEST))


class TestLab:
    """A colour ..."""

    @pytest.mark.parametrize(
        "figures",
        [(-0.1, 0, 0), (100.1, 0, 0), (50, 128.1, 0), (50, 0, -128.1), (float("nan"), 0, 0), (50, float("inf"), 0)],
    )
    def test_beyond_what_can_be_is_refused(self, figures: tuple[float, float, float]) -> None:
        """... with figures that no colour has is none."""
        with pytest.raises(InvalidQuantityError):
            Lab(*figures)

    def test_may_lie_on_every_edge(self) -> None:
        """... may be as light, red or blue as can be."""
        assert (0, 100) == (Lab(0, -FARTHEST, FARTHEST).lightness, Lab(100, FARTHEST, -FARTHEST).lightness)

    @pytest.mark.parametrize("text", ["", "teal-ish", "#12345", "#gggggg", "#1234567", "\0", "#" * 10_000])
    def test_that_is_none_is_refused(self, text: str) -> None:
        """... cannot be made of any text."""
        with pytest.raises(InvalidQuantityError):
            lab_of(text)

    @pytest.mark.parametrize("grey", range(0, 256, 51))
    def test_of_equal_parts_is_grey(self, grey: int) -> None:
        """... of equal parts of red, green and blue has no hue, and no minus sign before nought."""
        found = lab_of(f"#{grey:02x}{grey:02x}{grey:02x}")

        assert ("0.0", "0.0") == (str(found.a), str(found.b))


class TestLikeness:
    """What a difference is called ..."""

    @pytest.mark.parametrize(
        ("difference", "expected"),
        [
            (0.0, Likeness.SAME),
            (2.99, Likeness.SAME),
            (3.0, Likeness.CLOSE),
            (4.99, Likeness.CLOSE),
            (5.0, Likeness.SIMILAR),
            (9.99, Likeness.SIMILAR),
            (10.0, Likeness.OTHER),
            (100.0, Likeness.OTHER),
        ],
    )
    def test_ends_where_the_next_begins(self, difference: float, expected: Likeness) -> None:
        """... is the same below 3, close below 5, similar below 10, and another colour from there on."""
        assert expected is likeness_of(difference)

    def test_is_never_identical(self) -> None:
        """... claims no more than that it looks the same."""
        assert ["same", "close", "similar", "other"] == list(Likeness)

    def test_is_an_estimate(self) -> None:
        """... is an estimate with a range around it, in order, for no published threshold was found."""
        assert {"estimate"} == {edge.standing for edge in edges().values()}
        assert all(edge.low < edge.below < edge.high for edge in edges().values())
        assert all(one.below < other.below for one, other in pairwise(edges().values()))


class TestDifference:
    """A difference ..."""

    @given(LABS, LABS)
    def test_is_the_same_either_way_and_nothing_to_itself(self, one: Lab, other: Lab) -> None:
        """... does not depend on the order, and a colour has none to itself."""
        assert differences_from(one, [other]) == pytest.approx(differences_from(other, [one]), abs=1e-9)
        assert [0.0] == differences_from(one, [one])

    def test_is_shown_to_two_decimals(self) -> None:
        """... is shown no finer than it can be seen."""
        assert (1.23, 0.01) == (shown(1.2345), SHOWN_TO)


class TestTogether:
    """A list of colours ..."""

    def test_is_as_alike_as_its_farthest_pair(self) -> None:
        """... is judged by its most different pair, whatever the order."""
        for colours in permutations((BLACK, BLACK, WHITE)):
            found = together(colours)
            assert found.farthest is not None
            assert (3, Likeness.OTHER) == (len(found.pairs), found.likeness)
            assert {BLACK, WHITE} == {colours[found.farthest.one], colours[found.farthest.other]}

    def test_of_one_colour_is_the_same(self) -> None:
        """... of one colour is the same, and the first of its pairs stands for all."""
        found = together([GREY, GREY, GREY])

        assert (Likeness.SAME, (0, 1)) == (found.likeness, found.farthest and found.farthest[:2])

    @pytest.mark.parametrize(
        ("colours", "expected"),
        [
            ([GREY, GREY, None], None),
            ([GREY, None, WHITE], Likeness.OTHER),
            ([GREY, None], None),
            ([None, None], None),
        ],
    )
    def test_with_one_unknown_is_told_only_where_that_can_change_nothing(
        self, colours: list[Lab | None], expected: Likeness | None
    ) -> None:
        """... with a colour that nobody knows is not told, unless those that are known are apart already."""
        found = together(colours)

        assert expected is found.likeness
        assert tuple(place for place, colour in enumerate(colours) if colour is None) == found.unknown

    def test_names_places_as_they_were_given(self) -> None:
        """... names each pair by the places in the list, unknown ones counted."""
        assert [(1, 3)] == [(pair.one, pair.other) for pair in together([None, GREY, None, WHITE]).pairs]
