"""Writes skates, parts and families within one transaction, and raises the version once at its end."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Sequence
from typing import Any

import orjson
from sqlalchemy import BindParameter, Connection, Table, bindparam, delete, insert, select, update
from sqlalchemy.dialects import postgresql, sqlite

from mountwright.catalogue.documents import SKATE, Json, article_columns, article_figures, article_words, family_columns
from mountwright.catalogue.families import heirs_of, require_no_ring, spans_of
from mountwright.catalogue.signatures import MountReader
from mountwright.catalogue.signing import Signing, Unresolved
from mountwright.catalogue.tables import ARTICLE_FIGURES, ARTICLES, CONTENTS, FAMILIES, WORDS
from mountwright.catalogue.versions import Version, locked_version, raised

_SKUS: BindParameter[Any] = bindparam("skus", expanding=True)
_ARTICLE_DIGESTS = select(ARTICLES.c.sku, ARTICLES.c.digest).where(ARTICLES.c.sku.in_(_SKUS))
_SPAN_DIGESTS = select(FAMILIES.c.span, FAMILIES.c.digest).where(FAMILIES.c.span.in_(_SKUS))
_HOLDERS = select(CONTENTS.c.sku).where(CONTENTS.c.part_sku.in_(_SKUS)).distinct()
_RELATIVES = select(ARTICLES.c.sku).where(ARTICLES.c.family.in_(_SKUS))
_FAMILIES = select(FAMILIES.c.family).where(FAMILIES.c.family.in_(_SKUS)).distinct()
_DOCUMENTS = select(ARTICLES.c.document).where(ARTICLES.c.sku.in_(_SKUS)).order_by(ARTICLES.c.sku)
_RESIGNED = (
    update(ARTICLES).where(ARTICLES.c.sku == bindparam("resigned")).values(signature_id=bindparam("signature_id"))
)

#: Skates that are signed anew at a time.
_AT_A_TIME = 500


class Writing:
    """The writes of one transaction.

    Parameters
    ----------
    connection : Connection
        Within a transaction.
    read_mounts : MountReader
    rules : str
        Version of the rules that read the mounts.
    """

    def __init__(self, connection: Connection, read_mounts: MountReader, rules: str) -> None:
        self._connection = connection
        self._signing = Signing(connection, read_mounts, rules)
        self._change = hashlib.sha256()
        self._count = 0
        self._to_sign: set[str] = set()
        self._parents: set[str] = set()
        #: Skates whose family now holds for a part of their sizes or years only; nothing may be kept then.
        self.torn: list[str] = []
        self._upsert = _upserts(connection)
        locked_version(connection)

    @property
    def changed(self) -> int:
        """Give how many rows were written that were not there in this form before."""
        return self._count

    def add_families(self, records: Sequence[Json]) -> None:
        """Write spans of families; their skates are signed anew when the writing is finished.

        Raises
        ------
        FamilyCycleError
            When a family would inherit from itself.
        """
        rows = self._new([family_columns(record) for record in records], "span", _SPAN_DIGESTS)
        if rows:
            self._connection.execute(self._upsert(FAMILIES), rows)
            changed = {row["family"] for row in rows}
            self._parents.update(row["parent"] for row in rows if row["parent"])
            require_no_ring(spans_of(self._connection, changed))
            heirs = sorted(heirs_of(self._connection, changed))
            self._to_sign.update(self._connection.scalars(_RELATIVES, {"skus": heirs}))

    def add_articles(self, records: Sequence[Json]) -> list[Unresolved]:
        """Write skates or parts; give every name in them that leads nowhere, with which nothing may be kept.

        A skate comes after the parts and families that it names.
        """
        columns = [article_columns(record) for record in records]
        new = {row["sku"]: row for row in self._new(columns, "sku", _ARTICLE_DIGESTS)}
        changed = [record for record in records if record["sku"] in new]
        if not changed:
            return []
        numbers = [number for number, record in enumerate(records) if record["sku"] in new]
        signatures, unresolved = self._signing.signed(changed)
        self._signing.let_go(_keys(changed, "sku"))
        for record, signature in zip(changed, signatures, strict=True):
            new[record["sku"]]["signature_id"] = signature
        self._connection.execute(self._upsert(ARTICLES), list(new.values()))
        self._replace_below(changed)
        parts = sorted(record["sku"] for record in changed if record["kind"] != SKATE)
        if parts:
            self._to_sign.update(self._connection.scalars(_HOLDERS, {"skus": parts}))
        return [each._replace(number=numbers[each.number]) for each in unresolved]

    def orphaned(self) -> list[str]:
        """Give the families that others were said to inherit from and that there are none of, by key."""
        there = self._connection.scalars(_FAMILIES, {"skus": sorted(self._parents)}) if self._parents else ()
        return sorted(self._parents.difference(there))

    def remove_article(self, sku: str) -> bool:
        """Delete an article; tell whether it was there."""
        self._signing.let_go([sku])
        gone = self._connection.execute(delete(ARTICLES).where(ARTICLES.c.sku == sku)).rowcount > 0
        if gone:
            self._noted("-", sku, b"")
        return gone

    def holders_of(self, sku: str) -> list[str]:
        """Give the skates that come with a part, by SKU."""
        return sorted(self._connection.scalars(_HOLDERS, {"skus": [sku]}))

    def finish(self) -> Version | None:
        """Sign anew what inherits from what changed, and raise the version; None where nothing changed."""
        if not self._count:
            return None
        waiting = sorted(self._to_sign)
        for start in range(0, len(waiting), _AT_A_TIME):
            self._sign_anew(waiting[start : start + _AT_A_TIME])
        self._signing.sweep()
        return raised(self._connection, self._change.digest())

    def _sign_anew(self, skus: Sequence[str]) -> None:
        records = [orjson.loads(text) for text in self._connection.scalars(_DOCUMENTS, {"skus": list(skus)})]
        signatures, unresolved = self._signing.signed(records)
        self.torn += [records[each.number]["sku"] for each in unresolved if each.pointer == "/family"]
        rows = [
            {"resigned": record["sku"], "signature_id": row} for record, row in zip(records, signatures, strict=True)
        ]
        if rows:
            self._signing.let_go(_keys(records, "sku"))
            self._connection.execute(_RESIGNED, rows)

    def _new(self, rows: Sequence[Json], key: str, digests: Any) -> list[Json]:
        """Give the rows that are not there in just this form, and note them as changes."""
        known = {name: bytes(digest) for name, digest in self._connection.execute(digests, {"skus": _keys(rows, key)})}
        new = [row for row in rows if known.get(row[key]) != row["digest"]]
        for row in new:
            self._noted("+", row[key], row["digest"])
        return new

    def _noted(self, sign: str, key: str, digest: bytes) -> None:
        self._count += 1
        self._change.update(f"{sign}{key}\n".encode() + digest)

    def _replace_below(self, records: Sequence[Json]) -> None:
        """Put words, figures and contents of articles in the place of those that they had."""
        for table in (WORDS, ARTICLE_FIGURES, CONTENTS):
            self._connection.execute(delete(table).where(table.c.sku.in_(_SKUS)), {"skus": _keys(records, "sku")})
        words = [{"word": word, "sku": record["sku"]} for record in records for word in article_words(record)]
        figures = [row for record in records for row in _figures(record)]
        contents = [row for record in records for row in _contents(record)]
        for table, rows in ((WORDS, words), (ARTICLE_FIGURES, figures), (CONTENTS, contents)):
            if rows:
                self._connection.execute(insert(table), rows)


def _figures(record: Json) -> list[Json]:
    """Give the rows of the figures that an article is looked for by."""
    return [
        {"sku": record["sku"], "name": name, "kind": record["kind"], "value": value}
        for name, value in article_figures(record).items()
    ]


def _contents(record: Json) -> list[Json]:
    return [
        {"sku": record["sku"], "number": number, "part_sku": content["sku"], "count": content["count"]}
        for number, content in enumerate(record.get("comes_with", ()))
    ]


def _keys(rows: Iterable[Json], key: str) -> list[str]:
    return [row[key] for row in rows]


def _upserts(connection: Connection) -> Callable[[Table], Any]:
    """Give what writes a row over the one of the same key, in the words of the engine at hand."""
    written = sqlite.insert if connection.dialect.name == "sqlite" else postgresql.insert

    def upsert(table: Table) -> Any:
        statement = written(table)
        key = list(table.primary_key.columns)
        rest = {column.name: statement.excluded[column.name] for column in table.columns if not column.primary_key}
        return statement.on_conflict_do_update(index_elements=key, set_=rest)

    return upsert
