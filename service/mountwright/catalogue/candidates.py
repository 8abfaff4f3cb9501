"""Finds what may go on a skate: distinct sets of mounts by an index, then the articles that have them."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import NamedTuple

from sqlalchemy import ColumnElement, Connection, Select, and_, bindparam, exists, not_, or_, select, true

from mountwright.catalogue.documents import words_of
from mountwright.catalogue.leads import has_word
from mountwright.catalogue.reading import COLUMNS, Kept, kept
from mountwright.catalogue.search import Wanted, conditions
from mountwright.catalogue.signatures import Signature
from mountwright.catalogue.tables import ARTICLES, OUTCOMES, SIGNATURE_FIGURES, SIGNATURE_MOUNTS, SIGNATURES
from mountwright.fitting.narrowing import Chance, Reach

_MOUNTS, _FIGURES = SIGNATURE_MOUNTS.c, SIGNATURE_FIGURES.c

_TOLD = select(OUTCOMES.c.part_sku).where(OUTCOMES.c.skate_sku == bindparam("skate")).distinct()


def _has_a_chance(chance: Chance) -> ColumnElement[bool]:
    """Give :func:`mountwright.fitting.narrowing.has_a_chance` for one pattern's row, in the database's words."""
    if chance.everything:
        return true()
    claimed = _MOUNTS.standard != ""
    wanted = and_(claimed, _MOUNTS.standard.not_in(sorted(chance.unwanted)))
    relied_on = and_(claimed, _MOUNTS.claimed_by.in_(sorted(chance.claimants)))
    within = [or_(not_(_has(_of(reach))), _has(_of(reach), _touching(reach))) for reach in chance.reaches]
    # Whatever else is known may speak against the claim.
    return or_(wanted, and_(or_(not_(relied_on), _has()), *within))


def _of(reach: Reach) -> ColumnElement[bool]:
    return _FIGURES.dimension.in_(sorted(reach.dimensions))


def _touching(reach: Reach) -> ColumnElement[bool]:
    return or_(*(and_(_FIGURES.low <= high, _FIGURES.high >= low) for low, high in reach.ranges))


def _has(*conditions: ColumnElement[bool]) -> ColumnElement[bool]:
    """Give the condition that the pattern's mount has a figure for which all of these hold."""
    of_mount = and_(_FIGURES.signature_id == _MOUNTS.signature_id, _FIGURES.mount == _MOUNTS.mount)
    return exists().where(of_mount, *conditions)


class Found(NamedTuple):
    """Distinct sets of mounts that may go on, by digest, and whether there are more than were asked for."""

    signatures: Sequence[Signature]
    more: bool


def signatures_with_a_chance(
    connection: Connection, position: str, chances: Sequence[Chance], rules: str, most: int
) -> Found:
    """Give the sets of a part's mounts that may go on a skate at a position; some that cannot may be among them.

    Parameters
    ----------
    connection : Connection
    position : str
    chances : sequence of Chance
        What each of the skate's mounts there lets a part's mount be; one that it lets be is enough.
    rules : str
        Version of the rules at hand; what others have read into the index is not relied on.
    most : int
        How many to give.
    """
    query = (
        select(SIGNATURES.c.digest, SIGNATURES.c.mounts)
        .where(SIGNATURES.c.id.in_(with_a_chance(position, chances, rules)))
        .order_by(SIGNATURES.c.digest)
        .limit(most + 1)
    )
    rows = connection.execute(query).all()
    return Found([Signature(digest, mounts, True) for digest, mounts in rows[:most]], len(rows) > most)


def with_a_chance(position: str, chances: Sequence[Chance], rules: str) -> Select[tuple[int]]:
    """Give what selects the numbers of the sets of mounts that :func:`signatures_with_a_chance` gives.

    Parameters
    ----------
    position : str
    chances : sequence of Chance
    rules : str
    """
    # By its number, row for row: of a whole list of the stale ones, every set of mounts would be read.
    stale = exists().where(SIGNATURES.c.id == _MOUNTS.signature_id, SIGNATURES.c.rules != rules)
    stale = stale.correlate(SIGNATURE_MOUNTS)
    here = (_MOUNTS.position == position, _MOUNTS.of_part)
    return select(_MOUNTS.signature_id).where(*here, or_(*map(_has_a_chance, chances), stale))


def told_parts(connection: Connection, skate: str) -> list[str]:
    """Give the parts that something was told of on a skate, by SKU."""
    return sorted(connection.scalars(_TOLD, {"skate": skate}))


def articles_signed(
    connection: Connection, digest: str, wanted: Wanted, but: Collection[str], after: str, most: int
) -> list[Kept]:
    """Give articles of one signature in order of SKU.

    Parameters
    ----------
    connection : Connection
    digest : str
    wanted : Wanted
        What else is asked of them.
    but : collection of str
        SKUs to leave out.
    after : str
        SKU to begin after; empty for the first.
    most : int
        How many to give.
    """
    # By its number: with the digest alone, PostgreSQL goes through the articles in order of SKU until a page is full.
    number = select(SIGNATURES.c.id).where(SIGNATURES.c.digest == digest).scalar_subquery()
    query = (
        select(*COLUMNS)
        .join(SIGNATURES)
        .where(
            ARTICLES.c.signature_id == number,
            ARTICLES.c.sku > after,
            ARTICLES.c.sku.not_in(sorted(but)) if but else true(),
            *conditions(wanted),
            # The set of mounts has chosen few articles already: their words are looked at one by one.
            *map(has_word, words_of(wanted.name or "")),
        )
        .order_by(ARTICLES.c.sku)
        .limit(most)
    )
    return [kept(row) for row in connection.execute(query)]
