"""The toolkit of declared rules: what each measures, what it misses, and where it keeps silent."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.measure.quantity import Estimate, Limits
from mountwright.mounts.joint import Joint
from mountwright.mounts.rules import Alike, PlaneMatch, Stack, Term, chained

Joining = Callable[..., Joint]

WITHIN = Limits(0, 500)
FIGURES = st.builds(Estimate, st.integers(-50_000, 50_000), st.floats(0, 1000))


def stack(*terms: Term, if_recorded: bool = False) -> Stack:
    """Give a chain that must end between 0 and 0.5 mm."""
    return Stack("room", terms, WITHIN, "geometry", Limits(0, 1500), if_recorded)


#: The bell's width less the bar's.
DIFFERENCE = (Term("bell", "width_mm", 1), Term("bar", "width_mm", -1))


class TestChained:
    """A chain ..."""

    def test_adds_values_plainly_and_doubts_by_squares(self) -> None:
        """... adds values with their signs, and doubts by the root of their squares (JCGM 100:2008, 5.1.2)."""
        found = chained([(DIFFERENCE[0], Estimate(22_500, 300)), (DIFFERENCE[1], Estimate(22_200, 400))])

        assert Estimate(300, 500) == found

    def test_multiplies_a_link_with_its_doubt(self) -> None:
        """... takes half of a diameter with half of its doubt."""
        assert Estimate(4000, 50) == chained([(Term("bar", "width_mm", 0.5), Estimate(8000, 100))])

    @given(FIGURES, st.floats(-3, 3), st.integers(1, 12))
    def test_of_like_pieces_is_the_chain_of_each_alone(self, figure: Estimate, times: float, pieces: int) -> None:
        """... of several like pieces is the chain of as many links: each varies on its own."""
        together = chained([(Term("bar", "width_mm", times, pieces), figure)])
        each = chained([(Term("bar", "width_mm", times), figure)] * pieces)

        assert pytest.approx(each.value, abs=1e-6) == together.value
        assert pytest.approx(each.standard_uncertainty, abs=1e-6) == together.standard_uncertainty

    @given(st.lists(st.tuples(st.integers(-3, 3), st.integers(-50_000, 50_000)), min_size=1, max_size=6))
    def test_of_exact_lengths_is_exact(self, links: list[tuple[int, int]]) -> None:
        """... of exact lengths is their exact sum without doubt."""
        found = chained((Term("bar", "width_mm", times), Estimate(value, 0)) for times, value in links)

        assert Estimate(sum(times * value for times, value in links), 0) == found


class TestStack:
    """A stack ..."""

    def test_yields_one_check_with_its_limits(self, joint: Joining) -> None:
        """... gives its chain and its limits as declared, judged by nobody yet."""
        (check,) = stack(*DIFFERENCE)(joint({"width_mm": Estimate(22_200, 0)}, {"width_mm": Estimate(22_500, 90)}))

        assert ("room", Estimate(300, 90), WITHIN, "mm") == check[:4]
        assert ("geometry", Limits(0, 1500), ()) == (check.source, check.loosest, check.missing)

    def test_takes_its_unit_from_what_it_measures(self, joint: Joining) -> None:
        """... of angles is in degrees."""
        (check,) = stack(Term("bell", "tilt_deg", 1))(joint({}, {"tilt_deg": Estimate(2000, 0)}))

        assert check.unit == "deg"

    def test_tells_each_figure_that_it_rests_on(self, joint: Joining) -> None:
        """... names each figure that it rests on, in the order of its links."""
        rule = stack(Term("bell", "width_mm", -2, 4), Term("bar", "width_mm", 1))
        (check,) = rule(joint({"width_mm": Estimate(0, 30)}, {"width_mm": Estimate(0, 10)}))

        assert ("bell.width_mm", "bar.width_mm") == check.rests_on

    def test_of_like_pieces_doubts_each_of_them(self, joint: Joining) -> None:
        """... takes the doubt of four like pieces twice, not four times: they vary on their own."""
        rule = stack(Term("bell", "width_mm", -2, 4), Term("bar", "width_mm", 1))
        (check,) = rule(joint({"width_mm": Estimate(1000, 30)}, {"width_mm": Estimate(100, 10)}))

        assert Estimate(200, 50) == check.value

    def test_names_every_figure_that_it_misses(self, joint: Joining) -> None:
        """... has no value while a figure is missing, and names all that are."""
        (check,) = stack(*DIFFERENCE, Term("bell", "tilt_deg", 1))(joint({"width_mm": Estimate(22_200, 0)}))

        assert (None, ("bell.width_mm", "bell.tilt_deg")) == (check.value, check.missing)

    def test_keeps_silent_in_a_joint_of_other_sides(self, joint: Joining) -> None:
        """... says nothing of a joint that lacks one of its sides."""
        assert [] == list(stack(*DIFFERENCE, Term("stem", "width_mm", 1))(joint()))

    def test_that_is_left_out_unless_recorded_keeps_silent(self, joint: Joining) -> None:
        """... that counts only if recorded says nothing while nobody recorded a figure."""
        assert [] == list(stack(*DIFFERENCE, if_recorded=True)(joint()))

    def test_that_is_left_out_unless_recorded_is_open_once_half_is(self, joint: Joining) -> None:
        """... that counts only if recorded is open as soon as one of its figures is there."""
        (check,) = stack(*DIFFERENCE, if_recorded=True)(joint({"width_mm": Estimate(22_200, 0)}))

        assert ("bell.width_mm",) == check.missing

    def test_does_not_count_what_only_a_standard_says_as_recorded(self, joint: Joining) -> None:
        """... that counts only if recorded is not opened by a figure that only the standard gives."""
        known = joint({"width_mm": Estimate(22_200, 0)})
        by_standard = known._replace(skate=known.skate._replace(recorded=frozenset()))

        assert [] == list(stack(*DIFFERENCE, if_recorded=True)(by_standard))


class TestPlaneMatch:
    """Two planes ..."""

    RULE = PlaneMatch("level", "step_mm", 1500, "estimate")

    @pytest.mark.parametrize(
        ("skate", "part", "step", "shim_end"),
        [(10_000, 8000, 2000, "rear"), (0, 2000, -2000, "front")],
        ids=["skate higher", "part higher"],
    )
    def test_that_differ_say_which_end_wants_a_shim(
        self, joint: Joining, skate: int, part: int, step: int, shim_end: str
    ) -> None:
        """... give the skate's step less the part's, and the end that a shim would go under."""
        (check,) = self.RULE(joint({"step_mm": Estimate(skate, 30)}, {"step_mm": Estimate(part, 40)}))

        assert Estimate(step, 50) == check.value
        assert shim_end == check.params["shim_end"]

    def test_that_agree_want_no_shim(self, joint: Joining) -> None:
        """... that agree exactly name no end."""
        (check,) = self.RULE(joint({"step_mm": Estimate(10_000, 0)}, {"step_mm": Estimate(10_000, 0)}))

        assert (Estimate(0, 0), {}) == (check.value, check.params)

    def test_may_differ_to_either_side(self, joint: Joining) -> None:
        """... have limits to either side, in the unit that the step's name ends in."""
        (check,) = self.RULE(joint({"step_mm": Estimate(10_000, 30)}, {"step_mm": Estimate(10_000, 40)}))

        assert (Limits(-1500, 1500), "mm") == (check.limits, check.unit)
        assert ("bar.step_mm", "bell.step_mm") == check.rests_on

    def test_are_open_while_a_step_is_missing(self, joint: Joining) -> None:
        """... have no value, no shim and a name for what is missing while one step is not known."""
        (check,) = self.RULE(joint({"step_mm": Estimate(10_000, 0)}))

        assert (None, ("bell.step_mm",), {}) == (check.value, check.missing, check.params)


