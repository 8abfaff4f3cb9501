"""Reads what is asked of a bench card: what it names of the catalogue in one look, then the schema."""

from __future__ import annotations

from typing import Any

from marshmallow import Schema

from mountwright.web.cards.asked import MOST_PARTS, CardAsked
from mountwright.web.parsing import Question, sku_in
from mountwright.web.rides.asking import named_in_set_ups, read_naming
from mountwright.web.rides.picture_link import packed_body
from mountwright.web.shelved import NamedBasket
from mountwright.web.workshop import Workshop


def card_read(body: Any, schema: Schema, shop: Workshop) -> Question:
    """Load a parsed body with what it names of the catalogue at hand.

    Raises
    ------
    Problem
        400 for what is nested too deep, 422 with every fault.
    CatalogueAwayError
        When it names something of the catalogue and that is away.
    """
    question = read_naming(body, schema, shop, named_in_card(body))
    asked: CardAsked = question.asked
    line = None if asked.line is None else asked.line._replace(packed=packed_body(_line_body(body["wheel_line"])))
    return question._replace(asked=asked._replace(line=line, packed=packed_body(body)))


def named_in_card(body: Any) -> NamedBasket:
    """Give what a body names of the catalogue; what is ill-formed there is left to the schema."""
    if type(body) is not dict:
        return NamedBasket()
    skate, parts = sku_in(body.get("skate")), body.get("parts")
    entries = parts[:MOST_PARTS] if type(parts) is list else []
    ridden = named_in_set_ups(body.get("wheel_line"))
    return NamedBasket(
        tuple(dict.fromkeys((*ridden.skates, *([] if skate is None else [skate])))),
        (),
        tuple(dict.fromkeys((*ridden.parts, *(sku for entry in entries if (sku := sku_in(entry)) is not None)))),
    )


def _line_body(line: dict[str, Any]) -> dict[str, Any]:
    """Give the question about a wheel line that draws the same picture."""
    picture = {"theme": "light", "gap_factor": line.get("gap_factor", 1)}
    return {"set_up": line["set_up"], "load": line["load"], "picture": picture}
