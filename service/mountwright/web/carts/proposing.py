"""What the catalogue has instead of what a basket stops at: looked for at once, then judged in its place."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from mountwright.catalogue.alternatives import Sought as Listing
from mountwright.catalogue.alternatives import alternatives_of
from mountwright.catalogue.documents import folded
from mountwright.catalogue.reading import Kept
from mountwright.checkout.alternatives import Alternative, Sought, nearest, sought
from mountwright.checkout.basket import Lot, Status
from mountwright.checkout.cart_check import CartAnswer
from mountwright.checkout.finding import Decision
from mountwright.checkout.till import Till
from mountwright.errors import CatalogueAwayError
from mountwright.web.carts.cart import Cart
from mountwright.web.parsing import Seeing
from mountwright.web.workshop import Workshop

#: So many of what may go on are judged in the place of each part that does not.
MOST_JUDGED = 24

#: Lots for which something else is looked for, the first in order.
MOST_SOUGHT = 8


def proposals(
    cart: Cart, answer: CartAnswer, seen: Seeing | None, till: Till, workshop: Workshop
) -> Mapping[Lot, tuple[Alternative, ...]] | None:
    """Give up to three alternatives for each lot that does not go on; one statement finds what may for all of them.

    None where the catalogue cannot be asked at the version that the basket was read at.
    """
    stopped = [found for found in answer.lots if found.decision is Decision.STOP and found.lot.status is Status.JUDGED][
        :MOST_SOUGHT
    ]
    if not stopped or seen is None:
        return {}
    owners = cart.basket.skates
    wishes = [sought(found.lot, answer.judgements[found.skate], owners[found.skate]) for found in stopped]
    listed = _listed([_listing(wish, workshop) for wish in wishes], seen, workshop)
    if listed is None:
        return None
    return {
        found.lot: nearest(
            found.lot,
            [workshop.shelf.shelved(kept).article for kept in candidates],
            answer.judgements[found.skate],
            owners[found.skate],
            till,
        )
        for found, candidates in zip(stopped, listed, strict=True)
    }


def _listed(listings: Sequence[Listing], seen: Seeing, workshop: Workshop) -> Sequence[Sequence[Kept]] | None:
    """Give what may go on, None where the catalogue changed since the basket was read or is away."""
    try:
        with workshop.engines.reading() as connection:
            version, found = alternatives_of(connection, listings, workshop.registry.rules_version)
    except CatalogueAwayError:
        return None
    return found if version == seen.version else None


def _listing(wish: Sought, workshop: Workshop) -> Listing:
    article = wish.article
    chances = {mount.position: (workshop.chance(mount),) for mount in wish.beside}
    return Listing(
        kind=article.kind,
        figures=wish.figures,
        near=wish.near,
        chances=tuple(sorted(chances.items())),
        eu_size=wish.eu_size,
        hand=article.hand.value if article.hand else None,
        not_skus=(article.sku,) if article.sku else (),
        colour_folded=folded(article.colour),
        price_minor=article.price.minor if article.price else None,
        currency=article.price.currency if article.price else "",
        most=MOST_JUDGED,
    )
