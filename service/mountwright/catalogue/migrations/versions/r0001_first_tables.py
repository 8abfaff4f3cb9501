"""Makes the first tables."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

_KEY = sa.String(collation="C").with_variant(sa.String(), "sqlite")
_ROW_NUMBER = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    """Make the tables, and the one row that carries the catalogue's version."""
    _api_keys()
    _families()
    _imports()
    _outcomes()
    _signatures()
    _state()
    _articles()
    _signature_figures()
    _signature_mounts()
    _contents()
    _words()
    op.execute("INSERT INTO state (id, version, digest) VALUES (1, 0, '')")


def _api_keys() -> None:
    op.create_table(
        "api_keys",
        sa.Column("id", _KEY, nullable=False),
        sa.Column("shop", sa.String(), nullable=False),
        sa.Column("digest", sa.LargeBinary(length=32), nullable=False),
        sa.Column("scopes", sa.String(), nullable=False),
        sa.Column("created_at", sa.String(), nullable=False),
        sa.Column("expires_at", sa.String(), nullable=False),
        sa.Column("revoked_at", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_api_keys")),
    )


def _families() -> None:
    op.create_table(
        "families",
        sa.Column("span", _KEY, nullable=False),
        sa.Column("family", _KEY, nullable=False),
        sa.Column("parent", _KEY, nullable=False),
        sa.Column("digest", sa.LargeBinary(length=16), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("span", name=op.f("pk_families")),
    )
    op.create_index(op.f("ix_families_family"), "families", ["family"], unique=False)
    op.create_index(op.f("ix_families_parent"), "families", ["parent"], unique=False)


def _imports() -> None:
    op.create_table(
        "imports",
        sa.Column("id", _KEY, nullable=False),
        sa.Column("shop", sa.String(), nullable=False),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("created_at", sa.String(), nullable=False),
        sa.Column("updated_at", sa.String(), nullable=False),
        sa.Column("report", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_imports")),
    )


def _outcomes() -> None:
    op.create_table(
        "outcomes",
        sa.Column("shop", _KEY, nullable=False),
        sa.Column("outcome_id", _KEY, nullable=False),
        sa.Column("skate_sku", _KEY, nullable=False),
        sa.Column("part_sku", _KEY, nullable=False),
        sa.Column("outcome", sa.String(), nullable=False),
        sa.Column("cause", sa.String(), nullable=False),
        sa.Column("used", sa.Boolean(), nullable=True),
        sa.Column("told_by", sa.String(), nullable=False),
        sa.Column("happened_on", sa.String(length=10), nullable=False),
        sa.Column("digest", sa.LargeBinary(length=16), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("shop", "outcome_id", name=op.f("pk_outcomes")),
    )
    op.create_index(op.f("ix_outcomes_part_sku"), "outcomes", ["part_sku"], unique=False)
    op.create_index(op.f("ix_outcomes_skate_sku_part_sku"), "outcomes", ["skate_sku", "part_sku"], unique=False)


def _signatures() -> None:
    op.create_table(
        "signatures",
        sa.Column("id", _ROW_NUMBER, nullable=False),
        sa.Column("digest", _KEY, nullable=False),
        sa.Column("mounts", sa.Text(), nullable=False),
        sa.Column("rules", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_signatures")),
        sa.UniqueConstraint("digest", name=op.f("uq_signatures_digest")),
    )


def _state() -> None:
    op.create_table(
        "state",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("version", sa.BigInteger(), nullable=False),
        sa.Column("digest", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_state")),
    )


def _articles() -> None:
    op.create_table(
        "articles",
        sa.Column("sku", _KEY, nullable=False),
        sa.Column("sku_reversed", _KEY, nullable=False),
        sa.Column("kind", _KEY, nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("name_folded", _KEY, nullable=False),
        sa.Column("maker_folded", _KEY, nullable=False),
        sa.Column("family", _KEY, nullable=False),
        sa.Column("eu_size_from", sa.Float(), nullable=True),
        sa.Column("eu_size_to", sa.Float(), nullable=True),
        sa.Column("made_from", sa.Integer(), nullable=True),
        sa.Column("made_to", sa.Integer(), nullable=True),
        sa.Column("gtin", sa.String(), nullable=False),
        sa.Column("colour_folded", _KEY, nullable=False),
        sa.Column("price_minor", sa.BigInteger(), nullable=True),
        sa.Column("currency", sa.String(length=3), nullable=True),
        sa.Column("stock", sa.BigInteger(), nullable=True),
        sa.Column("checked_on", sa.String(length=10), nullable=False),
        sa.Column("signature_id", _ROW_NUMBER, nullable=False),
        sa.Column("digest", sa.LargeBinary(length=16), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["signature_id"], ["signatures.id"], name=op.f("fk_articles_signature_id")),
        sa.PrimaryKeyConstraint("sku", name=op.f("pk_articles")),
    )
    op.create_index(op.f("ix_articles_family"), "articles", ["family"], unique=False)
    op.create_index(op.f("ix_articles_gtin"), "articles", ["gtin"], unique=False)
    op.create_index(op.f("ix_articles_kind_sku"), "articles", ["kind", "sku"], unique=False)
    op.create_index(op.f("ix_articles_maker_folded_sku"), "articles", ["maker_folded", "sku"], unique=False)
    op.create_index(op.f("ix_articles_name_folded_sku"), "articles", ["name_folded", "sku"], unique=False)
    op.create_index(op.f("ix_articles_signature_id_sku"), "articles", ["signature_id", "sku"], unique=False)
    op.create_index(op.f("ix_articles_sku_reversed"), "articles", ["sku_reversed"], unique=False)


def _signature_figures() -> None:
    op.create_table(
        "signature_figures",
        sa.Column("signature_id", _ROW_NUMBER, nullable=False),
        sa.Column("mount", sa.Integer(), nullable=False),
        sa.Column("dimension", _KEY, nullable=False),
        sa.Column("position", _KEY, nullable=False),
        sa.Column("low", sa.BigInteger(), nullable=False),
        sa.Column("high", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(
            ["signature_id"], ["signatures.id"], name=op.f("fk_signature_figures_signature_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("signature_id", "mount", "dimension", name=op.f("pk_signature_figures")),
    )
    op.create_index(
        op.f("ix_signature_figures_position_dimension_low_high"),
        "signature_figures",
        ["position", "dimension", "low", "high"],
        unique=False,
    )


def _signature_mounts() -> None:
    op.create_table(
        "signature_mounts",
        sa.Column("signature_id", _ROW_NUMBER, nullable=False),
        sa.Column("mount", sa.Integer(), nullable=False),
        sa.Column("pattern", sa.Integer(), nullable=False),
        sa.Column("position", _KEY, nullable=False),
        sa.Column("standard", _KEY, nullable=False),
        sa.Column("claimed_by", sa.String(), nullable=False),
        sa.Column("of_part", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(
            ["signature_id"], ["signatures.id"], name=op.f("fk_signature_mounts_signature_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("signature_id", "mount", "pattern", name=op.f("pk_signature_mounts")),
    )
    op.create_index(
        op.f("ix_signature_mounts_position_standard_signature_id"),
        "signature_mounts",
        ["position", "standard", "signature_id"],
        unique=False,
    )


def _contents() -> None:
    op.create_table(
        "contents",
        sa.Column("sku", _KEY, nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("part_sku", _KEY, nullable=False),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["sku"], ["articles.sku"], name=op.f("fk_contents_sku"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("sku", "number", name=op.f("pk_contents")),
    )
    op.create_index(op.f("ix_contents_part_sku"), "contents", ["part_sku"], unique=False)


def _words() -> None:
    op.create_table(
        "words",
        sa.Column("word", _KEY, nullable=False),
        sa.Column("sku", _KEY, nullable=False),
        sa.ForeignKeyConstraint(["sku"], ["articles.sku"], name=op.f("fk_words_sku"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("word", "sku", name=op.f("pk_words")),
    )
    op.create_index(op.f("ix_words_sku"), "words", ["sku"], unique=False)
