"""Whether every bolt goes through: by spacing where holes lie in line, by geometry where they do not."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.measure.conformity import conformance_probability
from mountwright.measure.quantity import Estimate, Limits
from mountwright.mounts.bolt_rule import AssumedHoles, BoltsPass, placed_holes, spacing_of
from mountwright.mounts.check import Check
from mountwright.mounts.holes import Hole
from mountwright.mounts.joint import Joint, JointSide

Joining = Callable[..., Joint]
Pair = tuple[Hole, Hole]

M6 = 6000
TAPPED = AssumedHoles(0, 0)
ROUND_OR_SLOT = AssumedHoles(600, 2800)


#: A rule for holes that always have places.
BY_PLACES = BoltsPass("bolts_pass", "", M6, {}, "geometry")


def rule(**assumed: AssumedHoles) -> BoltsPass:
    """Give the rule for M6 bolts and sides that may be taken for something while nobody looked."""
    return BoltsPass("bolts_pass", "spacing_mm", M6, assumed, "geometry")


def pair(front: Hole, rear: Hole | None = None, spacing: int | None = None) -> Pair:
    """Give two holes, alike unless said, with places if their spacing is given, the front one ahead."""
    rear = rear or front
    places = (None, None) if spacing is None else (spacing, 0)
    return replace(front, name="front", along_um=places[0]), replace(rear, name="rear", along_um=places[1])


def across(holes: Pair, by_um: int) -> Pair:
    """Give two holes of which the front one stands to the side."""
    return replace(holes[0], across_um=by_um), holes[1]


THREAD = Hole("", None, 0, M6, tapped=True)
ROUND = Hole("", None, 0, 6600)
SLOT_ALONG = Hole("", None, 0, 6600, slot_length_um=8000)
SLOT_BACK = Hole("", None, 0, 6600, slot_length_um=8000, slot_direction_deg=-180)
SLOT_ACROSS = Hole("", None, 0, 6600, slot_length_um=8000, slot_direction_deg=90)
SLOT_OBLIQUE = Hole("", None, 0, 6600, slot_length_um=8000, slot_direction_deg=30)

SPACED = {"spacing_mm": Estimate(165_000, 0)}


def only(checks: object) -> Check:
    """Give the only check of a rule."""
    (check,) = checks  # type: ignore[misc]  # a rule gives an iterable
    assert isinstance(check, Check)
    return check


class TestRecordedHoles:
    """Two holes in line that somebody recorded ..."""

    @pytest.mark.parametrize(
        ("bar", "bell", "play"),
        [
            (pair(THREAD), pair(ROUND), 600),
            (pair(ROUND), pair(ROUND), 1200),
            (pair(THREAD), pair(THREAD), 0),
            (pair(Hole("", None, 0, 8000, tapped=True)), pair(ROUND), 600),
            (pair(THREAD), pair(SLOT_ALONG, ROUND), 1300),
            (pair(THREAD), pair(SLOT_BACK, ROUND), 1300),
            (pair(THREAD), pair(SLOT_ALONG), 2000),
            (pair(THREAD), pair(SLOT_ACROSS), 600),
            (pair(THREAD), pair(Hole("", None, 0, 6401), ROUND), 500),
        ],
        ids=[
            "threads and round holes",
            "round holes on both sides",
            "threads on both sides",
            "threads of another size, which hold without play",
            "one slot along",
            "one slot along, pointing back",
            "two slots along",
            "slots across",
            "an odd micrometre",
        ],
    )
    def test_take_the_sum_of_their_play_along_the_line(self, joint: Joining, bar: Pair, bell: Pair, play: int) -> None:
        """... take a mismatch up to the sum of half of hole minus bolt; a slot counts only where it lies along."""
        check = only(rule()(joint(SPACED, SPACED, holes=(bar, bell))))

        assert (Limits(-play, play), None, {}) == (check.limits, check.loosest, check.params)

    def test_need_no_look(self, joint: Joining) -> None:
        """... overrule what the side would be taken for, and leave nothing to look at."""
        assumed = rule(bar=TAPPED, bell=ROUND_OR_SLOT)
        check = only(assumed(joint(SPACED, SPACED, holes=((), pair(SLOT_ALONG)))))

        assert (Limits(-2000, 2000), None, {}) == (check.limits, check.loosest, check.params)

    def test_that_are_all_too_narrow_refuse_the_bolt(self, joint: Joining) -> None:
        """... and all too narrow for the bolt fail by a whole millimetre, whatever the spacing is."""
        check = only(rule()(joint(SPACED, SPACED, holes=(pair(THREAD), pair(Hole("", None, 0, 5000))))))

        assert (Estimate(1000, 0), Limits(None, 0)) == (check.value, check.limits)

    @pytest.mark.parametrize(
        "bell",
        [pair(Hole("", None, 0, 5500), Hole("", None, 0, 8000)), pair(Hole("", None, 0, 5500, slot_length_um=9000))],
        ids=["beside a wide hole", "in a long slot"],
    )
    def test_of_which_one_is_too_narrow_refuse_the_bolt(self, joint: Joining, bell: Pair) -> None:
        """... do not let a bolt through a narrow hole because there is room elsewhere."""
        check = only(rule()(joint(SPACED, SPACED, holes=(pair(THREAD), bell))))

        assert check.value is not None
        assert conformance_probability(check.value, check.limits) == 0


class TestAssumedHoles:
    """Holes that nobody looked at ..."""

    def test_are_taken_for_the_least_and_the_most_that_they_can_be(self, joint: Joining) -> None:
        """... have the play that one may count on, and at most that of the loosest."""
        check = only(rule(bar=TAPPED, bell=ROUND_OR_SLOT)(joint(SPACED, SPACED)))

        assert (Limits(-600, 600), Limits(-2800, 2800)) == (check.limits, check.loosest)
        assert check.params == {"holes_not_seen": "bell"}

    def test_that_can_be_only_one_thing_need_no_look(self, joint: Joining) -> None:
        """... and can be only one thing are settled without a look."""
        check = only(rule(bar=TAPPED, bell=AssumedHoles(600, 600))(joint(SPACED, SPACED)))

        assert (Limits(-600, 600), None) == (check.limits, check.loosest)

    def test_add_to_those_that_were_recorded(self, joint: Joining) -> None:
        """... count beside the recorded holes of the other side."""
        holes = (pair(ROUND), ())
        check = only(rule(bar=TAPPED, bell=ROUND_OR_SLOT)(joint(SPACED, SPACED, holes=holes)))

        assert (Limits(-1200, 1200), Limits(-3400, 3400)) == (check.limits, check.loosest)

    def test_of_a_side_that_may_be_anything_have_to_be_recorded(self, joint: Joining) -> None:
        """... of a side that is taken for nothing leave the check open, and the holes are named as missing."""
        check = only(rule(bar=TAPPED)(joint(SPACED, SPACED, holes=(pair(THREAD, spacing=165_000), ()))))

        assert (None, ("bell.holes",)) == (check.value, check.missing)


class TestSpacing:
    """The mismatch ..."""

    def test_is_the_difference_of_both_figures_with_both_doubts(self, joint: Joining) -> None:
        """... is the skate's figure less the part's; its sign means nothing and its doubt is of both."""
        figures = [{"spacing_mm": Estimate(165_000, 300)}, {"spacing_mm": Estimate(164_600, 400)}]
        check = only(rule(bar=TAPPED, bell=ROUND_OR_SLOT)(joint(*figures)))

        assert (Estimate(400, 500), "mm", True) == (check.value, check.unit, check.magnitude)
        assert ("bar.spacing_mm", "bell.spacing_mm") == check.rests_on

    def test_is_open_while_a_figure_is_missing(self, joint: Joining) -> None:
        """... is not known while a spacing is missing, and that one is named."""
        check = only(rule(bar=TAPPED, bell=ROUND_OR_SLOT)(joint(SPACED)))

        assert (None, ("bell.spacing_mm",)) == (check.value, check.missing)

    def test_comes_from_the_places_of_the_holes_if_they_have_any(self) -> None:
        """... rests on the holes' places rather than on a figure, and doubts each of the two."""
        holes = pair(replace(ROUND, standard_uncertainty_um=30), replace(ROUND, standard_uncertainty_um=40), 164_000)

        assert Estimate(164_000, 50) == spacing_of(JointSide("bar", SPACED, {}, holes), "spacing_mm")

    @pytest.mark.parametrize(
        "holes", [(), pair(ROUND), (replace(ROUND, along_um=0),)], ids=["none", "placeless", "one"]
    )
    def test_comes_from_the_figure_where_holes_give_no_spacing(self, holes: tuple[Hole, ...]) -> None:
        """... rests on the figure while there are not two holes with places."""
        assert SPACED["spacing_mm"] == spacing_of(JointSide("bar", SPACED, {}, holes), "spacing_mm")

    def test_does_not_rest_on_a_figure_where_holes_have_places(self, joint: Joining) -> None:
        """... from the places of holes names no figure to measure again: there may be none."""
        holes = (pair(THREAD, spacing=165_000), pair(ROUND))
        check = only(rule()(joint({}, SPACED, holes=holes)))

        assert Estimate(0, 0) == check.value
        assert ["bell.spacing_mm"] == [place for place in check.rests_on if place.endswith("_mm")]

    def test_is_not_known_from_nothing(self) -> None:
        """... is not known without holes and without a figure."""
        assert spacing_of(JointSide("bar", {}, {}), "spacing_mm") is None


