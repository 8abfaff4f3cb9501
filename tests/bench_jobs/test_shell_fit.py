"""Both feet in an empty shell."""

from __future__ import annotations

from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.bench.feet import Feet, Foot, Measure, Side
from mountwright.bench.shell_fit import Fit, RoomState, Shell, fit_of, room_windows, shell_fit, shells_ranked
from mountwright.bench.shoe_sizes import Wish
from mountwright.bench.size_estimates import mean_and_spread, probability_above, size_estimate
from mountwright.errors import InvalidQuantityError
from mountwright.measure.quantity import Estimate, Limits, Quantity
from mountwright.riding.band import Band, exactly


def reading(mm: float, doubt_um: float = 300) -> Quantity:
    """Give a reading."""
    return Quantity(round(mm * 1000), doubt_um, "caliper")


FEET = Feet(Foot(reading(270), reading(100), reading(65)), Foot(reading(266), reading(99), reading(66)))

#: All three rooms in the middle of what is wanted.
RIGHT = Shell("right", "", reading(285), reading(109), reading(82))

LENGTHS = st.integers(220_000, 340_000).map(lambda um: Quantity(um, 300, "caliper"))
WISHES = st.sampled_from([None, *Wish])


def of_length(mm: float, **more: str) -> Shell:
    """Give a shell of which only the length is known."""
    return Shell(length=reading(mm), **more)


class TestShell:
    """A shell ..."""

    def test_that_is_right_in_every_way_fits(self) -> None:
        """... with a finger behind the heel and room for a liner fits."""
        found = shell_fit(RIGHT, FEET)

        assert (Fit.FITS, [RoomState.RIGHT] * 3) == (found.fit, [check.state for check in found.checks])
        assert list(Measure) == [check.measure for check in found.checks]

    def test_has_both_feet_told(self) -> None:
        """... leaves 15 mm behind the longer foot and 19 mm behind the other."""
        rooms = shell_fit(RIGHT, FEET).heel.rooms

        assert (15.0, 19.0) == (rooms[Side.LEFT].likely, rooms[Side.RIGHT].likely)

    @pytest.mark.parametrize(
        ("gap_mm", "state", "fit"),
        [
            (2, RoomState.TOO_SMALL, Fit.DOES_NOT_FIT),
            (15, RoomState.RIGHT, Fit.FITS),
            (22, RoomState.RIGHT, Fit.CANNOT_TELL),
            (40, RoomState.TOO_LARGE, Fit.DOES_NOT_FIT),
        ],
    )
    def test_goes_by_the_room_behind_the_heel(self, gap_mm: float, state: RoomState, fit: Fit) -> None:
        """... goes by a finger: too short below, right at it, open between one and two, too long above."""
        heel = shell_fit(of_length(270 + gap_mm), FEET).heel

        assert (state, fit) == (heel.state, heel.fit)

    def test_goes_by_the_wish(self) -> None:
        """... of 12 mm is for performance and of 18 mm for comfort, and either will do without a wish."""
        likely = {
            wish: [shell_fit(of_length(270 + gap), FEET, wish).heel.fit.rank <= 1 for gap in (12, 18)]
            for wish in (Wish.PERFORMANCE, Wish.COMFORT, None)
        }

        assert {Wish.PERFORMANCE: [True, False], Wish.COMFORT: [False, True], None: [True, True]} == likely

    def test_of_which_little_is_known_is_never_sure_to_fit(self) -> None:
        """... of which only the length is known likely fits at the most, and says what is not known."""
        found = shell_fit(of_length(285), FEET)

        assert (Fit.FITS, Fit.LIKELY_FITS) == (found.heel.fit, found.fit)
        assert (Measure.BREADTH, RoomState.UNKNOWN) == (found.reason.measure, found.reason.state)

    def test_of_unknown_length_cannot_be_told(self) -> None:
        """... of unknown length cannot be told, unless it is too narrow anyway."""
        assert (Fit.CANNOT_TELL, None) == shell_fit(Shell(breadth=reading(109)), FEET)[2:4]
        narrow = shell_fit(Shell(breadth=reading(95)), FEET)
        assert (Fit.DOES_NOT_FIT, Measure.BREADTH) == (narrow.fit, narrow.reason.measure)

    def test_that_is_too_low_does_not_fit(self) -> None:
        """... that is right in length and breadth and too low at the instep does not fit, for the higher foot."""
        found = shell_fit(Shell("", "", reading(285), reading(109), reading(66)), FEET)

        assert (Fit.DOES_NOT_FIT, Measure.INSTEP) == (found.fit, found.reason.measure)
        assert 0.0 == found.reason.rooms[Side.RIGHT].likely

    def test_that_is_soft_has_to_be_tried_on(self) -> None:
        """... of a soft boot is none to stand in: nobody can tell."""
        found = shell_fit(Shell(length=reading(285), is_soft=True), FEET)

        assert (Fit.CANNOT_TELL, None) == (found.fit, found.probability)

    def test_is_as_long_as_the_gap_behind_the_heel_tells(self) -> None:
        """... goes by the gap that was measured behind the longer foot, whatever length it is said to have."""
        found = shell_fit(Shell(length=reading(300), heel_gap=reading(15)), FEET)

        assert (Fit.FITS, 285_000) == (found.heel.fit, found.shell.length and found.shell.length.value)
        assert (15.0, 19.0) == tuple(room.likely for room in found.heel.rooms.values())

    @pytest.mark.parametrize(
        ("shell", "fit"),
        [
            (Shell(eu_sizes=Limits(36, 40)), Fit.DOES_NOT_FIT),
            (Shell(eu_sizes=Limits(36, 46)), Fit.CANNOT_TELL),
            (Shell(length=reading(285), eu_sizes=Limits(36, 40)), Fit.LIKELY_FITS),
        ],
    )
    def test_goes_by_its_mark_where_nobody_measured_it(self, shell: Shell, fit: Fit) -> None:
        """... marked with other sizes does not fit, unless it was measured."""
        assert fit is shell_fit(shell, FEET, eu=Band(42.5, 43, 43.5)).fit

    def test_of_nothing_is_refused(self) -> None:
        """... without a length, or with a gap below nothing, is refused."""
        with pytest.raises(InvalidQuantityError):
            Shell(heel_gap=Quantity(-1, 0, "caliper"))
        with pytest.raises(InvalidQuantityError):
            Shell(length=Quantity(0, 0, "caliper"))

    @given(LENGTHS, LENGTHS, LENGTHS, WISHES)
    def test_takes_either_foot_in_either_skate(
        self, inside: Quantity, one: Quantity, two: Quantity, wish: Wish | None
    ) -> None:
        """... is judged alike with left and right changed about."""
        shell = Shell(length=inside)
        there, back = (shell_fit(shell, Feet(Foot(a), Foot(b)), wish) for a, b in ((one, two), (two, one)))

        assert (there.fit, there.probability, there.heel.state) == (back.fit, back.probability, back.heel.state)

    @given(LENGTHS, LENGTHS, st.integers(0, 40_000), WISHES)
    def test_is_never_too_short_for_being_longer(
        self, inside: Quantity, foot: Quantity, longer_um: int, wish: Wish | None
    ) -> None:
        """... goes from too small over right to too large as it gets longer, and never back."""
        order = [RoomState.TOO_SMALL, RoomState.RIGHT, RoomState.TOO_LARGE]
        feet = Feet(Foot(foot), Foot(foot))
        longer = Quantity(inside.value + longer_um, inside.standard_uncertainty, inside.instrument)
        before, after = (shell_fit(Shell(length=each), feet, wish).heel for each in (inside, longer))

        assert order.index(before.state) <= order.index(after.state)
        assert 0 <= (before.probability or 0) <= 1


