"""What room the wheels of a skate have, how surely, and what nobody can tell."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.errors import InvalidQuantityError
from mountwright.fitting.answers import Outcome
from mountwright.riding.band import Band, exactly
from mountwright.riding.clearance import Place
from mountwright.riding.line import Axle, Deck, Diameter, Line, Skate, Sole, Tyre
from mountwright.riding.obstacles import LeastGaps, usual_gaps
from mountwright.riding.room import Clearance, Room, room, shortest_spacing_mm, shortest_wheelbase_mm

MARK, EXACT = Band(-1.0, 0.0, 0.3), exactly(0.0)


def tyre(diameter_mm: float, shared_mm: Band = EXACT, own_sd_mm: float = 0.0) -> Tyre:
    """Give a wheel, exactly as large as said unless there is a doubt."""
    size = Diameter(diameter_mm, shared_mm, own_sd_mm, is_measured=shared_mm.is_exact)
    return Tyre(size, exactly(85.0), exactly(12.0), exactly(0.6))


def marked(diameter_mm: float) -> Tyre:
    """Give a new wheel as its mark says."""
    return tyre(diameter_mm, MARK, 0.1)


def skate(wheel: Tyre, count: int, wheelbase_mm: float, down_mm: float = 56.0, **more: object) -> Skate:
    """Give so many wheels alike, the axles level and evenly spaced about the middle."""
    step = wheelbase_mm / (count - 1)
    axles = tuple(Axle(wheelbase_mm / 2 - index * step, down_mm) for index in range(count))
    return Skate(Line(axles, (wheel,) * count, (0,) * count), **more)  # type: ignore[arg-type]


def level_sole(height_mm: float, **more: float) -> Sole:
    """Give a level sole, so high above the plane under its front."""
    return Sole((Place(150_000, -height_mm * 1000), Place(-130_000, -height_mm * 1000)), **more)


def of(found: Room, code: str) -> list[Clearance]:
    """Give the clearances of one code."""
    return [each for each in found.clearances if each.code == code]


def outcomes(found: Room, code: str) -> list[Outcome]:
    """Give their outcomes."""
    return [each.outcome for each in of(found, code)]


class TestWheelToWheel:
    """The gap between two wheels ..."""

    def test_of_the_trade_passes(self) -> None:
        """... of 4 x 80 on 243, a printed figure of the trade, is 1 mm and passes as marked."""
        found = of(room(skate(marked(80), 4, 243)), "wheel_to_wheel")

        assert [(0, 1), (1, 2), (2, 3)] == [(each.wheel, each.other) for each in found]
        assert [1.0] * 3 == [each.gap_mm for each in found]
        assert {Outcome.PASS} == {each.outcome for each in found}

    def test_of_wheels_that_are_too_large_is_a_conflict(self) -> None:
        """... of 4 x 80 in a frame for 4 x 76 overlaps by 3 mm: no doubt of marks helps."""
        found = room(skate(marked(80), 4, 231))

        assert [-3.0] * 3 == [each.gap_mm for each in found.conflicts]
        assert {"wheel_to_wheel"} == {each.code for each in found.conflicts}

    @pytest.mark.parametrize(("diameter_mm", "outcome"), [(80.5, Outcome.PASS), (80.501, Outcome.FAIL)])
    def test_is_compared_exactly_where_nothing_is_in_doubt(self, diameter_mm: float, outcome: Outcome) -> None:
        """... passes on the limit of 0.5 mm and fails a micrometre below it."""
        assert [outcome] * 3 == outcomes(room(skate(tyre(diameter_mm), 4, 243)), "wheel_to_wheel")

    def test_between_axles_at_different_heights_goes_by_their_distance(self) -> None:
        """... of wheels of 80 with axles 60 along and 60 down apart is what 84.85 leaves."""
        line = Line((Axle(30, 40), Axle(-30, 100)), (tyre(80), tyre(80)), (0, 0))

        assert pytest.approx(60 * 2**0.5 - 80) == of(room(Skate(line)), "wheel_to_wheel")[0].gap_mm

    def test_is_told_of_wheels_that_are_not_neighbours_where_it_is_broken(self) -> None:
        """... of the first and the third wheel is a conflict where the second is out of their way."""
        axles = (Axle(30, 50), Axle(0, 145), Axle(-30, 50))
        found = room(Skate(Line(axles, (tyre(80),) * 3, (0, 1, 2))))

        assert [(0, 2)] == [(each.wheel, each.other) for each in found.conflicts]

    @pytest.mark.parametrize("lots", [(0, 0), (0, 1)], ids=["one lot", "two lots"])
    def test_is_kept_as_often_as_in_drawn_wheels(self, lots: tuple[int, int]) -> None:
        """... has the probability of 200,000 drawn pairs, where wheels of a lot share what their mark is off by."""
        line = Line((Axle(40.2, 56), Axle(-40.2, 56)), (marked(80), marked(80)), lots)
        draw = np.random.default_rng(5)
        shared = [draw.triangular(-1.0, 0.0, 0.3, 200_000) for _ in range(2)]
        own = draw.normal(0, 0.1, (2, 200_000))
        wrong = shared[0] + shared[lots[1]] + own.sum(axis=0)
        expected = float((80.4 - (160 + wrong) / 2 >= 0.5).mean())
        [found] = of(room(Skate(line)), "wheel_to_wheel")

        assert pytest.approx(expected, abs=0.015) == found.probability
        assert Outcome.UNDECIDED is found.outcome
        assert found.next_step is not None
        assert "diameter_mm" == found.next_step.what


class TestWheelToSole:
    """A wheel under the sole ..."""

    def test_of_a_small_boot_may_have_no_room_in_a_frame_with_room(self) -> None:
        """... fails at 3 x 125 under a boot whose sole lies low, though frame and spacing take the wheels."""
        deck = Deck(largest_wheel_mm=125)
        small = room(skate(marked(125), 3, 252, 58, deck=deck, sole=level_sole(0, front_block_depth_mm=0)))

        assert [Outcome.PASS] * 5 == outcomes(small, "wheel_to_wheel") + outcomes(small, "wheel_to_frame")
        assert [Outcome.FAIL] * 3 == outcomes(small, "wheel_to_sole")
        assert {-4.5} == {each.gap_mm for each in of(small, "wheel_to_sole")}

    def test_of_a_large_boot_has_the_room_that_a_small_one_lacks(self) -> None:
        """... passes at 3 x 125 where the sole of a larger size stands 12 mm higher."""
        large = room(skate(marked(125), 3, 252, 58, sole=level_sole(12, front_block_depth_mm=0)))

        assert [Outcome.PASS] * 3 == outcomes(large, "wheel_to_sole")

    def test_is_not_told_where_the_blocks_decide(self) -> None:
        """... is open where it has room only if the outline leaves the blocks out, and says what to measure."""
        found = of(room(skate(marked(80), 4, 243, 41, sole=level_sole(0))), "wheel_to_sole")

        assert {Outcome.NOT_MEASURED} == {each.outcome for each in found}
        assert {(1.0, None)} == {(each.gap_mm, each.gap_at_most_mm) for each in found}
        assert {"sole_gap_mm"} == {each.next_step.what for each in found if each.next_step}

    def test_is_lifted_by_blocks_at_best(self) -> None:
        """... is in doubt between the bare outline and one that the front block lifts by 5 mm."""
        found = of(room(skate(marked(80), 4, 243, 41, sole=level_sole(0, front_block_depth_mm=5))), "wheel_to_sole")

        assert {(1.0, 6.0, Outcome.NOT_MEASURED)} == {
            (each.gap_mm, each.gap_at_most_mm, each.outcome) for each in found
        }

    def test_is_undecided_close_to_the_limit(self) -> None:
        """... is in doubt 0.5 mm from the least gap, for an outline tells to 1.5 mm only."""
        found = of(room(skate(tyre(80), 4, 243, 42.5, sole=level_sole(0, front_block_depth_mm=0))), "wheel_to_sole")

        assert {Outcome.UNDECIDED} == {each.outcome for each in found}
        # Anything within 1.5 mm either way is equally likely: 2 of 3 mm keep the gap.
        assert [pytest.approx(2 / 3, abs=2e-3)] * 4 == [each.probability for each in found]

    def test_is_never_passed_without_an_outline(self) -> None:
        """... is said not to be measured where nobody knows the sole."""
        [found] = of(room(skate(marked(80), 4, 243)), "wheel_to_sole")

        assert (None, None, Outcome.NOT_MEASURED) == (found.wheel, found.gap_mm, found.outcome)


class TestWheelToBlock:
    """A wheel between mounting blocks ..."""

    def test_below_the_deck_has_room_whatever_is_not_known(self) -> None:
        """... passes where its top stays 2 mm below the deck, which touches the blocks."""
        assert [Outcome.PASS] * 8 == outcomes(room(skate(tyre(80), 4, 243, 42)), "wheel_to_block")

    def test_above_the_deck_is_not_told_without_their_gap(self) -> None:
        """... is open where it reaches above the deck and nobody knows the gap between the blocks."""
        found = of(room(skate(tyre(125), 3, 252, 58)), "wheel_to_block")

        assert {Outcome.NOT_MEASURED} == {each.outcome for each in found}
        assert {"block_gap_mm"} == {each.next_step.what for each in found if each.next_step}

    @pytest.mark.parametrize(
        ("gap_mm", "front", "middle"),
        [(110, Outcome.NOT_MEASURED, Outcome.PASS), (40, Outcome.NOT_MEASURED, Outcome.FAIL)],
    )
    def test_reaches_up_between_them_in_a_wide_gap_only(self, gap_mm: float, front: Outcome, middle: Outcome) -> None:
        """... of 125 has room in a gap of 110 and none in one of 40; how far forward a block goes nobody said."""
        sole = Sole(front_block_depth_mm=10, rear_block_depth_mm=20, block_gap_mm=gap_mm)
        deck = Deck(heel_step_mm=0, front_bolt_along_mm=82.5, rear_bolt_along_mm=-82.5)
        found = of(room(skate(tyre(125), 3, 252, 58, sole=sole, deck=deck)), "wheel_to_block")

        assert [middle] * 2 == [each.outcome for each in found if each.wheel == 1]
        assert [front] == [each.outcome for each in found if (each.wheel, each.other) == (0, 0)]
        # The far block is a whole wheelbase away.
        assert [Outcome.PASS] * 2 == [each.outcome for each in found if (each.wheel, each.other) in {(0, 1), (2, 0)}]

    def test_stands_off_a_gap_whose_middle_is_in_doubt(self) -> None:
        """... in the middle of a gap of 110 is 50 to 60 mm from the end of either block along, and 58 below."""
        sole = Sole(front_block_depth_mm=10, rear_block_depth_mm=10, block_gap_mm=110)
        found = of(room(skate(tyre(125), 3, 252, 58, sole=sole, deck=Deck(heel_step_mm=0))), "wheel_to_block")
        expected = pytest.approx((np.hypot(50, 58) - 62.5, np.hypot(60, 58) - 62.5))

        assert [expected] * 2 == [(each.gap_mm, each.gap_at_most_mm) for each in found if each.wheel == 1]

    def test_under_a_frame_bolt_is_surely_under_its_block(self) -> None:
        """... fails where it reaches above the deck right under the bolt, however far the block goes."""
        sole = Sole(front_block_depth_mm=10, rear_block_depth_mm=0)
        deck = Deck(front_bolt_along_mm=82.5)
        found = of(room(skate(tyre(125), 2, 165, 58, sole=sole, deck=deck)), "wheel_to_block")

        assert [(0, Outcome.FAIL), (1, Outcome.NOT_MEASURED)] == [(each.wheel, each.outcome) for each in found]

    def test_has_more_room_under_a_raised_heel(self) -> None:
        """... of 125 at the rear passes where the deck's rear is 10 mm higher, and fails where it is level."""
        sole = Sole(front_block_depth_mm=0, rear_block_depth_mm=20)
        level, raised = (
            Deck(heel_step_mm=step, front_bolt_along_mm=82.5, rear_bolt_along_mm=-82.5) for step in (0.0, 10.0)
        )
        found = [
            outcomes(room(skate(tyre(125), 2, 165, 58, sole=sole, deck=deck)), "wheel_to_block")
            for deck in (level, raised)
        ]

        assert [Outcome.FAIL, Outcome.PASS] == [each[1] for each in found]

    def test_is_not_held_against_blocks_that_are_not_there(self) -> None:
        """... has no such clearance where both are said to have no depth."""
        sole = Sole(front_block_depth_mm=0, rear_block_depth_mm=0)

        assert [] == of(room(skate(tyre(125), 3, 252, 58, sole=sole)), "wheel_to_block")


