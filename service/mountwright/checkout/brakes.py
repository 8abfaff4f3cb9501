"""Whether a frame carries a brake, and whether the brake is made for the wheels."""

from __future__ import annotations

from collections.abc import Sequence

from mountwright.checkout.article import Article
from mountwright.checkout.comparison import ANYTHING, alike, compared_exactly, not_compared
from mountwright.checkout.finding import Decision, Finding
from mountwright.fitting.answers import CheckAnswer, NextStep, StepKind
from mountwright.measure.quantity import Limits, in_units

_SOURCE = "the maker's figures: marks are compared with marks (common practice)"

_CAUTIONS = ("caution.brake_test",)

_LOOK_AT_FRAME = NextStep(StepKind.LOOK, "step.look_at_brake_place", "frame", "brake_place", "", {})
_DESCRIBE_BRAKE = NextStep(StepKind.DESCRIBE, "step.describe_brake", "brake", "wheels", "", {})
_LOOK_AT_WHEEL = NextStep(StepKind.LOOK, "step.look_at_rear_wheel", "wheel", "diameter_mm", "", {})

_FITS = (Decision.CLEAR, "cart.brake_fits")
_OUT_OF_RANGE = (Decision.STOP, "cart.brake_wheel_out_of_range")


def brake_findings(brake: Article, frames: Sequence[Article], wheels: Sequence[Article]) -> tuple[Finding, ...]:
    """Give whether a brake in the basket goes on the finished skate: an arm, a set or a pad alike.

    Parameters
    ----------
    brake : Article
    frames, wheels : sequence of Article
        Of the finished skate. Of wheels of several diameters any may be the rear one.
    """
    found = [_on_frames(brake, frames), _with_wheels(brake, wheels)]
    open_ = tuple([finding for finding in found if finding.decision is not Decision.CLEAR])
    return open_ or (found[-1]._replace(against=(*frames, *wheels)),)


def staying_brake_findings(brake: Article, frames: Sequence[Article], wheels: Sequence[Article]) -> tuple[Finding, ...]:
    """Give what a new frame or new wheels mean for a brake that stays: to be asked about wherever it may be lost.

    Parameters
    ----------
    brake : Article
        That stays.
    frames, wheels : sequence of Article
        Of the finished skate.
    """
    found = brake_findings(brake, frames, wheels)
    return tuple(_as_staying(brake, finding) for finding in found)


def _as_staying(brake: Article, finding: Finding) -> Finding:
    if finding.decision is Decision.CLEAR:
        return finding._replace(against=(brake,))
    return finding._replace(decision=Decision.CONFIRM, code="cart.staying_brake", against=(brake,))


def _on_frames(brake: Article, frames: Sequence[Article]) -> Finding:
    takes = [frame.specs.get("takes_brake") for frame in frames]
    if False in takes:
        check = alike("takes_brake", brake, passes=False, skate_has="no place for it", source=_SOURCE)
        return _found(Decision.STOP, "cart.brake_not_carried", brake, check, frames)
    if not takes or None in takes:
        check = not_compared("takes_brake", brake, ANYTHING, ("frame.brake_place",), source=_SOURCE, unit="")
        return _unknown(brake, check, frames, _LOOK_AT_FRAME)
    check = alike("takes_brake", brake, passes=True, skate_has=brake.kind, source=_SOURCE)
    return _found(Decision.CLEAR, "cart.brake_fits", brake, check, frames)


def _with_wheels(brake: Article, wheels: Sequence[Article]) -> Finding:
    marks = [wheel.figure_um("diameter_mm") for wheel in wheels]
    known = [mark for mark in marks if mark is not None]
    limits, is_whole = _range(brake)
    inside = [limits.contain(mark) for mark in known]
    if known and len(known) == len(marks) and (not any(inside) or (is_whole and all(inside))):
        return _by_range(brake, min(known, key=lambda mark: (limits.margin(mark) or 0.0, mark)), limits, wheels)
    missing = ("wheel.diameter_mm",) if is_whole else ("brake.smallest_wheel_mm", "brake.largest_wheel_mm")
    check = not_compared("brake_wheel_range", brake, limits, missing, source=_SOURCE)
    return _unknown(brake, check, wheels, _LOOK_AT_WHEEL if is_whole else _DESCRIBE_BRAKE)


def _range(brake: Article) -> tuple[Limits, bool]:
    """Give the wheels that a brake is made for, and whether both ends are known and in order."""
    low, high = brake.figure_um("smallest_wheel_mm"), brake.figure_um("largest_wheel_mm")
    if low is None or high is None:
        return Limits(low, high), False
    return (Limits(low, high), True) if low <= high else (ANYTHING, False)


def _by_range(brake: Article, mark: int, limits: Limits, wheels: Sequence[Article]) -> Finding:
    check = compared_exactly("brake_wheel_range", brake, mark, limits, source=_SOURCE)
    decision, code = _FITS if check.probability else _OUT_OF_RANGE
    return _found(decision, code, brake, check, wheels, diameter_mm=in_units(mark))


def _found(
    decision: Decision, code: str, brake: Article, check: CheckAnswer, against: Sequence[Article], **params: float
) -> Finding:
    return Finding(decision, code, {"kind": brake.kind, **params}, check, tuple(against), cautions=_CAUTIONS)


def _unknown(brake: Article, check: CheckAnswer, against: Sequence[Article], step: NextStep) -> Finding:
    found = _found(Decision.CONFIRM, "cart.brake_unknown", brake, check, against)
    return found._replace(unknown=True, step=step)
