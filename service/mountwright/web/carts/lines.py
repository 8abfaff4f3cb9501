"""From a line of a basket, or a part that stands on the skate, to the article that is meant."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Any

import orjson
from marshmallow import ValidationError

from mountwright.checkout.article import Article
from mountwright.mounts.mount import Part
from mountwright.web.carts.articles import article_recorded
from mountwright.web.carts.cart import CartLine
from mountwright.web.faults import fault
from mountwright.web.naming import part_named, unknown_sku
from mountwright.web.reading import part_built
from mountwright.web.shelved import Shelved
from mountwright.web.workshop import Desk

#: The kind by which a shop says that a line is no part of a skate.
NO_PART = "not_a_part"

#: What a line says beside what it is.
_OF_LINES = frozenset(("quantity", "for"))


def line_given(data: Mapping[str, Any], given: Mapping[str, Any], desk: Desk) -> CartLine:
    """Give a line.

    Parameters
    ----------
    data : Mapping
        As it was loaded.
    given : Mapping
        As it stood in the request.
    desk : Desk

    Raises
    ------
    ValidationError
        For what the catalogue or the installed standards have to say against it.
    """
    text = key_of(given)
    is_no_part = data.get("kind") == NO_PART
    article = None if is_no_part else _article(data, text, desk)
    return CartLine(text, data.get("sku"), article, data.get("quantity", 1), data.get("for_"), is_no_part)


def fitted_given(data: Mapping[str, Any], given: Mapping[str, Any], desk: Desk) -> Article:
    """Give a part that stands on the skate.

    Raises
    ------
    ValidationError
        For a SKU that the catalogue does not have, too.
    """
    article = _article(data, key_of(given), desk)
    if article is None:
        raise ValidationError({"sku": [unknown_sku(data["sku"], desk)]})
    return article


def key_of(given: Mapping[str, Any]) -> str:
    """Give what lines of one article have in common: all they say but how many and for whom."""
    said = {name: value for name, value in given.items() if name not in _OF_LINES}
    return orjson.dumps(said, option=orjson.OPT_SORT_KEYS).decode()


def _article(data: Mapping[str, Any], text: str, desk: Desk) -> Article | None:
    """Give the article, the same object for the same text; None for an unlisted SKU of which no more is said."""
    shelved = _shelved(data, desk)
    if shelved is not None and set(data) - {"quantity", "for_"} == {"sku"}:
        return shelved.article
    if shelved is None and "kind" not in data:
        return None
    make = partial(_described, data, desk) if shelved is None else partial(_overlaid, shelved, data, desk)
    return desk.workshop.memory.article(text, shelved, make)


def _shelved(data: Mapping[str, Any], desk: Desk) -> Shelved | None:
    return desk.seen.articles.get(data["sku"]) if desk.seen is not None and "sku" in data else None


def _described(data: Mapping[str, Any], desk: Desk) -> Article:
    kind = "" if data["kind"] == "skate" else data["kind"]
    part, faults = part_built(kind, data.get("mounts", ()), data.get("name", ""), desk.workshop.registry)
    if faults:
        raise ValidationError({"mounts": faults})
    return article_recorded(data, part)


def _overlaid(shelved: Shelved, data: Mapping[str, Any], desk: Desk) -> Article:
    """Give an article of the catalogue with what the line says otherwise; what was measured is laid over its mounts."""
    if not shelved.signature.of_part:
        raise ValidationError({"sku": fault("request.skate_alone", data["sku"])})
    part: Part = part_named(data, desk)
    specs = {**shelved.record.get("specs", {}), **data.get("specs", {})}
    return article_recorded({**shelved.record, **data, "specs": specs}, part)
