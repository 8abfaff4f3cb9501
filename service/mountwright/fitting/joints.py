"""Judges one joint: every pattern of one side with every pattern of the other, and keeps the best."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple

from mountwright.fitting.answers import CheckAnswer, JointAnswer, Need, NextStep, Outcome, StepKind
from mountwright.fitting.beliefs import Beliefs, Contradiction
from mountwright.fitting.bench import Bench
from mountwright.fitting.conversions import Way, way_between
from mountwright.fitting.next_step import Subject, step_for_joint
from mountwright.fitting.placement import shift_between
from mountwright.fitting.settings import settled
from mountwright.fitting.verdict import Verdict
from mountwright.fitting.weighing import Judged, Weighed, answering_family, bounds, weighed
from mountwright.measure.quantity import Limits
from mountwright.mounts.mount import Mount, Pattern
from mountwright.mounts.standard import Family


class _Pair(NamedTuple):
    """One pattern of each side with what is believed of it, and the family that answers for the joint."""

    position: str
    skate: tuple[Pattern, Beliefs]
    part: tuple[Pattern, Beliefs]
    family: Family | None

    @property
    def names(self) -> tuple[str, str]:
        return self.skate[0].name, self.part[0].name

    @property
    def sides(self) -> tuple[str, str]:
        return self.skate[1].leading.side.side, self.part[1].leading.side.side

    @property
    def subjects(self) -> tuple[Subject, Subject]:
        (skate_side, part_side), (skate, skates), (part, parts) = self.sides, self.skate, self.part
        return Subject(skate, skates, skate_side), Subject(part, parts, part_side)

    @property
    def standards(self) -> tuple[str, str]:
        return self.skate[1].leading.key, self.part[1].leading.key


def judged(skate: Mount, part: Mount, bench: Bench) -> JointAnswer:
    """Judge a joint; of several patterns the best pair is used and named.

    Parameters
    ----------
    skate, part : Mount
        At the same position, of different sides.
    bench : Bench
    """
    found = [(used, _judged_pair(pair, bench)) for used, pair in _pairs(skate, part, bench)]
    if len(found) == 1:
        return found[0][1]
    used, best = min(found, key=lambda each: (each[1].verdict.rank, -each[1].probability, each[1].patterns))
    if len(skate.patterns) == 1:
        return best
    return best._replace(shift_um=shift_between(skate.patterns[0], used, skate.position, bench.registry))


def _pairs(skate: Mount, part: Mount, bench: Bench) -> Iterator[tuple[Pattern, _Pair]]:
    for a in skate.patterns:
        for b in part.patterns:
            # A plate is set by what it has to meet, so each side is settled against the other as it was described.
            first = bench.believed(settled(a, b, bench.registry, bench.estimates), skate)
            second = bench.believed(settled(b, a, bench.registry, bench.estimates), part)
            family = answering_family(skate.position, first[1], second[1], bench.registry)
            yield a, _Pair(skate.position, first, second, family)


def _judged_pair(pair: _Pair, bench: Bench) -> JointAnswer:
    try:
        return _answer(pair, weighed(pair.position, pair.skate, pair.part, pair.family), bench)
    except (Exception, SystemExit) as error:  # noqa: BLE001  # a stranger's rule may raise anything; it costs its own answer
        name = pair.family.name if pair.family else pair.position
        bench.registry.record_fault(name, error)
        return _faulted(pair, name)


def _faulted(pair: _Pair, family: str) -> JointAnswer:
    step = NextStep(StepKind.DESCRIBE, "step.plugin_fault", "", "", "", {"family": family})
    return JointAnswer(
        pair.position,
        pair.sides,
        pair.names,
        pair.standards,
        Verdict.CANNOT_TELL,
        probability=0.0,
        probability_at_most=1.0,
        next_step=step,
        fault=family,
    )


def _answer(pair: _Pair, found: Weighed, bench: Bench) -> JointAnswer:
    skates, parts = pair.skate[1], pair.part[1]
    contradictions: tuple[Contradiction, ...] = ()
    if skates.contradiction or parts.contradiction:
        contradictions = tuple(c for c in (skates.contradiction, parts.contradiction) if c is not None)
    verdict, way = _verdict(found, bool(contradictions), bench), None
    refused = verdict is Verdict.DOES_NOT_FIT
    if verdict is not Verdict.FITS:
        way = way_between(pair.position, skates, parts, pair.family, bench)
        verdict = _by_way(verdict, way, bool(contradictions))
    family = pair.family.name if pair.family else ""
    step = None
    if verdict is Verdict.CANNOT_TELL:
        step = step_for_joint(pair.position, found, pair.subjects, pair.family, bench)
    return JointAnswer(
        position=pair.position,
        sides=pair.sides,
        patterns=pair.names,
        standards=pair.standards,
        verdict=verdict,
        # Where a conversion makes the joint, of the joint with it; else of the joint as it stands.
        probability=way.probability if way and verdict in _BY_WAY else found.low,
        probability_at_most=way.probability if way and verdict in _BY_WAY else found.high,
        checks=tuple([_check_answer(judged, pair, family, refused, bench) for judged in found.checks]),
        contradictions=contradictions,
        needs=(_need(way),) if way else (),
        cautions=_cautions(pair, way),
        next_step=step,
        settings=(pair.skate[0].settings, pair.part[0].settings),
    )


def _verdict(found: Weighed, contradicted: bool, bench: Bench) -> Verdict:
    if found.high <= bench.estimates.does_not_fit:
        return Verdict.DOES_NOT_FIT
    if found.low >= bench.threshold and not contradicted:
        return Verdict.FITS
    return Verdict.CANNOT_TELL


def _by_way(verdict: Verdict, way: Way | None, contradicted: bool) -> Verdict:
    """Let a conversion lift a no: to its own verdict where it is certain, to doubt where it may be the way."""
    if way is None or verdict is not Verdict.DOES_NOT_FIT:
        return verdict
    if not way.certain or contradicted:
        return Verdict.CANNOT_TELL
    return Verdict.FITS_WITH_PARTS if way.conversion.kind == "adapter" else Verdict.FITS_AFTER_BENCH_WORK


_BY_WAY = frozenset((Verdict.FITS_WITH_PARTS, Verdict.FITS_AFTER_BENCH_WORK))


def _need(way: Way) -> Need:
    conversion = way.conversion
    return Need(conversion.key, conversion.kind, conversion.reversible, conversion.added_height, conversion.source)


def _cautions(pair: _Pair, way: Way | None) -> tuple[str, ...]:
    codes: list[str] = []
    for _, beliefs in (pair.skate, pair.part):
        standard = beliefs.leading.standard
        if standard is not None and standard.cautions:
            codes += standard.cautions
    if way is not None:
        codes += way.conversion.cautions
        codes += [] if way.conversion.reversible else ["caution.cannot_be_undone"]
    return tuple(dict.fromkeys(codes))


def _check_answer(judged: Judged, pair: _Pair, family: str, refused: bool, bench: Bench) -> CheckAnswer:
    check = judged.check
    estimate, limits = check.value, check.limits
    value = margin = None
    if estimate is not None:
        value = estimate.value
        margin = limits.margin(value)
    if check.magnitude:
        value, limits = None if value is None else abs(value), _from_nothing(limits.high)
    outcome = _outcome(judged, refused, bench)
    return CheckAnswer(
        check.code,
        family,
        pair.position,
        outcome,
        value,
        limits,
        check.unit,
        margin,
        judged.low,
        check.source,
        check.missing,
        check.params,
    )


@lru_cache(maxsize=4096)
def _from_nothing(high: float | None) -> Limits:
    return Limits(0, high)


def _outcome(judged: Judged, refused: bool, bench: Bench) -> Outcome:
    """Give how a check came out; where the joint was refused, what fails as the sides most likely are has failed."""
    if judged.check.value is None:
        return Outcome.NOT_MEASURED if judged.check.missing else Outcome.UNDECIDED
    fails = bench.estimates.does_not_fit
    if judged.high <= fails or (refused and judged.low <= fails and bounds(judged.check)[1] <= fails):
        return Outcome.FAIL
    return Outcome.PASS if judged.low >= bench.threshold else Outcome.UNDECIDED
