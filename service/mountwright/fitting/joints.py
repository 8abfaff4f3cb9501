"""Judges one joint: every pattern of one side with every pattern of the other, and keeps the best."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from mountwright.fitting.answers import CheckAnswer, JointAnswer, Need, NextStep, Outcome, StepKind
from mountwright.fitting.beliefs import Beliefs, Spread, beliefs_about
from mountwright.fitting.conversions import Way, way_between
from mountwright.fitting.estimates import Estimates, Stake
from mountwright.fitting.next_step import step_for_joint
from mountwright.fitting.settings import nominal_of, settled
from mountwright.fitting.verdict import Verdict
from mountwright.fitting.weighing import Weighed, answering_family, weighed
from mountwright.mounts.check import Check
from mountwright.mounts.mount import Mount, Pattern
from mountwright.mounts.registry import Registry


@dataclass(frozen=True)
class Bench:
    """What every judgement needs beside the mounts."""

    registry: Registry
    estimates: Estimates
    stake: Stake


@dataclass(frozen=True)
class _Pair:
    """One pattern of each side with what is believed of it."""

    position: str
    skate: tuple[Pattern, Beliefs]
    part: tuple[Pattern, Beliefs]

    @property
    def sides(self) -> tuple[str, str]:
        return self.skate[1].leading.side.side, self.part[1].leading.side.side

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
    answers = [_judged_pair(pair, bench) for pair in _pairs(skate, part, bench)]
    best = min(answers, key=lambda answer: (answer.verdict.rank, -answer.probability, answer.patterns))
    return replace(best, frame_shift_um=_shift(skate, best))


def _pairs(skate: Mount, part: Mount, bench: Bench) -> Iterator[_Pair]:
    for a in skate.patterns:
        for b in part.patterns:
            # A plate is set by what it has to meet, so each side is settled against the other as it was described.
            first = settled(a, b, bench.registry, bench.estimates)
            second = settled(b, a, bench.registry, bench.estimates)
            yield _Pair(skate.position, _believed(first, skate, bench), _believed(second, part, bench))


def _believed(pattern: Pattern, mount: Mount, bench: Bench) -> tuple[Pattern, Beliefs]:
    registry, estimates = bench.registry, bench.estimates
    return pattern, beliefs_about(pattern, mount.position, mount.side, registry, estimates, Spread.CONFORMING)


def _judged_pair(pair: _Pair, bench: Bench) -> JointAnswer:
    try:
        found = weighed(pair.position, pair.skate, pair.part, bench.registry)
        return _answer(pair, found, bench)
    # A stranger's rule may raise anything; it costs its own answer, never the request.
    except Exception as error:  # noqa: BLE001
        family = answering_family(pair.position, pair.skate[1], pair.part[1], bench.registry)
        name = family.name if family else pair.position
        bench.registry.record_fault(name, error)
        return _faulted(pair, name)


def _faulted(pair: _Pair, family: str) -> JointAnswer:
    step = NextStep(StepKind.DESCRIBE, "step.plugin_fault", "", "", "", {"family": family})
    names = pair.skate[0].name, pair.part[0].name
    return JointAnswer(
        pair.position,
        pair.sides,
        names,
        pair.standards,
        Verdict.CANNOT_TELL,
        0.0,
        1.0,
        (),
        (),
        (),
        (),
        step,
        None,
        family,
    )


def _answer(pair: _Pair, found: Weighed, bench: Bench) -> JointAnswer:
    (skate_pattern, skates), (part_pattern, parts) = pair.skate, pair.part
    contradictions = tuple(c for c in (skates.contradiction, parts.contradiction) if c is not None)
    verdict = _verdict(found, bool(contradictions), bench)
    way = None
    if verdict is not Verdict.FITS:
        way = way_between(pair.position, skates, parts, bench.stake, bench.registry, bench.estimates)
        verdict = _by_way(verdict, way, bool(contradictions))
    step = None
    if verdict is Verdict.CANNOT_TELL:
        step = step_for_joint(found, pair.skate, pair.part, pair.position, bench.stake, bench.registry, bench.estimates)
    family = answering_family(pair.position, skates, parts, bench.registry)
    return JointAnswer(
        position=pair.position,
        sides=pair.sides,
        patterns=(skate_pattern.name, part_pattern.name),
        standards=pair.standards,
        verdict=verdict,
        probability=found.low if way is None else max(found.low, way.probability),
        probability_at_most=found.high if way is None else max(found.high, way.probability),
        checks=tuple(
            _check_answer(check, found, pair.position, family.name if family else "", bench) for check in found.checks
        ),
        contradictions=contradictions,
        needs=(_need(way),) if way else (),
        cautions=_cautions(pair, way, bench),
        next_step=step,
    )


def _verdict(found: Weighed, contradicted: bool, bench: Bench) -> Verdict:
    if found.high <= bench.estimates.does_not_fit:
        return Verdict.DOES_NOT_FIT
    if found.low >= bench.estimates.threshold(bench.stake) and not contradicted:
        return Verdict.FITS
    return Verdict.CANNOT_TELL


def _by_way(verdict: Verdict, way: Way | None, contradicted: bool) -> Verdict:
    """Let a conversion lift a no: to its own verdict where it is certain, to doubt where it may be the way."""
    if way is None or verdict is not Verdict.DOES_NOT_FIT:
        return verdict
    if not way.certain or contradicted:
        return Verdict.CANNOT_TELL
    return Verdict.FITS_WITH_PARTS if way.conversion.kind == "adapter" else Verdict.FITS_AFTER_BENCH_WORK


def _need(way: Way) -> Need:
    conversion = way.conversion
    return Need(conversion.key, conversion.kind, conversion.reversible, conversion.added_height, conversion.source)


def _cautions(pair: _Pair, way: Way | None, bench: Bench) -> tuple[str, ...]:
    leading = [beliefs.leading.standard for _, beliefs in (pair.skate, pair.part)]
    codes = [code for standard in leading if standard for code in standard.cautions]
    if way is not None:
        family = answering_family(pair.position, pair.skate[1], pair.part[1], bench.registry)
        codes += [f"{family.name}.{code}" for code in way.conversion.cautions] if family else []
        codes += [] if way.conversion.reversible else ["caution.cannot_be_undone"]
    return tuple(dict.fromkeys(codes))


def _check_answer(check: Check, found: Weighed, position: str, family: str, bench: Bench) -> CheckAnswer:
    low, high = found.check_low.get(check.code, 0.0), found.check_high.get(check.code, 1.0)
    value = None if check.value is None else check.value.value
    margin = None if value is None else check.limits.margin(value)
    limits = check.limits
    if check.magnitude and value is not None:
        value, limits = abs(value), replace(limits, low=0)
    elif check.magnitude:
        limits = replace(limits, low=0)
    return CheckAnswer(
        code=check.code,
        family=family,
        position=position,
        outcome=_outcome(check, low, high, bench),
        value=value,
        limits=limits,
        unit=check.unit,
        margin=margin,
        probability=low,
        source=check.source,
        missing=check.missing,
        params=check.params,
    )


def _outcome(check: Check, low: float, high: float, bench: Bench) -> Outcome:
    if check.value is None:
        return Outcome.NOT_MEASURED if check.missing else Outcome.UNDECIDED
    if high <= bench.estimates.does_not_fit:
        return Outcome.FAIL
    return Outcome.PASS if low >= bench.estimates.threshold(bench.stake) else Outcome.UNDECIDED


def _shift(skate: Mount, best: JointAnswer) -> float | None:
    """Give how far forward the used set puts the part's middle against the skate's first set, micrometres.

    From the holes' places where they are known; else the rear hole is taken as shared
    (common practice), so that the middle moves by half of the difference in spacing.
    """
    if len(skate.patterns) < 2:
        return None
    used = next(pattern for pattern in skate.patterns if pattern.name == best.patterns[0])
    middles = [_middle(pattern) for pattern in (skate.patterns[0], used)]
    if None in middles:
        return None
    return middles[1] - middles[0]  # type: ignore[operator]  # None was ruled out


def _middle(pattern: Pattern) -> float | None:
    places = [hole.along_um for hole in pattern.holes if hole.along_um is not None]
    if places and len(places) == len(pattern.holes):
        return (min(places) + max(places)) / 2
    spacing = nominal_of(pattern, "hole_spacing_mm", None)
    return None if spacing is None else spacing / 2
