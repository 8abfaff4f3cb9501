"""Gives articles their signatures: the mounts of their own, of their families, and of the parts they come with."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, NamedTuple

import orjson
from cachetools import LRUCache
from sqlalchemy import Connection, bindparam, delete, exists, insert, select

from mountwright.catalogue.documents import SKATE, Json
from mountwright.catalogue.families import inherited, is_split, spans_of
from mountwright.catalogue.signatures import MountReader, Signature, claim_rows, figure_rows, signature_of
from mountwright.catalogue.tables import ARTICLES, SIGNATURE_FIGURES, SIGNATURE_MOUNTS, SIGNATURES

#: Signatures whose row is remembered within one transaction.
_REMEMBERED = 50_000

_KNOWN = select(SIGNATURES.c.digest, SIGNATURES.c.id).where(
    SIGNATURES.c.digest.in_(bindparam("digests", expanding=True))
)
_PARTS = select(ARTICLES.c.sku, ARTICLES.c.document).where(
    ARTICLES.c.sku.in_(bindparam("skus", expanding=True)), ARTICLES.c.kind != SKATE
)
_SIGNATURES_OF = select(ARTICLES.c.signature_id).where(ARTICLES.c.sku.in_(bindparam("skus", expanding=True))).distinct()
_UNUSED = delete(SIGNATURES).where(~exists().where(ARTICLES.c.signature_id == SIGNATURES.c.id))
_UNUSED_OF = _UNUSED.where(SIGNATURES.c.id.in_(bindparam("ids", expanding=True)))

#: Up to so many signatures that lost an article are looked at one by one; above that all that there are.
_ONE_BY_ONE = 500


class Unresolved(NamedTuple):
    """A name in a record that leads nowhere: which record of those given, where in it, and what is wrong."""

    number: int
    pointer: str
    code: str
    params: Mapping[str, str]


class Signing:
    """Signs articles within one transaction.

    Parameters
    ----------
    connection : Connection
    read_mounts : MountReader
    rules : str
        Version of the rules that read them.
    """

    def __init__(self, connection: Connection, read_mounts: MountReader, rules: str) -> None:
        self._connection, self._read_mounts, self._rules = connection, read_mounts, rules
        self._let_go: set[int] = set()
        self._ids: LRUCache[str, int] = LRUCache(_REMEMBERED)

    def signed(self, records: Sequence[Json]) -> tuple[list[int], list[Unresolved]]:
        """Give the row of each article's signature, and every name that leads nowhere."""
        spans = spans_of(self._connection, {record.get("family", "") for record in records})
        parts = self._parts({content["sku"] for record in records for content in record.get("comes_with", ())})
        unresolved: list[Unresolved] = []
        signatures = []
        for number, record in enumerate(records):
            unresolved += _unresolved(number, record, spans, parts)
            signatures.append(_signature(record, spans, parts))
        return self._rows(signatures), unresolved

    def let_go(self, skus: Sequence[str]) -> None:
        """Note the signatures that articles are about to lose."""
        if len(self._let_go) <= _ONE_BY_ONE:
            self._let_go.update(self._connection.scalars(_SIGNATURES_OF, {"skus": skus}))

    def sweep(self) -> None:
        """Drop those that were let go and that no article has any more; a single write looks at its own only."""
        if len(self._let_go) > _ONE_BY_ONE:
            self._connection.execute(_UNUSED)
        elif self._let_go:
            self._connection.execute(_UNUSED_OF, {"ids": sorted(self._let_go)})

    def _parts(self, skus: Iterable[str]) -> dict[str, Json]:
        wanted = sorted(skus)
        found = self._connection.execute(_PARTS, {"skus": wanted}) if wanted else ()
        return {sku: orjson.loads(document) for sku, document in found}

    def _rows(self, signatures: Sequence[Signature]) -> list[int]:
        new = {each.digest: each for each in signatures if each.digest not in self._ids}
        if new:
            for digest, row in self._connection.execute(_KNOWN, {"digests": sorted(new)}):
                self._ids[digest] = row
                del new[digest]
            for signature in new.values():
                self._ids[signature.digest] = self._added(signature)
        return [self._ids[each.digest] for each in signatures]

    def _added(self, signature: Signature) -> int:
        row = {"digest": signature.digest, "mounts": signature.mounts, "rules": self._rules}
        number: int = self._connection.execute(insert(SIGNATURES).returning(SIGNATURES.c.id), row).scalar_one()
        self._indexed(number, signature)
        return number

    def _indexed(self, number: int, signature: Signature) -> None:
        mounts = self._read_mounts(signature.owned)
        if claims := claim_rows(number, mounts, signature.of_part):
            self._connection.execute(insert(SIGNATURE_MOUNTS), claims)
        if figures := figure_rows(number, mounts):
            self._connection.execute(insert(SIGNATURE_FIGURES), figures)


def _signature(record: Json, spans: Mapping[str, Sequence[Json]], parts: Mapping[str, Json]) -> Signature:
    if record["kind"] != SKATE:
        return signature_of(record)
    contents = [parts[content["sku"]] for content in record.get("comes_with", ()) if content["sku"] in parts]
    return signature_of(record, inherited(record, spans), contents)


def _unresolved(
    number: int, record: Mapping[str, Any], spans: Mapping[str, Sequence[Json]], parts: Mapping[str, Json]
) -> list[Unresolved]:
    found = [
        Unresolved(number, f"/comes_with/{place}/sku", "request.unknown_part", {"found": content["sku"]})
        for place, content in enumerate(record.get("comes_with", ()))
        if content["sku"] not in parts
    ]
    family = record.get("family", "")
    if family and not spans.get(family):
        found.append(Unresolved(number, "/family", "request.unknown_family", {"found": family}))
    elif family and is_split(record, spans):
        found.append(Unresolved(number, "/family", "request.family_split", {"found": family}))
    return found
