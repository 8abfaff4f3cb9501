"""Finds parts by their colour: the distinct colours within a box first, then the articles that have them."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from operator import itemgetter
from typing import Any, NamedTuple

from sqlalchemy import ColumnElement, Connection, and_, exists, func, not_, or_, select, true

from mountwright.bench.colour_box import LabBox
from mountwright.bench.colours import Lab
from mountwright.catalogue.alternatives import Chances
from mountwright.catalogue.candidates import with_a_chance
from mountwright.catalogue.reading import COLUMNS, Kept, kept
from mountwright.catalogue.search import Wanted, conditions
from mountwright.catalogue.signatures import Signature
from mountwright.catalogue.tables import ARTICLES, SIGNATURE_MOUNTS, SIGNATURES

_COLUMNS, _MOUNTS = ARTICLES.c, SIGNATURE_MOUNTS.c
_LAB = (_COLUMNS.lab_l, _COLUMNS.lab_a, _COLUMNS.lab_b)


@dataclass(frozen=True)
class Coloured:
    """What is asked of a part beside its colour.

    Parameters
    ----------
    kinds : tuple of str
        It has to be of one of these.
    wanted : Wanted
        What else.
    """

    kinds: tuple[str, ...]
    wanted: Wanted

    @property
    def conditions(self) -> Iterator[ColumnElement[bool]]:
        """Give what has to hold of an article, each of it."""
        yield _COLUMNS.kind.in_(self.kinds)
        yield from conditions(self.wanted)


class InColour(NamedTuple):
    """Articles of one colour with one set of mounts: its number, how many they are, and the first of them by SKU."""

    lab: Lab
    signature: int
    there_are: int
    first: str


def colours_within(connection: Connection, box: LabBox, coloured: Coloured, but: Collection[str]) -> list[InColour]:
    """Give the distinct colours of a box, each with every set of mounts that it comes in, in order.

    Parameters
    ----------
    connection : Connection
    box : LabBox
    coloured : Coloured
    but : collection of str
        SKUs of articles to leave out.
    """
    ends = zip(_LAB, (box.lightness, box.a, box.b), strict=True)
    within = (column.between(*each) for column, each in ends)
    groups = (*_LAB, _COLUMNS.signature_id)
    query = select(*groups, func.count(), func.min(_COLUMNS.sku)).where(*coloured.conditions, *within, _not(but))
    # As plain tuples: colours take far longer to compare.
    rows = sorted(tuple(row) for row in connection.execute(query.group_by(*groups)))
    return [InColour(lab, *row[3:]) for lab, of_it in _by_colour(rows) for row in of_it]


def _by_colour(rows: Iterable[tuple[Any, ...]]) -> Iterator[tuple[Lab, Iterable[tuple[Any, ...]]]]:
    for figures, of_it in groupby(rows, key=itemgetter(0, 1, 2)):
        yield Lab(*figures), of_it


def skus_of_colour(
    connection: Connection, lab: Lab, signatures: Collection[int], coloured: Coloured, but: Collection[str], most: int
) -> list[str]:
    """Give the first SKUs of articles of just this colour, in order.

    Parameters
    ----------
    connection : Connection
    lab : Lab
    signatures : collection of int
        Sets of mounts by number; they have to have one of these.
    coloured : Coloured
    but : collection of str
        SKUs to leave out.
    most : int
        How many to give.
    """
    is_of_it = (column == figure for column, figure in zip(_LAB, (lab.lightness, lab.a, lab.b), strict=True))
    # Not a condition that an engine would begin with: many articles may share their mounts, few a colour.
    may = _COLUMNS.signature_id.in_(sorted(signatures)).is_(true())
    query = select(_COLUMNS.sku).where(*coloured.conditions, *is_of_it, may, _not(but))
    return [*connection.scalars(query.order_by(_COLUMNS.sku).limit(most))]


def _not(skus: Collection[str]) -> ColumnElement[bool]:
    return _COLUMNS.sku.not_in(sorted(skus)) if skus else true()


def signatures_left(
    connection: Connection, numbers: Collection[int], chances: Chances, rules: str
) -> dict[int, Signature]:
    """Give the sets of mounts, of some by number, that may go on a skate; some that cannot may be among them.

    Parameters
    ----------
    connection : Connection
    numbers : collection of int
    chances : tuple of (str, tuple of Chance)
        What the skate lets a part's mount be, by position. A set has to have a chance at each where it has a mount.
    rules : str
        Version of the rules at hand; what others have read into the index is not relied on.
    """
    query = select(SIGNATURES.c.id, SIGNATURES.c.digest, SIGNATURES.c.mounts).where(
        SIGNATURES.c.id.in_(sorted(numbers)), *_nowhere_refused(chances, rules)
    )
    return {number: Signature(digest, mounts, True) for number, digest, mounts in connection.execute(query)}


def _nowhere_refused(chances: Chances, rules: str) -> Iterator[ColumnElement[bool]]:
    of_set = _MOUNTS.signature_id == SIGNATURES.c.id
    for position, at in chances:
        is_there = exists().where(of_set, _MOUNTS.position == position, _MOUNTS.of_part)
        may = with_a_chance(position, at, rules).where(of_set).correlate(SIGNATURES).exists()
        yield or_(not_(is_there), may)


def articles_in_colour(connection: Connection, skus: Sequence[str], coloured: Coloured) -> list[tuple[Lab, Kept]]:
    """Give those of some articles, by SKU, that are asked for and have a colour, with it, in order of SKU."""
    query = select(*COLUMNS, *_LAB).join(SIGNATURES)
    has_one = and_(_COLUMNS.sku.in_(skus), _COLUMNS.lab_l.is_not(None))
    rows = connection.execute(query.where(has_one, *coloured.conditions).order_by(_COLUMNS.sku))
    return [(Lab(*row[-3:]), kept(row[:-3])) for row in rows]


def without_colour(connection: Connection, coloured: Coloured) -> int:
    """Give how many parts nobody gave a colour, of those that are asked for, whether they go on or not."""
    query = select(func.count()).select_from(ARTICLES).where(*coloured.conditions, _COLUMNS.lab_l.is_(None))
    return connection.scalar(query) or 0
