"""How long a lace has to be, which that is sold reaches, and what is said of it."""

from __future__ import annotations

from dataclasses import replace
from math import hypot
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.bench.lace_estimates import lace_estimates
from mountwright.bench.lace_fit import Reach, Wish, first_that_reaches, lace_fit, least_marked_mm, next_shorter
from mountwright.bench.lace_length import LaceAnswer, lace_length
from mountwright.bench.lace_question import LaceQuestion, most_lean_mm
from mountwright.bench.lacing import Pattern
from mountwright.errors import InvalidQuantityError
from mountwright.riding.band import Band, around, exactly

#: Nothing in doubt: rows 06-008 and 06-009 of the references.
KNOWN = LaceQuestion(6, exactly(40.0), exactly(15.0), bow_tail_mm=300.0, eyelet_thickness_mm=3.0)

#: As it is measured with a steel rule: a boot that opens wider towards the top.
MEASURED = LaceQuestion(8, around(70.0, 0.75), around(25.0, 0.75), around(45.0, 0.75))

#: Where straight and criss-cross pull equally strong, at a ratio of 0.741 (06-034).
EVEN = LaceQuestion(4, around(60.0, 0.75), around(60.0 * 0.74118, 0.75))


def codes(found: LaceAnswer) -> list[str]:
    """Give the codes of what is said."""
    return [note.code for note in found.notes]


def params(found: LaceAnswer, code: str) -> dict[str, Any]:
    """Give what one note is filled with."""
    return dict(next(note for note in found.notes if note.code == code).params)


def wish(in_eyelets: Band, tail_mm: float = 300.0) -> Wish:
    """Give a wish."""
    return Wish(in_eyelets, tail_mm)


class TestLength:
    """The length of a lace ..."""

    def test_is_the_way_the_eyelets_and_the_bow(self) -> None:
        """... is what the open lacing takes (467.2 mm, 06-009), twelve eyelets of 3 mm and two tails of 300."""
        found = lace_length(KNOWN).chosen.wish
        assert pytest.approx((467.2 + 36, 467.2 + 36 + 600), rel=1e-6) == (
            found.in_eyelets_mm.likely,
            found.cut_length_mm.likely,
        )
        assert found.in_eyelets_mm.is_exact

    def test_has_bounds_at_the_worst_of_all_doubts(self) -> None:
        """... is bounded by every reading and every estimate at its end."""
        found = lace_length(MEASURED).chosen.wish.in_eyelets_mm
        for end, off in (("low", -0.75), ("high", 0.75)):
            question = LaceQuestion(
                8,
                exactly(70 + off),
                exactly(25 + off),
                exactly(45 + off),
                eyelet_thickness_mm=getattr(lace_estimates().eyelet_thickness_mm, end),
            )
            assert pytest.approx(lace_length(question).chosen.wish.in_eyelets_mm.likely) == getattr(found, end)

    def test_of_one_gap_is_that_of_two_alike(self) -> None:
        """... is the same for one gap as for two that are alike."""
        one, two = KNOWN, replace(KNOWN, gap_bottom_mm=exactly(40.0))
        assert lace_length(one).patterns == lace_length(two).patterns

    def test_is_told_of_every_pattern(self) -> None:
        """... is told of every pattern, with the lace that it takes."""
        found = lace_length(MEASURED).patterns
        assert list(Pattern) == [each.pattern for each in found]
        assert found[0] == lace_length(MEASURED).chosen
        assert found[1] == lace_length(replace(MEASURED, pattern=Pattern.BOW_TIE)).chosen

    def test_with_a_lock_loop_crosses_twice_more(self) -> None:
        """... grows with a lock loop by what each end crosses to the middle of the opposite loop, and slack."""
        found = lace_length(replace(KNOWN, has_lock_loop=True))
        crossing, slack = hypot(40, 7.5), lace_estimates().lock_loop_slack_mm
        assert found.lock_loop_mm
        assert pytest.approx(2 * (crossing + slack.likely)) == found.lock_loop_mm.likely
        assert pytest.approx(2 * (crossing + slack.high)) == found.lock_loop_mm.high
        assert pytest.approx(2 * (crossing - hypot(40, 15) + 15 + slack.low)) == found.lock_loop_mm.low
        plain = lace_length(KNOWN)
        assert plain.lock_loop_mm is None
        more = found.chosen.wish.in_eyelets_mm.likely - plain.chosen.wish.in_eyelets_mm.likely
        assert pytest.approx(found.lock_loop_mm.likely) == more

    @given(st.integers(2, 20), st.floats(10, 150), st.floats(5, 60), st.sampled_from(Pattern), st.booleans())
    def test_that_is_sold_reaches_in_the_worst_case(
        self, pairs: int, gap: float, pitch: float, pattern: Pattern, has_lock_loop: bool
    ) -> None:
        """... that is named is never too short, and the next shorter one would be."""
        question = LaceQuestion(pairs, around(gap, 1.0), around(pitch, 1.0), None, pattern, has_lock_loop)
        chosen = lace_length(question).chosen
        lengths, short = lace_estimates().sold_mm, lace_estimates().short_of_mark_share.high
        enough = [each for each in lengths if each * (1 - short) >= chosen.wish.cut_length_mm.high]
        assert (enough[0] if enough else None) == (chosen.sold and chosen.sold.length_mm)

    def test_beyond_all_that_is_sold_is_told(self) -> None:
        """... that no usual lace has is told, with the longest that there is."""
        found = lace_length(LaceQuestion(20, exactly(150.0), exactly(20.0)))
        assert (None, "lacing.none_is_long_enough") == (found.chosen.sold, codes(found)[0])
        assert lace_estimates().sold_mm[-1] == params(found, "lacing.none_is_long_enough")["longest_mm"]


