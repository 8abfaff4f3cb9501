"""Puts the figures that parts are looked for by, and the side that they are for, beside their documents."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import orjson
import sqlalchemy as sa
from alembic import op

from mountwright.catalogue.documents import article_figures

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

_KEY = sa.String(collation="C").with_variant(sa.String(), "sqlite")

#: Articles that are read at a time.
_AT_A_TIME = 1000

_ARTICLES = sa.table("articles", *map(sa.column, ("sku", "kind", "side", "document")))
_FIGURES = sa.table("article_figures", *map(sa.column, ("sku", "name", "kind", "value")))
_NEXT = (
    sa.select(_ARTICLES.c.sku, _ARTICLES.c.kind, _ARTICLES.c.document)
    .where(_ARTICLES.c.sku > sa.bindparam("after"))
    .order_by(_ARTICLES.c.sku)
    .limit(_AT_A_TIME)
)
_SIDED = sa.update(_ARTICLES).where(_ARTICLES.c.sku == sa.bindparam("of")).values(side=sa.bindparam("side"))


def upgrade() -> None:
    """Make the table and the column, and fill both from the documents."""
    op.create_table(
        "article_figures",
        sa.Column("sku", _KEY, nullable=False),
        sa.Column("name", _KEY, nullable=False),
        sa.Column("kind", _KEY, nullable=False),
        sa.Column("value", sa.Float(), nullable=False),
        sa.ForeignKeyConstraint(["sku"], ["articles.sku"], name=op.f("fk_article_figures_sku"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("sku", "name", name=op.f("pk_article_figures")),
    )
    op.add_column("articles", sa.Column("side", sa.String(length=5), nullable=True))
    for articles in _batches():
        _fill(articles)
    # Last, for an index over what is there already is quickly made.
    op.create_index(
        op.f("ix_article_figures_kind_name_value_sku"),
        "article_figures",
        ["kind", "name", "value", "sku"],
        unique=False,
    )


def _batches() -> Iterator[Sequence[Sequence[str]]]:
    """Yield SKU, kind and document of all articles, some at a time."""
    after = ""
    while articles := op.get_bind().execute(_NEXT, {"after": after}).all():
        yield articles
        after = articles[-1][0]


def _fill(articles: Sequence[Sequence[str]]) -> None:
    records = [(sku, kind, orjson.loads(document)) for sku, kind, document in articles]
    figures = [
        {"sku": sku, "name": name, "kind": kind, "value": value}
        for sku, kind, record in records
        for name, value in article_figures(record).items()
    ]
    sides = [{"of": sku, "side": record["side"]} for sku, _, record in records if "side" in record]
    for statement, rows in ((sa.insert(_FIGURES), figures), (_SIDED, sides)):
        if rows:
            op.get_bind().execute(statement, rows)
