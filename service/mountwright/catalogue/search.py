"""Finds articles by what a shop asks for, a page at a time, in order of SKU."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from sqlalchemy import ColumnElement, Connection, Row, Select, and_, or_, select, true

from mountwright.catalogue.documents import SKATE, folded, words_of
from mountwright.catalogue.leads import Lead, best_of, mount_lead, word_leads
from mountwright.catalogue.reading import COLUMNS, Kept, kept
from mountwright.catalogue.tables import ARTICLES, SIGNATURES

#: Of the articles that a lead gives, so many are looked at together at most.
_MOST_AT_ONCE = 4000


@dataclass(frozen=True)
class Wanted:
    """What is looked for; None stands for "any".

    Parameters
    ----------
    skates : bool
        Skates, else parts.
    sku : str or None
    name : str or None
        Words, each the beginning of one in name, maker or version.
    model : str or None
        The whole name, without regard to case and accents.
    maker, colour : str or None
        Whole, without regard to case and accents.
    kind, family, gtin : str or None
    position, standard : str or None
        Of one of its mounts, together of the same one; a skate's parts' mounts count as its own.
    eu_size : float or None
    made : int or None
        A year.
    in_stock : bool or None
        False finds what is known to be out of stock.
    price_from_minor, price_to_minor : int or None
        Inclusive, with ``currency``.
    currency : str or None
    """

    skates: bool
    sku: str | None = None
    name: str | None = None
    model: str | None = None
    maker: str | None = None
    kind: str | None = None
    family: str | None = None
    gtin: str | None = None
    position: str | None = None
    standard: str | None = None
    colour: str | None = None
    eu_size: float | None = None
    made: int | None = None
    in_stock: bool | None = None
    price_from_minor: int | None = None
    price_to_minor: int | None = None
    currency: str | None = None


class Page(NamedTuple):
    """A page of articles, and the SKU after which the next one begins, if any."""

    articles: Sequence[Kept]
    next_after: str | None


def page_of(connection: Connection, wanted: Wanted, after: str, size: int) -> Page:
    """Give a page of what is wanted.

    Parameters
    ----------
    connection : Connection
    wanted : Wanted
    after : str
        SKU that the page begins after; empty for the first.
    size : int
        Most articles of a page.
    """
    leads = [*word_leads(connection, words_of(wanted.name or "")), *_mount_leads(connection, wanted)]
    leading = best_of(leads)
    met = [lead.condition for lead in leads if lead is not leading]
    matching = select(*COLUMNS).join(SIGNATURES).where(and_(true(), *conditions(wanted), *met)).order_by(ARTICLES.c.sku)
    rows: list[Row[Any]]
    if leading is None:
        rows = [*connection.execute(matching.where(ARTICLES.c.sku > after).limit(size + 1))]
    else:
        rows = _led(connection, leading, matching, after, size + 1)
    articles = [kept(row) for row in rows[:size]]
    return Page(articles, articles[-1].sku if len(rows) > size else None)


def _mount_leads(connection: Connection, wanted: Wanted) -> Iterator[Lead]:
    if wanted.position is not None or wanted.standard is not None:
        yield mount_lead(connection, wanted.position, wanted.standard)


def _led(connection: Connection, lead: Lead, matching: Select[Any], after: str, most: int) -> list[Row[Any]]:
    """Give the next matching articles, looking at more of those that a lead gives the longer it takes."""
    rows: list[Row[Any]] = []
    step = most
    while len(rows) < most and (skus := lead.skus_after(connection, after, step)):
        rows += connection.execute(matching.where(ARTICLES.c.sku.in_(skus)))
        after, step = skus[-1], min(2 * step, _MOST_AT_ONCE)
    return rows[:most]


def conditions(wanted: Wanted) -> Iterator[ColumnElement[bool]]:
    """Give what has to hold of an article beside its words and mounts, each of it."""
    if wanted.kind is None:
        yield ARTICLES.c.kind == SKATE if wanted.skates else ARTICLES.c.kind != SKATE
    exact = {
        ARTICLES.c.sku: wanted.sku,
        ARTICLES.c.kind: wanted.kind,
        ARTICLES.c.family: wanted.family,
        ARTICLES.c.gtin: wanted.gtin,
        ARTICLES.c.currency: wanted.currency,
        ARTICLES.c.name_folded: None if wanted.model is None else folded(wanted.model),
        ARTICLES.c.maker_folded: None if wanted.maker is None else folded(wanted.maker),
        ARTICLES.c.colour_folded: None if wanted.colour is None else folded(wanted.colour),
    }
    yield from (column == value for column, value in exact.items() if value is not None)
    yield from _counted(wanted)


def _counted(wanted: Wanted) -> Iterator[ColumnElement[bool]]:
    columns = ARTICLES.c
    if wanted.eu_size is not None:
        yield _within(wanted.eu_size, columns.eu_size_from, columns.eu_size_to)
    if wanted.made is not None:
        yield _within(wanted.made, columns.made_from, columns.made_to)
    if wanted.in_stock is not None:
        yield columns.stock > 0 if wanted.in_stock else columns.stock == 0
    if wanted.price_from_minor is not None:
        yield columns.price_minor >= wanted.price_from_minor
    if wanted.price_to_minor is not None:
        yield columns.price_minor <= wanted.price_to_minor


def _within(value: float, low: Any, high: Any) -> ColumnElement[bool]:
    """Give the condition that a run holds a value; a run that says nothing of an end is open there."""
    return and_(or_(low.is_(None), low <= value), or_(high.is_(None), high >= value))
