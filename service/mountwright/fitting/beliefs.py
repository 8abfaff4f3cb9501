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
from functools import cache, lru_cache
from types import MappingProxyType
from typing import NamedTuple

from mountwright.fitting.estimates import Estimates
from mountwright.measure.quantity import Estimate, Limits, Quantity
from mountwright.measure.updating import BEYOND_ALL, is_contradicted, squared_distance, updated
from mountwright.mounts.bolt_rule import spacing_of, spacings_at
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
    """One figure for one dimension, thousandths, and the log of the range that such a figure may lie in."""

    dimension: str
    figure: Estimate
    log_width: float


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


#: Stands for the claimant where a piece in hand is not as the catalogue has it.
CATALOGUE = "catalogue"


@dataclass(frozen=True)
class Contradiction:
    """A claim, or an entry of the catalogue, that the readings speak against.

    Parameters
    ----------
    side : str
    standard : str
        Empty where none is claimed.
    claimed_by : str
        A claimant, or ``catalogue``.
    what : str
        The dimension farthest out, the feature that was seen otherwise, ``standard`` or ``drawing_id``.
    found, expected : float or str
        Thousandths of the dimension's unit, or words.
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
    """What a pattern tells beside its claim."""

    readings: tuple[Reading, ...]
    others: Mapping[str, Estimate]
    features: Mapping[str, str]
    recorded: frozenset[str]
    some_repeated: bool


class _Kind(NamedTuple):
    """One thing that a mount may be, and what its dimensions would then read."""

    standard: Standard | None
    expected: Mapping[str, Estimate]
    log_prior: float
    without: frozenset[str]


def beliefs_about(
    pattern: Pattern,
    position: str,
    side: str,
    registry: Registry,
    estimates: Estimates,
    spread: Spread,
    floor: float = 0.0,
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
    floor : float
        Beliefs of less weight are left out, the likeliest excepted.
    """
    evidence = _evidence(pattern, position, side, registry)
    kinds = _kinds(registry, estimates, position, side, spread, pattern.standard, pattern.claimed_by)
    scored = [_score(kind, evidence, estimates) for kind in kinds]
    most = max(scored)[0]
    weights = [math.exp(log - most) for log, _ in scored]
    total = sum(weights)
    least = floor * total
    each = []
    for kind, weight, (_, distance) in zip(kinds, weights, scored, strict=True):
        if weight >= least:
            held = _side_under(kind, weight > 0, pattern, side, evidence)
            each.append(Belief(kind.standard, weight / total, held, distance))
    each.sort(key=_likeliest_first)
    contradiction = None
    if pattern.standard is not None and (evidence.readings or evidence.features):
        contradiction = _contradiction(pattern, side, kinds, scored, evidence)
    if contradiction is None and pattern.disputes:
        contradiction = _disputed(pattern, side)
    return Beliefs(tuple(each), contradiction, evidence.readings)


def _likeliest_first(belief: Belief) -> tuple[float, bool, str]:
    return -belief.weight, belief.standard is None, belief.key


@lru_cache(maxsize=4096)
def _kinds(
    registry: Registry,
    estimates: Estimates,
    position: str,
    side: str,
    spread: Spread,
    standard: str | None,
    claimed_by: Claimant | None,
) -> tuple[_Kind, ...]:
    """Give what a mount may be before any reading; the same for every pattern with the same claim."""
    candidates = [candidate for candidate in registry.at(position) if side in candidate.family.sides]
    priors = _priors(standard, claimed_by, [candidate.key for candidate in candidates], estimates)
    kinds: list[Standard | None] = [*candidates, None]
    return tuple(
        _Kind(kind, unread_figures(kind, side, spread), math.log(prior), kind.without)
        if kind
        else _Kind(None, _NOTHING, math.log(prior), _NOT_WITHOUT)
        for kind, prior in zip(kinds, priors, strict=True)
    )


_NOTHING: Mapping[str, Estimate] = MappingProxyType({})
_NOT_WITHOUT: frozenset[str] = frozenset()


