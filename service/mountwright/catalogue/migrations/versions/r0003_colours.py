"""Puts the colour that parts are looked for by beside their documents, as L*, a* and b*."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import orjson
import sqlalchemy as sa
from alembic import op

from mountwright.catalogue.documents import article_lab

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

#: Articles that are read at a time.
_AT_A_TIME = 1000

_LAB = ("lab_l", "lab_a", "lab_b")
_ARTICLES = sa.table("articles", *map(sa.column, ("sku", "document", *_LAB)))
_NEXT = (
    sa.select(_ARTICLES.c.sku, _ARTICLES.c.document)
    .where(_ARTICLES.c.sku > sa.bindparam("after"))
    .order_by(_ARTICLES.c.sku)
    .limit(_AT_A_TIME)
)
_COLOURED = (
    sa.update(_ARTICLES)
    .where(_ARTICLES.c.sku == sa.bindparam("of"))
    .values({name: sa.bindparam(f"its_{name}") for name in _LAB})
)


def upgrade() -> None:
    """Make the columns, fill them from the documents, and make the index over them."""
    for name in _LAB:
        op.add_column("articles", sa.Column(name, sa.Float(), nullable=True))
    for articles in _batches():
        coloured = list(_coloured(articles))
        if coloured:
            op.get_bind().execute(_COLOURED, coloured)
    # Last, for an index over what is there already is quickly made.
    op.create_index("ix_articles_lab", "articles", ["kind", *_LAB, "sku", "signature_id", "stock"], unique=False)


def _batches() -> Iterator[Sequence[Sequence[str]]]:
    """Yield SKU and document of all articles, some at a time."""
    after = ""
    while articles := op.get_bind().execute(_NEXT, {"after": after}).all():
        yield articles
        after = articles[-1][0]


def _coloured(articles: Sequence[Sequence[str]]) -> Iterator[dict[str, Any]]:
    for sku, document in articles:
        record = orjson.loads(document)
        if "colour_srgb" in record:
            yield {"of": sku, **{f"its_{name}": value for name, value in article_lab(record).items()}}
