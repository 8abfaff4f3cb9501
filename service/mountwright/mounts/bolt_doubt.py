"""How the doubt of the holes' places reaches the margin: propagation by drawing (JCGM 101:2008).

The margin is the least over all bolts, so that doubt not only spreads it but lowers its
middle; a first-order propagation would promise too much.
"""

from __future__ import annotations

import math
import random
import statistics
from collections.abc import Mapping, Sequence
from functools import cache
from statistics import NormalDist

from mountwright.measure.conformity import normal_cdf
from mountwright.measure.quantity import Estimate
from mountwright.mounts.bolt_shift import FIRST_TOUCHES, Bolt, Vector, best_shift
from mountwright.mounts.bolts import BoltsPass, matched
from mountwright.mounts.holes import Hole

#: Enough to place the middle within a sixteenth of the spread.
_DRAWS = 256

#: Shifts are found to this many micrometres.
_TOLERANCE_UM = 0.1

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

    The margin is less than that of the places as read: what the doubt leaves of it.
    Where the doubt plainly cannot turn the outcome, first order is enough. Else each draw
    moves every hole of the boot by the combined doubt of its place and its counterpart's;
    the part is shifted anew and turned as the steps ask for on the whole, which is not
    quite the best turn and so errs toward a smaller margin.

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
    bolts = matched(boot, part, bolt_um)
    alone = max(bolt.alone for bolt in bolts)
    turn, arms = math.radians(found.turn_deg), _arms(bolts)
    margins = [_margin_of_draw(bolts, arms, spreads, draw, turn, alone) for draw in _draws()]
    return _as_normal(margins)


def _as_normal(margins: Sequence[float]) -> Estimate:
    """Give the normal value that has the spread of the draws and their chance of being above nothing.

    The draws have a longer tail below than above; a normal value about their middle would
    promise too much. Their chance is smoothed over a third of the spread.
    """
    spread = statistics.stdev(margins)
    if spread == 0:
        return Estimate(margins[0], 0)
    chance = statistics.fmean(normal_cdf(3 * margin / spread) for margin in margins)
    sure = 1 / (2 * len(margins))
    return Estimate(spread * NormalDist().inv_cdf(min(max(chance, sure), 1 - sure)), spread)


def _margin_of_draw(
    bolts: Sequence[Bolt],
    arms: Sequence[Vector],
    spreads: Sequence[float],
    draw: Sequence[Vector],
    turn: float,
    alone: float,
) -> float:
    steps = [(spread * along, spread * across) for spread, (along, across) in zip(spreads, draw, strict=False)]
    moved = [
        bolt._replace(boot=(bolt.boot[0] + along, bolt.boot[1] + across))
        for bolt, (along, across) in zip(bolts, steps, strict=True)
    ]
    # Of all turns, the one that follows the steps best by least squares about the middle.
    length = sum(x * x + y * y for x, y in arms)
    turning = sum(x * dy - y * dx for (x, y), (dx, dy) in zip(arms, steps, strict=True))
    follow = turning / length if length else 0.0
    return -2 * best_shift(moved, turn + follow, FIRST_TOUCHES, alone, _TOLERANCE_UM).over


def _arms(bolts: Sequence[Bolt]) -> list[Vector]:
    along = statistics.fmean(bolt.boot[0] for bolt in bolts)
    across = statistics.fmean(bolt.boot[1] for bolt in bolts)
    return [(bolt.boot[0] - along, bolt.boot[1] - across) for bolt in bolts]


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