def _priors(
    standard: str | None, claimed_by: Claimant | None, keys: Sequence[str], estimates: Estimates
) -> list[float]:
    """Give the weight of each candidate and, last, of none of them, before any reading."""
    count = len(keys)
    if not count:
        return [1.0]
    if claimed_by is None:
        return [(1 - estimates.unclaimed_none) / count] * count + [estimates.unclaimed_none]
    right = estimates.claim_is_right[claimed_by]
    if standard not in keys:
        # Claimed to be something else than these: they share what a wrong claim leaves.
        shared = (1 - right) * estimates.others_share
        return [shared / count] * count + [1 - shared]
    shared = (1 - right) * estimates.others_share if count > 1 else 0.0
    others = [right if key == standard else shared / (count - 1) for key in keys]
    return [*others, 1 - right - shared]


def _evidence(pattern: Pattern, position: str, side: str, registry: Registry) -> _Evidence:
    """Sort a pattern's figures into those that some standard has a word on and those that none has."""
    telling = _telling(registry, position)
    readings: list[Reading] = []
    others: dict[str, Estimate] = {}
    for name, figure in pattern.figures.items():
        if type(figure) is Quantity:
            estimate = Estimate(figure.value, figure.standard_uncertainty)
            if name in telling:
                readings.append(Reading(name, estimate, telling[name]))
            else:
                others[name] = estimate
    if len(pattern.holes) == 2:
        readings += _placed_apart(pattern, position, side, registry)
    told: dict[str, str] = {}
    for feature, answer in pattern.seen.items():
        coarse = _coarse_reading(feature, answer, side, registry.families_at(position))
        if coarse is None:
            told[feature] = answer
        else:
            dimension, quantity = coarse
            estimate = Estimate(quantity.value, quantity.standard_uncertainty)
            readings.append(Reading(dimension, estimate, telling.get(dimension, 0.0)))
    read = [reading.dimension for reading in readings]
    return _Evidence(tuple(readings), others, told, frozenset([*read, *others]), len(set(read)) < len(read))


def _placed_apart(pattern: Pattern, position: str, side: str, registry: Registry) -> list[Reading]:
    """Read the spacing of two holes off their places, where nobody gave it as a figure."""
    telling = _telling(registry, position)
    held = JointSide(side, {}, {}, pattern.holes)
    found = []
    for dimension in spacings_at(registry.families_at(position)):
        spacing = spacing_of(held, dimension)
        if spacing is not None and dimension in telling and dimension not in pattern.figures:
            found.append(Reading(dimension, spacing, telling[dimension]))
    return found


def _coarse_reading(feature: str, answer: str, side: str, families: Sequence[Family]) -> tuple[str, Quantity] | None:
    for family in families:
        look = family.looks.get(feature)
        if look and side in look.sides:
            return look.answers.get(answer)
    return None


@lru_cache(maxsize=256)
def _telling(registry: Registry, position: str) -> Mapping[str, float]:
    """Give the dimensions that tell standards apart, each with the log of its plausible range, in thousandths.

    That range is what a figure may lie in if no standard explains it.
    """
    told = {name for standard in registry.at(position) for name in (*standard.nominals, *standard.without)}
    return {name: _log_width(registry.plausible(position, name)) for name in told}


def _log_width(limits: Limits | None) -> float:
    if limits is None or limits.low is None or limits.high is None:
        return 0.0
    return math.log(max(limits.high - limits.low, 1.0))


def _score(kind: _Kind, evidence: _Evidence, estimates: Estimates) -> tuple[float, float]:
    """Give the logarithm of prior times likelihood, and the summed squared distance of the readings.

    Once the distance is beyond what any number of readings could explain, the rest is not looked at.
    """
    if evidence.some_repeated:
        return _score_repeated(kind, evidence, estimates)
    log, distance, explained, expected = kind.log_prior, 0.0, 0, kind.expected
    for dimension, figure, log_width in evidence.readings:
        prior = expected.get(dimension)
        if prior is None:
            log -= log_width
            continue
        out = squared_distance(prior, figure)
        distance += out
        if distance > BEYOND_ALL:
            return -math.inf, distance
        log += log_density(out, prior, figure)
        explained += 1
    if explained and is_contradicted(distance, explained):
        return -math.inf, distance
    if evidence.features or kind.without:
        log += _told(kind.standard, evidence, estimates)
    return log, distance


