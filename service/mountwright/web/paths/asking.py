"""Reads what is asked about an upgrade path: what it names of the catalogue, the schema, then what may be bought."""

from __future__ import annotations

from typing import Any

from marshmallow import Schema, ValidationError
from marshmallow.experimental.context import Context

from mountwright.errors import CatalogueBusyError
from mountwright.web.parsing import Question, digest, model_in, sku_in
from mountwright.web.paths.asked import PathAsked
from mountwright.web.paths.offering import with_offers
from mountwright.web.problems import invalid
from mountwright.web.rides.picture_link import packed_body
from mountwright.web.shelved import NamedBasket, Seen, SeenBasket
from mountwright.web.workshop import Desk, Workshop

#: Parts that may stand on the skate.
_MOST_FITTED = 40

#: How often it is read anew because the catalogue changed between the two looks at it.
_TRIES = 10


def path_read(body: Any, schema: Schema, shop: Workshop) -> Question:
    """Load a parsed body with what it names of the catalogue at hand, and with what may be bought for it.

    Two statements, one for what is named and one for what may be bought, of one version of the catalogue.

    Raises
    ------
    Problem
        400 for what is nested too deep, 422 with every fault.
    CatalogueAwayError
        When the catalogue is away, or changes faster than it can be read.
    """
    found = digest(body)
    named = named_in_path(body)
    for _ in range(_TRIES):
        seen = shop.shelf.basket(named) if named != NamedBasket() else None
        asked = with_offers(_loaded(body, schema, seen, shop), shop)
        if seen is None or seen.version == asked.for_sale.version:
            return Question(asked._replace(packed=packed_body(body)), found, asked.for_sale, ())
        shop.shelf.noted(asked.for_sale.version)
    raise CatalogueBusyError("it changes faster than it can be read")


def _loaded(body: Any, schema: Schema, seen: SeenBasket | None, shop: Workshop) -> PathAsked:
    desk = Desk(shop) if seen is None else Desk(shop, Seen(seen.version, seen.articles, (), seen.tallies), seen)
    try:
        with Context(desk):
            asked: PathAsked = schema.load(body)
    except ValidationError as error:
        raise invalid(error, shop.messages) from error
    return asked


def named_in_path(body: Any) -> NamedBasket:
    """Give what a body names of the catalogue; what is ill-formed there is left to the schema."""
    skate = body.get("skate") if type(body) is dict else None
    if type(skate) is not dict:
        return NamedBasket()
    sku, model, fitted = sku_in(skate), model_in(skate), skate.get("fitted")
    entries = fitted[:_MOST_FITTED] if type(fitted) is list else []
    parts = [part for entry in entries if (part := sku_in(entry)) is not None]
    return NamedBasket(() if sku is None else (sku,), () if model is None else (model,), tuple(dict.fromkeys(parts)))