class TestFit:
    """A lace of some length ..."""

    def test_keeps_half_of_what_is_not_laced(self) -> None:
        """... keeps for each tail half of what does not lie in the eyelets, less what it is short of its mark."""
        short = lace_estimates().short_of_mark_share
        found = lace_fit(1500, wish(Band(700.0, 800.0, 900.0))).tails_mm
        expected = [
            (1500 * (1 - share) - in_eyelets) / 2
            for share, in_eyelets in ((short.high, 900), (short.likely, 800), (short.low, 700))
        ]
        assert pytest.approx(expected) == [found.low, found.likely, found.high]

    @pytest.mark.parametrize(
        ("in_eyelets", "reach"),
        [
            (Band(500.0, 600.0, 700.0), Reach.TOO_LONG),
            (Band(750.0, 800.0, 850.0), Reach.REACHES),
            (Band(850.0, 900.0, 950.0), Reach.SHORT_TAILS),
            (Band(950.0, 1060.0, 1150.0), Reach.CANNOT_TELL),
            (Band(1101.0, 1150.0, 1200.0), Reach.TOO_SHORT),
            (Band(1600.0, 1650.0, 1700.0), Reach.TOO_SHORT),
        ],
        ids=str,
    )
    def test_is_judged_by_what_its_worst_case_leaves(self, in_eyelets: Band, reach: Reach) -> None:
        """... reaches, is a little short, may be too short or is, by what 1500 mm leave in the worst case."""
        found = lace_fit(1500, wish(in_eyelets))
        assert reach is found.reach
        assert (reach in (Reach.CANNOT_TELL, Reach.TOO_SHORT)) == (found.short_by_mm.high > 0)
        assert (reach is Reach.TOO_SHORT) == (found.short_by_mm.low > 0)

    def test_is_too_short_by_what_a_bow_wants(self) -> None:
        """... that is too short is so by what two of the shortest tails want."""
        found = lace_fit(1000, wish(exactly(900.0))).short_by_mm
        least, short = lace_estimates().bow_tail_mm.low, lace_estimates().short_of_mark_share
        assert pytest.approx((2 * least - 100, 2 * least - 100 + 1000 * short.high)) == (found.low, found.high)

    def test_that_lies_in_the_eyelets_whole_has_tails_below_nothing(self) -> None:
        """... that does not even go through all eyelets has tails below 0."""
        assert lace_fit(600, wish(exactly(900.0))).tails_mm.high < 0

    def test_may_have_a_tail_as_short_as_wished(self) -> None:
        """... reaches with tails below the usual least where that is what was wished for."""
        assert Reach.REACHES is lace_fit(1100, wish(exactly(900.0), tail_mm=60.0)).reach
        assert Reach.TOO_SHORT is lace_fit(1100, wish(exactly(900.0))).reach

    def test_may_have_a_tail_as_long_as_wished(self) -> None:
        """... is not too long for who wishes for it."""
        assert Reach.TOO_LONG is lace_fit(2100, wish(exactly(900.0))).reach
        assert Reach.REACHES is lace_fit(2100, wish(exactly(900.0), tail_mm=500.0)).reach

    def test_of_the_first_that_reaches_has_its_whole_tails(self) -> None:
        """... is the first that reaches where its tails are as long as wanted in the worst case, from its length on."""
        wanted = wish(Band(780.0, 800.0, 820.0))
        least = least_marked_mm(wanted)
        found = first_that_reaches([least - 0.1, least + 0.1, least + 50], wanted)
        assert found
        assert (least + 0.1, pytest.approx(300, abs=0.1)) == (found.length_mm, found.tails_mm.low)
        assert first_that_reaches([least - 0.1], wanted) is None

    def test_is_the_next_shorter_only_where_a_bow_can_be_tied(self) -> None:
        """... is the next shorter where it still ties a bow, and none is where it may not."""
        wanted = wish(exactly(800.0))
        found = next_shorter([1100, 1200, 1300, 1400, 1500, 1600], wanted)
        assert found
        assert (1400, Reach.SHORT_TAILS) == (found.length_mm, found.reach)
        assert next_shorter([1100, 1600], wanted) is None


