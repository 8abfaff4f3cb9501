"""A brake needs a frame that carries it and wheels that it is made for; what may lose a brake is asked about."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.checkout.article import Article
from mountwright.checkout.brakes import brake_findings, staying_brake_findings
from mountwright.checkout.finding import Decision
from mountwright.fitting.answers import Outcome
from mountwright.mounts.mount import Part


def article(kind: str, **specs: Any) -> Article:
    """Give an article with figures, those that are None left out."""
    return Article(kind, Part(kind, ()), specs={name: value for name, value in specs.items() if value is not None})


def frame(takes_brake: bool | None = True) -> Article:
    """Give a frame with, without, or perhaps with a place for a brake."""
    return article("frame", takes_brake=takes_brake)


def wheel(diameter_mm: float | None = 80) -> Article:
    """Give a wheel."""
    return article("wheel", diameter_mm=diameter_mm)


#: An arm that goes to the axle, and a pad that goes on such an arm; both are made for some wheels.
ARM = article("brake", smallest_wheel_mm=76, largest_wheel_mm=84, under_head_length_mm=46)
PAD = article("brake", smallest_wheel_mm=76, largest_wheel_mm=84, pad_height_mm=42)


@pytest.mark.parametrize("brake", [ARM, PAD], ids=["arm", "pad"])
@pytest.mark.parametrize("diameter_mm", [76, 80, 84])
def test_a_brake_goes_on_a_frame_with_a_place_for_it_and_wheels_of_its_range(brake: Article, diameter_mm: int) -> None:
    """Both ends included, and it says to try it."""
    on, wheels = frame(), wheel(diameter_mm)
    [finding] = brake_findings(brake, [on], [wheels])

    assert (Decision.CLEAR, "cart.brake_fits", (on, wheels)) == (finding.decision, finding.code, finding.against)
    assert ("caution.brake_test",) == finding.cautions


@pytest.mark.parametrize("brake", [ARM, PAD], ids=["arm", "pad"])
def test_a_frame_without_a_place_carries_no_brake(brake: Article) -> None:
    """A pad needs its arm, and the arm the frame."""
    [finding] = brake_findings(brake, [frame(False)], [wheel()])

    assert finding.check is not None
    assert (Decision.STOP, "cart.brake_not_carried", "takes_brake", Outcome.FAIL) == (
        finding.decision,
        finding.code,
        finding.check.code,
        finding.check.outcome,
    )


@pytest.mark.parametrize("brake", [ARM, PAD], ids=["arm", "pad"])
@pytest.mark.parametrize(("diameter_mm", "margin"), [(75, -1_000), (90, -6_000)])
def test_wheels_beyond_a_brakes_range_stop_it(brake: Article, diameter_mm: int, margin: int) -> None:
    """Marks are compared with marks."""
    [finding] = brake_findings(brake, [frame()], [wheel(diameter_mm)])

    assert finding.check is not None
    assert (Decision.STOP, "cart.brake_wheel_out_of_range", margin) == (
        finding.decision,
        finding.code,
        finding.check.margin,
    )


@pytest.mark.parametrize(
    ("frames", "brake", "wheels"),
    [
        ([frame(None)], ARM, [wheel()]),
        ([], ARM, [wheel()]),
        ([frame()], ARM, []),
        ([frame()], ARM, [wheel(None)]),
        ([frame()], article("brake", smallest_wheel_mm=76), [wheel()]),
        ([frame()], article("brake", smallest_wheel_mm=84, largest_wheel_mm=76), [wheel()]),
        ([frame()], ARM, [wheel(80), wheel(90)]),
    ],
    ids=["perhaps", "no frame", "no wheel", "no diameter", "half a range", "range in disorder", "either wheel"],
)
def test_what_nobody_knows_of_a_brake_is_asked(frames: Any, brake: Article, wheels: Any) -> None:
    """A brake is never waved through."""
    [finding] = brake_findings(brake, frames, wheels)

    assert (Decision.CONFIRM, "cart.brake_unknown", True) == (finding.decision, finding.code, finding.unknown)
    assert finding.step is not None


def test_half_a_range_is_enough_to_refuse() -> None:
    """Made for 76 at least, and the wheels are of 64."""
    [finding] = brake_findings(article("brake", smallest_wheel_mm=76), [frame()], [wheel(64)])

    assert "cart.brake_wheel_out_of_range" == finding.code


def test_both_faults_are_told() -> None:
    """No place, and the wrong wheels."""
    codes = {finding.code for finding in brake_findings(ARM, [frame(False)], [wheel(100)])}

    assert {"cart.brake_not_carried", "cart.brake_wheel_out_of_range"} == codes


FRAMES = st.sampled_from([True, False, None]).map(frame)
WHEELS = st.lists(st.sampled_from([None, 72, 76, 80, 84, 90]).map(wheel), max_size=2)


@given(st.lists(FRAMES, max_size=2), WHEELS, st.sampled_from([ARM, PAD]))
def test_a_brake_that_stays_is_asked_about_unless_it_surely_goes_on(
    frames: list[Article], wheels: list[Article], brake: Article
) -> None:
    """Neither refused, for it is not what is bought, nor passed over."""
    bought, stays = brake_findings(brake, frames, wheels), staying_brake_findings(brake, frames, wheels)
    goes_on = all(finding.decision is Decision.CLEAR for finding in bought)

    assert all(finding.decision is (Decision.CLEAR if goes_on else Decision.CONFIRM) for finding in stays)
    assert all(finding.code == ("cart.brake_fits" if goes_on else "cart.staying_brake") for finding in stays)
    assert all((brake,) == finding.against and finding.cautions for finding in stays)


@given(st.lists(FRAMES, max_size=2), WHEELS, st.sampled_from([ARM, PAD]))
def test_no_brake_is_clear_unless_every_frame_and_wheel_is_known_to_go_with_it(
    frames: list[Article], wheels: list[Article], brake: Article
) -> None:
    """Whatever is missing or wrong."""
    known = [each.specs.get("diameter_mm", 0) for each in wheels]
    sound = bool(frames and wheels)
    sound = sound and all(each.specs.get("takes_brake") for each in frames) and all(76 <= size <= 84 for size in known)
    clear = all(finding.decision is Decision.CLEAR for finding in brake_findings(brake, frames, wheels))

    assert sound == clear
