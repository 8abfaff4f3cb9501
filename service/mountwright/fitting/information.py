"""How much a look or a reading is expected to tell: the expected drop of entropy of a mixture, in nat."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from functools import cache
from statistics import NormalDist

from mountwright.fitting.beliefs import Belief, Beliefs, log_density
from mountwright.measure.conformity import normal_cdf
from mountwright.measure.quantity import Estimate, Limits, Quantity
from mountwright.measure.updating import squared_distance
from mountwright.mounts.standard import Look

#: Points at which an expectation over a reading is taken, per belief.
_POINTS = 64


def entropy(weights: Iterable[float]) -> float:
    """Give the entropy of weights that add to 1, in nat."""
    return -sum(weight * math.log(weight) for weight in weights if weight > 0)


@cache
def _quantiles() -> tuple[float, ...]:
    """Give standard normal quantiles in the middles of equally likely classes."""
    return tuple(NormalDist().inv_cdf((index + 0.5) / _POINTS) for index in range(_POINTS))


def drop_by_reading(beliefs: Beliefs, dimension: str, uncertainty: float, plausible: Limits) -> float:
    """Give the entropy that measuring a dimension is expected to take away.

    Parameters
    ----------
    beliefs : Beliefs
    dimension : str
    uncertainty : float
        Standard uncertainty of the reading to come, thousandths.
    plausible : Limits
        Where the reading may lie if no standard explains the mount.
    """
    weights = [belief.weight for belief in beliefs.each]
    figures = [belief.side.figures.get(dimension) for belief in beliefs.each]
    reading = Estimate(0, uncertainty)
    after = 0.0
    for weight, figure in zip(weights, figures, strict=True):
        if weight < 1e-6:
            continue
        points = _points(figure, uncertainty, plausible)
        after += (
            weight * sum(entropy(_posterior(weights, figures, reading, y, plausible)) for y in points) / len(points)
        )
    return max(0.0, entropy(weights) - after)


def _points(figure: Estimate | None, uncertainty: float, plausible: Limits) -> Sequence[float]:
    if figure is not None:
        spread = math.hypot(figure.standard_uncertainty, uncertainty)
        return [figure.value + spread * z for z in _quantiles()]
    low, high = plausible.low or 0.0, plausible.high or 0.0
    return [low + (high - low) * (index + 0.5) / _POINTS for index in range(_POINTS)]


def _posterior(
    weights: Sequence[float], figures: Sequence[Estimate | None], reading: Estimate, value: float, plausible: Limits
) -> list[float]:
    taken = Estimate(value, reading.standard_uncertainty)
    flat = -math.log(max((plausible.high or 0.0) - (plausible.low or 0.0), 1.0))
    logs = [flat if f is None else log_density(squared_distance(f, taken), f, taken) for f in figures]
    joint = [weight * math.exp(log) for weight, log in zip(weights, logs, strict=True)]
    total = sum(joint)
    return [each / total for each in joint] if total > 0 else list(weights)


def drop_by_look(beliefs: Beliefs, look: Look, reliability: float) -> float:
    """Give the entropy that a look is expected to take away.

    Parameters
    ----------
    beliefs : Beliefs
    look : Look
    reliability : float
        How often a look at a plain feature is right.
    """
    chances = [_chances(belief, look, reliability) for belief in beliefs.each]
    weights = [belief.weight for belief in beliefs.each]
    after = 0.0
    for index in range(len(look.answers)):
        joint = [weight * row[index] for weight, row in zip(weights, chances, strict=True)]
        total = sum(joint)
        if total > 0:
            after += total * entropy(each / total for each in joint)
    return max(0.0, entropy(weights) - after)


def _chances(belief: Belief, look: Look, reliability: float) -> list[float]:
    """Give the probability of each answer if a belief is true; no preference where it says nothing."""
    even = [1 / len(look.answers)] * len(look.answers)
    if belief.standard is None:
        return even
    told = belief.standard.features.get(look.feature)
    if told in look.answers:
        rest = (1 - reliability) / max(1, len(look.answers) - 1)
        return [reliability if answer == told else rest for answer in look.answers]
    densities = [_coarse_density(belief, answer) for answer in look.answers.values()]
    total = sum(densities)
    return [density / total for density in densities] if total > 0 else even


def _coarse_density(belief: Belief, answer: tuple[str, Quantity] | None) -> float:
    if answer is None:
        return 0.0
    dimension, quantity = answer
    figure = belief.side.figures.get(dimension)
    if figure is None:
        return 0.0
    spread = math.hypot(figure.standard_uncertainty, quantity.standard_uncertainty)
    gap = abs(figure.value - quantity.value)
    # The chance of a look landing this far out, not a density: answers differ in how coarse they are.
    return 2 * normal_cdf(-gap / spread) if spread else float(gap == 0)
