"""How the doubt of the holes' places reaches the margin: propagation by drawing (JCGM 101:2008).

The margin is the least over all bolts, so that doubt not only spreads it but lowers its
middle; a first-order propagation would promise too much.
"""

from __future__ import annotations

import math
import random
import statistics
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cache

from mountwright.measure.quantity import Estimate
from mountwright.mounts.bolts import BoltsPass, bolts_pass
from mountwright.mounts.holes import Hole

#: Enough to place the middle within an eighth of the spread.
_DRAWS = 64

#: A margin this many spreads below nothing stays there.
_FAR = 4.0

#: Chance of an escape that no draw would show.
_NEGLIGIBLE = 1e-3

#: Most holes in a pattern that draws are kept for.
_MOST_HOLES = 24


@cache
def _draws() -> tuple[tuple[tuple[float, float], ...], ...]:
    """Give the same standard normal draws every time, so that the same question has the same answer."""
    source = random.Random(1)  # noqa: S311  # draws of a distribution, no secret
    return tuple(tuple((source.gauss(), source.gauss()) for _ in range(_MOST_HOLES)) for _ in range(_DRAWS))


def margin_in_doubt(boot: Sequence[Hole], part: Sequence[Hole], bolt_um: int, found: BoltsPass) -> Estimate:
    """Give the margin with its standard uncertainty, micrometres.

    The margin is the one to be expected under the doubt, which is less than that of the
    places as read. Where the doubt plainly cannot turn the outcome, first order is enough;
    else each draw moves every hole of the boot by the combined doubt of its place and its
    counterpart's; the part is shifted anew but keeps the turn that was found, which
    errs toward a smaller margin.

    Parameters
    ----------
    boot, part : sequence of Hole
        As given to :func:`bolts_pass`.
    bolt_um : int
    found : BoltsPass
        Its answer for the places as read.

    Returns
    -------
    Estimate
        Exact, and just what was found, where every place is exact.
    """
    doubts = {hole.name: hole.standard_uncertainty_um for hole in part}
    spreads = [math.hypot(hole.standard_uncertainty_um, doubts[hole.name]) for hole in boot]
    first_order = _first_order(found, dict(zip((hole.name for hole in boot), spreads, strict=True)))
    if not any(spreads) or _is_plain(first_order, spreads):
        return first_order
    turned = [_turned(hole, found.turn_deg) for hole in part]
    margins = [
        bolts_pass(
            [_moved(h, s, d) for h, s, d in zip(boot, spreads, draw, strict=False)], turned, bolt_um, 0
        ).margin_um
        for draw in _draws()
    ]
    return Estimate(statistics.fmean(margins), statistics.stdev(margins))


def _first_order(found: BoltsPass, spreads: Mapping[str, float]) -> Estimate:
    """By the envelope theorem the margin moves by twice each share of a hole's own displacement."""
    return Estimate(found.margin_um, math.hypot(*(2 * share.weight * spreads[share.hole] for share in found.shares)))


def _is_plain(margin: Estimate, spreads: Sequence[float]) -> bool:
    """Tell whether every bolt keeps its place, or some bolt misses it, whatever the doubt within reason.

    Where the part was found to lie best, each bolt has half of the margin to itself; a
    displacement in the plane exceeds it with the probability of a Rayleigh tail.
    """
    if margin.value <= 0:
        return margin.value < -_FAR * margin.standard_uncertainty
    tails = (math.exp(-((margin.value / 2 / spread) ** 2) / 2) for spread in spreads if spread)
    return sum(tails) < _NEGLIGIBLE


def _moved(hole: Hole, spread: float, draw: tuple[float, float]) -> Hole:
    return replace(
        hole,
        along_um=round((hole.along_um or 0) + spread * draw[0]),
        across_um=round(hole.across_um + spread * draw[1]),
    )


def _turned(hole: Hole, turn_deg: float) -> Hole:
    angle = math.radians(turn_deg)
    along, across = hole.along_um or 0, hole.across_um
    return replace(
        hole,
        along_um=round(along * math.cos(angle) - across * math.sin(angle)),
        across_um=round(along * math.sin(angle) + across * math.cos(angle)),
        slot_direction_deg=hole.slot_direction_deg + turn_deg,
    )
