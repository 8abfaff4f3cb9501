"""From both feet to sizes, a shell, its padding, its liner and its insole."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.bench.feet import Feet, Foot, Measure, Side
from mountwright.bench.lining import Insole, Liner
from mountwright.bench.shell_fit import Fit, Shell
from mountwright.bench.shoe_sizes import Wish, scales
from mountwright.bench.size_conversion import Outcome, SizeAnswer, SizeQuestion, size_conversion
from mountwright.errors import InvalidQuantityError
from mountwright.measure.quantity import Quantity
from mountwright.riding.band import Band


def reading(mm: float, doubt_um: float = 300) -> Quantity:
    """Give a reading."""
    return Quantity(round(mm * 1000), doubt_um, "steel_rule")


def feet(left_mm: float, right_mm: float, doubt_um: float = 300) -> SizeQuestion:
    """Give a question about two lengths."""
    return SizeQuestion(Feet(Foot(reading(left_mm, doubt_um)), Foot(reading(right_mm, doubt_um))))


LONG = feet(270, 264)

WHOLE = SizeQuestion(
    Feet(Foot(reading(270), reading(100), reading(65)), Foot(reading(266), reading(99), reading(66))),
    shells=(Shell("short", length=reading(270)), Shell("right", "", reading(285), reading(109), reading(82), 7000)),
    liners=(Liner("thick", thickness=reading(20)), Liner("right", thickness=reading(7), insole_room_um=5000)),
    insoles=(Insole("thick", thickness_um=9000), Insole("right", thickness_um=4000)),
)


def codes(found: SizeAnswer) -> list[str]:
    """Give the codes of what is said."""
    return [note.code for note in found.notes]


class TestSizes:
    """The answer about sizes ..."""

    def test_goes_by_the_longer_foot(self) -> None:
        """... goes by the longer foot: EU 42.5 to 43.5 for 270 and 264 mm, on either side."""
        there, back = size_conversion(LONG), size_conversion(feet(264, 270))

        assert ((42.5, 43.0, 43.5), Side.LEFT) == (there.sizes["eu_size"].marked, there.deciding[Measure.LENGTH].side)
        assert (there.sizes, there.mondopoint) == (back.sizes, back.mondopoint)
        assert ("sizes.converted", "sizes.left_decides") == tuple(codes(there)[:2])
        assert "sizes.right_decides" in codes(back)
        assert list(scales()) == list(there.sizes)

    def test_is_never_said_to_be_certain(self) -> None:
        """... never says that one foot is the longer for certain."""
        decides = next(note for note in size_conversion(LONG).notes if note.code == "sizes.left_decides")

        assert {"percent": 99, "difference_mm": 6.0} == dict(decides.params)

    def test_says_that_half_a_size_is_in_doubt(self) -> None:
        """... says that half a size is in doubt, what is from memory, and whose feet the shares are of."""
        assert {"sizes.half_a_size", "sizes.zeros_from_memory", "sizes.survey_of_an_army"} <= set(
            codes(size_conversion(LONG))
        )

    @pytest.mark.parametrize(("length_mm", "outcome"), [(180, Outcome.TOO_SHORT), (345, Outcome.TOO_LONG)])
    def test_of_feet_off_the_scale_is_the_foot_alone(self, length_mm: float, outcome: Outcome) -> None:
        """... of a child's foot, or of one beyond all scales, has Mondopoint and no other size, and says why."""
        found = size_conversion(feet(length_mm, length_mm))

        assert (outcome, {}, length_mm) == (found.outcome, dict(found.sizes), found.mondopoint.try_first)
        assert f"sizes.{outcome}" == codes(found)[0]
        assert "sizes.half_a_size" not in codes(found)

    @pytest.mark.parametrize("length_mm", [215, 330])
    def test_on_the_ends_of_the_scale_is_told(self, length_mm: float) -> None:
        """... on the ends of the scale is told."""
        assert Outcome.CONVERTED is size_conversion(feet(length_mm, length_mm)).outcome

    def test_says_what_a_shell_should_have(self) -> None:
        """... says how long a shell should be inside: 10 to 20 mm more, by the wish less or more of it."""
        found = {wish: size_conversion(replace(LONG, wish=wish)).wanted[Measure.LENGTH] for wish in (None, *Wish)}

        assert {
            None: Band(280, 285, 290),
            Wish.PERFORMANCE: Band(280, 282.5, 285),
            Wish.COMFORT: Band(285, 287.5, 290),
        } == found

    def test_wants_the_breadth(self) -> None:
        """... without the breadth says that it cannot be guessed, and with it does not."""
        assert "sizes.breadth_not_told" in codes(size_conversion(LONG))
        assert "sizes.breadth_not_told" not in codes(size_conversion(WHOLE))

    def test_has_the_shares_of_the_groups_asked_for(self) -> None:
        """... has the shares of every group, or of the one that is asked for."""
        groups = [
            [each.group.name for each in size_conversion(replace(LONG, group=name)).shares] for name in (None, "female")
        ]

        assert [["male", "female"], ["female"]] == groups

    @given(st.integers(80, 400), st.integers(80, 400), st.floats(0, 3000), st.integers(0, 50))
    def test_never_gets_smaller_as_a_foot_grows(self, left: int, right: int, doubt_um: float, longer: int) -> None:
        """... never gets smaller as a foot grows, as long as both are on the scale."""
        before, after = (size_conversion(feet(each, right, doubt_um)) for each in (left, min(400, left + longer)))

        assert before.mondopoint.try_first <= after.mondopoint.try_first
        for name in before.sizes.keys() & after.sizes.keys():
            assert before.sizes[name].try_first <= after.sizes[name].try_first
            assert before.sizes[name].size.low <= after.sizes[name].size.low

    @given(st.integers(80, 400), st.integers(80, 400), st.floats(0, 3000))
    def test_changes_nothing_but_names_with_the_feet_about(self, left: int, right: int, doubt_um: float) -> None:
        """... changes nothing but names with left and right changed about."""
        there, back = size_conversion(feet(left, right, doubt_um)), size_conversion(feet(right, left, doubt_um))

        assert (there.outcome, there.mondopoint, there.sizes, there.wanted, there.shares) == (
            back.outcome,
            back.mondopoint,
            back.sizes,
            back.wanted,
            back.shares,
        )

    def test_is_the_same_each_time(self) -> None:
        """... is the same for the same question."""
        assert size_conversion(WHOLE) == size_conversion(replace(WHOLE))


