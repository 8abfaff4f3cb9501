"""A basket as a request brought it: what is judged, and which line is part of which lot."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from mountwright.checkout.article import Article
from mountwright.checkout.basket import Basket, Lot, Owned, Policy, Status
from mountwright.mounts.kinds import kinds
from mountwright.mounts.mount import Part

#: Most skates and lines of a basket, and most packs of a line.
MOST_SKATES, MOST_LINES, MOST_PACKS = 8, 400, 10_000

#: EU sizes and lengths of feet in mm that there are, both ends inclusive.
EU_SIZES, FEET_MM = (15, 60), (80, 400)

_RANKS = {kind: rank for rank, kind in enumerate(kinds())}

#: What a line is judged as whose kind nobody knows.
_NOTHING_KNOWN = Part("other", ())


class CartLine(NamedTuple):
    """A line.

    Parameters
    ----------
    key : str
        The same for lines of the same article.
    sku : str or None
    article : Article or None
        None where the catalogue does not have the SKU and the request says nothing more of it.
    packs : int
    skate : int or None
    is_no_part : bool
        Whether the request says that it is no part of a skate.
    """

    key: str
    sku: str | None
    article: Article | None
    packs: int
    skate: int | None
    is_no_part: bool


class Wishes(NamedTuple):
    """What a shop decides for itself, with what only the reading of its basket needs.

    Parameters
    ----------
    policy : Policy
    unlisted_is_no_part : bool
        Whether a SKU that the catalogue does not have is no part of a skate.
    workshop_skus : frozenset of str
        Lines that stand for the shop's own workshop.
    """

    policy: Policy = Policy()
    unlisted_is_no_part: bool = False
    workshop_skus: frozenset[str] = frozenset()


#: Of a shop that says nothing.
NO_WISHES = Wishes()


class Cart(NamedTuple):
    """What is asked.

    Parameters
    ----------
    basket : Basket
    lots : tuple of int
        For each line the number of its lot in the basket.
    skus : tuple of (str or None)
        Of the lines.
    skates : tuple of (str or None)
        SKUs of the skates.
    """

    basket: Basket
    lots: tuple[int, ...]
    skus: tuple[str | None, ...]
    skates: tuple[str | None, ...]


def cart_of(
    skates: Sequence[Owned],
    skate_skus: Sequence[str | None],
    lines: Sequence[CartLine],
    wishes: Wishes,
    paused: Iterable[str],
) -> Cart:
    """Put lines of one article for one skate together, so that neither order nor splitting can matter."""
    only = 0 if len(skates) == 1 else None
    places = [(line.key, only if line.skate is None else line.skate) for line in lines]
    packs: dict[tuple[str, int | None], int] = {}
    first: dict[tuple[str, int | None], CartLine] = {}
    for place, line in zip(places, lines, strict=True):
        packs[place] = packs.get(place, 0) + line.packs
        first.setdefault(place, line)
    away = frozenset(paused)
    order = sorted(packs, key=lambda place: (_rank(first[place]), place[0], -1 if place[1] is None else place[1]))
    lots = tuple([_lot(place, first[place], packs[place], wishes, away) for place in order])
    numbers = {place: number for number, place in enumerate(order)}
    basket = Basket(tuple(skates), lots, wishes.policy)
    return Cart(
        basket, tuple([numbers[place] for place in places]), tuple([line.sku for line in lines]), tuple(skate_skus)
    )


def _rank(line: CartLine) -> int:
    """Give a place by kind: a frame before what it holds, so that the first of several faults is the root."""
    return _RANKS.get(line.article.kind if line.article else "", len(_RANKS))


def _lot(place: tuple[str, int | None], line: CartLine, packs: int, wishes: Wishes, paused: frozenset[str]) -> Lot:
    article = line.article or Article("other", _NOTHING_KNOWN, sku=line.sku or "")
    return Lot(place[0], article, packs, _status(line, wishes), place[1], line.sku in paused)


def _status(line: CartLine, wishes: Wishes) -> Status:
    if line.sku in wishes.workshop_skus:
        return Status.WORKSHOP
    if line.is_no_part:
        return Status.NOT_A_PART
    if line.article is None:
        return Status.NOT_A_PART if wishes.unlisted_is_no_part else Status.UNLISTED
    if line.article.kind == "skate":
        return Status.WHOLE_SKATE
    is_nothing = line.article.kind == "other" and not line.article.part.mounts
    return Status.NOT_A_PART if is_nothing else Status.JUDGED
