"""A piece in hand that is not as the catalogue has it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.fitting.answers import JointAnswer, PartAnswer
from mountwright.fitting.beliefs import CATALOGUE, Contradiction, Spread, beliefs_about
from mountwright.fitting.estimates import estimates
from mountwright.fitting.fit_check import FitRequest, fit_checked
from mountwright.fitting.identification import identified
from mountwright.fitting.verdict import Verdict
from mountwright.measure.quantity import Quantity
from mountwright.mounts.discovery import discovered
from mountwright.mounts.merging import measured_onto
from mountwright.mounts.mount import Claimant, Dispute, Mount, Part, Pattern
from mountwright.mounts.registry import Registry

SOLE = Pattern(standard="two-bolt-165", claimed_by=Claimant.MAKER)
DISPUTED = replace(SOLE, disputes=(Dispute("heel_step_mm", 10_000, 12_000),))
RIVETED = Pattern(standard="riveted", claimed_by=Claimant.MAKER)
LONG = Pattern(standard="two-bolt-195", claimed_by=Claimant.MAKER)


@pytest.fixture(scope="module")
def registry() -> Registry:
    """Give the standards in the box."""
    return discovered()


def judged(registry: Registry, boot: Pattern, frame: Pattern) -> PartAnswer:
    """Judge one frame on one boot; the two are never one and the same thing."""
    skate, part = Mount("frame", "boot", (boot,)), Mount("frame", "frame", (replace(frame),))
    return fit_checked(FitRequest(Part("", (skate,)), (Part("frame", (part,)),)), registry, estimates()).parts[0]


def joint(answer: PartAnswer) -> JointAnswer:
    """Give its only joint."""
    (found,) = answer.joints
    return found


@pytest.mark.parametrize(("boot", "frame"), [(DISPUTED, SOLE), (SOLE, DISPUTED)], ids=["the boot", "the frame"])
def test_nothing_fits_while_an_entry_is_disputed(registry: Registry, boot: Pattern, frame: Pattern) -> None:
    """Whichever side it is: catalogue or piece is wrong, and that is found out before a parcel is sent."""
    answer = judged(registry, boot, frame)

    assert Verdict.FITS is judged(registry, SOLE, SOLE).verdict
    assert Verdict.CANNOT_TELL is answer.verdict
    assert answer.probability > estimates().fits
    assert answer.next_step is not None


@pytest.mark.parametrize("boot", [LONG, RIVETED], ids=["an adapter", "bench work"])
def test_no_conversion_is_promised_while_an_entry_is_disputed(registry: Registry, boot: Pattern) -> None:
    """A plate is not sent, and no rivet is drilled out, for a skate that is not the one in the catalogue."""
    answer = judged(registry, replace(boot, disputes=DISPUTED.disputes), SOLE)

    assert judged(registry, boot, SOLE).verdict in (Verdict.FITS_WITH_PARTS, Verdict.FITS_AFTER_BENCH_WORK)
    assert Verdict.CANNOT_TELL is answer.verdict


def test_a_plain_no_stays_one(registry: Registry) -> None:
    """What does not go on as measured does not go on, whatever the catalogue said."""
    assert Verdict.DOES_NOT_FIT is judged(registry, DISPUTED, LONG).verdict


def test_a_dispute_is_told_with_both_figures(registry: Registry) -> None:
    """What was found and what the catalogue has stand in the answer, and who said it is the catalogue."""
    (found,) = joint(judged(registry, DISPUTED, SOLE)).contradictions

    assert Contradiction("boot", "two-bolt-165", CATALOGUE, "heel_step_mm", 10_000, 12_000) == found


def test_a_claim_that_is_contradicted_comes_before_a_dispute(registry: Registry) -> None:
    """Who measured 195 where 165 is claimed has that to settle first."""
    boot = replace(DISPUTED, figures={"hole_spacing_mm": Quantity(195_000, 115, "caliper")})
    (found,) = joint(judged(registry, boot, LONG)).contradictions

    assert ("maker", "hole_spacing_mm") == (found.claimed_by, found.what)


def test_a_dispute_without_a_claim_is_told_too(registry: Registry) -> None:
    """A mount of which only figures are known can be another than the catalogue's as well."""
    boot = Pattern(figures={"hole_spacing_mm": Quantity(165_000, 115, "caliper")}, disputes=DISPUTED.disputes)
    (answer,) = identified(Mount("frame", "boot", (boot,)), registry, estimates())

    assert answer.contradiction is not None
    assert ("", CATALOGUE) == (answer.contradiction.standard, answer.contradiction.claimed_by)


