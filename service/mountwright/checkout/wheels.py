"""Whether the wheels have room in the frame, beside each other and under the sole."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from mountwright.checkout.article import Article
from mountwright.checkout.comparison import compared, compared_exactly, not_compared
from mountwright.checkout.estimates import checkout_estimates
from mountwright.checkout.finding import Decision, Finding
from mountwright.checkout.wheel_room import (
    Sole,
    Span,
    WheelLine,
    axle_places,
    gaps_to_next,
    gaps_to_sole,
    line_overhang,
    soles_worn,
    wheel_line,
)
from mountwright.fitting.answers import CheckAnswer, NextStep, Outcome, StepKind
from mountwright.measure.conformity import conformance_probability
from mountwright.measure.quantity import Estimate, Limits, in_units
from mountwright.measure.uncertainty import combined, rectangular

_MARKS = "the frame's figure and the wheel's mark (common practice)"
_STOOD = "marks of the wheels that have turned in this frame (common practice)"
_GAP = "axle places and marked diameters; the least gap and the doubt of marks are estimates"
_SOLE = "axle places, marked diameters and the sole's outline; the least gap and their doubts are estimates"

_MEASURE_ROOM = NextStep(StepKind.MEASURE, "step.measure_wheel_room", "frame", "largest_wheel_mm", "caliper", {})
_READ_MARK = NextStep(StepKind.LOOK, "step.look_at_wheel_mark", "wheel", "diameter_mm", "", {})
_MEASURE_SOLE = NextStep(StepKind.MEASURE, "step.measure_sole_gap", "skate", "sole_gap_mm", "caliper", {})
_TELL_PLACES = NextStep(StepKind.DESCRIBE, "step.tell_wheel_places", "wheel", "places", "", {})
_TELL_SIZE = NextStep(StepKind.DESCRIBE, "step.tell_size", "skate", "eu_size", "", {})


class _Gap(NamedTuple):
    """What a gap is held to: the least, what doubt adds to it at best, its mean beyond the marks, and its doubt."""

    code: str
    source: str
    stop: str
    least_um: int
    at_best_um: float
    shift_um: float
    uncertainty_um: float


class _Scene(NamedTuple):
    """Everything that the wheels of one skate are held against."""

    frame: Article | None
    skate: Article
    largest_um: int | None
    line: WheelLine | None
    soles: tuple[Sole, ...]
    adapters_um: int | None


def wheel_findings(
    wheels: Sequence[tuple[Article, int | None]],
    frame: Article | None,
    skate: Article,
    eu_size: float | None = None,
    adapters: Sequence[Article] = (),
    stood: Sequence[Article] = (),
) -> dict[Article, tuple[Finding, ...]]:
    """Give what room each wheel has on the finished skate; what is not wrong anywhere is said once.

    Parameters
    ----------
    wheels : sequence of (Article, int or None)
        New and staying ones, and how many pieces the pair has of each, None where nobody knows. Places that these do
        not fill are taken to have the same wheels.
    frame : Article or None
        The one that will be under the boot.
    skate : Article
        Its soles, where it has any, tell where the boot is.
    eu_size : float or None
        Which of them is worn.
    adapters : sequence of Article
        What stands between boot and frame; its height lifts the boot.
    stood : sequence of Article
        The wheels that have turned in this frame until now; none for a new frame. Where the frame's own figure is not
        known, what is no larger than these has room.
    """
    largest = frame.figure_um("largest_wheel_mm") if frame else None
    if largest is None:
        largest = _smallest(stood)
    line, soles = _line(wheels, frame), soles_worn(skate, eu_size)
    scene = _Scene(frame, skate, largest, line, soles, _height(adapters))
    return {wheel: _of_wheel(wheel, scene) for wheel, _ in wheels}


def staying_wheel_findings(frame: Article, found: Mapping[Article, Sequence[Finding]]) -> tuple[Finding, ...]:
    """Give what the wheels that stay mean for a frame in the basket: to be asked about, for the frame itself goes on.

    Parameters
    ----------
    frame : Article
    found : Mapping[Article, sequence of Finding]
        From :func:`wheel_findings`, of the wheels that stay.
    """
    return tuple([_as_staying(frame, wheel, finding) for wheel, findings in found.items() for finding in findings])


def _as_staying(frame: Article, wheel: Article, finding: Finding) -> Finding:
    said = finding._replace(against=(wheel,))
    params = {"kind": frame.kind, "staying": wheel.kind}
    if finding.decision is Decision.STOP:
        return said._replace(decision=Decision.CONFIRM, code="cart.staying_part_does_not_fit", params=params)
    if finding.unknown:
        return said._replace(code="cart.staying_part_unknown", params=params)
    return said


def _line(wheels: Sequence[tuple[Article, int | None]], frame: Article | None) -> WheelLine | None:
    """Give the wheel line, None where a diameter or the axle places are not known."""
    places = axle_places(frame) if frame else ()
    pieces: dict[int, int] = {}
    for wheel, on_pair in wheels:
        diameter = wheel.figure_um("diameter_mm")
        if diameter is None:
            return None
        pieces[diameter] = pieces.get(diameter, 0) + (on_pair or 0)
    return wheel_line(places, {size: count // 2 for size, count in pieces.items()}) if places else None


def _height(adapters: Sequence[Article]) -> int | None:
    heights = [adapter.figure_um("height_mm") for adapter in adapters]
    return None if None in heights else sum(height or 0 for height in heights)


def _smallest(wheels: Sequence[Article]) -> int | None:
    """Give the smallest diameter among wheels, None unless all of them are known."""
    marks = [wheel.figure_um("diameter_mm") for wheel in wheels]
    known = [mark for mark in marks if mark is not None]
    return min(known) if known and len(known) == len(marks) else None


def _of_wheel(wheel: Article, scene: _Scene) -> tuple[Finding, ...]:
    diameter = wheel.figure_um("diameter_mm")
    if diameter is None:
        return (_unknown(wheel, _under_boot(scene), _READ_MARK),)
    found = [_in_frame(wheel, diameter, scene)]
    if scene.line:
        found += _beside(wheel, diameter, scene, scene.line)
        found += _under(wheel, diameter, scene, scene.line) if scene.soles else []
    wrong = [finding for finding in found if finding.decision is not Decision.CLEAR]
    return tuple(wrong) or (_with_room(found, diameter, scene),)


def _under_boot(scene: _Scene) -> Article:
    """Give the frame, or the skate that has one of its own."""
    return scene.frame or scene.skate


def _with_room(found: Sequence[Finding], diameter: int, scene: _Scene) -> Finding:
    """Give the tightest of what passed, and how far the wheels reach beyond the sole."""
    tightest = min(found, key=lambda finding: (finding.check.margin or 0.0) if finding.check else 0.0)
    reach = line_overhang(scene.line, scene.soles) if scene.line else None
    params: dict[str, str | float] = {"kind": "wheel", "diameter_mm": in_units(diameter)}
    if reach:
        params |= {"toe_overhang_mm": _shown(reach.toe_um), "heel_overhang_mm": _shown(reach.heel_um)}
    return tightest._replace(params=params, against=(_under_boot(scene),))


def _in_frame(wheel: Article, diameter: int, scene: _Scene) -> Finding:
    """Compare marks with marks: what the frame takes, and the wheel."""
    frame, largest = _under_boot(scene), scene.largest_um
    is_told = scene.frame is not None and scene.frame.figure_um("largest_wheel_mm") is not None
    if largest is None or (diameter > largest and not is_told):
        return _unknown(wheel, frame, _MEASURE_ROOM)
    source = _MARKS if is_told else _STOOD
    check = compared_exactly("largest_wheel", wheel, diameter, Limits(None, largest), source=source)
    decision, code = _HAS_ROOM if check.probability else (Decision.STOP, "cart.wheel_too_large")
    return _found(decision, code, wheel, check, (frame,), largest_wheel_mm=in_units(largest))


_HAS_ROOM = (Decision.CLEAR, "cart.wheels_have_room")


def _beside(wheel: Article, diameter: int, scene: _Scene, line: WheelLine) -> list[Finding]:
    span = gaps_to_next(line, diameter)
    if span is None:
        return []
    gap, frame = _between_wheels(), _under_boot(scene)
    return [_by_gap(wheel, span, gap, frame) or _places_open(wheel, span, gap, frame)]


def _under(wheel: Article, diameter: int, scene: _Scene, line: WheelLine) -> list[Finding]:
    span = gaps_to_sole(line, diameter, scene.soles, scene.adapters_um)
    found = _by_gap(wheel, span, _to_sole(), scene.skate)
    if found:
        return [found]
    if line.is_open:
        return [_places_open(wheel, span, _to_sole(), scene.skate)]
    several = len(scene.soles) > 1
    missing = "skate.eu_size" if several else "skate.sole_gap_mm"
    limits = Limits(_to_sole().least_um, None)
    check = not_compared("sole_gap", wheel, limits, (missing,), source=_SOLE)
    return [_unknown(wheel, scene.skate, _TELL_SIZE if several else _MEASURE_SOLE, check)]


def _between_wheels() -> _Gap:
    """Give what the gap between two wheels is held to: either may be smaller than marked, or a little larger."""
    known = checkout_estimates()
    large, small = known.marked_too_large_um, known.marked_too_small_um
    radius = rectangular((large + small) / 4)
    least = known.least_wheel_gap_um
    return _Gap("wheel_gap", _GAP, "cart.wheels_too_close", least, large, (large - small) / 2, combined([radius] * 2))


def _to_sole() -> _Gap:
    """Give what the gap between a wheel and the sole is held to."""
    known = checkout_estimates()
    large, small, outline = known.marked_too_large_um, known.marked_too_small_um, known.outline_half_width_um
    doubt = combined([rectangular((large + small) / 4), rectangular(outline)])
    at_best, shift = large / 2 + outline, (large - small) / 4
    return _Gap("sole_gap", _SOLE, "cart.wheel_in_sole", known.least_sole_gap_um, at_best, shift, doubt)


def _by_gap(wheel: Article, span: Span, gap: _Gap, against: Article) -> Finding | None:
    """Give what a gap means if it means the same from its low end to its high one, None otherwise."""
    low, high = span
    if low >= gap.least_um:
        check = _gap_check(wheel, low, gap, Outcome.PASS)
        return _found(*_HAS_ROOM, wheel, check, (against,), gap_mm=_shown(low))
    if high is None or high >= gap.least_um:
        return None
    if high + gap.at_best_um < 0:
        check = _gap_check(wheel, high, gap, Outcome.FAIL)
        return _found(Decision.STOP, gap.stop, wheel, check, (against,), overlap_mm=_shown(-high))
    check = _gap_check(wheel, high, gap, Outcome.UNDECIDED)
    params = {"gap_mm": _shown(high), "least_gap_mm": in_units(gap.least_um)}
    return _found(Decision.CONFIRM, "cart.wheel_room_close", wheel, check, (against,), **params)


def _places_open(wheel: Article, span: Span, gap: _Gap, against: Article) -> Finding:
    check = _gap_check(wheel, span.low_um, gap, Outcome.UNDECIDED)
    found = _found(Decision.CONFIRM, "cart.wheel_places_open", wheel, check, (against,), gap_mm=_shown(span.low_um))
    return found._replace(step=_TELL_PLACES)


def _gap_check(wheel: Article, value: float, gap: _Gap, outcome: Outcome) -> CheckAnswer:
    limits = Limits(gap.least_um, None)
    probability = conformance_probability(Estimate(value + gap.shift_um, gap.uncertainty_um), limits)
    return compared(gap.code, wheel, value, limits, outcome, probability, source=gap.source)


def _found(
    decision: Decision, code: str, wheel: Article, check: CheckAnswer, against: tuple[Article, ...], **params: float
) -> Finding:
    diameter = in_units(wheel.figure_um("diameter_mm") or 0)
    return Finding(decision, code, {"kind": wheel.kind, "diameter_mm": diameter, **params}, check, against)


def _unknown(wheel: Article, against: Article, step: NextStep, check: CheckAnswer | None = None) -> Finding:
    missing = f"{step.side}.{step.what}"
    check = check or not_compared("largest_wheel", wheel, Limits(None, None), (missing,), source=_MARKS)
    params = {"kind": wheel.kind}
    return Finding(Decision.CONFIRM, "cart.wheel_room_unknown", params, check, (against,), unknown=True, step=step)


def _shown(length_um: float) -> float:
    """Give a length in mm to a hundredth, which is more than anybody measures."""
    return round(length_um / 1000, 2) + 0.0
