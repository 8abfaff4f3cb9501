"""Finds laces in stock by their length."""

from __future__ import annotations

from typing import NamedTuple

from sqlalchemy import Connection, and_, select

from mountwright.catalogue.tables import ARTICLE_FIGURES, ARTICLES


class StockedLace(NamedTuple):
    """A lace that is in stock.

    Parameters
    ----------
    length_mm : float
        As it is marked.
    sku, name : str
    price_minor : int or None
        Of one pack, minor units of its currency.
    currency : str or None
        ISO 4217.
    stock : int
        Packs, above 0.
    """

    length_mm: float
    sku: str
    name: str
    price_minor: int | None
    currency: str | None
    stock: int


def laces_in_stock(connection: Connection, least_mm: float, most: int) -> tuple[StockedLace, ...]:
    """Give the shortest laces that are known to be in stock and of a length at the least, the shortest first.

    Parameters
    ----------
    connection : Connection
    least_mm : float
        Inclusive.
    most : int
        Most laces that are given; of one length by SKU.
    """
    article, length = ARTICLES.c, ARTICLE_FIGURES.c
    is_its_length = and_(length.sku == article.sku, length.kind == "lace", length.name == "length_mm")
    columns = (length.value, article.sku, article.name, article.price_minor, article.currency, article.stock)
    found = select(*columns).join_from(ARTICLE_FIGURES, ARTICLES, is_its_length)
    long_enough = found.where(length.value >= least_mm, article.stock > 0)
    return tuple(
        StockedLace(*row) for row in connection.execute(long_enough.order_by(length.value, article.sku).limit(most))
    )
