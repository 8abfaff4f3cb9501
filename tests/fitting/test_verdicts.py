"""Verdicts, their order, and the laws that hold for every joint."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mountwright.fitting.answers import FitAnswer, Outcome, StepKind
from mountwright.fitting.estimates import Stake, estimates
from mountwright.fitting.fit_check import FitRequest, fit_checked
from mountwright.fitting.verdict import Verdict, worst
from mountwright.measure.quantity import Adjustable, Quantity, thousandths
from mountwright.measure.uncertainty import rectangular
from mountwright.mounts.discovery import discovered
from mountwright.mounts.holes import Hole
from mountwright.mounts.mount import Claimant, Mount, Part, Pattern
from mountwright.mounts.registry import Registry

Judge = Callable[..., FitAnswer]


def reading(value_mm: float, half_width_mm: float = 0.2) -> Quantity:
    """Give a reading with a rectangular half-width."""
    return Quantity(thousandths(value_mm), rectangular(thousandths(half_width_mm)), "caliper")


def claimed(standard: str, by: Claimant = Claimant.MAKER, **more: object) -> Pattern:
    """Give a pattern that somebody claims to follow a standard."""
    return replace(Pattern(standard=standard, claimed_by=by), **more)  # type: ignore[arg-type]  # fields of Pattern


@pytest.fixture(scope="module")
def registry() -> Registry:
    """Give the standards in the box."""
    return discovered()


@pytest.fixture(scope="module")
def judge(registry: Registry) -> Judge:
    """Give a way to judge one frame on one boot."""

    def ask(boot: Pattern, frame: Pattern, stake: Stake = Stake.SHIPPING) -> FitAnswer:
        skate = Part("", (Mount("frame", "boot", (boot,)),))
        part = Part("frame", (Mount("frame", "frame", (frame,)),))
        return fit_checked(FitRequest(skate, (part,), stake), registry, estimates())

    return ask


def test_the_worst_verdict_decides() -> None:
    """Several parts are answered by the worst of them, and nothing at all by doubt."""
    assert Verdict.DOES_NOT_FIT is worst([Verdict.FITS, Verdict.DOES_NOT_FIT, Verdict.CANNOT_TELL])
    assert Verdict.CANNOT_TELL is worst([])


def test_unmeasured_figures_do_not_reopen_an_interchange_standard(judge: Judge) -> None:
    """150 mm has no known heel step, and still answers by its name where maker or bench claim it."""
    answer = judge(claimed("two-bolt-150"), claimed("two-bolt-150"))
    open_checks = [check for check in answer.parts[0].joints[0].checks if check.outcome is Outcome.NOT_MEASURED]

    assert Verdict.FITS is answer.verdict
    assert ["heel_plane"] == [check.code for check in open_checks]


def test_unmeasured_figures_do_hold_up_a_customers_claim(judge: Judge) -> None:
    """The same by a customer is not sure enough to send a parcel."""
    answer = judge(claimed("two-bolt-150", Claimant.CUSTOMER), claimed("two-bolt-150"))

    assert Verdict.CANNOT_TELL is answer.verdict


def test_damage_holds_up_every_claim(judge: Judge) -> None:
    """An elongated hole lowers the verdict whatever the name, and a workshop has to look."""
    answer = judge(claimed("two-bolt-165", damage=("elongated hole",)), claimed("two-bolt-165"))
    step = answer.parts[0].next_step

    assert Verdict.CANNOT_TELL is answer.verdict
    assert step is not None
    assert "damage" == step.what


def test_a_plate_is_set_to_meet_the_boot(judge: Judge) -> None:
    """A plate from 160 to 200 mm in steps of 5 is set to 195 on a 195 boot, and the setting is named."""
    plate = Adjustable(160_000, 200_000, 5_000, "teeth")
    frame = Pattern(figures={"hole_spacing_mm": plate, "heel_step_mm": reading(10)}, seen={})
    answer = judge(claimed("two-bolt-195"), frame)

    assert Verdict.FITS is answer.verdict
    assert ((), (("hole_spacing_mm", 195_000, "teeth"),)) == answer.parts[0].joints[0].settings


def test_a_plate_whose_steps_miss_the_boot_does_not_fit(judge: Judge) -> None:
    """In steps of 20 from 160 the nearest to 195 is 200, and round holes do not take 5 mm."""
    plate = Adjustable(160_000, 200_000, 20_000, "friction")
    holes = (Hole("front", None, 0, 6_600), Hole("rear", None, 0, 6_600))
    frame = Pattern(figures={"hole_spacing_mm": plate, "heel_step_mm": reading(10)}, holes=holes)

    assert Verdict.DOES_NOT_FIT is judge(claimed("two-bolt-195"), frame).verdict


def test_a_bolt_that_is_too_short_strips_and_is_refused(judge: Judge) -> None:
    """12 mm under the head through 8 mm of frame leave 4 mm of thread where 6 are wanted."""
    figures = {"bolt_length_mm": reading(12), "clamped_thickness_mm": reading(8)}
    answer = judge(claimed("two-bolt-165"), claimed("two-bolt-165", figures=figures))
    failed = [check.code for check in answer.parts[0].joints[0].checks if check.outcome is Outcome.FAIL]

    assert Verdict.DOES_NOT_FIT is answer.verdict
    assert ["thread_engaged"] == failed


def test_a_bolt_that_is_too_long_bottoms_and_is_refused(judge: Judge) -> None:
    """20 mm through 6 mm into a thread of 10 mm would bottom before it clamps."""
    figures = {"bolt_length_mm": reading(20), "clamped_thickness_mm": reading(6)}
    boot = claimed("two-bolt-165", figures={"thread_depth_mm": reading(10)})
    answer = judge(boot, claimed("two-bolt-165", figures=figures))
    failed = [check.code for check in answer.parts[0].joints[0].checks if check.outcome is Outcome.FAIL]

    assert ["bolt_bottoms"] == failed


def test_at_the_counter_a_likely_part_is_tried_by_hand(judge: Judge) -> None:
    """With the part at hand a trial fit tells more than any instrument; a parcel cannot be tried."""
    boot = claimed("two-bolt-165", figures={"hole_spacing_mm": reading(165.8, 0.4), "heel_step_mm": reading(10)})
    holes = (Hole("front", None, 0, 6_600), Hole("rear", None, 0, 6_600))
    frame = Pattern(figures={"hole_spacing_mm": reading(164.85), "heel_step_mm": reading(10)}, holes=holes)
    counter, shipping = (judge(boot, frame, stake).parts[0].next_step for stake in (Stake.COUNTER, Stake.SHIPPING))

    assert counter is not None
    assert shipping is not None
    assert (StepKind.TRIAL_FIT, StepKind.TRIAL_FIT) != (counter.kind, shipping.kind)
    assert StepKind.TRIAL_FIT is counter.kind


def test_work_that_cannot_be_undone_wants_more_than_a_parcel(judge: Judge) -> None:
    """0.975 sends a frame; it cuts nothing."""
    boot = claimed("two-bolt-165", figures={"hole_spacing_mm": reading(164.6, 0.75)})
    frame = claimed("two-bolt-165")

    assert Verdict.FITS is judge(boot, frame).verdict
    assert Verdict.CANNOT_TELL is judge(boot, frame, Stake.IRREVERSIBLE).verdict


_SPACINGS = st.integers(1640, 1680).map(lambda tenths: tenths / 10)


@given(boot=_SPACINGS, frame=_SPACINGS, slot_mm=st.floats(6.6, 14), more_mm=st.floats(0, 5))
@settings(deadline=None, max_examples=60)
def test_a_longer_slot_never_makes_a_fit_less_likely(
    judge: Judge, boot: float, frame: float, slot_mm: float, more_mm: float
) -> None:
    """Play can only help."""

    def probability(length_mm: float) -> float:
        holes = (Hole("front", None, 0, 6_600, thousandths(length_mm)), Hole("rear", None, 0, 6_600))
        part = Pattern(figures={"hole_spacing_mm": reading(frame), "heel_step_mm": reading(10)}, holes=holes)
        skate = Pattern(figures={"hole_spacing_mm": reading(boot), "heel_step_mm": reading(10)})
        return judge(skate, part).parts[0].probability

    assert probability(slot_mm) <= probability(slot_mm + more_mm) + 1e-9


@given(boot=_SPACINGS, half_width=st.floats(0.05, 2), by=st.sampled_from(list(Claimant)))
@settings(deadline=None, max_examples=60)
def test_the_bounds_never_cross(judge: Judge, boot: float, half_width: float, by: Claimant) -> None:
    """The least probability is never above the greatest, and both are probabilities."""
    skate = claimed("two-bolt-165", by, figures={"hole_spacing_mm": reading(boot, half_width)})
    part = judge(skate, claimed("two-bolt-165")).parts[0]

    assert 0 <= part.probability <= part.probability_at_most + 1e-9 <= 1 + 2e-9


@given(boot=_SPACINGS, half_width=st.floats(0.05, 2), by=st.sampled_from(list(Claimant)))
@settings(deadline=None, max_examples=60)
def test_doubt_always_comes_with_a_next_step(judge: Judge, boot: float, half_width: float, by: Claimant) -> None:
    """Who is told "cannot tell" is told what to do about it."""
    skate = claimed("two-bolt-165", by, figures={"hole_spacing_mm": reading(boot, half_width)})
    answer = judge(skate, claimed("two-bolt-165"))

    assert (answer.verdict is Verdict.CANNOT_TELL) == (answer.parts[0].next_step is not None)


def test_a_part_without_its_counterpart_is_never_found_to_fit(registry: Registry) -> None:
    """A bearing asked about on a skate of which only the frame is known."""
    skate = Part("", (Mount("frame", "boot", (claimed("two-bolt-165"),)),))
    bearing = Part("bearing", (Mount("hub", "bearing", (claimed("hub-608"),)),))
    answer = fit_checked(FitRequest(skate, (bearing,)), registry, estimates())
    step = answer.parts[0].next_step

    assert Verdict.CANNOT_TELL is answer.verdict
    assert step is not None
    assert (StepKind.DESCRIBE, "hub") == (step.kind, step.what)


def test_a_refusal_always_names_a_check_that_failed(judge: Judge) -> None:
    """Also where a doubtful claim leaves no single check surely failed: what fails as the sides most likely are."""
    answer = judge(claimed("flat-167", Claimant.CUSTOMER), claimed("two-bolt-165"))
    failed = [check.code for check in answer.parts[0].joints[0].checks if check.outcome is Outcome.FAIL]

    assert Verdict.DOES_NOT_FIT is answer.verdict
    assert ["heel_plane"] == failed


def test_two_sure_failures_are_both_shown(judge: Judge) -> None:
    """The look at a pair may stop at the first sure failure, but not that at the likeliest pair."""
    holes = (Hole("front", None, 0, 6_600), Hole("rear", None, 0, 6_600))
    answer = judge(claimed("two-bolt-165"), claimed("flat-167", holes=holes))
    failed = [check.code for check in answer.parts[0].joints[0].checks if check.outcome is Outcome.FAIL]

    assert ["bolts_pass", "heel_plane"] == failed


def test_a_hole_to_the_side_is_held_against_holes_that_nobody_recorded(judge: Judge) -> None:
    """A boot's holes are taken to lie in line; a frame with one hole 12 mm to the side would have to turn too far."""
    holes = (Hole("front", None, 12_000, 6_600), Hole("rear", None, 0, 6_600))
    answer = judge(claimed("two-bolt-165"), claimed("two-bolt-165", holes=holes))

    assert Verdict.DOES_NOT_FIT is answer.verdict


