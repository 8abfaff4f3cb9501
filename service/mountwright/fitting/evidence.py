"""Evidence beside the geometry: what was told of a pair that somebody tried, and what it does to the answer.

The geometry is the prior and counts as a number of reports; every report that is about the fit
moves the probability by its weight: (50 p + weights of successes) / (50 + weights of all). What
came back for another reason moves nothing, but often enough it points at a row to correct.
"""

from __future__ import annotations

import math
import tomllib
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import NamedTuple

from mountwright.errors import InvalidQuantityError
from mountwright.fitting.answers import Experience, JointAnswer, NextStep, Outcome, PartAnswer, Reports, StepKind
from mountwright.fitting.estimates import Estimates, Stake
from mountwright.fitting.verdict import Verdict
from mountwright.fitting.weighing import UNDAMAGED


class Attested(StrEnum):
    """How it went when somebody tried a part on a skate."""

    FITTED = "fitted"
    FITTED_WITH_PARTS = "fitted_with_parts"
    FITTED_AFTER_BENCH_WORK = "fitted_after_bench_work"
    DID_NOT_GO_ON = "did_not_go_on"
    CAME_BACK = "came_back"


class ReturnCause(StrEnum):
    """Why a part came back."""

    WRONG_VERSION = "wrong_version"
    DID_NOT_GO_ON = "did_not_go_on"
    WRONG_COUNT = "wrong_count"
    FAULTY = "faulty"
    CHANGED_MIND = "changed_mind"


class Source(StrEnum):
    """Who tells it: ourselves at the bench, another shop, or the customer."""

    BENCH = "bench"
    SHOP = "shop"
    CUSTOMER = "customer"


@dataclass(frozen=True, slots=True)
class Counted:
    """How often one source told one outcome of a pair.

    Parameters
    ----------
    attested : Attested
    cause : ReturnCause or None
        Of what came back; None of everything else.
    source : Source
    count : int
        At least 1.

    Raises
    ------
    InvalidQuantityError
        For a count below 1, and for a cause without a return or a return without a cause.
    """

    attested: Attested
    cause: ReturnCause | None
    source: Source
    count: int

    def __post_init__(self) -> None:
        if self.count < 1:
            raise InvalidQuantityError(self.count, "a count of at least 1")
        if (self.attested is Attested.CAME_BACK) != (self.cause is not None):
            raise InvalidQuantityError((self.attested, self.cause), "a cause with came_back and with nothing else")


class Tally(NamedTuple):
    """All that was told of one pair of skate and part; made by :func:`tallied`, so that equal ones are equal."""

    rows: tuple[Counted, ...] = ()


def tallied(told: Iterable[Counted]) -> Tally:
    """Give a tally with each outcome of each source once, in a fixed order."""
    counts: Counter[tuple[Attested, ReturnCause | None, Source]] = Counter()
    for row in told:
        counts[row.attested, row.cause, row.source] += row.count
    ordered = sorted(counts.items(), key=lambda entry: (entry[0][0], entry[0][1] or "", entry[0][2]))
    return Tally(tuple(Counted(*key, count) for key, count in ordered))


class CorrectionRule(NamedTuple):
    """What repeated returns for one cause point at.

    Parameters
    ----------
    of : str
        ``skate`` or ``part``: whose row.
    fields : tuple of str
        What to look at there.
    pauses : bool
        Whether the SKU is not to be sold at checkout until the row is put right.
    """

    of: str
    fields: tuple[str, ...]
    pauses: bool


@dataclass(frozen=True, eq=False)
class EvidenceEstimates:
    """The coefficients of experience, from ``evidence.toml``.

    Parameters
    ----------
    geometry_weight : float
        The number of reports that the geometry counts as.
    source_weights : Mapping[Source, float]
        Weight of one report, above 0 and at most 1.
    times_until_correction : int
        From how many returns on, inclusive, a row is to be corrected.
    corrections : Mapping[ReturnCause, CorrectionRule]
        A cause that is not in it points at nothing.
    """

    geometry_weight: float
    source_weights: Mapping[Source, float]
    times_until_correction: int
    corrections: Mapping[ReturnCause, CorrectionRule]


