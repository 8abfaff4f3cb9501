"""Reads what is asked about a pair of feet: what it names of the catalogue in one look, then the schema."""

from __future__ import annotations

from typing import Any

from marshmallow import Schema

from mountwright.web.parsing import Question, sku_in
from mountwright.web.rides.asking import entries_in, read_naming
from mountwright.web.shelved import NamedBasket
from mountwright.web.workshop import Workshop

#: Skates, liners or insoles of one question.
MOST_OFFERED = 40


def sizes_read(body: Any, schema: Schema, shop: Workshop) -> Question:
    """Load a parsed body with the skates, liners and insoles that it names at hand.

    Raises
    ------
    Problem
        400 for what is nested too deep, 422 with every fault.
    CatalogueAwayError
        When it names something of the catalogue and that is away.
    """
    return read_naming(body, schema, shop, named_in_sizes(body))


def named_in_sizes(body: Any) -> NamedBasket:
    """Give what a question names of the catalogue; what is ill-formed there is left to the schema."""
    given = body if type(body) is dict else {}
    return NamedBasket(
        _skus(given, "skates"), (), tuple(dict.fromkeys(_skus(given, "liners") + _skus(given, "insoles")))
    )


def _skus(body: dict[str, Any], name: str) -> tuple[str, ...]:
    named = (sku_in(entry) for entry in entries_in(body.get(name), MOST_OFFERED))
    return tuple(dict.fromkeys(sku for sku in named if sku is not None))