class TestGeometry:
    """Holes that are not two in line ..."""

    @pytest.mark.parametrize(
        "bell",
        [
            pair(SLOT_OBLIQUE, spacing=165_000),
            across(pair(ROUND, spacing=165_000), 100),
            (*pair(ROUND, spacing=165_000), Hole("middle", 80_000, 0, 6600)),
        ],
        ids=["oblique slots", "offset across", "three holes"],
    )
    def test_are_judged_by_the_margin_that_a_shift_and_a_turn_leave(
        self, joint: Joining, bell: tuple[Hole, ...]
    ) -> None:
        """... are judged by their margin, which must not fall below 0."""
        bar = tuple(replace(hole, diameter_um=M6, slot_length_um=0, tapped=True) for hole in bell)
        check = only(rule()(joint(holes=(bar, bell))))

        assert (Limits(0, None), "mm") == (check.limits, check.unit)
        assert pytest.approx(Estimate(600, 0), abs=0.001) == check.value

    def test_fail_by_how_much_wider_they_would_have_to_be(self, joint: Joining) -> None:
        """... that miss by more than the play fail by that much."""
        bar = across(pair(THREAD, spacing=165_000), 1)
        bell = across(pair(ROUND, spacing=166_000), 1)
        check = only(rule()(joint(holes=(bar, bell))))

        assert check.value is not None
        assert pytest.approx(-400, abs=0.01) == check.value.value

    def test_are_judged_by_geometry_if_the_rule_knows_no_spacing(self, joint: Joining) -> None:
        """... are judged by geometry always where the rule names no spacing."""
        check = only(BY_PLACES(joint(holes=(pair(THREAD, spacing=165_000), pair(ROUND, spacing=165_400)))))

        assert (Estimate(200, 0), Limits(0, None)) == (check.value, check.limits)

    def test_with_other_names_do_not_fit(self, joint: Joining) -> None:
        """... with other bolts on the one side than on the other do not go together."""
        bar, bell = pair(SLOT_OBLIQUE, spacing=165_000), (Hole("middle", 0, 0, 6600),)
        check = only(rule()(joint(holes=(bar, bell))))

        assert (Estimate(1, 0), Limits(0, 0), "") == (check.value, check.limits, check.unit)
        assert ["front" in check.params["skate_has"], "middle" in check.params["part_has"]] == [True, True]

    def test_without_places_are_open(self, joint: Joining) -> None:
        """... without places, and without a spacing that would give them, have to be recorded, unless assumed."""
        check = only(rule(bar=TAPPED)(joint(SPACED, holes=((), pair(SLOT_OBLIQUE)))))

        assert (None, ("bell.holes",)) == (check.value, check.missing)

    @given(st.integers(-3000, 3000), st.integers(0, 1500))
    def test_agree_with_the_spacing_where_both_can_judge(self, joint: Joining, gap: int, play: int) -> None:
        """... have the same margin as the spacing gives for two drawn round holes in line."""
        bell = pair(Hole("", None, 0, M6 + 2 * play), spacing=165_000 + gap)
        brought = joint(holes=(pair(THREAD, spacing=165_000), bell))
        by_spacing = only(rule()(brought))

        assert by_spacing.value is not None
        assert Estimate(by_spacing.limits.margin(by_spacing.value.value) or 0, 0) == only(BY_PLACES(brought)).value

    def test_in_doubt_on_the_limit_are_no_better_than_a_toss_up(self, joint: Joining) -> None:
        """... that only just pass as measured pass with one half at most: doubt lowers the margin to expect."""
        bell = pair(replace(ROUND, standard_uncertainty_um=100), spacing=165_600)
        check = only(BY_PLACES(joint(holes=(pair(THREAD, spacing=165_000), bell))))

        assert check.value is not None
        assert 0 < check.value.standard_uncertainty
        assert 0.1 < conformance_probability(check.value, check.limits) <= 0.5

    def test_in_doubt_get_the_same_answer_twice(self, joint: Joining) -> None:
        """... in doubt have the same margin whenever they are asked about."""
        bell = pair(replace(ROUND, standard_uncertainty_um=100), spacing=165_600)
        brought = joint(holes=(pair(THREAD, spacing=165_000), bell))

        assert BY_PLACES(brought) == BY_PLACES(brought)


