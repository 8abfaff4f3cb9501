"""Ways to lace, their lengths and their pulls in the plane."""

from __future__ import annotations

from itertools import pairwise
from math import hypot, pi, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.bench.lace_pull import Rows, capstan, path_length_mm, pulls
from mountwright.bench.lacing import LEFT, RIGHT, Eyelet, Pattern, lace_path
from mountwright.errors import InvalidQuantityError

_PAIRS = st.integers(2, 20)
_GAPS = st.floats(20, 120)
_FRICTIONS = st.floats(0, 1)


def rows(pairs: int, gap_top: float, gap_bottom: float, pitch: float) -> Rows:
    """Give one boot."""
    return Rows(pairs, *(np.array([figure]) for figure in (gap_top, gap_bottom, pitch)))


def formula_mm(pattern: Pattern, n: int, g: float, h: float) -> float:
    """Give the closed length by the published formulas."""
    d, twice = hypot(g, h), hypot(g, 2 * h)
    if pattern is Pattern.BOW_TIE:
        return 2 * g + (n * h + (n - 2) * d if n % 2 == 0 else (n - 1) * (h + d))
    return {
        Pattern.CRISS_CROSS: 2 * g + 2 * (n - 1) * d,
        Pattern.EUROPEAN_STRAIGHT: n * g + 2 * d + (n - 2) * twice,
        Pattern.SHOE_SHOP_STRAIGHT: n * g + (n - 1) * d + hypot(g, (n - 1) * h),
    }[pattern]


def formula_pull(pattern: Pattern, n: int, g: float, h: float) -> float:
    """Give the sum of pulls without friction by the pulley argument: each crossing pulls with gap over length."""
    d, twice = hypot(g, h), hypot(g, 2 * h)
    return {
        Pattern.CRISS_CROSS: 2 + 2 * (n - 1) * g / d,
        Pattern.BOW_TIE: 2 + (n - 2 if n % 2 == 0 else n - 1) * g / d,
        Pattern.EUROPEAN_STRAIGHT: n + 2 * g / d + (n - 2) * g / twice,
        Pattern.SHOE_SHOP_STRAIGHT: n + (n - 1) * g / d + g / hypot(g, (n - 1) * h),
    }[pattern]


class TestPath:
    """A pattern ..."""

    @pytest.mark.parametrize("pattern", Pattern)
    @given(pairs=_PAIRS)
    def test_goes_through_every_eyelet_once(self, pattern: Pattern, pairs: int) -> None:
        """... goes through every eyelet once, odd number or even, from one top eyelet to the other."""
        path = lace_path(pattern, pairs)
        assert sorted(path) == sorted(Eyelet(side, pair) for side in (LEFT, RIGHT) for pair in range(pairs))
        assert (Eyelet(LEFT, 0), Eyelet(RIGHT, 0)) == (path[0], path[-1])

    @pytest.mark.parametrize("pattern", Pattern)
    @given(pairs=_PAIRS)
    def test_holds_every_eyelet_across(self, pattern: Pattern, pairs: int) -> None:
        """... leaves no eyelet with both neighbours on its own side."""
        path = lace_path(pattern, pairs)
        for before, here, after in zip((path[-1], *path), path, (*path[1:], path[0]), strict=False):
            assert {before.side, after.side} != {here.side}

    @pytest.mark.parametrize(("pairs", "upright"), [(2, [0]), (3, [0]), (4, [0, 2]), (5, [0, 2]), (6, [0, 2, 4])])
    def test_bow_tie_is_upright_at_every_other_step(self, pairs: int, upright: list[int]) -> None:
        """... of the bow-tie stands upright below the bow and at every other step from there, on both sides."""
        path = lace_path(Pattern.BOW_TIE, pairs)
        steps = pairwise(path)
        found = [min(one.pair, other.pair) for one, other in steps if one.side == other.side]
        assert sorted(2 * upright) == sorted(found)

    @pytest.mark.parametrize("pattern", [Pattern.EUROPEAN_STRAIGHT, Pattern.SHOE_SHOP_STRAIGHT])
    @given(pairs=_PAIRS)
    def test_straight_lies_across_at_each_pair(self, pattern: Pattern, pairs: int) -> None:
        """... of the straights lies straight across at every pair below the bow."""
        path = lace_path(pattern, pairs)
        across = [one.pair for one, other in pairwise(path) if one.pair == other.pair]
        assert list(range(1, pairs)) == sorted(across)

    @pytest.mark.parametrize("pairs", [-1, 0, 1])
    def test_needs_two_pairs(self, pairs: int) -> None:
        """... is refused for fewer than two pairs."""
        with pytest.raises(InvalidQuantityError, match="two pairs"):
            lace_path(Pattern.CRISS_CROSS, pairs)


