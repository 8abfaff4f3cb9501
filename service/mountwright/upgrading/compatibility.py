"""Which articles go on a skate at all, and which go together, by the basket's own rules.

Articles that are alike in what decides are judged once, and so is every pair of what decides. A part that stays is
judged as the basket judges it: by what a new part beside it is found to be.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product
from typing import NamedTuple

from mountwright.checkout.article import Article
from mountwright.checkout.basket import Counts, Lot, Owned
from mountwright.checkout.finding import Decision, Finding
from mountwright.checkout.judging import judged
from mountwright.checkout.till import Till
from mountwright.upgrading.dependence import hangs_on
from mountwright.upgrading.interfaces import LINKS, Interface, interface

#: Signature of a part that stays, or of a place where nothing is.
AS_IS = "as is"

#: Two linked kinds.
LinkedKinds = tuple[str, str]

#: Signatures that go together, the first of the first kind.
Passing = frozenset[tuple[str, str]]


@dataclass(frozen=True, eq=False)
class Compatibility:
    """What goes on a skate, and what goes with what.

    Parameters
    ----------
    signatures : Mapping[Article, str]
        Of every article that goes on, with the right others beside it: what it goes together with.
    refused : Mapping[Article, tuple of Finding]
        The others, and what speaks against each.
    passing : Mapping[(str, str), frozenset of (str, str)]
        By pair of kinds of :data:`mountwright.upgrading.interfaces.LINKS`. The part as it is has the signature
        :data:`AS_IS`, and goes with the part as it is.
    judgements : int
        How many baskets were judged for this, each on every version of the skate.
    """

    signatures: Mapping[Article, str]
    refused: Mapping[Article, tuple[Finding, ...]]
    passing: Mapping[LinkedKinds, Passing]
    judgements: int


class _Objection(NamedTuple):
    """What is not clear about a new part, and the linked kinds that it hangs on."""

    article: Article
    finding: Finding
    hangs_on: frozenset[str]


@dataclass(frozen=True, eq=False)
class _Group:
    """Articles that are judged alike: the one that stands for them, and what was found of it alone."""

    first: Article
    interface: Interface
    objections: tuple[_Objection, ...]

    @property
    def refusals(self) -> tuple[Finding, ...]:
        """Give what no other part changes."""
        return tuple([each.finding for each in self.objections if not each.hangs_on])


def compatibility(owned: Owned, candidates: Mapping[str, Sequence[Article]], till: Till) -> Compatibility:
    """Judge which candidates go on a skate and which go together; of a model's versions each has to say so.

    Parameters
    ----------
    owned : Owned
    candidates : Mapping[str, sequence of Article]
        By kind.
    till : Till
        Its policy's thresholds and its workshop count; how many pieces there are does not.
    """
    judge = _Judge(owned, till)
    groups = {kind: _grouped(articles, judge) for kind, articles in candidates.items()}
    refused = {
        article: group.refusals for grouped in groups.values() for article, group in grouped.items() if group.refusals
    }
    able = {
        kind: {article: group for article, group in grouped.items() if article not in refused}
        for kind, grouped in groups.items()
    }
    signatures = {article: each for grouped in able.values() for article, each in _signatures(grouped).items()}
    passing = {pair: _passing(pair, able, signatures, judge) for pair in LINKS}
    return Compatibility(signatures, refused, passing, judge.judgements)


class _Judge:
    """Judges baskets on every version of one skate."""

    def __init__(self, owned: Owned, till: Till) -> None:
        self._owned = owned
        self._till = till._replace(policy=replace(till.policy, counts=Counts.SPARES))
        self._told = frozenset([sku for version in owned.versions for sku in version.tallies]) | frozenset(
            [each.article.sku for version in owned.versions for each in version.fitted if each.article.sku]
        )
        self.judgements = 0

    def interface(self, article: Article) -> Interface:
        """Give the interface of an article."""
        return interface(article, self._told, self._till.bench.registry)

    def goes_together(self, groups: tuple[_Group, _Group], pair: LinkedKinds) -> bool:
        """Tell whether articles of two groups go together.

        What the skate was sold with, or is told to take, is taken on trust as long as all that it meets is as sold: a
        new part beside it may so bring up what alone nobody asked.
        """
        found = self.objections(*(group.first for group in groups))
        trusted = {group.first: group.objections for group in groups if group.first.sku in self._told}
        return not _objects(found, pair) and all(
            each.hangs_on in {known.hangs_on for known in trusted[each.article]}
            for each in found
            if each.article in trusted
        )

    def objections(self, *articles: Article) -> tuple[_Objection, ...]:
        """Give everything that is not clear once these articles, each of another kind, are on the skate."""
        self.judgements += 1
        lots = [self._lot(article) for article in sorted(articles, key=lambda each: each.kind)]
        return tuple([each for version in range(len(self._owned.versions)) for each in self._on(version, lots)])

    def _on(self, version: int, lots: Sequence[Lot]) -> Iterator[_Objection]:
        found = judged(self._owned, self._owned.versions[version], lots, self._till)
        for lot in lots:
            for finding in found.findings[lot]:
                if finding.decision is not Decision.CLEAR:
                    hangs = hangs_on(finding, lot.article, found, self._till.bench.registry)
                    yield _Objection(lot.article, finding, hangs)

    def _lot(self, article: Article) -> Lot:
        """Give so many packs that nothing of the kind has to stay for want of pieces."""
        standing = [
            fitted.pieces or 0
            for version in self._owned.versions
            for fitted in version.fitted
            if fitted.article.kind == article.kind
        ]
        return Lot(article.kind, article, max(1, -(-sum(standing) // (article.pieces_per_pack or 1))))


def _grouped(articles: Sequence[Article], judge: _Judge) -> dict[Article, _Group]:
    """Give the group of each article; each group is judged alone once."""
    known: dict[Interface, _Group] = {}
    found: dict[Article, _Group] = {}
    for article in articles:
        key = judge.interface(article)
        if key not in known:
            known[key] = _Group(article, key, judge.objections(article))
        found[article] = known[key]
    return found


def _signatures(grouped: Mapping[Article, _Group]) -> dict[Article, str]:
    """Give each article the number of what decides beside others."""
    numbers: dict[Hashable, str] = {}
    return {
        article: numbers.setdefault(group.interface.beside, str(len(numbers))) for article, group in grouped.items()
    }


def _passing(
    pair: LinkedKinds, able: Mapping[str, Mapping[Article, _Group]], signatures: Mapping[Article, str], judge: _Judge
) -> Passing:
    one, other = ({signatures[article]: group for article, group in able.get(kind, {}).items()} for kind in pair)
    firsts, seconds = _toward(one, pair[1]), _toward(other, pair[0])
    together = {
        both: judge.goes_together(both, pair)
        for both in product(dict.fromkeys(firsts.values()), dict.fromkeys(seconds.values()))
    }
    found = {(AS_IS, AS_IS)}
    found |= {(sign, AS_IS) for sign, group in one.items() if not _objects(group.objections, pair)}
    found |= {(AS_IS, sign) for sign, group in other.items() if not _objects(group.objections, pair)}
    found |= {each for each in product(one, other) if together[firsts[each[0]], seconds[each[1]]]}
    return frozenset(found)


def _toward(groups: Mapping[str, _Group], kind: str) -> dict[str, _Group]:
    """Give by signature the first group that has the same of what decides beside a kind."""
    firsts: dict[Hashable, _Group] = {}
    return {sign: firsts.setdefault(group.interface.toward(kind), group) for sign, group in groups.items()}


def _objects(objections: Iterable[_Objection], pair: LinkedKinds) -> bool:
    """Tell whether an objection to a part of one kind hangs on the other."""
    beside = {pair[0]: pair[1], pair[1]: pair[0]}
    return any(beside.get(each.article.kind) in each.hangs_on for each in objections)
