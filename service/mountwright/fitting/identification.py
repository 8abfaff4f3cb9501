"""Which standard a mount follows: every one and "none of these", ranked, with the step that would settle it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from mountwright.fitting.answers import NextStep, StepKind
from mountwright.fitting.beliefs import Belief, Beliefs, Contradiction, Reading, Spread, beliefs_about, unread_figures
from mountwright.fitting.estimates import Estimates
from mountwright.fitting.next_step import best_look, best_reading, finer_reading
from mountwright.fitting.uninstalled import step_to_install
from mountwright.measure.updating import CHI_SQUARE_95_ONE, squared_distance
from mountwright.mounts.mount import Mount, Pattern
from mountwright.mounts.registry import Registry
from mountwright.mounts.standard import Standard


class Finding(StrEnum):
    """How far a mount was identified."""

    IDENTIFIED = "identified"
    LEANING = "leaning"
    MEASURE_AGAIN = "measure_again"
    SPLIT = "split"
    UNKNOWN = "unknown"


#: From this weight of "none of these" on, inclusive, a leading standard is not offered as the answer.
_NONE_TOO_LIKELY = 0.25


@dataclass(frozen=True)
class Distance:
    """How far one reading lies from a standard's nominal, thousandths, with its sign."""

    dimension: str
    value: float
    nominal: float
    difference: float


@dataclass(frozen=True)
class Candidate:
    """One standard (empty key: none of these) with its probability and how far the readings lie from it."""

    standard: str
    probability: float
    distances: tuple[Distance, ...]


@dataclass(frozen=True)
class Identification:
    """The ranking of one pattern.

    Parameters
    ----------
    finding : Finding
    candidates : tuple of Candidate
        Likeliest first; all installed standards of the position and none of these.
    nearest : Candidate or None
        Where no standard explains the mount: the one with the least distance, which is not an answer.
    contradiction : Contradiction or None
    next_step : NextStep or None
    """

    pattern: str
    finding: Finding
    candidates: tuple[Candidate, ...]
    nearest: Candidate | None
    contradiction: Contradiction | None
    next_step: NextStep | None


def identified(mount: Mount, registry: Registry, estimates: Estimates) -> tuple[Identification, ...]:
    """Identify each pattern of a mount."""
    return tuple(_identified(pattern, mount, registry, estimates) for pattern in mount.patterns)


def _identified(pattern: Pattern, mount: Mount, registry: Registry, estimates: Estimates) -> Identification:
    beliefs = beliefs_about(pattern, mount.position, mount.side, registry, estimates, Spread.MET)
    candidates = tuple(_candidate(belief, beliefs.readings, mount.side) for belief in beliefs.each)
    to_install = step_to_install((replace(mount, patterns=(pattern,)),), registry)
    # A mount that is said to follow what nobody installed is not told by the standards that are.
    finding = Finding.UNKNOWN if to_install else _finding(beliefs, estimates)
    return Identification(
        pattern=pattern.name,
        finding=finding,
        candidates=candidates,
        nearest=_nearest(beliefs, candidates) if finding is Finding.UNKNOWN else None,
        contradiction=beliefs.contradiction,
        next_step=to_install or _next_step(finding, beliefs, pattern, mount, registry, estimates),
    )


def _candidate(belief: Belief, readings: Sequence[Reading], side: str) -> Candidate:
    distances = _distances(belief.standard, readings, side) if belief.standard else ()
    return Candidate(belief.key, belief.weight, distances)


def _distances(standard: Standard, readings: Sequence[Reading], side: str) -> tuple[Distance, ...]:
    return tuple(
        Distance(name, figure.value, standard.nominals[name].stated, figure.value - standard.nominals[name].stated)
        for name, figure, _ in readings
        if name in standard.nominals and side in standard.family.dimensions[name].sides
    )


def _finding(beliefs: Beliefs, estimates: Estimates) -> Finding:
    leading = beliefs.leading
    none = next(belief.weight for belief in beliefs.each if belief.standard is None)
    if leading.standard is None or (beliefs.readings and none >= _NONE_TOO_LIKELY):
        return Finding.UNKNOWN
    if leading.weight < 0.5:
        return Finding.SPLIT
    if leading.distance > CHI_SQUARE_95_ONE:
        return Finding.MEASURE_AGAIN
    return Finding.IDENTIFIED if leading.weight >= estimates.fits else Finding.LEANING


def _nearest(beliefs: Beliefs, candidates: Sequence[Candidate]) -> Candidate | None:
    told = [
        (belief.distance, candidate)
        for belief, candidate in zip(beliefs.each, candidates, strict=True)
        if candidate.distances
    ]
    return min(told, key=lambda entry: (entry[0], entry[1].standard))[1] if told else None


def _next_step(
    finding: Finding,
    beliefs: Beliefs,
    pattern: Pattern,
    mount: Mount,
    registry: Registry,
    estimates: Estimates,
) -> NextStep | None:
    if finding is Finding.IDENTIFIED:
        return _trial(beliefs, mount)
    again = finer_reading(((pattern, mount.side),))
    if finding is Finding.MEASURE_AGAIN and again is not None:
        return again
    look = best_look(beliefs, pattern, mount.position, mount.side, registry, estimates)
    return look or best_reading(beliefs, pattern, mount.position, mount.side, registry, estimates) or again


def _trial(beliefs: Beliefs, mount: Mount) -> NextStep | None:
    """Ask for a trial fit where the family is clear and a reading lies farther out than conforming sides do."""
    leading = beliefs.leading
    if leading.standard is None:
        return None
    conforming = unread_figures(leading.standard, mount.side, Spread.CONFORMING)
    for name, figure, _ in beliefs.readings:
        prior = conforming.get(name)
        if prior is not None and squared_distance(prior, figure) > CHI_SQUARE_95_ONE:
            out = abs(figure.value - leading.standard.nominals[name].stated)
            params: dict[str, str | float] = {"standard": leading.key, "dimension": name, "out": out / 1000}
            return NextStep(StepKind.TRIAL_FIT, "step.trial_fit_out", mount.side, name, "", params)
    return None