@pytest.mark.parametrize(
    ("entry_um", "verdict"), [(165_100, Verdict.FITS), (164_500, Verdict.CANNOT_TELL)], ids=["so", "otherwise"]
)
def test_a_skate_measured_otherwise_than_its_entry_is_held_back(
    registry: Registry, entry_um: int, verdict: Verdict
) -> None:
    """A reading of 165.0 mm goes with a 165 frame, unless the catalogue knows better than to expect it."""
    heel = Quantity(10_000, 29, "caliper")
    entry = Pattern(figures={"hole_spacing_mm": Quantity(entry_um, 29, "caliper"), "heel_step_mm": heel})
    reading = Pattern(figures={"hole_spacing_mm": Quantity(165_000, 115, "caliper")})
    (boot,) = measured_onto(Mount("frame", "boot", (entry,)), Mount("frame", "boot", (reading,)), registry).patterns

    assert verdict is judged(registry, boot, SOLE).verdict


@given(
    step_um=st.integers(-2000, 25_000),
    doubt_um=st.floats(0, 500),
    look=st.sampled_from(["raised", "level"]),
    claim=st.sampled_from([SOLE, Pattern()]),
)
def test_readings_that_contradict_each_other_leave_something_to_believe(
    registry: Registry, step_um: int, doubt_um: float, look: str, claim: Pattern
) -> None:
    """A heel that was seen raised and measured level is nothing that is known, and no failure."""
    figures = {"heel_step_mm": Quantity(step_um, doubt_um, "caliper")}
    boot = replace(claim, figures=figures, seen={"heel": look})
    found = beliefs_about(boot, "frame", "boot", registry, estimates(), Spread.CONFORMING)

    assert pytest.approx(1) == sum(belief.weight for belief in found.each)


def test_a_measurement_stands_beside_a_look_that_contradicts_it(registry: Registry) -> None:
    """Measured 20 mm and seen to be level: the two are not averaged to something that nobody found."""
    heel = Pattern(figures={"heel_step_mm": Quantity(20_000, 1000, "caliper")}, seen={"heel": "level"})
    found = beliefs_about(heel, "frame", "frame", registry, estimates(), Spread.CONFORMING)
    unexplained = next(belief for belief in found.each if belief.standard is None)

    assert (20_000, 1000) == unexplained.side.figures["heel_step_mm"]
    assert unexplained.weight > 0


def test_readings_that_contradict_each_other_speak_against_no_standard_that_has_no_such_figure(
    registry: Registry,
) -> None:
    """Nobody knows the heel step of 150 mm; who reads two of them is wrong about the heel and not about the spacing."""
    heel = {"heel_step_mm": Quantity(20_000, 1000, "caliper")}
    junior = Pattern(standard="two-bolt-150", claimed_by=Claimant.MAKER, figures=heel, seen={"heel": "level"})
    found = beliefs_about(junior, "frame", "frame", registry, estimates(), Spread.CONFORMING)

    assert "two-bolt-150" == found.leading.key


def test_who_claims_is_listed_the_most_trusted_first() -> None:
    """Of two claims of one standard that of the earlier stands, so the order has to be that of the estimates."""
    right = estimates().claim_is_right

    assert sorted(Claimant, key=lambda who: -right[who]) == list(Claimant)