class TestRank:
    """The best pattern ..."""

    def test_is_the_bow_tie_by_length(self) -> None:
        """... by length is the bow-tie, and certain where nothing is in doubt."""
        found = lace_length(KNOWN).shortest
        assert (Pattern.BOW_TIE, (), 1.0) == found

    @pytest.mark.parametrize(
        ("pitch", "pattern"), [(44.4, Pattern.CRISS_CROSS), (44.6, Pattern.SHOE_SHOP_STRAIGHT)], ids=["below", "above"]
    )
    def test_by_pull_turns_at_the_threshold(self, pitch: float, pattern: Pattern) -> None:
        """... by pull is the criss-cross below a ratio of pitch to gap of 0.741 with four pairs, the straight above."""
        question = LaceQuestion(4, exactly(60.0), exactly(pitch))
        assert (pattern, (), 1.0) == lace_length(question).strongest

    def test_is_open_on_the_threshold(self) -> None:
        """... by pull is as good as tossed a coin for, where the readings lie on the threshold."""
        assert 0.3 < lace_length(EVEN).strongest.probability < 0.7

    def test_is_shared_where_patterns_are_the_same(self) -> None:
        """... is shared by patterns that are the same with two pairs, and by straights that are as long with three."""
        two, three = (lace_length(replace(KNOWN, pairs=pairs, pitch_mm=exactly(80.0))) for pairs in (2, 3))
        alike = (Pattern.CRISS_CROSS, (Pattern.EUROPEAN_STRAIGHT, Pattern.SHOE_SHOP_STRAIGHT), 1.0)
        assert alike == two.strongest
        assert (Pattern.EUROPEAN_STRAIGHT, (Pattern.SHOE_SHOP_STRAIGHT,), 1.0) == three.strongest
        assert params(two, "lacing.strongest")["pattern"] == ("criss cross or european straight or shoe shop straight")

    def test_counts_who_is_as_good_as_holding(self) -> None:
        """... that others only equal holds, however the readings fall."""
        question = LaceQuestion(2, around(60.0, 0.75), around(20.0, 0.75))
        assert lace_length(question).strongest.probability > 0.99


class TestHold:
    """The hold along the foot ..."""

    def test_is_told_from_the_top_for_each_pair(self) -> None:
        """... is told for each pair from the top, and sums up to the pattern's pulls."""
        found = lace_length(KNOWN)
        assert list(range(1, 7)) == [each.pair for each in found.hold]
        assert pytest.approx(11.3633, rel=1e-5) == sum(each.ideal for each in found.hold)
        assert pytest.approx(found.chosen.pull_sum) == sum(each.ideal for each in found.hold)

    def test_takes_both_gaps(self) -> None:
        """... of two pairs 60 and 40 mm apart is two bars and two crossings of 50 mm across and 52.9 mm long."""
        found = lace_length(LaceQuestion(2, exactly(60.0), exactly(20.0), exactly(40.0)))
        assert pytest.approx(2 + 2 * 50 / (60 * 40 + 20**2) ** 0.5) == found.chosen.pull_sum

    def test_is_less_where_the_lace_rubs(self) -> None:
        """... with friction lies below what a pulley would give, and falls down the foot."""
        found = lace_length(KNOWN).hold
        assert all(each.rubbing.high < each.ideal for each in found)
        likely = [each.rubbing.likely for each in found]
        assert sorted(likely, reverse=True) == likely

    def test_names_the_pair_that_loses_most(self) -> None:
        """... is least at the toe of a criss-cross, and amid the foot where an end runs straight down to the toe."""
        crossed, straight = (
            params(lace_length(replace(KNOWN, pattern=pattern)), "lacing.weakest_pair")
            for pattern in (Pattern.CRISS_CROSS, Pattern.SHOE_SHOP_STRAIGHT)
        )
        assert (6, 4) == (crossed["pair"], straight["pair"])
        assert 0 < crossed["kept_least_share"] < crossed["kept_most_share"] < 0.4