@cache
def evidence_estimates() -> EvidenceEstimates:
    """Give the coefficients in the box."""
    rows = tomllib.loads(resources.files(__package__).joinpath("evidence.toml").read_text(encoding="utf-8"))
    corrections = {
        ReturnCause(cause): CorrectionRule(rule["of"], tuple(rule["fields"]), rule["pause"])
        for cause, rule in rows["corrections"].items()
    }
    return EvidenceEstimates(
        geometry_weight=rows["geometry"]["equivalent_weight"],
        source_weights=MappingProxyType({source: rows["sources"][source]["weight"] for source in Source}),
        times_until_correction=rows["returns"]["times_until_correction"],
        corrections=MappingProxyType(corrections),
    )


def experienced(
    part: PartAnswer, tally: Tally, estimates: Estimates, stake: Stake, evidence: EvidenceEstimates
) -> PartAnswer:
    """Give the geometry's answer about a part as experience moves it; the joints stay as the geometry judged them.

    Parameters
    ----------
    part : PartAnswer
        As the geometry gave it.
    tally : Tally
        What was told of this skate and this part; one that says nothing about the fit leaves the answer as it is.
    estimates : Estimates
        With the thresholds by which the verdict is decided anew.
    stake : Stake
    evidence : EvidenceEstimates
    """
    successes, failures = _reports(part.verdict, tally, evidence)
    if not successes.times + failures.times:
        return part
    experience = _experience(part, successes, failures, evidence)
    low = _moved(part.probability, successes, failures, evidence)
    high = _moved(part.probability_at_most, successes, failures, evidence)
    verdict = _decided_anew(part, low, high, estimates, stake)
    return part._replace(
        verdict=verdict,
        probability=low,
        probability_at_most=high,
        next_step=part.next_step if verdict is part.verdict else _step(verdict, experience),
        experience=experience,
    )


def _moved(prior: float, successes: Reports, failures: Reports, evidence: EvidenceEstimates) -> float:
    whole = evidence.geometry_weight + successes.weight + failures.weight
    return min(1.0, (evidence.geometry_weight * prior + successes.weight) / whole)


#: What a pair took, said as the verdict that would have foretold it.
_TOOK = {
    Attested.FITTED: Verdict.FITS,
    Attested.FITTED_WITH_PARTS: Verdict.FITS_WITH_PARTS,
    Attested.FITTED_AFTER_BENCH_WORK: Verdict.FITS_AFTER_BENCH_WORK,
}

_GOES_ON = frozenset(_TOOK.values())


def _succeeded(row: Counted, verdict: Verdict) -> bool | None:
    """Tell whether a report bears the probability beside a verdict out; None where it is not about the fit."""
    took = _TOOK.get(row.attested)
    if took is None:
        return False if row.cause in (None, ReturnCause.DID_NOT_GO_ON) else None
    # Beside doubt and beside a no stands the probability that the part goes on as it comes.
    foretold = verdict if verdict in _GOES_ON else Verdict.FITS
    return took.rank <= foretold.rank


def _reports(verdict: Verdict, tally: Tally, evidence: EvidenceEstimates) -> tuple[Reports, Reports]:
    told = [(_succeeded(row, verdict), row) for row in tally.rows]
    successes, failures = ([row for found, row in told if found is wanted] for wanted in (True, False))
    return _weighed(successes, evidence), _weighed(failures, evidence)


def _weighed(rows: list[Counted], evidence: EvidenceEstimates) -> Reports:
    weight = math.fsum(row.count * evidence.source_weights[row.source] for row in rows)
    return Reports(sum(row.count for row in rows), weight)


def _experience(part: PartAnswer, successes: Reports, failures: Reports, evidence: EvidenceEstimates) -> Experience:
    told = successes.weight + failures.weight
    goes_on, refused = part.verdict in _GOES_ON, part.verdict is Verdict.DOES_NOT_FIT
    return Experience(
        verdict=part.verdict,
        probability=part.probability,
        probability_at_most=part.probability_at_most,
        share_of_geometry=evidence.geometry_weight / (evidence.geometry_weight + told),
        share_of_experience=told / (evidence.geometry_weight + told),
        successes=successes,
        failures=failures,
        conflict=bool((goes_on and failures.times) or (refused and successes.times)),
    )


def _decided_anew(part: PartAnswer, low: float, high: float, estimates: Estimates, stake: Stake) -> Verdict:
    if part.verdict is Verdict.CANNOT_TELL:
        return _out_of_doubt(part, low, high, estimates, stake)
    if part.verdict is Verdict.DOES_NOT_FIT:
        overturned = part.probability_at_most <= estimates.does_not_fit < high
        return Verdict.CANNOT_TELL if overturned else Verdict.DOES_NOT_FIT
    # Where one joint is cut and another is not, what the geometry let pass is not refused for a success.
    least = min(_threshold(part, estimates, stake), part.probability)
    return part.verdict if low >= least else Verdict.CANNOT_TELL