def test_a_look_that_speaks_against_a_claim_is_taken_again(judge: Judge) -> None:
    """Rivets claimed and bolts seen: one of the two is wrong, and a second look is the least trouble."""
    answer = judge(claimed("riveted", seen={"fastening": "bolts"}), claimed("two-bolt-165"))
    step = answer.parts[0].next_step

    assert step is not None
    assert (StepKind.LOOK, "fastening") == (step.kind, step.what)


def test_nothing_fits_while_a_claim_is_contradicted(judge: Judge) -> None:
    """Said to be 165, measured as 195: a 195 frame may well go on, but somebody is wrong, and that comes first."""
    measured = {"hole_spacing_mm": reading(195.1), "heel_step_mm": reading(10)}
    boot, unclaimed = claimed("two-bolt-165", figures=measured), Pattern(figures=measured)
    frame = claimed("two-bolt-195")

    assert Verdict.CANNOT_TELL is judge(boot, frame).verdict
    assert judge(boot, frame).parts[0].probability > 0.95
    assert Verdict.FITS is judge(unclaimed, frame).verdict


def test_no_adapter_is_promised_while_a_claim_is_contradicted(judge: Judge) -> None:
    """Said to be 165, measured as 195: the plate for 195 may be the way, but not before it is known which is wrong."""
    measured = {"hole_spacing_mm": reading(195.1), "heel_step_mm": reading(10)}
    boot, unclaimed = claimed("two-bolt-165", figures=measured), claimed("two-bolt-195", figures=measured)
    frame = claimed("two-bolt-165")

    assert Verdict.CANNOT_TELL is judge(boot, frame).verdict
    assert Verdict.FITS_WITH_PARTS is judge(unclaimed, frame).verdict


def test_a_sellers_word_sends_a_plate_but_drills_nothing(judge: Judge) -> None:
    """Both are 0.975 sure: enough for an adapter that can be taken off, not for rivets that cannot be put back."""
    frame = claimed("two-bolt-165")

    assert Verdict.FITS_WITH_PARTS is judge(claimed("two-bolt-195", Claimant.SELLER), frame).verdict
    assert Verdict.CANNOT_TELL is judge(claimed("riveted", Claimant.SELLER), frame).verdict


def test_a_look_and_readings_together_can_rule_a_claim_out(judge: Judge) -> None:
    """Each is just possible by itself; 0.6 mm of spacing and 1.1 mm of heel step beside a raised heel are not."""
    measured = {"hole_spacing_mm": reading(165.6), "heel_step_mm": reading(8.9)}
    boot = claimed("two-bolt-165", Claimant.BENCH, figures=measured, seen={"heel": "raised"})
    (joint,) = judge(boot, claimed("two-bolt-165")).parts[0].joints

    assert ["two-bolt-165"] == [found.standard for found in joint.contradictions]
    assert "two-bolt-165" != joint.standards[0]