class TestWheelToBoltTip:
    """A wheel below a frame bolt ..."""

    @pytest.mark.parametrize(
        ("tip_mm", "gap_mm", "outcome"),
        [(10.0, 6.0, Outcome.PASS), (12.0, 4.0, Outcome.PASS), (13.0, 3.0, Outcome.FAIL)],
    )
    def test_keeps_clear_of_its_end(self, tip_mm: float, gap_mm: float, outcome: Outcome) -> None:
        """... of 80 on an axle 56 below the deck has its top 16 below: what the tip leaves of that is its gap."""
        found = of(room(skate(tyre(80), 2, 165, bolt_tips_mm=((82.5, tip_mm),))), "wheel_to_bolt_tip")

        assert (gap_mm, outcome) == (found[0].gap_mm, found[0].outcome)

    def test_keeps_clear_of_the_whole_bolt(self) -> None:
        """... is measured to the bolt beside its axle, not to an end that reaches further down."""
        found = of(room(skate(tyre(80), 2, 165, bolt_tips_mm=((40.0, 70.0),))), "wheel_to_bolt_tip")

        assert 2.5 == found[0].gap_mm

    def test_is_never_passed_without_the_bolts(self) -> None:
        """... is said not to be measured where nobody knows where they end."""
        assert [Outcome.NOT_MEASURED] == outcomes(room(skate(tyre(80), 4, 243)), "wheel_to_bolt_tip")