def _threshold(part: PartAnswer, estimates: Estimates, stake: Stake) -> float:
    """Give what the part's stake asks for; a conversion that cannot be undone asks for more, whatever the stake."""
    lasting = any(not need.reversible for joint in part.joints for need in joint.needs)
    return estimates.irreversible if lasting else estimates.threshold(stake)


def _out_of_doubt(part: PartAnswer, low: float, high: float, estimates: Estimates, stake: Stake) -> Verdict:
    """Let experience carry a doubtful probability over a threshold, if doubt about that was all that held it up."""
    wholly_judged = part.joints and all(joint.checks for joint in part.joints)
    if not wholly_judged or any(joint.needs for joint in part.joints):
        return Verdict.CANNOT_TELL
    if high <= estimates.does_not_fit < part.probability_at_most:
        return Verdict.DOES_NOT_FIT
    lifted = part.probability < estimates.threshold(stake) <= low
    return Verdict.FITS if lifted and not any(map(_is_held_up, part.joints)) else Verdict.CANNOT_TELL


def _is_held_up(joint: JointAnswer) -> bool:
    """Tell whether a joint waits for more than a probability: a wrong claim, a failed check, damage."""
    return bool(joint.contradictions) or any(
        check.outcome is Outcome.FAIL or check.code == UNDAMAGED for check in joint.checks
    )


def _step(verdict: Verdict, experience: Experience) -> NextStep | None:
    if verdict is not Verdict.CANNOT_TELL:
        return None
    params: dict[str, str | float] = {
        "successes": experience.successes.times,
        "failures": experience.failures.times,
    }
    return NextStep(StepKind.TRIAL_FIT, "step.experience_differs", "", "", "", params)


@dataclass(frozen=True, slots=True)
class Returned:
    """How often a part that was bought for a skate came back for one cause.

    Parameters
    ----------
    skate_sku, part_sku : str
    cause : ReturnCause
    count : int
        At least 1.
    used : int
        How many of them had been used; 0 to ``count``, inclusive.

    Raises
    ------
    InvalidQuantityError
        For counts outside these bounds.
    """

    skate_sku: str
    part_sku: str
    cause: ReturnCause
    count: int
    used: int = 0

    def __post_init__(self) -> None:
        if self.count < 1:
            raise InvalidQuantityError(self.count, "a count of at least 1")
        if not 0 <= self.used <= self.count:
            raise InvalidQuantityError(self.used, f"a count of 0 to {self.count}")


class Correction(NamedTuple):
    """A row of the catalogue that returns point at.

    Parameters
    ----------
    sku : str
    of : str
        ``skate`` or ``part``: what the SKU is.
    cause : ReturnCause
    fields : tuple of str
        What to look at in the row.
    returns, used : int
        How many came back for this cause, and how many of them used.
    pauses : bool
        Whether the SKU is not to be sold at checkout until the row is put right.
    """

    sku: str
    of: str
    cause: ReturnCause
    fields: tuple[str, ...]
    returns: int
    used: int
    pauses: bool


def returns_to_correct(rows: Iterable[Returned], evidence: EvidenceEstimates) -> tuple[Correction, ...]:
    """Give the rows to correct, the one with most returns first; a changed mind points at none.

    Parameters
    ----------
    rows : iterable of Returned
        Of any number of pairs; a SKU's returns for one cause are added up over all of them.
    evidence : EvidenceEstimates
    """
    counts: Counter[tuple[str, ReturnCause]] = Counter()
    used: Counter[tuple[str, ReturnCause]] = Counter()
    for row in rows:
        rule = evidence.corrections.get(row.cause)
        if rule is not None:
            key = (row.skate_sku if rule.of == "skate" else row.part_sku, row.cause)
            counts[key] += row.count
            used[key] += row.used
    often = [key for key, count in counts.items() if count >= evidence.times_until_correction]
    often.sort(key=lambda key: (-counts[key], *key))
    return tuple(_correction(sku, cause, counts[sku, cause], used[sku, cause], evidence) for sku, cause in often)


def _correction(sku: str, cause: ReturnCause, returns: int, used: int, evidence: EvidenceEstimates) -> Correction:
    of, fields, pauses = evidence.corrections[cause]
    return Correction(sku, of, cause, fields, returns, used, pauses)
