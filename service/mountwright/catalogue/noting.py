"""Keeps what became of pairs of skate and part: once for each number that a shop gave it."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from enum import StrEnum
from typing import Any, NamedTuple

import orjson
from sqlalchemy import Connection, bindparam, insert, select

from mountwright.catalogue.documents import SKATE, Json, canonical, digest_of
from mountwright.catalogue.rows import Misplaced
from mountwright.catalogue.spelling import near
from mountwright.catalogue.tables import ARTICLES, OUTCOMES
from mountwright.catalogue.versions import Version, locked_version, raised
from mountwright.messages import shown

#: SKUs that lead nowhere for which a near one is looked for, of one transaction.
_MOST_SPELT = 200

_KEPT = select(OUTCOMES.c.outcome_id, OUTCOMES.c.document).where(
    OUTCOMES.c.shop == bindparam("by"), OUTCOMES.c.outcome_id.in_(bindparam("numbers", expanding=True))
)
_KINDS = select(ARTICLES.c.sku, ARTICLES.c.kind).where(ARTICLES.c.sku.in_(bindparam("skus", expanding=True)))


class Noted(StrEnum):
    """What became of an outcome that was handed in."""

    NEW = "new"
    AGAIN = "again"
    OTHERWISE = "otherwise"


class Note(NamedTuple):
    """What became of one outcome.

    Parameters
    ----------
    noted : Noted
        Whether it was new, came again, or came again saying something else.
    told, kept : Json
        What was handed in, and what stands under its number: the same unless it says something else.
    wrong : tuple of Misplaced
        Of a new one; with any the transaction has to be taken back.
    """

    noted: Noted
    told: Json
    kept: Json
    wrong: tuple[Misplaced, ...] = ()


class Noting:
    """The outcomes that one shop tells within one transaction.

    What was kept before is told again without asking whether its articles are still there: a retry
    is answered like the first try, whatever has happened since.

    Parameters
    ----------
    connection : Connection
        Within a transaction.
    shop : str
        Its code.
    """

    def __init__(self, connection: Connection, shop: str) -> None:
        self._connection, self._shop = connection, shop
        self._before = locked_version(connection)
        self._change = hashlib.sha256(shop.encode())
        self._count = 0
        self._meant: dict[str, str | None] = {}

    def note(self, outcomes: Sequence[Mapping[str, Any]]) -> list[Note]:
        """Keep outcomes; give what became of each, in their order.

        Parameters
        ----------
        outcomes : sequence of Mapping
            ``outcome_id``, ``skate``, ``part``, ``outcome``, ``told_by``, ``on``; of a return ``cause`` and maybe
            ``used``; maybe ``with`` and ``receipt``.
        """
        told = [_in_one_form(outcome) for outcome in outcomes]
        kept = self._kept(told)
        new = [each for each in told if kept.setdefault(each["outcome_id"], each) is each]
        self._keep(new)
        kinds = self._kinds(new)
        return [
            self._noted(given, each, kept[each["outcome_id"]], kinds)
            for given, each in zip(outcomes, told, strict=True)
        ]

    @property
    def count(self) -> int:
        """Give how many outcomes were new."""
        return self._count

    def finish(self) -> Version:
        """Give the version of the catalogue, raised if anything was new."""
        return raised(self._connection, self._change.digest()) if self._count else self._before

    def _kept(self, told: Sequence[Json]) -> dict[str, Json]:
        numbers = sorted({outcome["outcome_id"] for outcome in told})
        rows = self._connection.execute(_KEPT, {"by": self._shop, "numbers": numbers})
        return {number: orjson.loads(document) for number, document in rows}

    def _keep(self, new: Sequence[Json]) -> None:
        rows = [_row(self._shop, outcome) for outcome in new]
        if rows:
            self._connection.execute(insert(OUTCOMES), rows)
        for row in rows:
            self._change.update(row["digest"])
        self._count += len(rows)

    def _kinds(self, outcomes: Iterable[Json]) -> dict[str, str]:
        skus = sorted({sku for outcome in outcomes for _, sku, _ in _names(outcome)})
        rows = self._connection.execute(_KINDS, {"skus": skus}) if skus else ()
        return {row.sku: row.kind for row in rows}

    def _noted(self, given: Mapping[str, Any], told: Json, kept: Json, kinds: Mapping[str, str]) -> Note:
        if kept is told:
            # Pointed at as it was given: in one form its parts may stand in another order.
            return Note(Noted.NEW, told, kept, tuple(self._misnamed(given, kinds)))
        return Note(Noted.AGAIN if kept == told else Noted.OTHERWISE, told, kept)

    def _misnamed(self, outcome: Mapping[str, Any], kinds: Mapping[str, str]) -> Iterator[Misplaced]:
        for pointer, sku, is_skate in _names(outcome):
            if sku not in kinds:
                yield self._unknown(pointer, sku)
            elif (kinds[sku] == SKATE) is not is_skate:
                code = "request.not_a_skate" if is_skate else "request.not_a_part"
                yield Misplaced(pointer, code, {"found": shown(sku)})

    def _unknown(self, pointer: str, sku: str) -> Misplaced:
        if sku not in self._meant and len(self._meant) < _MOST_SPELT:
            self._meant[sku] = near(self._connection, sku)
        meant = self._meant.get(sku)
        if meant is None:
            return Misplaced(pointer, "request.unknown_sku", {"found": shown(sku)})
        return Misplaced(pointer, "request.unknown_sku_near", {"found": shown(sku), "near": shown(meant)})


def _in_one_form(outcome: Mapping[str, Any]) -> Json:
    """Give an outcome as it is kept: in canonical form, the parts beside it by SKU."""
    beside = sorted(outcome.get("with", ()))
    found: Json = orjson.loads(canonical({**outcome, "with": beside or None}))
    return found


def _names(outcome: Mapping[str, Any]) -> Iterator[tuple[str, str, bool]]:
    """Give the SKUs that an outcome names, each with its place and whether it has to be a skate's."""
    yield "/skate", outcome["skate"], True
    yield "/part", outcome["part"], False
    for place, sku in enumerate(outcome.get("with", ())):
        yield f"/with/{place}", sku, False


def _row(shop: str, outcome: Json) -> Json:
    document = canonical(outcome)
    return {
        "shop": shop,
        "outcome_id": outcome["outcome_id"],
        "skate_sku": outcome["skate"],
        "part_sku": outcome["part"],
        "outcome": outcome["outcome"],
        "cause": outcome.get("cause", ""),
        "used": outcome.get("used"),
        "told_by": outcome["told_by"],
        "happened_on": outcome["on"],
        "digest": digest_of(document),
        "document": document.decode(),
    }
