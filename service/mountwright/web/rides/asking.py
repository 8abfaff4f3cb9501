"""Reads a wheel line or a comparison of rides: what it names of the catalogue in one look, then the schema."""

from __future__ import annotations

from typing import Any

from marshmallow import Schema, ValidationError
from marshmallow.experimental.context import Context

from mountwright.web.parsing import Question, digest, sku_in
from mountwright.web.problems import invalid
from mountwright.web.rides.limits import MOST_PARTS, MOST_SET_UPS
from mountwright.web.shelved import NamedBasket, Seen
from mountwright.web.workshop import Desk, Workshop


def ride_read(body: Any, schema: Schema, shop: Workshop) -> Question:
    """Load a parsed body with what its set-ups name of the catalogue at hand.

    Raises
    ------
    Problem
        400 for what is nested too deep, 422 with every fault.
    CatalogueAwayError
        When it names something of the catalogue and that is away.
    """
    return read_naming(body, schema, shop, named_in_set_ups(body))


def read_naming(body: Any, schema: Schema, shop: Workshop, named: NamedBasket) -> Question:
    """Load a parsed body with what it names of the catalogue at hand.

    Parameters
    ----------
    body
    schema : Schema
    shop : Workshop
    named : NamedBasket
        What the body names.

    Raises
    ------
    Problem
        400 for what is nested too deep, 422 with every fault.
    CatalogueAwayError
        When it names something of the catalogue and that is away.
    """
    found = digest(body)
    seen = shop.shelf.basket(named) if named != NamedBasket() else None
    desk = Desk(shop) if seen is None else Desk(shop, Seen(seen.version, seen.articles, (), seen.tallies), seen)
    try:
        with Context(desk):
            asked = schema.load(body)
    except ValidationError as error:
        raise invalid(error, shop.messages) from error
    return Question(asked, found, seen, ())


def named_in_set_ups(body: Any) -> NamedBasket:
    """Give what set-ups name of the catalogue; what is ill-formed there is left to the schema."""
    if type(body) is not dict:
        return NamedBasket()
    set_ups = [body.get("set_up"), body.get("before"), *entries_in(body.get("set_ups"), MOST_SET_UPS)]
    given = [set_up for set_up in set_ups if type(set_up) is dict]
    skates = [sku for set_up in given if (sku := sku_in(set_up.get("skate"))) is not None]
    parts = [
        sku
        for set_up in given
        for entry in entries_in(set_up.get("parts"), MOST_PARTS)
        if (sku := sku_in(entry)) is not None
    ]
    return NamedBasket(tuple(dict.fromkeys(skates)), (), tuple(dict.fromkeys(parts)))


def entries_in(value: Any, most: int) -> list[Any]:
    """Give the first entries of a JSON value that is a list, none of any other."""
    return value[:most] if type(value) is list else []
