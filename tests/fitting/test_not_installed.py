"""A standard that is not installed answers "cannot tell", until its plugin is there."""

from __future__ import annotations

from dataclasses import replace

import pytest

from mountwright.fitting.answers import PartAnswer, StepKind
from mountwright.fitting.estimates import estimates
from mountwright.fitting.fit_check import FitRequest, fit_checked
from mountwright.fitting.identification import Finding, Identification, identified
from mountwright.fitting.verdict import Verdict
from mountwright.measure.quantity import Quantity
from mountwright.mounts.discovery import discovered
from mountwright.mounts.mount import Claimant, Mount, Part, Pattern
from mountwright.mounts.registry import Registry

FLANK = Pattern("flank", "side-bolts-measured", Claimant.MAKER)
SOLE = Pattern("sole", "two-bolt-165", Claimant.MAKER)
LONG = Pattern("long", "two-bolt-195", Claimant.MAKER)


@pytest.fixture(scope="module")
def lacking() -> Registry:
    """Give the standards in the box without those at the side of the sole, and without buckles."""
    return discovered(blocked=("side_mount", "buckle_pitch"))


def frame_on(boot: Mount, frame: Mount, registry: Registry) -> PartAnswer:
    """Judge one frame on one boot."""
    request = FitRequest(Part("", (boot,)), (Part("frame", (frame,)),))
    return fit_checked(request, registry, estimates()).parts[0]


def boot(*patterns: Pattern) -> Mount:
    """Give a boot's mount under the sole."""
    return Mount("frame", "boot", patterns)


def frame(*patterns: Pattern) -> Mount:
    """Give a frame's mount under the sole; its patterns are never a boot's own."""
    return Mount("frame", "frame", tuple(replace(pattern) for pattern in patterns))


@pytest.mark.parametrize(
    ("skate", "part", "side"),
    [(boot(SOLE), frame(FLANK), "frame"), (boot(FLANK), frame(SOLE), "boot"), (boot(FLANK), frame(FLANK), "frame")],
    ids=["the part's", "the skate's", "both"],
)
def test_a_joint_waits_for_the_plugin_of_either_side(lacking: Registry, skate: Mount, part: Mount, side: str) -> None:
    """Neither yes nor no is said of it, and the standard that is missing is named."""
    answer = frame_on(skate, part, lacking)
    step = answer.next_step

    assert (Verdict.CANNOT_TELL, 0.0, 1.0) == (answer.verdict, answer.probability, answer.probability_at_most)
    assert step is not None
    assert (StepKind.DESCRIBE, "step.standard_not_installed", side) == (step.kind, step.code, step.side)
    assert {"position": "frame", "standard": "side-bolts-measured"} == step.params


def test_the_same_joint_is_judged_once_the_plugin_is_there() -> None:
    """With the plugin installed the same mounts give an answer of its rules."""
    answer = frame_on(boot(SOLE), frame(FLANK), discovered())

    assert Verdict.DOES_NOT_FIT is answer.verdict


def test_an_alternative_that_can_be_judged_is(lacking: Registry) -> None:
    """A boot with two ways to use it is judged by the one whose standard is there."""
    answer = frame_on(boot(FLANK, SOLE), frame(SOLE), lacking)
    (joint,) = answer.joints

    assert (Verdict.FITS, ("sole", "sole")) == (answer.verdict, joint.patterns)


def test_where_the_used_pattern_lies_is_told_beside_the_first_alone(lacking: Registry) -> None:
    """The shift is against the boot's first pattern: known while a later one waits, and no longer while that does."""
    later, first = (frame_on(boot(*sets), frame(LONG), lacking) for sets in ((SOLE, LONG, FLANK), (FLANK, SOLE, LONG)))

    assert (15_000, None) == (later.joints[0].shift_um, first.joints[0].shift_um)


def test_a_position_whose_plugin_is_missing_names_the_standard(lacking: Registry) -> None:
    """Where nothing at all is installed, what is claimed tells which plugin is wanted."""
    strap = Pattern(standard="strap-pitch-15", claimed_by=Claimant.SELLER)
    skate, part = Mount("strap_instep", "skate", (strap,)), Mount("strap_instep", "part", (strap,))
    step = frame_on(skate, part, lacking).next_step

    assert step is not None
    assert {"position": "strap_instep", "standard": "strap-pitch-15"} == step.params


@pytest.fixture
def found(lacking: Registry) -> Identification:
    """Give what is made of a mount at the flank that reads like one under the sole."""
    figures = {"hole_spacing_mm": Quantity(165_000, 115, "caliper"), "heel_step_mm": Quantity(10_000, 115, "caliper")}
    flank = replace(FLANK, figures=figures, claimed_by=Claimant.CUSTOMER)
    (answer,) = identified(boot(flank), lacking, estimates())
    return answer


class TestIdentification:
    """A mount that is said to follow what is not installed ..."""

    def test_is_not_taken_for_another(self, found: Identification) -> None:
        """... is not offered as the one that it happens to read like, however likely that is."""
        assert (Finding.UNKNOWN, "two-bolt-165") == (found.finding, found.candidates[0].standard)

    def test_asks_for_the_plugin(self, found: Identification) -> None:
        """... names the standard that is missing as the next step."""
        assert found.next_step is not None
        assert "side-bolts-measured" == found.next_step.params["standard"]

    def test_is_likeliest_none_of_those_that_are(self, lacking: Registry) -> None:
        """... is by that claim none of the installed ones, as surely as its claimant is right."""
        (answer,) = identified(boot(FLANK), lacking, estimates())
        leading = answer.candidates[0]

        assert "" == leading.standard
        assert leading.probability > estimates().claim_is_right[Claimant.MAKER]

    def test_at_a_position_that_nothing_serves_is_answered(self, lacking: Registry) -> None:
        """... where no standard is installed at all gives the same answer, and no failure."""
        strap = Pattern(standard="strap-pitch-15", claimed_by=Claimant.SELLER)
        (answer,) = identified(Mount("strap_instep", "skate", (strap,)), lacking, estimates())

        assert (Finding.UNKNOWN, [""]) == (answer.finding, [each.standard for each in answer.candidates])
