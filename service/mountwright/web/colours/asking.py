"""Reads what is asked about colours: what it names of the catalogue, the schema, then what is found."""

from __future__ import annotations

from typing import Any

from marshmallow import Schema, ValidationError
from marshmallow.experimental.context import Context

from mountwright.catalogue.versions import Version
from mountwright.errors import CatalogueBusyError
from mountwright.web.colours.asked import ColoursAsked, Matches, Search
from mountwright.web.colours.matching import matches_of
from mountwright.web.parsing import Question, digest, model_in, sku_in
from mountwright.web.problems import invalid
from mountwright.web.shelved import Named, Seen
from mountwright.web.workshop import Desk, Workshop

#: Colours that are compared with each other.
MOST_TOGETHER = 20

#: How often it is read anew because the catalogue changed between the two looks at it.
_TRIES = 10


def colours_read(body: Any, schema: Schema, shop: Workshop) -> Question:
    """Load a parsed body with what it names of the catalogue at hand, and look for the parts that it asks for.

    Both are of one version of the catalogue.

    Raises
    ------
    Problem
        400 for what is nested too deep, 422 with every fault.
    CatalogueAwayError
        When the catalogue is away, or changes faster than it can be read.
    """
    found, named = digest(body), named_among_colours(body)
    for _ in range(_TRIES):
        seen = shop.shelf.seen(named) if named != Named() else None
        asked = _loaded(body, schema, seen, shop)
        if asked.search is None:
            return Question(asked, found, seen, ())
        version, matches = _found(asked.search, shop)
        if seen is None or seen.version == version:
            return Question(asked._replace(found=matches), found, Seen(version, {}, (), {}), ())
    raise CatalogueBusyError("it changes faster than it can be read")


def _found(search: Search, shop: Workshop) -> tuple[Version, Matches]:
    return shop.shelf.read(lambda connection: matches_of(connection, search, shop))


def _loaded(body: Any, schema: Schema, seen: Seen | None, shop: Workshop) -> ColoursAsked:
    try:
        with Context(Desk(shop, seen)):
            asked: ColoursAsked = schema.load(body)
    except ValidationError as error:
        raise invalid(error, shop.messages) from error
    return asked


def named_among_colours(body: Any) -> Named:
    """Give what a body names of the catalogue; what is ill-formed there is left to the schema."""
    if type(body) is not dict:
        return Named()
    skate, together = body.get("skate"), body.get("together")
    colours = [body.get("wanted"), *(together[:MOST_TOGETHER] if type(together) is list else ())]
    liked = (sku_in(colour.get("like")) for colour in colours if type(colour) is dict)
    return Named(sku_in(skate), model_in(skate), tuple(sku for sku in liked if sku is not None))
