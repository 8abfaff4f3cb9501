"""How far an axle is from what its wheel must not touch: at least and at most, as far as that is known.

Lengths are micrometres in the axes of :mod:`mountwright.riding.clearance`. What nobody measured leaves a distance open
between its ends: the low one takes everything to be there that may be, the high one only what is certain.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from math import hypot, inf

from mountwright.errors import InvalidQuantityError
from mountwright.fitting.answers import NextStep, StepKind
from mountwright.measure.quantity import thousandths
from mountwright.riding.clearance import Place, Wheel, gap_to_outline
from mountwright.riding.estimates import estimate
from mountwright.riding.line import Axle, Deck, Skate, Sole

#: Rounding may take so much off a distance; two different sums of whole micrometres are further apart.
ON_THE_LIMIT_UM = 1e-7

TO_WHEEL, TO_FRAME, TO_TIP = "wheel_to_wheel", "wheel_to_frame", "wheel_to_bolt_tip"
TO_BLOCK, TO_SOLE = "wheel_to_block", "wheel_to_sole"

_MEASURE_ROOM = NextStep(StepKind.MEASURE, "step.measure_wheel_room", "frame", "largest_wheel_mm", "caliper", {})
_MEASURE_TIPS = NextStep(StepKind.MEASURE, "step.measure_bolt_tips", "frame", "bolt_tips_mm", "caliper", {})
_MEASURE_BLOCKS = NextStep(StepKind.MEASURE, "step.measure_block_gap", "skate", "block_gap_mm", "steel_rule", {})
_MEASURE_SOLE = NextStep(StepKind.MEASURE, "step.measure_sole_gap", "skate", "sole_gap_mm", "caliper", {})


@dataclass(frozen=True)
class LeastGaps:
    """The gaps that a wheel must have, inclusive.

    Parameters
    ----------
    wheel_mm, tip_mm, block_mm, sole_mm : float
        To the next wheel, to a frame bolt's middle at its end, to a mounting block, to the sole; 0 or more.

    Raises
    ------
    InvalidQuantityError
        For a gap that is not finite or below nothing.
    """

    wheel_mm: float
    tip_mm: float
    block_mm: float
    sole_mm: float

    def __post_init__(self) -> None:
        for found in (self.wheel_mm, self.tip_mm, self.block_mm, self.sole_mm):
            if not (math.isfinite(found) and found >= 0):
                raise InvalidQuantityError(found, "a least gap of 0 mm or more")


def usual_gaps() -> LeastGaps:
    """Give the least gaps of ``estimates.toml``."""
    names = ("least_wheel_gap_mm", "least_bolt_tip_gap_mm", "least_block_gap_mm", "least_sole_gap_mm")
    return LeastGaps(*[estimate(name).likely for name in names])


@dataclass(frozen=True)
class Obstacle:
    """What the wheel of one axle must not touch.

    Parameters
    ----------
    code : str
        ``wheel_to_frame``, ``wheel_to_bolt_tip``, ``wheel_to_block`` or ``wheel_to_sole``.
    other : int or None
        Which of them: a bolt tip's place in the skate's list, 0 for the front block and 1 for the rear one.
    low_um, high_um : float
        Distance from the axle, at least and at most; ``high_um`` is infinite where nothing bounds it.
    least_um : int
        The gap that the wheel must have.
    half_width_um : float
        What the distance may be off by either way, all of it equally likely.
    step : NextStep
        What to measure where the distance is open.
    """

    code: str
    other: int | None
    low_um: float
    high_um: float
    least_um: int
    half_width_um: float
    step: NextStep

    @property
    def largest_um(self) -> float:
        """Give the diameter up to which a wheel keeps the gap, whatever is not known."""
        return 2 * (self.low_um - self.least_um)

    @property
    def largest_at_most_um(self) -> float:
        """Give the diameter beyond which a wheel breaks the gap, whatever is not known; infinite where none does."""
        return 2 * (self.high_um - self.least_um)


def place_um(axle: Axle, setting_mm: float | None = None) -> tuple[int, int]:
    """Give where an axle is, along and down, in one of its settings; None for the one that it has."""
    setting = axle.setting_mm if setting_mm is None else setting_mm
    return thousandths(axle.along_mm), thousandths(axle.down_mm) + thousandths(setting)


def obstacles(skate: Skate, place: tuple[int, int], gaps: LeastGaps) -> tuple[Obstacle, ...]:
    """Give everything known that a wheel on an axle at this place must not touch, other wheels left out."""
    found = [*_frame(skate.deck), *_tips(skate, place, gaps), *_blocks(skate, place, gaps)]
    return (*found, *_underside(skate.sole, place, gaps))


def not_known(skate: Skate) -> Iterator[tuple[str, NextStep]]:
    """Give the codes of what nobody gave a figure for, with what to measure."""
    if skate.deck.largest_wheel_mm is None:
        yield TO_FRAME, _MEASURE_ROOM
    if not skate.bolt_tips_mm:
        yield TO_TIP, _MEASURE_TIPS
    if len(skate.sole.outline) < 2:
        yield TO_SOLE, _MEASURE_SOLE


def _frame(deck: Deck) -> Iterator[Obstacle]:
    if deck.largest_wheel_mm is not None:
        radius = thousandths(deck.largest_wheel_mm) / 2
        yield Obstacle(TO_FRAME, None, radius, radius, 0, 0.0, _MEASURE_ROOM)


def _tips(skate: Skate, place: tuple[int, int], gaps: LeastGaps) -> Iterator[Obstacle]:
    """Give the bolts, each a line from the deck to its end."""
    least = thousandths(gaps.tip_mm)
    for index, (along_mm, down_mm) in enumerate(skate.bolt_tips_mm):
        along, end = thousandths(along_mm), thousandths(down_mm)
        nearest = min(max(place[1], min(0, end)), end)
        distance = hypot(place[0] - along, place[1] - nearest)
        yield Obstacle(TO_TIP, index, distance, distance, least, 0.0, _MEASURE_TIPS)


def _blocks(skate: Skate, place: tuple[int, int], gaps: LeastGaps) -> Iterator[Obstacle]:
    least, sole = thousandths(gaps.block_mm), skate.sole
    for index, depth in enumerate((sole.front_block_depth_mm, sole.rear_block_depth_mm)):
        if depth != 0:
            low, high = _to_block(skate, index == 0, place)
            yield Obstacle(TO_BLOCK, index, low, inf if depth is None else high, least, 0.0, _MEASURE_BLOCKS)


def _to_block(skate: Skate, is_front: bool, place: tuple[int, int]) -> tuple[float, float]:
    """Give the distance to a block that may reach to the end of the boot, and to what must be part of it.

    The deck touches both blocks. Their gap is taken to lie midway between the frame bolts, within a doubt. A block is
    certain between the end of the gap and the frame bolt that goes into it.
    """
    # Mirrored for the rear block, so that either lies ahead of its end of the gap.
    ahead = 1 if is_front else -1
    along = float(ahead * place[0])
    step = 0.0 if is_front else _step_um(skate.deck)
    ends = _ends_of_gap(skate.sole)
    low = hypot(max(0.0, ends[0] - along), max(0.0, place[1] + (step or 0.0)))
    bolt = skate.deck.front_bolt_along_mm if is_front else skate.deck.rear_bolt_along_mm
    certain = [ends[1]] if ends[1] < inf else []
    certain += [] if bolt is None else [float(ahead * thousandths(bolt))]
    if step is None or not certain:
        return low, inf
    aside = max(0.0, min(certain) - along, along - max(certain))
    return low, hypot(aside, max(0.0, place[1] + step))


def _ends_of_gap(sole: Sole) -> tuple[float, float]:
    """Give how far ahead of the middle between the frame bolts a block begins, at least and at most."""
    if sole.block_gap_mm is None:
        return -inf, inf
    half, doubt = thousandths(sole.block_gap_mm) / 2, thousandths(estimate("block_gap_place_half_width_mm").likely)
    return half - doubt, half + doubt


def _step_um(deck: Deck) -> float | None:
    return None if deck.heel_step_mm is None else float(thousandths(deck.heel_step_mm))


def _underside(sole: Sole, place: tuple[int, int], gaps: LeastGaps) -> Iterator[Obstacle]:
    """Give the sole, bare at the low end, lifted by its front block at the high one.

    Axles are known from the deck, which touches the blocks. Whether an outline holds the blocks or the bare sole
    cannot be seen from it.
    """
    if len(sole.outline) < 2:
        return
    lift, doubt = sole.front_block_depth_mm, estimate("outline_half_width_mm").likely * 1000
    low = _to_outline(sole.outline, place[0], place[1])
    high = inf if lift is None else _to_outline(sole.outline, place[0], place[1] + thousandths(lift))
    yield Obstacle(TO_SOLE, None, low, max(low, high), thousandths(gaps.sole_mm), doubt, _MEASURE_SOLE)


def _to_outline(outline: tuple[Place, ...], along_um: int, down_um: int) -> float:
    """Give the distance of an axle from an outline, below 0 where it lies in it."""
    return gap_to_outline(Wheel(along_um, down_um, 2.0), outline) + 1.0
