"""What room the wheels of a skate have: which gaps are kept, how surely, which are not, and what nobody can tell yet.

A gap is that of the wheels as large as is likely. Its doubt is that of the diameters, shared by the wheels of a lot or
a wheel's own, and of the outline, in fixed draws (JCGM 101:2008). How likely the gap is kept decides (JCGM 106:2012),
with the thresholds for what is shipped: 0.95 passes, 0.05 fails. Where nothing is in doubt the figures decide exactly.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot, inf, isfinite, sqrt
from typing import NamedTuple

import numpy as np

from mountwright.fitting.answers import NextStep, Outcome, StepKind
from mountwright.measure.quantity import thousandths
from mountwright.riding.band import Band
from mountwright.riding.clearance import Wheel, overhang
from mountwright.riding.draws import share_below, uniform
from mountwright.riding.estimates import estimate
from mountwright.riding.line import Diameter, Line, Skate
from mountwright.riding.obstacles import (
    ON_THE_LIMIT_UM,
    TO_FRAME,
    TO_WHEEL,
    LeastGaps,
    Obstacle,
    not_known,
    obstacles,
    place_um,
    usual_gaps,
)
from mountwright.riding.rocker_doubt import drawn_diameters_mm
from mountwright.riding.stands import Floats, likely_diameter_mm

PASSES_FROM, FAILS_TO = 0.95, 0.05

_MEASURE_WHEEL = NextStep(StepKind.MEASURE, "step.measure_wheel_diameter", "wheel", "diameter_mm", "caliper", {})


class Clearance(NamedTuple):
    """One gap of one wheel.

    Parameters
    ----------
    code : str
        ``wheel_to_wheel``, ``wheel_to_frame`` (half of what the diameter is below the frame's largest),
        ``wheel_to_bolt_tip``, ``wheel_to_block`` or ``wheel_to_sole``.
    wheel : int or None
        Which one, 0 for the first; None where a figure is missing for all of them.
    other : int or None
        The other wheel, the bolt tip in the skate's list, or the block: 0 for the front one, 1 for the rear one.
    gap_mm, gap_at_most_mm : float or None
        Of wheels as large as is likely, at least and at most, below 0 where they overlap; None where nobody knows.
    least_mm : float or None
        What the gap must be, inclusive; None where nobody knows the gap.
    outcome : Outcome
        ``not_measured`` where what is open decides it.
    probability, probability_at_most : float
        That the gap is kept, between the two.
    next_step : NextStep or None
        What tells more, None where the outcome is clear.
    """

    code: str
    wheel: int | None
    other: int | None
    gap_mm: float | None
    gap_at_most_mm: float | None
    least_mm: float | None
    outcome: Outcome
    probability: float
    probability_at_most: float
    next_step: NextStep | None

    @property
    def is_broken(self) -> bool:
        """Tell whether the gap is below the least even at most, by the figures, their doubt left out."""
        if self.gap_at_most_mm is None or self.least_mm is None:
            return False
        return self.gap_at_most_mm < self.least_mm - ON_THE_LIMIT_UM / 1000


@dataclass(frozen=True)
class Reach:
    """How far the wheels reach beyond the sole, with the doubt of outline and diameters; below 0 they stay within."""

    toe_mm: Band
    heel_mm: Band


@dataclass(frozen=True)
class Room:
    """What room the wheels of a skate have.

    Parameters
    ----------
    clearances : tuple of Clearance
        Wheel by wheel from the front; last what is not known for any of them.
    overhang : Reach or None
        None where nobody knows the outline.
    """

    clearances: tuple[Clearance, ...]
    overhang: Reach | None

    @property
    def conflicts(self) -> tuple[Clearance, ...]:
        """Give the clearances that fail."""
        return tuple(each for each in self.clearances if each.outcome is Outcome.FAIL)

    @property
    def to_look_at(self) -> tuple[Clearance, ...]:
        """Give the clearances that nobody can tell yet."""
        return tuple(each for each in self.clearances if each.outcome in (Outcome.UNDECIDED, Outcome.NOT_MEASURED))

    @property
    def outcome(self) -> Outcome:
        """Give the worst outcome; what is not measured is never passed."""
        return max((each.outcome for each in self.clearances), key=_WORST_LAST.index, default=Outcome.NOT_MEASURED)

    @property
    def probability(self) -> float:
        """Give how likely the least likely of all gaps that are known is kept, at least; 0 where none is."""
        return min((each.probability for each in self.clearances if each.least_mm is not None), default=0.0)

    @property
    def keeps_its_gaps(self) -> bool:
        """Tell whether no gap is broken by the figures, their doubt left out and what is open taken for the best."""
        return not any(each.is_broken for each in self.clearances)


_WORST_LAST = (Outcome.PASS, Outcome.UNDECIDED, Outcome.NOT_MEASURED, Outcome.FAIL)


def room(skate: Skate, gaps: LeastGaps | None = None) -> Room:
    """Give what room the wheels of a skate have.

    Parameters
    ----------
    skate : Skate
    gaps : LeastGaps or None
        None for the usual ones.
    """
    held = gaps or usual_gaps()
    radii = [_distinct(column) for column in drawn_diameters_mm(skate.line).T * 500]
    missing = [_missing(code, step) for code, step in not_known(skate)]
    found = [each for index in range(len(skate.line.axles)) for each in _of_wheel(skate, index, held, radii)]
    return Room((*found, *missing), _reach(skate))


def _distinct(draws: Floats) -> Floats:
    """Give one draw of what is in no doubt."""
    return draws[:1] if (draws == draws[0]).all() else draws


def _of_wheel(skate: Skate, index: int, gaps: LeastGaps, radii_um: Sequence[Floats]) -> list[Clearance]:
    """Give the clearances of one wheel; ``radii_um`` is what the radius of each wheel may be, draw by draw."""
    line = skate.line
    # Wheels further along have room where the ones between them do, but for axles at very different heights.
    beside = [
        _between(line, index, other, gaps, radii_um)
        for other in range(index + 1, len(line.axles))
        if other == index + 1 or _gap_um(line, index, other) < thousandths(gaps.wheel_mm) - ON_THE_LIMIT_UM
    ]
    met = obstacles(skate, place_um(line.axles[index]), gaps)
    return beside + [_to_obstacle(line.tyres[index].diameter, index, each, radii_um[index]) for each in met]


class _Span(NamedTuple):
    """A gap, at least and at most, and what it must be; how far below either it may be, draw by draw; micrometres."""

    low: float
    high: float
    least: int
    off: Floats


def _gap_um(line: Line, one: int, other: int) -> float:
    (x, y), (u, v) = place_um(line.axles[one]), place_um(line.axles[other])
    return hypot(x - u, y - v) - _both_radii_um(line, one, other)


def _both_radii_um(line: Line, one: int, other: int) -> float:
    return (likely_um(line.tyres[one].diameter) + likely_um(line.tyres[other].diameter)) / 2


def _between(line: Line, one: int, other: int, gaps: LeastGaps, radii_um: Sequence[Floats]) -> Clearance:
    gap, off = _gap_um(line, one, other), radii_um[one] + radii_um[other] - _both_radii_um(line, one, other)
    return _judged(TO_WHEEL, one, other, _Span(gap, gap, thousandths(gaps.wheel_mm), off), _MEASURE_WHEEL)


def _to_obstacle(diameter: Diameter, index: int, met: Obstacle, radii_um: Floats) -> Clearance:
    likely = likely_um(diameter) / 2
    off = radii_um - likely
    if met.half_width_um:
        off = off + met.half_width_um * (1 - 2 * uniform(met.code))
    if met.code == TO_FRAME and not diameter.is_measured:
        # The frame's figure is meant for marks.
        off = np.zeros(1)
    span = _Span(met.low_um - likely, met.high_um - likely, met.least_um, off)
    return _judged(met.code, index, met.other, span, met.step)


def _judged(code: str, wheel: int, other: int | None, span: _Span, step: NextStep) -> Clearance:
    low, is_open = _kept(span.low, span), span.low < span.high
    high = _kept(span.high, span) if is_open else low
    outcome = _outcome(low, high, is_open=is_open)
    is_clear = outcome in (Outcome.PASS, Outcome.FAIL)
    at_most = span.high / 1000 if isfinite(span.high) else None
    return Clearance(
        code, wheel, other, span.low / 1000, at_most, span.least / 1000, outcome, low, high, None if is_clear else step
    )


def _kept(gap_um: float, span: _Span) -> float:
    """Give the probability that a gap is at least what it must be; on the limit it is kept."""
    if gap_um == inf:
        return 1.0
    found, least = gap_um - span.off, span.least - ON_THE_LIMIT_UM
    return 1 - share_below(found, least) if found.size > 1 else float(found[0] >= least)


def _outcome(low: float, high: float, *, is_open: bool) -> Outcome:
    if low >= PASSES_FROM:
        return Outcome.PASS
    if high <= FAILS_TO:
        return Outcome.FAIL
    return Outcome.NOT_MEASURED if is_open else Outcome.UNDECIDED


def _missing(code: str, step: NextStep) -> Clearance:
    return Clearance(code, None, None, None, None, None, Outcome.NOT_MEASURED, 0.0, 1.0, step)


def likely_um(diameter: Diameter) -> int:
    """Give how large a wheel is likely to be, whole micrometres."""
    return thousandths(likely_diameter_mm(diameter))


def _reach(skate: Skate) -> Reach | None:
    line, outline = skate.line, skate.sole.outline
    if len(outline) < 2:
        return None
    places = [place_um(axle) for axle in line.axles]
    wheels = [Wheel(*at, likely_um(tyre.diameter)) for at, tyre in zip(places, line.tyres, strict=True)]
    found, doubt_mm = overhang(wheels, outline), estimate("outline_half_width_mm").likely
    bands = [tyre.diameter.shared_mm for tyre in line.tyres]
    less = max(band.likely - band.low for band in bands) / 2 + doubt_mm
    more = max(band.high - band.likely for band in bands) / 2 + doubt_mm
    toe, heel = (Band(each / 1000 - less, each / 1000, each / 1000 + more) for each in found)
    return Reach(toe, heel)


def shortest_spacing_mm(first_mm: float, second_mm: float, *, step_mm: float = 0.0, gap_mm: float = 0.0) -> float:
    """Give how close two axles may be along the skate: sqrt((r1 + r2 + gap)^2 - step^2), 0 where they pass each other.

    Parameters
    ----------
    first_mm, second_mm : float
        Diameters.
    step_mm : float
        How much higher one axle is than the other.
    gap_mm : float
        What stays between the wheels.
    """
    apart = (first_mm + second_mm) / 2 + gap_mm
    return sqrt(max(0.0, apart * apart - step_mm * step_mm))


def shortest_wheelbase_mm(diameters_mm: tuple[float, ...], gap_mm: float | None = None) -> float:
    """Give the shortest wheelbase of wheels on level axles, from the first to the last.

    For n alike it is (n - 1)(w + gap), with the trade's gap of 1 mm unless another is given (common practice).
    """
    gap = estimate("shortest_wheelbase_gap_mm").likely if gap_mm is None else gap_mm
    return sum((shortest_spacing_mm(one, other, gap_mm=gap) for one, other in pairwise(diameters_mm)), 0.0)
