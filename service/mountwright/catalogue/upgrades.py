"""Finds what may be bought for a skate, kind by kind, the cheapest first, with one statement and so of one state.

Only articles with a price in the one currency that is asked for count: nothing here knows a rate. What the mounts
beside it rule out is left out by the index of mounts; what is left may still be refused when it is judged.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import chain, islice
from typing import Any, NamedTuple

from sqlalchemy import Connection, select

from mountwright.catalogue.outcomes import Pair, tallies_in
from mountwright.catalogue.pools import MOST, Found, Sort, Sought, Terms, list_number, statement
from mountwright.catalogue.reading import Kept, kept
from mountwright.catalogue.tables import ARTICLES
from mountwright.catalogue.versions import Version
from mountwright.fitting.evidence import ReturnCause, Returned, Tally, evidence_estimates, returns_to_correct

#: Of the places of a kind, so many are kept for the cheapest on each of its lists.
KEPT_FREE = MOST // len(Found)

#: So many currencies are named.
_MOST_CURRENCIES = 20

#: A row but for its sort: two numbers and its texts.
_Row = tuple[Any, ...]


class Offered(NamedTuple):
    """What may be bought of a kind: the cheapest first, of equally cheap ones by SKU, and how many there are in all."""

    articles: tuple[Kept, ...]
    there_are: int


class Offers(NamedTuple):
    """What may be bought, all of one version.

    Parameters
    ----------
    version : Version
    kinds : tuple of Offered
        In the order that was asked for.
    skates : Offered
        Complete skates, but for the one that it is for.
    tallies : Mapping[tuple[str, str], Tally]
        What was told of the skate and an article that is given, by SKU.
    paused : frozenset of str
        SKUs among all of these that are not to be sold until their row is put right.
    """

    version: Version
    kinds: tuple[Offered, ...]
    skates: Offered
    tallies: Mapping[Pair, Tally]
    paused: frozenset[str]


def offers_of(connection: Connection, sought: Sequence[Sought], terms: Terms, rules_version: str) -> Offers:
    """Give what may be bought of each kind, and the complete skates.

    Where there is more than can be given, the cheapest are, but for the places that are kept (:data:`KEPT_FREE`) for
    what is wished for, what has the wished colour as well, what goes on as it is, and what takes other parts beside it.

    Parameters
    ----------
    connection : Connection
    sought : sequence of Sought
    terms : Terms
    rules_version : str
        Of the rules at hand; what others have read into the index is not relied on.
    """
    rows: dict[str, list[_Row]] = defaultdict(list)
    for sort, *row in connection.execute(statement(sought, terms, rules_version)):
        rows[sort].append(tuple(row))
    (((number, _, digest, *_),),) = (rows[Sort.VERSION],)
    *kinds, skates = _offered(rows[Sort.ARTICLE], rows[Sort.COUNT])
    told = sorted(rows[Sort.TOLD], key=lambda row: row[2:4])
    return Offers(
        Version(number, digest),
        tuple(kinds),
        skates,
        dict(tallies_in((*said, count) for count, _, *said in told)),
        _paused(rows[Sort.BACK_AS_SKATE], rows[Sort.BACK_AS_PART]),
    )


def other_currencies(connection: Connection, currency: str) -> tuple[str, ...]:
    """Give the currencies, other than one, that anything in the catalogue has a price in, in order.

    All articles are looked at: for when nothing was found to buy.
    """
    columns = ARTICLES.c
    priced = select(columns.currency).where(columns.price_minor.is_not(None), columns.currency != currency)
    found = priced.distinct().order_by(columns.currency).limit(_MOST_CURRENCIES)
    return tuple(each for each in connection.scalars(found) if each is not None)


def _offered(articles: Iterable[_Row], counts: Iterable[_Row]) -> Iterator[Offered]:
    """Yield what is given of each kind, and of complete skates."""
    lists: dict[int, list[_Row]] = defaultdict(list)
    for row in articles:
        lists[row[0]].append(row)
    for kind, there_are, *_ in sorted(counts, key=lambda row: row[0]):
        chosen = _chosen([sorted(lists[list_number(kind, each)], key=_cheapness) for each in Found])
        yield Offered(tuple(kept(row[2:]) for row in chosen), there_are)


def _chosen(lists: Sequence[Sequence[_Row]]) -> list[_Row]:
    """Give the cheapest of several lists, the places taken first that are kept for each."""
    kept_free = chain.from_iterable(each[:KEPT_FREE] for each in lists)
    cheapest = sorted(chain.from_iterable(lists), key=_cheapness)
    by_sku = {row[2]: row for row in chain(kept_free, cheapest)}
    return sorted(islice(by_sku.values(), MOST), key=_cheapness)


def _cheapness(row: _Row) -> tuple[int, str]:
    return row[1], row[2]


def _paused(as_skate: Iterable[_Row], as_part: Iterable[_Row]) -> frozenset[str]:
    returned = [Returned(sku, "", ReturnCause(cause), count) for count, _, sku, cause, *_ in as_skate]
    returned += [Returned("", sku, ReturnCause(cause), count) for count, _, sku, cause, *_ in as_part]
    return frozenset(each.sku for each in returns_to_correct(returned, evidence_estimates()) if each.pauses)
