"""What a mount may be: a mixture over the installed standards and "none of these", updated by every reading.

A claim is prior knowledge that can be wrong outright; a reading moves the weights and,
under each standard, narrows where the true value lies. A standard that the readings
cannot be explained by is out (JCGM 106:2012, 6.4 for the update; chi-square gate at 0.999).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from types import MappingProxyType
from typing import NamedTuple

from mountwright.fitting.estimates import Estimates
from mountwright.measure.quantity import Estimate, Limits, Quantity
from mountwright.measure.updating import is_contradicted, squared_distance, updated
from mountwright.mounts.joint import JointSide
from mountwright.mounts.mount import Claimant, Pattern
from mountwright.mounts.registry import Registry
from mountwright.mounts.standard import Family, Standard

_LOG_ROOT_2PI = 0.5 * math.log(2 * math.pi)


class Spread(StrEnum):
    """Which spread of a standard counts: of conforming sides (fit), or of those met on the bench (family)."""

    CONFORMING = "conforming"
    MET = "met"


class Reading(NamedTuple):
    """One figure for one dimension, thousandths, and the range (thousandths) that such a figure may lie in."""

    dimension: str
    figure: Estimate
    width: float


class Belief(NamedTuple):
    """One thing that a mount may be.

    Parameters
    ----------
    standard : Standard or None
        None stands for "none of these".
    weight : float
        Its probability.
    side : JointSide
        The mount under this belief.
    distance : float
        Summed squared distance of the readings from the standard, in units of their spread.
    """

    standard: Standard | None
    weight: float
    side: JointSide
    distance: float

    @property
    def key(self) -> str:
        """Give the standard's key, empty for none."""
        return self.standard.key if self.standard else ""


@dataclass(frozen=True)
class Contradiction:
    """A claim that the readings speak against.

    Parameters
    ----------
    side, standard, claimed_by : str
    what : str
        The dimension farthest out, or the feature that was seen otherwise.
    found, expected : float or str
        Thousandths of the dimension's unit, or the feature's answers.
    """

    side: str
    standard: str
    claimed_by: str
    what: str
    found: float | str
    expected: float | str


@dataclass(frozen=True)
class Beliefs:
    """The whole mixture; weights add to 1, the likeliest first.

    Parameters
    ----------
    each : tuple of Belief
    contradiction : Contradiction or None
    readings : tuple of Reading
        What it rests on besides the claim.
    """

    each: tuple[Belief, ...]
    contradiction: Contradiction | None
    readings: tuple[Reading, ...]

    @property
    def leading(self) -> Belief:
        """Give the likeliest."""
        return self.each[0]


class _Evidence(NamedTuple):
    readings: tuple[Reading, ...]
    features: Mapping[str, str]
    recorded: frozenset[str]


def beliefs_about(
    pattern: Pattern, position: str, side: str, registry: Registry, estimates: Estimates, spread: Spread
) -> Beliefs:
    """Weigh every installed standard at a position, and none of them, for one pattern.

    Parameters
    ----------
    pattern : Pattern
        With adjustable dimensions already set; those left adjustable are passed over.
    position, side : str
    registry : Registry
    estimates : Estimates
    spread : Spread
    """
    candidates = [standard for standard in registry.at(position) if side in standard.family.sides]
    evidence = _evidence(pattern, position, side, registry)
    kinds: list[Standard | None] = [*candidates, None]
    priors = _priors(pattern, candidates, estimates)
    scored = [_score(kind, prior, side, evidence, estimates, spread) for kind, prior in zip(kinds, priors, strict=True)]
    scale = max(log for log, _ in scored)
    weights = [math.exp(log - scale) for log, _ in scored]
    total = sum(weights)
    each = [
        Belief(kind, weight / total, _side_under(kind, weight > 0, pattern, side, evidence, spread), distance)
        for kind, weight, (_, distance) in zip(kinds, weights, scored, strict=True)
    ]
    each.sort(key=lambda belief: (-belief.weight, belief.standard is None, belief.key))
    claimed = next((belief for belief in each if belief.key and belief.key == pattern.standard), None)
    return Beliefs(tuple(each), _contradiction(claimed, pattern, evidence, spread), evidence.readings)


def _priors(pattern: Pattern, candidates: Sequence[Standard], estimates: Estimates) -> list[float]:
    """Give the weight of each candidate and, last, of none of them, before any reading."""
    count = len(candidates)
    if not count:
        return [1.0]
    if pattern.claimed_by is None or all(standard.key != pattern.standard for standard in candidates):
        return [(1 - estimates.unclaimed_none) / count] * count + [estimates.unclaimed_none]
    right = estimates.claim_is_right[Claimant(pattern.claimed_by)]
    shared = (1 - right) * estimates.others_share if count > 1 else 0.0
    others = [right if s.key == pattern.standard else shared / (count - 1) for s in candidates]
    return [*others, 1 - right - shared]


