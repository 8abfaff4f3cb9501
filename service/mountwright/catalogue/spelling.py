"""The SKU that was most likely meant by one that is not there."""

from __future__ import annotations

import difflib

from sqlalchemy import Connection, select

from mountwright.catalogue.tables import ARTICLES

#: Neighbours that are looked at on either side.
_MOST = 400

_LAST = "\U0010ffff"


def near(connection: Connection, sku: str) -> str | None:
    """Give the nearest SKU to one that is misspelt, or None.

    One slip leaves the first half of a word whole, or what follows the next letter: those that share either
    are compared. The letter between belongs to neither, for two that changed places may lie on both sides of it.
    """
    half = max(1, len(sku) // 2)
    column, backwards = ARTICLES.c.sku, ARTICLES.c.sku_reversed
    begins, ends = sku[:half], sku[half + 1 :][::-1] or sku[::-1]
    found = {
        *connection.scalars(select(column).where(column >= begins, column <= begins + _LAST).limit(_MOST)),
        *connection.scalars(select(column).where(backwards >= ends, backwards <= ends + _LAST).limit(_MOST)),
    }
    matches = difflib.get_close_matches(sku, sorted(found), n=1, cutoff=0.7)
    return matches[0] if matches else None
