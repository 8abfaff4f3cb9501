"""What goes on instead of a part that does not: what to look for, and which of what was found is the nearest."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

from mountwright.checkout.article import Article
from mountwright.checkout.basket import Counts, Lot, Owned
from mountwright.checkout.finding import Decision, Finding
from mountwright.checkout.judging import Judgement, judged_uncounted
from mountwright.checkout.meetings import held_by
from mountwright.checkout.till import Till
from mountwright.mounts.kinds import searched
from mountwright.mounts.mount import Mount

#: So many are proposed.
MOST = 3

_Ends = tuple[float | None, float | None]


class Sought(NamedTuple):
    """What an alternative has to be.

    Parameters
    ----------
    article : Article
        The part that it stands in for.
    beside : tuple of Mount
        What its mounts have to go with, one for each position.
    figures : Mapping[str, tuple of (float or None, float or None)]
        Bounds, both inclusive, of figures that it has to have.
    near : Mapping[str, float]
        Figures that it should be near to.
    eu_size : float or None
        That it has to be made for.
    """

    article: Article
    beside: tuple[Mount, ...]
    figures: Mapping[str, _Ends]
    near: Mapping[str, float]
    eu_size: float | None


class Alternative(NamedTuple):
    """An article that goes on instead, and the least probability of what was checked."""

    article: Article
    decision: Decision
    probability: float
    same_colour: bool


def sought(lot: Lot, found: Judgement, owned: Owned) -> Sought:
    """Give what to look for instead of a lot that does not go on.

    Parameters
    ----------
    lot : Lot
    found : Judgement
        Of the skate that it was judged on.
    owned : Owned
    """
    article = lot.article
    held = held_by([meeting for meeting in found.meetings if meeting.article is article])
    others = {id(meeting.other) for meeting in held}
    positions = {meeting.joint.position for meeting in held}
    beside = {
        piece.mount.position: piece.mount
        for piece in found.applied.pieces
        if id(piece.article) in others and piece.mount.position in positions and piece.article is not article
    }
    near = {name: article.specs[name] for name in searched() if type(article.specs.get(name)) in (int, float)}
    return Sought(article, tuple(beside.values()), _bounds(article, found), near, owned.eu_size)


def _bounds(article: Article, found: Judgement) -> dict[str, _Ends]:
    """Give what the frame and the wheels of the set-up allow."""
    if article.kind == "wheel":
        rooms = [frame.specs.get("largest_wheel_mm") for frame in found.applied.articles("frame")]
        return {"diameter_mm": (None, min(room for room in rooms if room is not None))} if any(rooms) else {}
    if article.kind == "brake":
        marks = [wheel.specs.get("diameter_mm") for wheel in found.applied.articles("wheel")]
        known = [mark for mark in marks if mark is not None]
        return {"smallest_wheel_mm": (None, min(known)), "largest_wheel_mm": (max(known), None)} if known else {}
    return {}


def nearest(
    lot: Lot, candidates: Iterable[Article], found: Judgement, owned: Owned, till: Till
) -> tuple[Alternative, ...]:
    """Give the alternatives that go on in the lot's place, the surest first; of equally sure ones the nearest.

    Parameters
    ----------
    lot : Lot
    candidates : iterable of Article
        The nearest first.
    found : Judgement
        Of the skate that the lot was judged on.
    owned : Owned
    till : Till
    """
    uncounted = till._replace(policy=replace(till.policy, counts=Counts.SPARES))
    able: list[Alternative] = []
    for candidate in candidates:
        instead = replace(lot, article=candidate)
        others = [instead if each is lot else each for each in found.findings]
        findings = _over_versions(instead, owned, others, uncounted)
        if not any(finding.decision is Decision.STOP or _is_open(finding, lot.article) for finding in findings):
            able.append(_alternative(lot.article, candidate, findings))
        if sum(each.decision is Decision.CLEAR for each in able) == MOST:
            break
    return tuple(sorted(able, key=lambda each: each.decision.rank)[:MOST])


def _over_versions(lot: Lot, owned: Owned, lots: Sequence[Lot], till: Till) -> tuple[Finding, ...]:
    """Give what is found of a lot on the version of the skate that takes it worst."""
    each = [judged_uncounted(lot, owned, version, lots, till) for version in owned.versions]
    return max(each, key=lambda findings: findings[0].decision.rank)


def _is_open(finding: Finding, refused: Article) -> bool:
    """Tell whether nobody knows if it goes on: that is no alternative, unless no more was known of what was refused."""
    return finding.decision is Decision.CONFIRM and finding.unknown and bool(refused.part.mounts)


def _alternative(refused: Article, candidate: Article, findings: Sequence[Finding]) -> Alternative:
    checks = [finding.check for finding in findings if finding.check is not None]
    probability = min((check.probability for check in checks), default=1.0)
    same_colour = bool(refused.colour) and refused.colour.casefold() == candidate.colour.casefold()
    return Alternative(candidate, findings[0].decision, probability, same_colour)