class TestNotes:
    """What is said ..."""

    def test_begins_with_the_answer_and_ends_with_loose_ends(self) -> None:
        """... begins with the lace to take and ends with the caution of loose ends."""
        found = lace_length(MEASURED)
        assert ("lacing.take", "caution.loose_lace_ends") == (codes(found)[0], codes(found)[-1])
        assert {"lacing.planar", "lacing.measure_as_worn"} <= set(codes(found))

    def test_names_what_was_taken(self) -> None:
        """... names every figure that nobody told, and none where all were."""
        assert {"what": "bow_tail_mm, eyelet_thickness_mm"} == params(lace_length(MEASURED), "lacing.taken_not_told")
        assert "lacing.taken_not_told" not in codes(lace_length(KNOWN))

    def test_of_a_lock_loop_is_what_it_does_and_what_is_lost(self) -> None:
        """... of a lock loop is what it does for an ankle strap and what is lost by it; of no other lacing."""
        said = [
            "lacing.lock_holds_the_heel",
            "lacing.lock_is_slower",
            "lacing.lock_presses",
            "lacing.lock_cannot_be_adjusted",
            "lacing.lock_wears",
            "caution.built_on_its_strap",
            "caution.loose_lace_ends",
        ]
        assert said == codes(lace_length(replace(KNOWN, has_lock_loop=True)))[-len(said) :]
        assert not set(said[:-1]) & set(codes(lace_length(KNOWN)))

    def test_is_the_same_each_time(self) -> None:
        """... is the same for the same question."""
        assert lace_length(MEASURED) == lace_length(replace(MEASURED))


class TestQuestion:
    """A question ..."""

    @pytest.mark.parametrize(
        ("more", "expected"),
        [
            ({"pairs": 0}, "2 to 20 pairs"),
            ({"pairs": 1}, "2 to 20 pairs"),
            ({"pairs": 21}, "2 to 20 pairs"),
            ({"gap_top_mm": exactly(0.0)}, "above 0"),
            ({"gap_top_mm": around(1.0, 1.0)}, "above 0"),
            ({"gap_bottom_mm": exactly(-1.0)}, "above 0"),
            ({"pitch_mm": exactly(0.0)}, "above 0"),
            ({"gap_bottom_mm": exactly(190.0)}, "lean less"),
            ({"bow_tail_mm": -1.0}, "0 or more"),
            ({"eyelet_thickness_mm": float("nan")}, "0 or more"),
            ({"lace_length_mm": 0.0}, "longer than 0"),
        ],
        ids=str,
    )
    def test_beyond_its_bounds_is_refused(self, more: dict[str, Any], expected: str) -> None:
        """... with figures that cannot be is refused."""
        with pytest.raises(InvalidQuantityError, match=expected):
            replace(KNOWN, **more)

    def test_on_the_bounds_is_taken(self) -> None:
        """... on its bounds is taken: two pairs or twenty, no tail, no thickness, rows that all but lie flat."""
        least = LaceQuestion(2, exactly(5.0), exactly(20.0), exactly(44.9), bow_tail_mm=0.0, eyelet_thickness_mm=0.0)
        assert pytest.approx(44.9 + 2 * (400 + 5 * 44.9) ** 0.5) == lace_length(least).chosen.wish.cut_length_mm.likely
        assert 20 == len(lace_length(replace(KNOWN, pairs=20)).hold)

    def test_leans_by_half_of_what_its_gaps_differ_over_the_steps(self) -> None:
        """... has rows that lean by half of what the gaps differ, whichever is the wider, over the steps; at most."""
        wide, narrow = around(70.0, 1.0), around(45.0, 1.0)
        assert 27 / 14 == most_lean_mm(wide, narrow, 8) == most_lean_mm(narrow, wide, 8)


def test_estimates_have_a_standing_and_their_order() -> None:
    """The estimates in the box are read, each likely value within its range, and the lengths rise."""
    found = lace_estimates()
    assert (300.0, 0.2) == (found.bow_tail_mm.likely, found.friction.likely)
    assert list(found.sold_mm) == sorted(set(found.sold_mm))