class TestAlike:
    """A feature ..."""

    @pytest.mark.parametrize(("bell", "differences"), [("left", 0), ("right", 1)])
    def test_must_be_the_same_on_both_sides(self, joint: Joining, bell: str, differences: int) -> None:
        """... counts as no difference or one, exactly, and none is allowed."""
        (check,) = Alike("same_hand", "hand", "geometry")(joint(features=({"hand": "left"}, {"hand": bell})))

        assert (Estimate(differences, 0), Limits(0, 0), "") == (check.value, check.limits, check.unit)
        assert {"skate_has": "left", "part_has": bell} == check.params

    def test_is_open_while_one_side_was_not_seen(self, joint: Joining) -> None:
        """... is open while one side was not looked at, and that side is named."""
        (check,) = Alike("same_hand", "hand", "geometry")(joint(features=({"hand": "left"}, {})))

        assert (None, ("bell.hand",), {}) == (check.value, check.missing, check.params)

    def test_that_counts_only_if_recorded_is_left_out(self, joint: Joining) -> None:
        """... that counts only if recorded is left out while one side was not looked at."""
        rule = Alike("same_hand", "hand", "geometry", if_recorded=True)

        assert [] == list(rule(joint(features=({"hand": "left"}, {}))))

    def test_that_counts_only_if_recorded_is_asked_once_both_are_seen(self, joint: Joining) -> None:
        """... that counts only if recorded is asked for once both sides were looked at."""
        rule = Alike("same_hand", "hand", "geometry", if_recorded=True)
        (check,) = rule(joint(features=({"hand": "left"}, {"hand": "right"})))

        assert Estimate(1, 0) == check.value