class TestWheelToFrame:
    """A wheel in its frame ..."""

    @pytest.mark.parametrize(
        ("diameter_mm", "gap_mm", "outcome"),
        [(80, 0.0, Outcome.PASS), (84, -2.0, Outcome.FAIL), (76, 2.0, Outcome.PASS)],
    )
    def test_goes_by_its_mark(self, diameter_mm: float, gap_mm: float, outcome: Outcome) -> None:
        """... is compared mark with mark, and passes on the limit without a doubt."""
        found = of(room(skate(marked(diameter_mm), 4, 300, deck=Deck(largest_wheel_mm=80))), "wheel_to_frame")

        assert {(gap_mm, outcome)} == {(each.gap_mm, each.outcome) for each in found}
        assert {float(outcome is Outcome.PASS)} == {each.probability for each in found}

    def test_that_was_measured_has_the_doubt_of_its_reading(self) -> None:
        """... is in doubt on the limit."""
        wheel = tyre(80, own_sd_mm=0.1)
        found = of(room(skate(wheel, 4, 300, deck=Deck(largest_wheel_mm=80))), "wheel_to_frame")

        assert [pytest.approx(0.5)] * 4 == [each.probability for each in found]


class TestOverhang:
    """The reach of the wheels beyond the sole ..."""

    def test_is_told_at_either_end(self) -> None:
        """... is 11.5 at the toe and 31.5 at the heel for 80 on 243, to the outline's doubt and half of the marks'."""
        found = room(skate(marked(80), 4, 243, sole=level_sole(0))).overhang

        assert found is not None
        assert (11.5, 31.5) == (found.toe_mm.likely, found.heel_mm.likely)
        assert pytest.approx((9.5, 13.15)) == (found.toe_mm.low, found.toe_mm.high)

    def test_is_not_told_without_an_outline(self) -> None:
        """... is unknown where the sole is."""
        assert room(skate(marked(80), 4, 243)).overhang is None


