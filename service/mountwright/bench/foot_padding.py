"""The smaller foot stands in a shell of the larger one's size: how much padding it wants, and where."""

from __future__ import annotations

from collections.abc import Iterator
from enum import StrEnum
from typing import NamedTuple

from mountwright.bench.feet import Feet, Measure, Pair, Side, larger, other
from mountwright.bench.size_estimates import probability_above, size_estimate
from mountwright.fitting.estimates import estimates
from mountwright.measure.quantity import Estimate
from mountwright.measure.uncertainty import combined
from mountwright.riding.band import Band


class PadNeed(StrEnum):
    """Whether the smaller foot wants padding."""

    NONE = "none"
    TRY_WITHOUT = "try_without"
    PAD = "pad"
    BEYOND = "beyond"


class PadPlace(StrEnum):
    """Where padding goes."""

    BEHIND_HEEL = "behind_heel"
    EACH_SIDE = "each_side"
    UNDER_TONGUE = "under_tongue"


_PLACES = {
    Measure.LENGTH: PadPlace.BEHIND_HEEL,
    Measure.BREADTH: PadPlace.EACH_SIDE,
    Measure.INSTEP: PadPlace.UNDER_TONGUE,
}


class Padding(NamedTuple):
    """What the smaller foot wants by one measure.

    Parameters
    ----------
    measure : Measure
    side : Side or None
        The smaller foot; None where both read alike.
    need : PadNeed
    place : PadPlace
    thickness : Band
        Of the padding at its place before it is pressed, mm, 0 or more; on each side where it goes on both.
    """

    measure: Measure
    side: Side | None
    need: PadNeed
    place: PadPlace
    thickness: Band


def paddings(feet: Feet) -> tuple[Padding, ...]:
    """Give what the smaller foot wants by every measure that was taken, length first."""
    return tuple(_paddings(feet))


def _paddings(feet: Feet) -> Iterator[Padding]:
    for measure, place in _PLACES.items():
        pair = feet.pair(measure)
        if pair is not None:
            yield _padding(measure, place, pair)


def _padding(measure: Measure, place: PadPlace, pair: Pair) -> Padding:
    found = larger(pair)
    sides = 2 if place is PadPlace.EACH_SIDE else 1
    pressed = size_estimate("padding_pressed_share")
    low, likely, high = (
        max(0.0, each) / sides for each in (found.difference.low, found.difference.likely, found.difference.high)
    )
    thickness = Band(low / (1 - pressed.low), likely / (1 - pressed.likely), high / (1 - pressed.high))
    return Padding(measure, None if found.side is None else other(found.side), _need(pair), place, thickness)


def _need(pair: Pair) -> PadNeed:
    gap_mm = abs(pair.left.value - pair.right.value) / 1000
    apart = Estimate(gap_mm, combined([reading.standard_uncertainty for reading in pair]) / 1000)
    likely = estimates().try_it
    if probability_above(apart, size_estimate("padding_up_to_mm")) >= likely:
        return PadNeed.BEYOND
    wanted = probability_above(apart, size_estimate("padding_from_mm"))
    if wanted >= likely:
        return PadNeed.PAD
    return PadNeed.NONE if wanted <= 1 - likely else PadNeed.TRY_WITHOUT
