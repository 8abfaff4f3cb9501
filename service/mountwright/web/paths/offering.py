"""Reads what may be bought for a customer, and lays what was told of it beside the skate."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from sqlalchemy import Connection

from mountwright.catalogue.documents import SKATE
from mountwright.catalogue.pools import Sought, Terms
from mountwright.catalogue.reading import Kept
from mountwright.catalogue.upgrades import Offers, offers_of, other_currencies
from mountwright.fitting.evidence import Tally
from mountwright.upgrading.customer import Candidate, Customer
from mountwright.web.paths.asked import ForSale, PathAsked
from mountwright.web.paths.wanting import sought_for, terms_of
from mountwright.web.workshop import Workshop


def with_offers(asked: PathAsked, workshop: Workshop) -> PathAsked:
    """Give what is asked with what may be bought for it, read of the newest version of the catalogue.

    One statement reads it, and a second one only where nothing has a price in the customer's currency. What is not to
    be sold until its row is put right is left out.

    Raises
    ------
    CatalogueAwayError
        When the database is away.
    """
    customer = asked.customer
    sought = sought_for(customer, workshop)
    terms = terms_of(customer, in_stock_only=asked.in_stock_only)
    with workshop.engines.reading() as connection:
        offers = offers_of(connection, sought, terms, workshop.registry.rules_version)
        others = _other_currencies(connection, offers, terms)
    for_sale = _for_sale(sought, offers, others, workshop)
    return asked._replace(customer=_told(customer, offers), for_sale=for_sale)


def _other_currencies(connection: Connection, offers: Offers, terms: Terms) -> tuple[str, ...]:
    is_something = any(each.there_are for each in (*offers.kinds, offers.skates))
    return () if is_something else other_currencies(connection, terms.currency)


def _for_sale(sought: tuple[Sought, ...], offers: Offers, others: tuple[str, ...], workshop: Workshop) -> ForSale:
    kinds = {each.kind: offered for each, offered in zip(sought, offers.kinds, strict=True)}
    return ForSale(
        offers.version,
        {kind: _candidates(offered.articles, offers, workshop) for kind, offered in kinds.items()},
        {**{kind: offered.there_are for kind, offered in kinds.items()}, SKATE: offers.skates.there_are},
        _candidates(offers.skates.articles, offers, workshop),
        others,
    )


def _candidates(articles: Iterable[Kept], offers: Offers, workshop: Workshop) -> tuple[Candidate, ...]:
    sold = [workshop.shelf.shelved(kept) for kept in articles if kept.sku not in offers.paused]
    # What nobody counted is not in stock, as far as anybody can say.
    return tuple(Candidate(each.article, bool(each.record.get("stock"))) for each in sold)


def _told(customer: Customer, offers: Offers) -> Customer:
    """Give the customer with what was told of the skate and what may be bought, as a cart check would know it."""
    versions = tuple(
        replace(version, tallies={**version.tallies, **_tallies(version.skate.sku, offers)})
        for version in customer.owned.versions
    )
    return replace(customer, owned=replace(customer.owned, versions=versions))


def _tallies(skate: str, offers: Offers) -> dict[str, Tally]:
    return {part: tally for (of, part), tally in offers.tallies.items() if of == skate}