class TestRoom:
    """The room of a skate ..."""

    def test_is_as_bad_as_its_worst_gap(self) -> None:
        """... fails with one conflict, and is not passed while something is not known."""
        known = Skate(
            skate(tyre(80), 4, 243).line,
            Deck(largest_wheel_mm=80),
            level_sole(0, front_block_depth_mm=0, rear_block_depth_mm=0),
            ((82.5, 5.0),),
        )

        assert Outcome.PASS is room(known).outcome
        assert Outcome.NOT_MEASURED is room(replace(known, bolt_tips_mm=())).outcome
        assert Outcome.FAIL is room(replace(known, deck=Deck(largest_wheel_mm=76), bolt_tips_mm=())).outcome

    def test_of_one_wheel_has_no_neighbour(self) -> None:
        """... is told for a single wheel too."""
        assert [] == of(room(Skate(Line((Axle(0, 56),), (tyre(80),), (0,)))), "wheel_to_wheel")

    def test_names_what_to_look_at(self) -> None:
        """... gives a next step for everything that nobody can tell, and for nothing else."""
        found = room(skate(marked(80), 4, 242))

        assert found.to_look_at == tuple(each for each in found.clearances if each.next_step)
        assert found.to_look_at

    @given(st.integers(70_000, 130_000), st.integers(1, 20_000), st.integers(30_000, 60_000), st.integers(0, 12_000))
    def test_never_grows_with_the_wheels(self, small: int, more: int, down: int, height: int) -> None:
        """... is likely to be kept with larger wheels never more than with smaller ones."""
        sole = level_sole(height / 1000, front_block_depth_mm=3.0)
        found = [
            room(skate(marked(size / 1000), 3, 230, down / 1000, sole=sole, bolt_tips_mm=((82.5, 12.0),)))
            for size in (small, small + more)
        ]

        assert all(
            tight.probability <= wide.probability + 1e-12
            for wide, tight in zip(of_all(found[0]), of_all(found[1]), strict=True)
        )

    def test_asks_for_gaps_that_can_be(self) -> None:
        """... is not told for a least gap below nothing."""
        with pytest.raises(InvalidQuantityError, match="least gap"):
            LeastGaps(-0.1, 4, 2, 2)

    def test_goes_by_the_gaps_that_are_asked_for(self) -> None:
        """... is held to other least gaps than the usual ones where they are given."""
        tight = replace(usual_gaps(), wheel_mm=1.1)

        assert [Outcome.FAIL] * 3 == outcomes(room(skate(tyre(80), 4, 243), tight), "wheel_to_wheel")