class TestLength:
    """The length of a lacing ..."""

    @pytest.mark.parametrize("pattern", Pattern)
    @given(pairs=_PAIRS, gap=_GAPS, pitch=st.floats(5, 80))
    def test_is_the_formula_where_the_gap_is_the_same(
        self, pattern: Pattern, pairs: int, gap: float, pitch: float
    ) -> None:
        """... is the published formula where the rows stand side by side."""
        length = path_length_mm(lace_path(pattern, pairs), rows(pairs, gap, gap, pitch))[0]
        assert pytest.approx(formula_mm(pattern, pairs, gap, pitch)) == length + gap

    @pytest.mark.parametrize("pattern", Pattern)
    @given(pairs=_PAIRS, top=_GAPS, bottom=_GAPS, pitch=st.floats(51, 80))
    def test_follows_ptolemy_where_the_rows_lean(
        self, pattern: Pattern, pairs: int, top: float, bottom: float, pitch: float
    ) -> None:
        """... is, crossing from gap to gap over k steps, the root of their product and of (k pitch) squared."""
        path, gaps = lace_path(pattern, pairs), np.linspace(top, bottom, pairs)
        ways = [
            sqrt(
                ((one.pair - other.pair) * pitch) ** 2
                + (gaps[one.pair] * gaps[other.pair] if one.side != other.side else 0)
            )
            for one, other in pairwise(path)
        ]
        assert pytest.approx(sum(ways)) == path_length_mm(path, rows(pairs, top, bottom, pitch))[0]

    @pytest.mark.parametrize("pattern", Pattern)
    @given(pairs=_PAIRS, top=_GAPS, bottom=_GAPS, more=st.sampled_from([(1, 0, 0), (0, 1, 0), (0, 0, 1)]))
    def test_grows_with_each_gap_and_the_pitch(
        self, pattern: Pattern, pairs: int, top: float, bottom: float, more: tuple[int, int, int]
    ) -> None:
        """... never falls with a gap or the pitch: bounds come from bounds."""
        path = lace_path(pattern, pairs)
        less, larger = (
            path_length_mm(path, rows(pairs, top + wider[0], bottom + wider[1], 55 + wider[2]))[0]
            for wider in ((0, 0, 0), more)
        )
        assert less <= larger + 1e-9


class TestPulls:
    """The pulls of a lacing ..."""

    @pytest.mark.parametrize("pattern", Pattern)
    @given(pairs=_PAIRS, gap=_GAPS, pitch=st.floats(5, 80))
    def test_sum_up_to_the_formula_without_friction(
        self, pattern: Pattern, pairs: int, gap: float, pitch: float
    ) -> None:
        """... sum up to the published formula where nothing rubs."""
        found = pulls(lace_path(pattern, pairs), rows(pairs, gap, gap, pitch))
        assert pytest.approx(formula_pull(pattern, pairs, gap, pitch)) == found.sum()

    def test_of_a_criss_cross_are_the_same_between_the_ends(self) -> None:
        """... of a criss-cross are two diagonals at each pair, half a bar's and half of those at the ends."""
        slant = 40 / hypot(40, 15)
        found = pulls(lace_path(Pattern.CRISS_CROSS, 5), rows(5, 40, 40, 15))[:, 0]
        assert pytest.approx([1 + slant, 2 * slant, 2 * slant, 2 * slant, 1 + slant]) == found.tolist()

    def test_are_those_of_two_pairs_by_hand(self) -> None:
        """... of a bow-tie on two pairs lose a right angle above and below: the bar at the toe keeps exp(-mu pi)."""
        found = pulls(lace_path(Pattern.BOW_TIE, 2), rows(2, 40, 40, 15), 0.2)[:, 0]
        assert pytest.approx([1, np.exp(-0.2 * pi)]) == found.tolist()

    def test_of_a_criss_cross_fall_from_the_top(self) -> None:
        """... of a criss-cross fall from pair to pair as every eyelet rubs, by the same factor between the ends."""
        found = pulls(lace_path(Pattern.CRISS_CROSS, 8), rows(8, 60, 60, 12), 0.2)[:, 0]
        keeps = capstan(0.2, pi - 2 * np.arctan2(12, 60))
        assert (np.diff(found) < 0).all()
        assert pytest.approx([keeps] * 5) == (found[2:7] / found[1:6]).tolist()

    @pytest.mark.parametrize("pattern", Pattern)
    @given(pairs=_PAIRS, top=_GAPS, bottom=_GAPS, frictions=st.tuples(_FRICTIONS, _FRICTIONS))
    def test_never_grow_with_friction(
        self, pattern: Pattern, pairs: int, top: float, bottom: float, frictions: tuple[float, float]
    ) -> None:
        """... in sum never grow with friction: the ideal pulley is an upper bound."""
        boot = rows(pairs, top, bottom, 55)
        smooth, rough = (pulls(lace_path(pattern, pairs), boot, each).sum() for each in sorted(frictions))
        assert rough <= smooth + 1e-9
        assert smooth <= pulls(lace_path(pattern, pairs), boot).sum() + 1e-9

    @pytest.mark.parametrize("pattern", Pattern)
    @given(pairs=_PAIRS, gap=_GAPS, friction=_FRICTIONS, by=st.floats(0.5, 2))
    def test_depend_on_shape_alone(self, pattern: Pattern, pairs: int, gap: float, friction: float, by: float) -> None:
        """... are the same for a boot twice as large: ratios."""
        path = lace_path(pattern, pairs)
        small, large = (pulls(path, rows(pairs, gap * k, gap * k, 20 * k), friction) for k in (1, by))
        assert pytest.approx(small.ravel().tolist()) == large.ravel().tolist()

    @pytest.mark.parametrize("pattern", Pattern)
    def test_of_many_cases_are_those_of_each(self, pattern: Pattern) -> None:
        """... of many cases at once are those of each by itself."""
        path = lace_path(pattern, 5)
        cases = [(40.0, 60.0, 20.0, 0.1), (70.0, 45.0, 25.0, 0.3)]
        top, bottom, pitch, friction = np.array(cases).T
        found = pulls(path, Rows(5, top, bottom, pitch), friction)
        each = [pulls(path, rows(5, *case[:3]), case[3])[:, 0].tolist() for case in cases]
        assert pytest.approx(np.array(each).T) == found
