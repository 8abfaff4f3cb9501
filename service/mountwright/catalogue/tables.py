"""The tables, one schema for SQLite and PostgreSQL.

An article's document is kept as it was given, in canonical form; beside it stand the columns
that a search or a rule needs. What a plugin measures is not known here, so figures are rows
of (position, dimension, range) and not columns.
"""

from __future__ import annotations

from typing import Final

from sqlalchemy import (
    BigInteger,
    Boolean,
    Column,
    Float,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
)

METADATA: Final = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    }
)

#: SQLite numbers rows by itself for INTEGER only.
_ROW_NUMBER = BigInteger().with_variant(Integer, "sqlite")

#: Code points in order in both engines, whatever the database's own collation is.
_KEY = String(collation="C").with_variant(String(), "sqlite")

#: One row: the version of the catalogue, raised by every write in its own transaction.
STATE: Final = Table(
    "state",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("version", BigInteger, nullable=False),
    Column("digest", String, nullable=False),
)

#: Distinct sets of mounts; the exact check runs once for each. ``rules`` tells which rules read the index beside it.
SIGNATURES: Final = Table(
    "signatures",
    METADATA,
    Column("id", _ROW_NUMBER, primary_key=True),
    Column("digest", _KEY, nullable=False, unique=True),
    Column("mounts", Text, nullable=False),
    Column("rules", String, nullable=False),
)

#: What each pattern of a signature's mounts is claimed to follow; an empty standard where nobody claims.
SIGNATURE_MOUNTS: Final = Table(
    "signature_mounts",
    METADATA,
    Column("signature_id", ForeignKey("signatures.id", ondelete="CASCADE"), primary_key=True),
    Column("mount", Integer, primary_key=True),
    Column("pattern", Integer, primary_key=True),
    Column("position", _KEY, nullable=False),
    Column("standard", _KEY, nullable=False),
    Column("claimed_by", String, nullable=False),
    Column("of_part", Boolean, nullable=False),
    Index(None, "position", "standard", "signature_id"),
)

#: Where a measured dimension of a mount may lie, thousandths of its unit, inclusive.
SIGNATURE_FIGURES: Final = Table(
    "signature_figures",
    METADATA,
    Column("signature_id", ForeignKey("signatures.id", ondelete="CASCADE"), primary_key=True),
    Column("mount", Integer, primary_key=True),
    Column("dimension", _KEY, primary_key=True),
    Column("position", _KEY, nullable=False),
    Column("low", BigInteger, nullable=False),
    Column("high", BigInteger, nullable=False),
    Index(None, "position", "dimension", "low", "high"),
)

#: Skates and parts by SKU.
ARTICLES: Final = Table(
    "articles",
    METADATA,
    Column("sku", _KEY, primary_key=True),
    Column("sku_reversed", _KEY, nullable=False, index=True),
    Column("kind", _KEY, nullable=False),
    Column("name", String, nullable=False),
    Column("name_folded", _KEY, nullable=False),
    Column("maker_folded", _KEY, nullable=False),
    Column("family", _KEY, nullable=False, index=True),
    Column("eu_size_from", Float),
    Column("eu_size_to", Float),
    Column("made_from", Integer),
    Column("made_to", Integer),
    Column("gtin", String, nullable=False, index=True),
    Column("colour_folded", _KEY, nullable=False),
    Column("lab_l", Float),
    Column("lab_a", Float),
    Column("lab_b", Float),
    Column("side", String(5)),
    Column("price_minor", BigInteger),
    Column("currency", String(3)),
    Column("stock", BigInteger),
    Column("checked_on", String(10), nullable=False),
    Column("signature_id", ForeignKey("signatures.id"), nullable=False),
    Column("digest", LargeBinary(16), nullable=False),
    Column("document", Text, nullable=False),
    Index(None, "kind", "sku"),
    Index(None, "signature_id", "sku"),
    Index(None, "maker_folded", "sku"),
    Index(None, "name_folded", "sku"),
    Index("ix_articles_lab", "kind", "lab_l", "lab_a", "lab_b", "sku", "signature_id", "stock"),
)

#: The figures that alternatives to a part are looked for by, in the unit of their names.
ARTICLE_FIGURES: Final = Table(
    "article_figures",
    METADATA,
    Column("sku", ForeignKey("articles.sku", ondelete="CASCADE"), primary_key=True),
    Column("name", _KEY, primary_key=True),
    Column("kind", _KEY, nullable=False),
    Column("value", Float, nullable=False),
    Index(None, "kind", "name", "value", "sku"),
)

#: Words of an article's name, maker and version, folded; a search matches their beginnings.
WORDS: Final = Table(
    "words",
    METADATA,
    Column("word", _KEY, primary_key=True),
    Column("sku", ForeignKey("articles.sku", ondelete="CASCADE"), primary_key=True, index=True),
)

#: The parts that a skate comes with.
CONTENTS: Final = Table(
    "contents",
    METADATA,
    Column("sku", ForeignKey("articles.sku", ondelete="CASCADE"), primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("part_sku", _KEY, nullable=False, index=True),
    Column("count", Integer, nullable=False),
)

#: Spans of families; a span's key is made of the family's and its sizes and years.
FAMILIES: Final = Table(
    "families",
    METADATA,
    Column("span", _KEY, primary_key=True),
    Column("family", _KEY, nullable=False, index=True),
    Column("parent", _KEY, nullable=False, index=True),
    Column("digest", LargeBinary(16), nullable=False),
    Column("document", Text, nullable=False),
)

#: What became of a pair, told once: the shop's own number keeps a retry from counting twice.
OUTCOMES: Final = Table(
    "outcomes",
    METADATA,
    Column("shop", _KEY, primary_key=True),
    Column("outcome_id", _KEY, primary_key=True),
    Column("skate_sku", _KEY, nullable=False),
    Column("part_sku", _KEY, nullable=False, index=True),
    Column("outcome", String, nullable=False),
    Column("cause", String, nullable=False),
    Column("used", Boolean),
    Column("told_by", String, nullable=False),
    Column("happened_on", String(10), nullable=False),
    Column("digest", LargeBinary(16), nullable=False),
    Column("document", Text, nullable=False),
    Index(None, "skate_sku", "part_sku"),
)

#: Keys to the service, of which only a digest is kept.
API_KEYS: Final = Table(
    "api_keys",
    METADATA,
    Column("id", _KEY, primary_key=True),
    Column("shop", String, nullable=False),
    Column("digest", LargeBinary(32), nullable=False),
    Column("scopes", String, nullable=False),
    Column("created_at", String, nullable=False),
    Column("expires_at", String, nullable=False),
    Column("revoked_at", String, nullable=False),
)

#: Files that were brought in, or are being brought in.
IMPORTS: Final = Table(
    "imports",
    METADATA,
    Column("id", _KEY, primary_key=True),
    Column("shop", String, nullable=False),
    Column("state", String, nullable=False),
    Column("created_at", String, nullable=False),
    Column("updated_at", String, nullable=False),
    Column("report", Text, nullable=False),
)