class TestChoice:
    """What is chosen ..."""

    def test_is_the_best_of_each(self) -> None:
        """... is the best shell, the best liner in it, and the thickest insole that goes into that liner."""
        found = size_conversion(WHOLE)

        assert ("right", "right", "right") == (
            found.shells[0].shell.sku,
            found.liners[0].liner.sku,
            found.insoles[0].insole.sku,
        )
        assert 5000 == found.room.room_um
        assert None is found.next_step

    def test_is_done_in_the_order_of_the_bench(self) -> None:
        """... is shell, liner, the old insole out, the insole, and padding last where it is wanted."""
        steps = [note.code for note in size_conversion(replace(WHOLE, feet=LONG.feet)).steps]

        assert [f"sizes.step_{step}" for step in ("shell", "liner", "old_insole_out", "insole", "padding")] == steps
        assert [] == list(size_conversion(feet(270, 270)).steps)

    def test_is_nothing_where_no_shell_fits(self) -> None:
        """... says so where no shell fits, and asks for nothing more."""
        found = size_conversion(replace(LONG, shells=(Shell(length=reading(265)), Shell(length=reading(320)))))

        assert Fit.DOES_NOT_FIT is found.shells[0].fit
        assert "sizes.no_shell_fits" in codes(found)
        assert None is found.next_step

    @pytest.mark.parametrize(
        ("more", "step"),
        [
            ({"shells": (Shell(),)}, "step.measure_shell"),
            ({"shells": (Shell(length=reading(281)),)}, "step.try_shell"),
            ({"shells": (Shell(heel_gap=reading(11)),)}, "step.try_size"),
            ({"shells": (Shell(length=reading(285)),)}, "step.measure_breadth_and_instep"),
            ({"shells": (Shell(length=reading(285), is_soft=True),)}, "step.try_size"),
            ({"shells": (), "liners": (Liner(thickness=reading(6)),)}, "step.measure_shell"),
            ({"liners": (Liner(),)}, "step.measure_liner"),
            ({"liners": (), "insoles": (Insole(),)}, "step.measure_old_insole"),
        ],
    )
    def test_says_what_would_tell_more(self, more: dict[str, Any], step: str) -> None:
        """... says what to measure or try next, the shell before the liner before the insole."""
        found = size_conversion(replace(WHOLE, **more)).next_step

        assert found
        assert step == found.code

    def test_asks_for_better_feet_where_they_are_in_doubt(self) -> None:
        """... without anything offered asks for the feet again where they are in doubt by half a size."""
        sure, unsure = (size_conversion(feet(270, 264, doubt)).next_step for doubt in (500, 1500))

        assert None is sure
        assert unsure
        assert "step.measure_feet_again" == unsure.code

    def test_says_that_a_liner_wants_a_shell(self) -> None:
        """... says that which liner fits depends on the shell, and that a soft boot has none."""
        assert "sizes.liner_wants_shell" in codes(size_conversion(replace(LONG, liners=(Liner(),))))
        assert "sizes.soft_boot" in codes(size_conversion(replace(LONG, shells=(Shell(is_soft=True),))))


class TestQuestion:
    """A question ..."""

    @pytest.mark.parametrize("more", [{"group": "giants"}, {"old_insole_um": 0}])
    def test_that_cannot_be_is_refused(self, more: dict[str, Any]) -> None:
        """... for a group that the survey does not have, or with an old insole of nothing, is refused."""
        with pytest.raises(InvalidQuantityError):
            replace(LONG, **more)