def of_all(found: Room) -> list[Clearance]:
    """Give the clearances between neighbours and to everything else, which every wheel has at any size."""
    return [each for each in found.clearances if each.code != "wheel_to_wheel" or each.other == (each.wheel or 0) + 1]


class TestShortestWheelbase:
    """The shortest wheelbase ..."""

    # Common practice (n - 1)(w + 1); 4 x 80 on 243 is a printed figure of the trade, the rest its arithmetic.
    @pytest.mark.parametrize(
        ("count", "diameter_mm", "wheelbase_mm"),
        [
            (4, 60, 183),
            (4, 76, 231),
            (4, 80, 243),
            (4, 90, 273),
            (3, 110, 222),
            (3, 125, 252),
            (5, 84, 340),
            (5, 100, 404),
        ],
    )
    def test_leaves_a_millimetre(self, count: int, diameter_mm: float, wheelbase_mm: float) -> None:
        """... is that of the trade's rule."""
        assert wheelbase_mm == shortest_wheelbase_mm((diameter_mm,) * count)

    def test_is_nothing_for_one_wheel(self) -> None:
        """... of one wheel is 0."""
        assert 0.0 == shortest_wheelbase_mm((80.0,))

    def test_of_unequal_wheels_goes_by_their_tangent(self) -> None:
        """... of 80 and 90 with a step of 3 mm is sqrt((r1 + r2)^2 - dy^2) = 84.947 (reference row 04-017)."""
        assert pytest.approx(84.947, abs=5e-4) == shortest_spacing_mm(80, 90, step_mm=3)

    def test_leaves_what_the_spacing_has_over(self) -> None:
        """... of two wheels of 76 with a gap of 4 is 80 (reference row 04-016)."""
        assert 80.0 == shortest_spacing_mm(76, 76, gap_mm=4)

    def test_is_nothing_where_axles_pass_each_other(self) -> None:
        """... of wheels one above the other is 0."""
        assert 0.0 == shortest_spacing_mm(80, 80, step_mm=100)
