"""Frames under the sole: the bolts of the set-up that hold them."""

from __future__ import annotations

import pytest

import mountwright_frame_spacing as plugin
from mountwright.fitting.answers import JointAnswer, Outcome
from mountwright.fitting.estimates import estimates
from mountwright.fitting.fit_check import FitRequest, fit_checked
from mountwright.fitting.verdict import Verdict
from mountwright.measure.quantity import Quantity, thousandths
from mountwright.measure.uncertainty import rectangular
from mountwright.mounts.lending import Lender, with_loans
from mountwright.mounts.mount import Claimant, Mount, Part, Pattern
from mountwright.mounts.registry import Registry, assembled

#: Checks of the bolt's length.
LENGTHS = {"thread_engaged", "bolt_bottoms"}


@pytest.fixture(scope="module")
def registry() -> Registry:
    """Give a registry with this plugin's frames only."""
    return assembled([plugin.mountwright_standards()])


def mount(side: str, **lengths_mm: float) -> Mount:
    """Give a mount that its maker says to be 165, with lengths taken by caliper."""
    figures = {name: Quantity(thousandths(value), rectangular(200), "caliper") for name, value in lengths_mm.items()}
    return Mount("frame", side, (Pattern("", "two-bolt-165", Claimant.MAKER, figures),))


def bolt(length_mm: float, diameter_mm: float = 6) -> Lender:
    """Give a bolt of the set-up."""
    return Lender("bolt", {"under_head_length_mm": length_mm, "diameter_mm": diameter_mm})


def judged(boot: Mount, frame: Mount, registry: Registry, *lenders: Lender) -> JointAnswer:
    """Judge a frame with what the set-up lends both sides."""
    skate, part = (Part("", (with_loans(side, lenders, registry)[0],)) for side in (boot, frame))
    return fit_checked(FitRequest(skate, (part,)), registry, estimates()).parts[0].joints[0]


class TestAFrameBolt:
    """A bolt through 6 mm of frame into 12 mm of thread ..."""

    @pytest.mark.parametrize(
        ("length_mm", "verdict", "failed"),
        [
            (10, Verdict.DOES_NOT_FIT, {"thread_engaged"}),
            (14, Verdict.FITS, set()),
            (16, Verdict.FITS, set()),
            (20, Verdict.DOES_NOT_FIT, {"bolt_bottoms"}),
        ],
    )
    def test_holds_and_does_not_bottom(
        self, registry: Registry, length_mm: float, verdict: Verdict, failed: set[str]
    ) -> None:
        """... holds by 6 mm at least and ends before the thread does: each by its own check, from the bolt's length."""
        boot, frame = mount("boot", thread_depth_mm=12), mount("frame", clamped_thickness_mm=6)
        joint = judged(boot, frame, registry, bolt(length_mm))

        assert verdict is joint.verdict
        assert failed == {check.code for check in joint.checks if check.outcome is Outcome.FAIL}
        assert {check.code for check in joint.checks} >= LENGTHS

    @pytest.mark.parametrize("diameter_mm", [4, 8], ids=["of a buckle", "of a cuff"])
    def test_of_another_thickness_holds_no_frame(self, registry: Registry, diameter_mm: float) -> None:
        """... that is of no frame lends it nothing, however unfit its length is."""
        frame = mount("frame", clamped_thickness_mm=6)

        assert (frame, ()) == with_loans(frame, [bolt(50, diameter_mm)], registry)

    def test_that_differs_from_another_tells_nothing(self, registry: Registry) -> None:
        """... beside another of a different length leaves the length open: either may go in."""
        frame = mount("frame", clamped_thickness_mm=6)

        assert (frame, ()) == with_loans(frame, [bolt(14), bolt(16)], registry)

    def test_lends_nothing_to_the_boot(self, registry: Registry) -> None:
        """... is the frame's: the boot has no bolt's length."""
        boot = mount("boot", thread_depth_mm=12)

        assert (boot, ()) == with_loans(boot, [bolt(16)], registry)

    def test_that_nobody_lends_is_left_out(self, registry: Registry) -> None:
        """... is judged by nothing where the set-up has none and nobody recorded a length."""
        joint = judged(mount("boot"), mount("frame"), registry)

        assert Verdict.FITS is joint.verdict
        assert set() == LENGTHS & {check.code for check in joint.checks}
