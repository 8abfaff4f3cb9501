"""Reads a basket: what it names of the catalogue in one look, then the schema."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from marshmallow import Schema, ValidationError
from marshmallow.experimental.context import Context

from mountwright.web.carts.cart import MOST_LINES, MOST_SKATES
from mountwright.web.parsing import Question, digest, model_in, sku_in
from mountwright.web.problems import invalid
from mountwright.web.shelved import NamedBasket, Seen, SeenBasket
from mountwright.web.workshop import Desk, Workshop

#: Parts that may stand on one skate.
_MOST_FITTED = 40


def cart_read(body: Any, schema: Schema, shop: Workshop) -> Question:
    """Load a parsed basket with what it names of the catalogue at hand, or give the answer that it had before.

    Raises
    ------
    Problem
        400 for what is nested too deep, 422 with every fault.
    CatalogueAwayError
        When it names something of the catalogue and that is away.
    """
    found = digest(body)
    known = _answered(found, shop)
    if known is not None:
        return Question(known, found, None, ())
    named = named_in_cart(body)
    seen = shop.shelf.basket(named) if named != NamedBasket() else None
    try:
        with Context(_desk(seen, shop)):
            cart = schema.load(body)
    except ValidationError as error:
        raise invalid(error, shop.messages) from error
    return Question(cart, found, seen, cart.skus)


def _answered(found: str, shop: Workshop) -> bytes | None:
    """Give the answer to a digest, as long as the version that it was read from was confirmed just now."""
    confirmed = shop.shelf.confirmed
    versions = (None,) if confirmed is None else (confirmed.label, None)
    answers = (shop.memory.answer((found, version)) for version in versions)
    return next((answer for answer in answers if answer is not None), None)


def _desk(seen: SeenBasket | None, shop: Workshop) -> Desk:
    if seen is None:
        return Desk(shop)
    return Desk(shop, Seen(seen.version, seen.articles, (), seen.tallies), seen)


def named_in_cart(body: Any) -> NamedBasket:
    """Give what a basket names of the catalogue; what is ill-formed there is left to the schema."""
    if type(body) is not dict:
        return NamedBasket()
    skates = [body.get("skate"), *_entries(body.get("skates"), MOST_SKATES)]
    lines = _entries(body.get("lines"), MOST_LINES)
    return NamedBasket(
        tuple(_unlike(sku for skate in skates if (sku := sku_in(skate)) is not None)),
        tuple(_unlike(model for skate in skates if (model := model_in(skate)) is not None)),
        tuple(_unlike((*_skus(lines), *_skus(_fitted(skates))))),
    )


def _fitted(skates: list[Any]) -> list[Any]:
    return [entry for skate in skates if type(skate) is dict for entry in _entries(skate.get("fitted"), _MOST_FITTED)]


def _skus(entries: list[Any]) -> Iterator[str]:
    return (sku for entry in entries if (sku := sku_in(entry)) is not None)


def _entries(value: Any, most: int) -> list[Any]:
    return value[:most] if type(value) is list else []


def _unlike(values: Any) -> dict[Any, None]:
    return dict.fromkeys(values)
