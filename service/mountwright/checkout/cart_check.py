"""The basket at checkout: may it be sent, what has to be asked first, and what will not go on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from mountwright.checkout.basket import Basket, Lot, Owned, Unknown
from mountwright.checkout.counts import Count
from mountwright.checkout.finding import Decision, Finding, worst
from mountwright.checkout.judging import Judgement, judged
from mountwright.checkout.till import Till
from mountwright.fitting.answers import NextStep, StepKind


class LotAnswer(NamedTuple):
    """What was found of a lot.

    Parameters
    ----------
    lot : Lot
    decision : Decision
    findings : tuple of Finding
        The worst first, at least one.
    skate : int
        On which skate it was judged.
    """

    lot: Lot
    decision: Decision
    findings: tuple[Finding, ...]
    skate: int


class SkateAnswer(NamedTuple):
    """What was found of a skate with its lots: the worst decision, and the counts."""

    decision: Decision
    counts: tuple[Count, ...]


class CartAnswer(NamedTuple):
    """The whole answer.

    Parameters
    ----------
    decision : Decision
    lots : tuple of LotAnswer
        In the basket's order.
    skates : tuple of SkateAnswer
    judgements : tuple of Judgement
        One for each skate, of its first version.
    """

    decision: Decision
    lots: tuple[LotAnswer, ...]
    skates: tuple[SkateAnswer, ...]
    judgements: tuple[Judgement, ...]


def cart_checked(basket: Basket, till: Till) -> CartAnswer:
    """Judge a basket: each lot by the worst that was found of it, the whole by its worst lot."""
    on_skates = [_on_skate(number, owned, basket, till) for number, owned in enumerate(basket.skates)]
    lots = tuple([_of_lot(lot, on_skates) for lot in basket.lots])
    skates = tuple([_of_skate(number, found, lots) for number, found in enumerate(on_skates)])
    return CartAnswer(worst(answer.decision for answer in lots), lots, skates, tuple(on_skates))


def blocks(finding: Finding, unknown: Unknown) -> bool:
    """Tell whether the parcel waits for a finding: what nobody knows does not hold up a lenient shop's."""
    if finding.decision is Decision.CONFIRM:
        return not (finding.unknown and unknown is Unknown.LENIENT)
    return finding.decision is Decision.STOP


def _on_skate(number: int, owned: Owned, basket: Basket, till: Till) -> Judgement:
    lots = [lot for lot in basket.lots if lot.skate in (None, number)]
    each = [judged(owned, version, lots, till) for version in owned.versions]
    if len(each) == 1:
        return each[0]
    counts = each[0].counts if all(one.counts == each[0].counts for one in each) else ()
    return each[0]._replace(findings={lot: _over_versions(lot, owned, each) for lot in lots}, counts=counts)


def _over_versions(lot: Lot, owned: Owned, each: Sequence[Judgement]) -> tuple[Finding, ...]:
    """Give what the versions of a model agree on; where they do not, the question about the mark that tells them."""
    if len({_gist(one.findings[lot]) for one in each}) == 1:
        return each[0].findings[lot]
    versions = zip(owned.versions, each, strict=True)
    told = "; ".join(f"{version.skate.sku}: {version.mark or version.skate.sku}" for version, _ in versions)
    step = NextStep(StepKind.LOOK, "step.which_version", "skate", "version", "", {"versions": told})
    params = {"kind": lot.article.kind, "versions": told}
    return (Finding(Decision.CONFIRM, "cart.which_version", params, unknown=True, step=step),)


def _gist(findings: Sequence[Finding]) -> frozenset[tuple[Decision, str, tuple[str, ...]]]:
    """Give what findings come to, without the figures."""
    told = [finding for finding in findings if finding.decision is not Decision.CLEAR]
    return frozenset((each.decision, each.code, tuple(need.key for need in each.needs)) for each in told)


def _of_lot(lot: Lot, on_skates: Sequence[Judgement]) -> LotAnswer:
    if lot.skate is not None:
        return LotAnswer(lot, on_skates[lot.skate].decision(lot), on_skates[lot.skate].findings[lot], lot.skate)
    decisions = {number: judgement.decision(lot) for number, judgement in enumerate(on_skates)}
    if len(set(decisions.values())) == 1:
        return LotAnswer(lot, decisions[0], on_skates[0].findings[lot], 0)
    return LotAnswer(lot, Decision.CONFIRM, (_which_skate(lot, decisions),), 0)


def _which_skate(lot: Lot, decisions: Mapping[int, Decision]) -> Finding:
    best = min(decisions.values(), key=lambda decision: decision.rank)
    goes_on = ", ".join(str(number + 1) for number, decision in decisions.items() if decision is best)
    params: dict[str, str | float] = {"kind": lot.article.kind, "skates": len(decisions), "goes_on": goes_on}
    return Finding(Decision.CONFIRM, "cart.which_skate", params)


def _of_skate(number: int, found: Judgement, lots: Sequence[LotAnswer]) -> SkateAnswer:
    ours = [answer.decision for answer in lots if answer.lot.skate in (None, number)]
    return SkateAnswer(worst(ours), found.counts)