class TestBolt:
    """The bolt ..."""

    @pytest.mark.parametrize(
        ("bar", "bell", "play"),
        [
            ({}, {}, 1200),
            ({}, {"bolt_mm": 5000}, 3200),
            ({"bolt_mm": 5000}, {}, 3200),
            ({"bolt_mm": 5000}, {"bolt_mm": 6000}, 1200),
        ],
        ids=["not recorded", "the part's", "the skate's", "the part's before the skate's"],
    )
    def test_is_the_recorded_one(self, joint: Joining, bar: dict[str, int], bell: dict[str, int], play: int) -> None:
        """... is as thick as somebody recorded, and as the rule says while nobody did."""
        figures = [{**SPACED, **{name: Estimate(um, 0) for name, um in side.items()}} for side in (bar, bell)]
        check = only(replace(rule(), bolt="bolt_mm")(joint(*figures, holes=(pair(ROUND), pair(ROUND)))))

        assert Limits(-play, play) == check.limits


class TestPlacedHoles:
    """Holes ..."""

    def test_keep_their_places(self) -> None:
        """... that have places keep them, whatever the spacing figure says."""
        holes = pair(ROUND, spacing=164_000)

        assert holes == placed_holes(JointSide("bar", SPACED, {}, holes), "spacing_mm")

    def test_without_places_are_set_apart_by_the_spacing(self) -> None:
        """... that have none stand as far apart as the figure says, the front one ahead, and share its doubt."""
        side = JointSide("bar", {"spacing_mm": Estimate(165_000, 100)}, {}, pair(ROUND))
        front, rear = placed_holes(side, "spacing_mm")

        assert (165_000, 0) == (front.along_um, rear.along_um)
        assert pytest.approx(100) == (front.standard_uncertainty_um**2 + rear.standard_uncertainty_um**2) ** 0.5

    def test_need_no_place_where_there_is_only_one(self) -> None:
        """... need no place where there is only one: it lies where it lies."""
        (hole,) = placed_holes(JointSide("bar", {}, {}, (ROUND,)), "spacing_mm")

        assert hole.along_um == 0

    @pytest.mark.parametrize("figures", [{}, SPACED], ids=["no spacing", "three holes"])
    def test_are_not_placed_by_a_guess(self, figures: dict[str, Estimate]) -> None:
        """... are not placed without a spacing, nor where there are more than two."""
        holes = (*pair(ROUND), *((replace(ROUND, name="middle"),) if figures else ()))

        assert () == placed_holes(JointSide("bar", figures, {}, holes), "spacing_mm")

    def test_are_placed_like_those_of_the_other_side(self, joint: Joining) -> None:
        """... that have no places follow the order of the other side's, whatever they are called."""
        names = ("toe", "heel")
        bar = tuple(replace(hole, name=name) for hole, name in zip(pair(THREAD, spacing=165_000), names, strict=True))
        bell = tuple(replace(hole, name=name) for hole, name in zip(pair(SLOT_OBLIQUE), names, strict=True))
        check = only(rule()(joint({}, SPACED, holes=(bar, bell))))

        assert check.value is not None
        assert pytest.approx(600, abs=0.01) == check.value.value
