"""Gives the whole catalogue as records in canonical form and order: families first, then articles by SKU."""

from __future__ import annotations

from collections.abc import Iterator
from typing import IO, Any

import orjson
from sqlalchemy import ColumnElement, Connection, Select, select

from mountwright.catalogue.csv_records import written_csv
from mountwright.catalogue.documents import Json
from mountwright.catalogue.engines import Engines
from mountwright.catalogue.tables import ARTICLES, FAMILIES

#: Rows that are fetched at a time.
_AT_A_TIME = 1000

_FAMILIES = select(FAMILIES.c.span, FAMILIES.c.document).order_by(FAMILIES.c.span).limit(_AT_A_TIME)
_ARTICLES = select(ARTICLES.c.sku, ARTICLES.c.document).order_by(ARTICLES.c.sku).limit(_AT_A_TIME)


def documents_in(connection: Connection) -> Iterator[str]:
    """Give every record's document, in order."""
    yield from _paged(connection, _FAMILIES, FAMILIES.c.span)
    yield from _paged(connection, _ARTICLES, ARTICLES.c.sku)


def exported_json(engines: Engines, out: IO[bytes]) -> int:
    """Write the catalogue as JSON Lines; give the number of records.

    Raises
    ------
    CatalogueAwayError
        When the database cannot be reached.
    """
    count = 0
    with engines.snapshot() as connection:
        for document in documents_in(connection):
            out.write(document.encode() + b"\n")
            count += 1
    return count


def exported_csv(engines: Engines, out: IO[str]) -> int:
    """Write the catalogue as CSV, with the columns that are used; give the number of records.

    Raises
    ------
    CatalogueAwayError
        When the database cannot be reached.
    """
    with engines.snapshot() as connection:
        return written_csv(lambda: _records(connection), out)


def _records(connection: Connection) -> Iterator[Json]:
    return map(orjson.loads, documents_in(connection))


def _paged(connection: Connection, page: Select[Any], key: ColumnElement[str]) -> Iterator[str]:
    last = ""
    while rows := connection.execute(page.where(key > last)).all():
        yield from (document for _, document in rows)
        last = rows[-1][0]