def _evidence(pattern: Pattern, position: str, side: str, registry: Registry) -> _Evidence:
    readings = [
        Reading(name, Estimate(figure.value, figure.standard_uncertainty), _width(registry.plausible(position, name)))
        for name, figure in pattern.figures.items()
        if isinstance(figure, Quantity)
    ]
    told: dict[str, str] = {}
    for feature, answer in pattern.seen.items():
        coarse = _coarse_reading(feature, answer, side, registry.families_at(position))
        if coarse is None:
            told[feature] = answer
        else:
            dimension, figure = coarse
            estimate = Estimate(figure.value, figure.standard_uncertainty)
            readings.append(Reading(dimension, estimate, _width(registry.plausible(position, dimension))))
    return _Evidence(tuple(readings), told, frozenset(reading.dimension for reading in readings))


def _coarse_reading(feature: str, answer: str, side: str, families: Sequence[Family]) -> tuple[str, Quantity] | None:
    for family in families:
        look = family.looks.get(feature)
        if look and side in look.sides:
            return look.answers.get(answer)
    return None


def _width(limits: Limits | None) -> float:
    if limits is None or limits.low is None or limits.high is None:
        return 1.0
    return max(limits.high - limits.low, 1.0)


def _score(
    standard: Standard | None, prior: float, side: str, evidence: _Evidence, estimates: Estimates, spread: Spread
) -> tuple[float, float]:
    """Give the logarithm of prior times likelihood, and the summed squared distance of the readings."""
    figures: Mapping[str, Estimate] = unread_figures(standard, side, spread) if standard else {}
    moved: dict[str, Estimate] = {}
    log, distance, explained = math.log(prior) + _told(standard, evidence, estimates), 0.0, 0
    for dimension, figure, width in evidence.readings:
        expected = moved.get(dimension) or figures.get(dimension)
        if expected is None:
            log -= math.log(width)
            moved[dimension] = figure
            continue
        out = squared_distance(expected, figure)
        log += log_density(out, expected, figure)
        distance += out
        explained += 1
        moved[dimension] = updated(expected, figure)
    return -math.inf if is_contradicted(distance, explained) else log, distance


def _side_under(
    standard: Standard | None, alive: bool, pattern: Pattern, side: str, evidence: _Evidence, spread: Spread
) -> JointSide:
    """Give the mount as it is if a belief is true; a belief that is out stays as the standard has it."""
    unread: Mapping[str, Estimate] = unread_figures(standard, side, spread) if standard else {}
    figures = unread
    if alive and evidence.readings:
        figures = dict(unread)
        for dimension, figure, _ in evidence.readings:
            expected = figures.get(dimension)
            figures[dimension] = figure if expected is None else updated(expected, figure)
    features = {**standard.features, **pattern.seen} if standard else pattern.seen
    return JointSide(side, figures, features, pattern.holes, pattern.drawing_id, pattern.damage, evidence.recorded)


@cache
def unread_figures(standard: Standard, side: str, spread: Spread) -> Mapping[str, Estimate]:
    """Give what a standard says of a side's dimensions before anybody measured."""
    dimensions = standard.family.dimensions
    return MappingProxyType(
        {
            name: nominal.conforming if spread is Spread.CONFORMING else nominal.met
            for name, nominal in standard.nominals.items()
            if side in dimensions[name].sides
        }
    )


def log_density(distance: float, prior: Estimate, figure: Estimate) -> float:
    """Give the log of the normal density of a reading at a squared distance from a prior."""
    spread = math.hypot(prior.standard_uncertainty, figure.standard_uncertainty)
    if spread == 0:
        return 0.0 if distance == 0 else -math.inf
    return -distance / 2 - math.log(spread) - _LOG_ROOT_2PI


def _told(standard: Standard | None, evidence: _Evidence, estimates: Estimates) -> float:
    """Give the log-likelihood of what was seen, and of a reading having been possible at all."""
    without = standard.without if standard else frozenset()
    if not evidence.features and not without & evidence.recorded:
        return 0.0
    right, wrong = math.log(estimates.look_reliability), math.log(1 - estimates.look_reliability)
    log = wrong * len(without & evidence.recorded)
    for feature, answer in evidence.features.items():
        expected = standard.features.get(feature) if standard else None
        log += -math.log(2) if expected is None else right if expected == answer else wrong
    return log


def _contradiction(
    claimed: Belief | None, pattern: Pattern, evidence: _Evidence, spread: Spread
) -> Contradiction | None:
    if claimed is None or claimed.standard is None:
        return None
    out = _worst_reading(claimed.standard, claimed, evidence, spread) or _seen_otherwise(claimed.standard, evidence)
    return Contradiction(claimed.side.side, claimed.key, str(pattern.claimed_by), *out) if out else None


def _worst_reading(
    standard: Standard, claimed: Belief, evidence: _Evidence, spread: Spread
) -> tuple[str, float, float] | None:
    expected = unread_figures(standard, claimed.side.side, spread)
    known = [reading for reading in evidence.readings if reading.dimension in expected]
    if not is_contradicted(claimed.distance, len(known)):
        return None
    worst = max(known, key=lambda reading: squared_distance(expected[reading.dimension], reading.figure))
    return worst.dimension, worst.figure.value, standard.nominals[worst.dimension].stated


def _seen_otherwise(standard: Standard, evidence: _Evidence) -> tuple[str, str, str] | None:
    for feature, answer in evidence.features.items():
        if standard.features.get(feature, answer) != answer:
            return feature, answer, standard.features[feature]
    return None
