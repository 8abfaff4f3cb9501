"""Reads articles by SKU and by model."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from sqlalchemy import Connection, bindparam, select

from mountwright.catalogue.documents import SKATE
from mountwright.catalogue.signatures import Signature
from mountwright.catalogue.tables import ARTICLES, SIGNATURES


class Kept(NamedTuple):
    """An article as it is kept: its document, and the signature by which it is judged."""

    sku: str
    document: str
    signature: Signature


#: What :func:`kept` makes an article of.
COLUMNS = (ARTICLES.c.sku, ARTICLES.c.kind, ARTICLES.c.document, SIGNATURES.c.digest, SIGNATURES.c.mounts)

_ARTICLES = select(*COLUMNS).join(SIGNATURES).where(ARTICLES.c.sku.in_(bindparam("skus", expanding=True)))


def articles_of(connection: Connection, skus: Iterable[str]) -> dict[str, Kept]:
    """Give the articles of some SKUs, those that there are."""
    return {row[0]: kept(row) for row in connection.execute(_ARTICLES, {"skus": sorted(set(skus))})}


def kept(row: Sequence[str]) -> Kept:
    """Give an article from its SKU, kind, document, signature's digest and signature's mounts."""
    sku, kind, document, digest, mounts = row
    return Kept(sku, document, Signature(digest, mounts, kind != SKATE))
