"""Where experience and the catalogue do not agree: pairs that went otherwise, and rows that returns point at."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from itertools import islice
from typing import NamedTuple

import orjson
from cachetools import LRUCache
from sqlalchemy import Connection

from mountwright.catalogue.outcomes import AT_A_TIME, Pair, pairs_told, returns_told
from mountwright.catalogue.reading import Kept, articles_of
from mountwright.fitting.answers import Experience, JointAnswer, Outcome, PartAnswer, Reports
from mountwright.fitting.estimates import Stake
from mountwright.fitting.evidence import Correction, Tally, evidence_estimates, experienced, returns_to_correct
from mountwright.fitting.fit_check import FitRequest, fit_checked
from mountwright.fitting.verdict import Verdict
from mountwright.mounts.mount import Claimant, Part
from mountwright.web.workshop import Workshop

#: Distinct sets of mounts side by side whose answer is remembered.
_REMEMBERED = 2048


class Place(NamedTuple):
    """A mount of a row to look at.

    Parameters
    ----------
    sku : str
    position : str
    standard, claimed_by : str
        As what it was judged, and who says so; both may be empty.
    trust : float
        Probability that such a claim is right; nought where nobody claims.
    conflicts : int
        In how many conflicts the row stands.
    """

    sku: str
    position: str
    standard: str
    claimed_by: str
    trust: float
    conflicts: int = 1


class Conflict(NamedTuple):
    """A pair of which something was told that speaks against the geometry.

    Parameters
    ----------
    skate, part : str
        SKU.
    skate_name, part_name : str
    verdict : Verdict
        The geometry's own.
    probability, probability_at_most : float
        Its bounds.
    bearing_out, against : Reports
        Those that bear the geometry out, and those that speak against it.
    failed : tuple of str
        Codes of the checks by which the geometry refuses, if it does.
    look_at : tuple of Place
        Mounts that the answer rests on: of rows in most conflicts first, then of the least trusted claims.
    """

    skate: str
    skate_name: str
    part: str
    part_name: str
    verdict: Verdict
    probability: float
    probability_at_most: float
    bearing_out: Reports
    against: Reports
    failed: tuple[str, ...]
    look_at: tuple[Place, ...]


class _Judged(NamedTuple):
    """A pair of rows, and the answer about them."""

    skate: Kept
    part: Kept
    answer: PartAnswer
    experience: Experience


def conflicts(workshop: Workshop, at_a_time: int = AT_A_TIME) -> tuple[Conflict, ...]:
    """Give every pair that went otherwise than the geometry says, the one with most weight against it first.

    A pair of which one article is no longer in the catalogue is passed over.

    Parameters
    ----------
    workshop : Workshop
    at_a_time : int
        Pairs that are judged at a time.

    Raises
    ------
    CatalogueAwayError
        When the database cannot be reached.
    """
    judging = _Judging(workshop)
    with workshop.engines.snapshot() as connection:
        found = [
            judging.conflict(judged)
            for batch in pairs_told(connection, at_a_time)
            for judged in judging.judged(batch, connection)
            if judged.experience.conflict
        ]
    return tuple(sorted(_pointed(found), key=lambda each: (-each.against.weight, each.skate, each.part)))


def _pointed(found: Sequence[Conflict]) -> Iterator[Conflict]:
    """Put first what is to be looked at first: a row that many pairs speak against is wrong rather than they."""
    counts = Counter(sku for each in found for sku in (each.skate, each.part))
    for each in found:
        places = [place._replace(conflicts=counts[place.sku]) for place in each.look_at]
        yield each._replace(look_at=tuple(sorted(places, key=lambda place: (-place.conflicts, place.trust))))


def corrections(workshop: Workshop) -> tuple[Correction, ...]:
    """Give the rows that returns point at and that are still in the catalogue, the one with most returns first.

    Raises
    ------
    CatalogueAwayError
        When the database cannot be reached.
    """
    with workshop.engines.snapshot() as connection:
        found = returns_to_correct(returns_told(connection), evidence_estimates())
        there = _there({correction.sku for correction in found}, connection)
    return tuple(correction for correction in found if correction.sku in there)


def _there(skus: Iterable[str], connection: Connection) -> set[str]:
    waiting = iter(sorted(skus))
    found: set[str] = set()
    while batch := list(islice(waiting, AT_A_TIME)):
        found |= articles_of(connection, batch).keys()
    return found


class _Judging:
    """Judges pairs by the geometry, each distinct pair of mounts once, and then by what was told."""

    def __init__(self, workshop: Workshop) -> None:
        self._workshop = workshop
        self._known: LRUCache[tuple[str, str], PartAnswer] = LRUCache(_REMEMBERED)

    def judged(self, batch: Sequence[tuple[Pair, Tally]], connection: Connection) -> Iterator[_Judged]:
        """Give the answer about each pair of which something was told about the fit."""
        articles = articles_of(connection, {sku for pair, _ in batch for sku in pair})
        evidence = evidence_estimates()
        for (skate_sku, part_sku), tally in batch:
            skate, part = articles.get(skate_sku), articles.get(part_sku)
            if skate is None or part is None or skate.signature.of_part or not part.signature.of_part:
                continue
            geometry = self._geometry(skate, part)
            answer = experienced(geometry, tally, self._workshop.estimates, Stake.SHIPPING, evidence)
            if answer.experience is not None:
                yield _Judged(skate, part, answer, answer.experience)

    def conflict(self, judged: _Judged) -> Conflict:
        """Give what a person has to know of a pair that went otherwise."""
        skate, part, answer, found = judged
        refuses = found.verdict is Verdict.DOES_NOT_FIT
        joints = [joint for joint in answer.joints if not refuses or joint.verdict is Verdict.DOES_NOT_FIT]
        return Conflict(
            skate=skate.sku,
            skate_name=_name(skate),
            part=part.sku,
            part_name=_name(part),
            verdict=found.verdict,
            probability=found.probability,
            probability_at_most=found.probability_at_most,
            bearing_out=found.failures if refuses else found.successes,
            against=found.successes if refuses else found.failures,
            failed=tuple(_failed(joints)),
            look_at=self._places(joints, skate, part),
        )

    def _geometry(self, skate: Kept, part: Kept) -> PartAnswer:
        key = skate.signature.digest, part.signature.digest
        known = self._known.get(key)
        if known is None:
            request = FitRequest(self._part(skate), (self._part(part),))
            known = fit_checked(request, self._workshop.registry, self._workshop.estimates).parts[0]
            self._known[key] = known
        return known

    def _part(self, kept: Kept) -> Part:
        return self._workshop.shelf.part(kept.signature)

    def _places(self, joints: Iterable[JointAnswer], skate: Kept, part: Kept) -> tuple[Place, ...]:
        """Give the mounts that some joints rest on, each once, the least probable joint's first."""
        ordered = sorted(joints, key=lambda joint: joint.probability)
        return tuple(
            dict.fromkeys(
                self._place(kept, joint, side) for joint in ordered for side, kept in enumerate((skate, part))
            )
        )

    def _place(self, kept: Kept, joint: JointAnswer, side: int) -> Place:
        who = _claimant(self._part(kept), joint, side)
        trust = self._workshop.estimates.claim_is_right[who] if who else 0.0
        return Place(kept.sku, joint.position, joint.standards[side], who or "", trust)


def _failed(joints: Iterable[JointAnswer]) -> dict[str, None]:
    """Give the codes of the checks that failed, each once, in order."""
    return dict.fromkeys(check.code for joint in joints for check in joint.checks if check.outcome is Outcome.FAIL)


def _claimant(part: Part, joint: JointAnswer, side: int) -> Claimant | None:
    """Tell who claims the pattern that a joint was judged by on one side."""
    claimants = (
        pattern.claimed_by
        for mount in part.mounts
        if (mount.position, mount.side) == (joint.position, joint.sides[side])
        for pattern in mount.patterns
        if pattern.name == joint.patterns[side]
    )
    return next(claimants, None)


def _name(kept: Kept) -> str:
    return str(orjson.loads(kept.document).get("name", ""))
