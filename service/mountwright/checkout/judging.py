"""Judges the lots of one skate as one set-up."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from mountwright.checkout.article import Article
from mountwright.checkout.basket import Counts, Lot, Owned, Status, Version
from mountwright.checkout.counts import Count, count_findings, counts_of
from mountwright.checkout.finding import Decision, Finding, worst
from mountwright.checkout.joint_findings import Surroundings, joint_findings
from mountwright.checkout.meetings import Meeting, meetings_of
from mountwright.checkout.pairs import pair_findings
from mountwright.checkout.rules import rule_findings, says_enough, whole_skate_findings
from mountwright.checkout.set_up import SetUp, set_up
from mountwright.checkout.till import Till
from mountwright.fitting.answers import NextStep, StepKind


class Judgement(NamedTuple):
    """What one version of a skate makes of its lots.

    Parameters
    ----------
    findings : Mapping[Lot, tuple of Finding]
        The worst first, at least one each.
    counts : tuple of Count
    applied : SetUp
        The skate with the lots on it.
    meetings : sequence of Meeting
    """

    findings: Mapping[Lot, tuple[Finding, ...]]
    counts: tuple[Count, ...]
    applied: SetUp
    meetings: Sequence[Meeting]

    def decision(self, lot: Lot) -> Decision:
        """Give the worst that was found of a lot."""
        return worst(finding.decision for finding in self.findings[lot])


def judged(owned: Owned, version: Version, lots: Sequence[Lot], till: Till) -> Judgement:
    """Judge lots on a skate.

    Parameters
    ----------
    owned : Owned
    version : Version
        One of its versions.
    lots : sequence of Lot
        In order of their keys.
    till : Till
    """
    parts = [lot for lot in lots if lot.status is Status.JUDGED]
    applied = set_up(version, owned.measured, parts)
    meetings = meetings_of(applied, till.bench, till.memory)
    counts = counts_of(applied, meetings, till.policy.counts)
    found: dict[Lot, list[Finding]] = {lot: [] for lot in lots}
    found |= _of_parts(parts, applied, meetings, owned, till)
    for lot, finding in _of_kinds(parts, counts, till):
        found[lot].append(finding)
    for lot in lots:
        found[lot] += (*_of_status(lot), *whole_skate_findings(lot, version.skate, owned))
    return Judgement({lot: _sorted(findings) for lot, findings in found.items()}, counts, applied, meetings)


def judged_uncounted(lot: Lot, owned: Owned, version: Version, lots: Sequence[Lot], till: Till) -> tuple[Finding, ...]:
    """Give whether one of several lots goes on, beside the others and however many there are of it; the worst first."""
    parts = [each for each in lots if each.status is Status.JUDGED]
    applied = set_up(version, owned.measured, parts)
    meetings = meetings_of(applied, till.bench, till.memory, lot.article)
    return _sorted(_of_parts([lot], applied, meetings, owned, till)[lot])


def _of_parts(
    parts: Sequence[Lot], applied: SetUp, meetings: Sequence[Meeting], owned: Owned, till: Till
) -> dict[Lot, list[Finding]]:
    """Give what is found of some lots of a set-up by their joints and by the rules beside these."""
    around = _around(applied, till)
    by_article: dict[Article, list[Meeting]] = {lot.article: [] for lot in parts}
    for meeting in meetings:
        by_article.get(meeting.article, []).append(meeting)
    found = {lot: list(joint_findings(lot, by_article[lot.article], around)) for lot in parts}
    for lot, finding in rule_findings(applied, owned, till.policy.counts):
        if lot in found:
            found[lot].append(finding)
    for lot in parts:
        if applied.version.is_in_doubt:
            found[lot].append(_in_doubt(applied.skate))
        if not found[lot] or (not by_article[lot.article] and not says_enough(lot.article, found[lot])):
            found[lot].append(_by_name(lot.article, around))
    return found


def _around(applied: SetUp, till: Till) -> Surroundings:
    version = applied.version
    return Surroundings(
        till.bench,
        till.memory,
        till.policy,
        applied.articles("adapter"),
        till.has_workshop,
        frozenset([fitted.article.sku for fitted in version.fitted if fitted.as_sold and fitted.article.sku]),
        frozenset([fitted.article for fitted in version.fitted if not fitted.as_sold]),
        version.tallies,
    )


def _in_doubt(skate: Article) -> Finding:
    """Ask about whatever is for a skate of which so much came back that its row is in doubt."""
    return Finding(Decision.CONFIRM, "cart.skate_in_doubt", {"skate": skate.sku}, against=(skate,))


def _by_name(article: Article, around: Surroundings) -> Finding:
    """Give what is said of a part of which nothing else tells whether it goes on."""
    if article.sku in around.originals:
        return Finding(Decision.CLEAR, "cart.original_part", {"kind": article.kind})
    step = NextStep(StepKind.DESCRIBE, "step.describe_part", "part", "mounts", "", {})
    return Finding(Decision.CONFIRM, "cart.no_mounts", {"kind": article.kind}, unknown=True, step=step)


def _of_kinds(parts: Sequence[Lot], counts: Iterable[Count], till: Till) -> Iterator[tuple[Lot, Finding]]:
    """Give what the lots of a kind are found to be together."""
    for count in counts:
        for finding in count_findings(count):
            yield from ((lot, finding) for lot in parts if lot.article.kind == count.kind)
    if till.policy.counts is Counts.PAIR:
        kinds: dict[str, list[Lot]] = {}
        for lot in parts:
            kinds.setdefault(lot.article.kind, []).append(lot)
        for kind, lots in kinds.items():
            yield from pair_findings(kind, lots)


def _of_status(lot: Lot) -> Iterator[Finding]:
    kind = {"kind": lot.article.kind, "sku": lot.article.sku}
    match lot.status:
        case Status.NOT_A_PART:
            yield Finding(Decision.CLEAR, "cart.not_a_part", {})
        case Status.WORKSHOP:
            yield Finding(Decision.CLEAR, "cart.workshop", {})
        case Status.UNLISTED:
            yield Finding(Decision.CONFIRM, "cart.unlisted", {"sku": lot.article.sku}, unknown=True)
        case Status.WHOLE_SKATE:
            yield Finding(Decision.CLEAR, "cart.whole_skate", {})
        case Status.JUDGED:
            pass
    if lot.is_paused:
        yield Finding(Decision.CONFIRM, "cart.paused", kind)


def _sorted(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Put the worst first; of two as bad what is wrong before what is unknown, then by code. Nothing is said twice."""
    said: dict[Hashable, Finding] = {}
    for finding in sorted(findings, key=_order):
        said.setdefault((finding.code, finding.check and finding.check.code, finding.against), finding)
    return tuple(said.values())


def _order(finding: Finding) -> tuple[int, bool, str, list[str]]:
    return -finding.decision.rank, finding.unknown, finding.code, [article.sku for article in finding.against]