def _score_repeated(kind: _Kind, evidence: _Evidence, estimates: Estimates) -> tuple[float, float]:
    """Score readings of which some are of the same dimension: each is held against what the one before it left."""
    log, distance, explained, expected = kind.log_prior, 0.0, 0, dict(kind.expected)
    for dimension, figure, log_width in evidence.readings:
        prior = expected.get(dimension)
        if prior is None or (dimension not in kind.expected and _clash(prior, figure)):
            log -= log_width
            expected.setdefault(dimension, figure)
            continue
        out = squared_distance(prior, figure)
        log += log_density(out, prior, figure)
        distance += out
        explained += 1
        expected[dimension] = updated(prior, figure)
    # What explains nothing is never out, so that something is always left.
    is_out = kind.standard is not None and is_contradicted(distance, explained)
    return -math.inf if is_out else log + _told(kind.standard, evidence, estimates), distance


def _clash(first: Estimate, second: Estimate) -> bool:
    """Tell whether two readings contradict each other: then the first stands, for a measurement comes before a look."""
    return is_contradicted(squared_distance(first, second), 1)


def _side_under(kind: _Kind, alive: bool, pattern: Pattern, side: str, evidence: _Evidence) -> JointSide:
    """Give the mount as it is if a belief is true; a belief that is out stays as the standard has it."""
    figures = kind.expected
    if alive and evidence.recorded:
        figures = {**figures, **evidence.others}
        for dimension, figure, _ in evidence.readings:
            prior = figures.get(dimension)
            if prior is None:
                figures[dimension] = figure
            elif dimension in kind.expected or not _clash(prior, figure):
                figures[dimension] = updated(prior, figure)
    features = pattern.seen
    if kind.standard:
        features = {**kind.standard.features, **features} if features else kind.standard.features
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
    (_, prior_spread), (_, spread) = prior, figure
    variance = prior_spread * prior_spread + spread * spread
    if variance == 0:
        return 0.0 if distance == 0 else -math.inf
    return -0.5 * (distance + math.log(variance)) - _LOG_ROOT_2PI


def _told(standard: Standard | None, evidence: _Evidence, estimates: Estimates) -> float:
    """Give the log-likelihood of what was seen, and of a reading having been possible at all."""
    without = standard.without if standard else _NOT_WITHOUT
    if not evidence.features and not (without and without & evidence.recorded):
        return 0.0
    right, wrong = math.log(estimates.look_reliability), math.log(1 - estimates.look_reliability)
    log = wrong * len(without & evidence.recorded)
    for feature, answer in evidence.features.items():
        expected = standard.features.get(feature) if standard else None
        log += -math.log(2) if expected is None else right if expected == answer else wrong
    return log


def _contradiction(
    pattern: Pattern,
    side: str,
    kinds: Sequence[_Kind],
    scored: Sequence[tuple[float, float]],
    evidence: _Evidence,
) -> Contradiction | None:
    for kind, (_, distance) in zip(kinds, scored, strict=True):
        if kind.standard is not None and kind.standard.key == pattern.standard:
            out = _worst_reading(kind, distance, evidence) or _seen_otherwise(kind.standard, evidence)
            return Contradiction(side, kind.standard.key, str(pattern.claimed_by), *out) if out else None
    return None


def _disputed(pattern: Pattern, side: str) -> Contradiction:
    what, found, expected = pattern.disputes[0]
    return Contradiction(side, pattern.standard or "", CATALOGUE, what, found, expected)


def _worst_reading(kind: _Kind, distance: float, evidence: _Evidence) -> tuple[str, float, float] | None:
    expected = kind.expected
    known = [reading for reading in evidence.readings if reading.dimension in expected]
    if kind.standard is None or not is_contradicted(distance, len(known)):
        return None
    worst = max(known, key=lambda reading: squared_distance(expected[reading.dimension], reading.figure))
    return worst.dimension, worst.figure.value, kind.standard.nominals[worst.dimension].stated


def _seen_otherwise(standard: Standard, evidence: _Evidence) -> tuple[str, str, str] | None:
    for feature, answer in evidence.features.items():
        if standard.features.get(feature, answer) != answer:
            return feature, answer, standard.features[feature]
    return None