class TestRanking:
    """Of several shells ..."""

    def test_the_best_comes_first_in_whatever_order(self) -> None:
        """... the best comes first, whatever order they were offered in."""
        shells = [of_length(285, sku="b"), of_length(281, sku="a"), of_length(310, sku="c"), Shell(sku="d"), RIGHT]
        ranked = [[each.shell.sku for each in shells_ranked(tuple(given), FEET)] for given in permutations(shells)]

        assert ["right", "b", "a", "d", "c"] == ranked[0]
        assert all(each == ranked[0] for each in ranked)

    def test_equal_ones_keep_their_places(self) -> None:
        """... that are equal in everything the one named first stands first."""
        assert [0, 1] == [each.place for each in shells_ranked((of_length(285), of_length(285)), FEET)]


class TestFit:
    """A fit ..."""

    @pytest.mark.parametrize(
        ("probability", "fit"),
        [
            (1, Fit.FITS),
            (0.95, Fit.FITS),
            (0.94, Fit.LIKELY_FITS),
            (0.8, Fit.LIKELY_FITS),
            (0.79, Fit.CANNOT_TELL),
            (0.21, Fit.CANNOT_TELL),
            (0.19, Fit.LIKELY_DOES_NOT_FIT),
            (0.06, Fit.LIKELY_DOES_NOT_FIT),
            (0.05, Fit.DOES_NOT_FIT),
            (0, Fit.DOES_NOT_FIT),
        ],
    )
    def test_follows_the_thresholds(self, probability: float, fit: Fit) -> None:
        """... follows the thresholds of what is sent and what is tried at the counter."""
        assert fit is fit_of(probability)


class TestEstimates:
    """An estimate ..."""

    def test_of_a_triangle_has_its_mean_and_deviation(self) -> None:
        """... with its range is a triangle: the mean of three, and a 24th of the square of its width if even."""
        mean, deviation = mean_and_spread(Band(-3, 0, 3))

        assert pytest.approx((0, 3 / 6**0.5)) == (mean, deviation)
        assert (4.0, 0.0) == mean_and_spread(exactly(4.0))

    def test_that_is_exact_is_compared_exactly(self) -> None:
        """... that is exact, against a value that is, leaves no doubt; on it nothing is above."""
        assert [0.0, 0.0, 1.0] == [probability_above(Estimate(value, 0), exactly(4.0)) for value in (3, 4, 5)]

    def test_of_the_heel_gap_is_as_complaints_have_it(self) -> None:
        """... of the heel gap has less than a finger for too short, and two fingers as its utmost end."""
        windows = room_windows(None)[Measure.LENGTH]

        assert (10, 20) == (windows.least.likely, windows.most.likely)
        assert windows.least.high < size_estimate("heel_gap_divide_mm").low
        assert 30 == windows.most.high
