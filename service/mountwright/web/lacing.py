"""The way of a question about a lace: the sum, and where it is asked for, a look at the laces in stock."""

from __future__ import annotations

from typing import Any

from flask import g

from mountwright.bench.lace_fit import Wish, least_marked_mm
from mountwright.bench.lace_length import lace_length
from mountwright.catalogue.stocked_laces import StockedLace, laces_in_stock
from mountwright.catalogue.versions import Version
from mountwright.web.answering import receipt
from mountwright.web.answers.lace_answers import lace_json
from mountwright.web.parsing import Question
from mountwright.web.schemas.lace_lengths import LaceAsked
from mountwright.web.workshop import Workshop

Json = dict[str, Any]

#: Most laces in stock that are named.
MOST_IN_STOCK = 12


def lace_told(question: Question, shop: Workshop) -> Json:
    """Give the answer to a question about a lace.

    Raises
    ------
    CatalogueAwayError
        When laces in stock are asked for, were not read lately, and the database is away.
    """
    asked: LaceAsked = question.asked
    found = lace_length(asked.about)
    version, stock = _stock(found.chosen.wish, shop) if asked.wants_stock else (None, None)
    return {**lace_json(found, stock, shop.messages), "receipt": receipt(question.digest, version, shop)}


def _stock(wish: Wish, shop: Workshop) -> tuple[Version, tuple[StockedLace, ...]]:
    least = least_marked_mm(wish)
    seen = shop.shelf.looked_up(
        ("laces", repr(least)), lambda connection: laces_in_stock(connection, least, MOST_IN_STOCK)
    )
    g.stale_s = shop.shelf.stale_s
    return seen
