"""What became of pairs of skate and part, counted for the evidence."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby
from typing import Any, NamedTuple

from sqlalchemy import ColumnElement, Connection, Select, bindparam, case, func, select, true, tuple_

from mountwright.catalogue.tables import ARTICLES, OUTCOMES
from mountwright.fitting.evidence import (
    Attested,
    Correction,
    Counted,
    ReturnCause,
    Returned,
    Source,
    Tally,
    evidence_estimates,
    returns_to_correct,
    tallied,
)

#: A skate and a part, by SKU.
Pair = tuple[str, str]

#: Pairs that are read at a time.
AT_A_TIME = 500

_COLUMNS = OUTCOMES.c
_PAIR = (_COLUMNS.skate_sku, _COLUMNS.part_sku)
_SAID = (_COLUMNS.outcome, _COLUMNS.cause, _COLUMNS.told_by)
_COUNTED = (
    select(*_PAIR, *_SAID, func.count())
    .where(_COLUMNS.skate_sku == bindparam("skate"), _COLUMNS.part_sku.in_(bindparam("parts", expanding=True)))
    .group_by(*_PAIR, *_SAID)
    .order_by(*_PAIR)
)
#: Causes that say more of the skate's row than of the part's.
_OF_SKATES = sorted(cause for cause, rule in evidence_estimates().corrections.items() if rule.of == "skate")
_ROW = case((_COLUMNS.cause.in_(_OF_SKATES), _COLUMNS.skate_sku), else_=_COLUMNS.part_sku)
_CHECKED_ON = select(ARTICLES.c.checked_on).where(ARTICLES.c.sku == _ROW).scalar_subquery()

#: What came back since somebody held the row that it points at against the goods.
CAME_BACK = (_COLUMNS.outcome == Attested.CAME_BACK) & (_COLUMNS.happened_on > func.coalesce(_CHECKED_ON, ""))
_RETURNS = (_COLUMNS.cause, func.count(), func.sum(case((_COLUMNS.used, 1), else_=0)))


def _of_next_pairs(*figures: Any, where: ColumnElement[bool]) -> Select[Any]:
    """Give some figures of the pairs that come next, pairs whole and as many as are asked for."""
    after = tuple_(*_PAIR) > tuple_(bindparam("skate"), bindparam("part"))
    pairs = select(*_PAIR).where(after, where).distinct().order_by(*_PAIR).limit(bindparam("most")).subquery()
    of_pairs = (pairs.c.skate_sku == _COLUMNS.skate_sku) & (pairs.c.part_sku == _COLUMNS.part_sku)
    return select(*_PAIR, *figures).join(pairs, of_pairs).where(where)


_NEXT_COUNTED = _of_next_pairs(*_SAID, func.count(), where=true()).group_by(*_PAIR, *_SAID).order_by(*_PAIR)
_NEXT_RETURNED = (
    _of_next_pairs(*_RETURNS, where=CAME_BACK).group_by(*_PAIR, _COLUMNS.cause).order_by(*_PAIR, _COLUMNS.cause)
)


def tallies_of(connection: Connection, skate: str, parts: Iterable[str]) -> dict[str, Tally]:
    """Give what was told of each part on a skate, by the part's SKU; parts that nobody told of are left out."""
    rows = connection.execute(_COUNTED, {"skate": skate, "parts": sorted(set(parts))})
    return {part: tally for (_, part), tally in tallies_in(rows)}


def pairs_told(connection: Connection, at_a_time: int = AT_A_TIME) -> Iterator[list[tuple[Pair, Tally]]]:
    """Give every pair that something was told of, in order of SKU, with all that was told of it; some at a time.

    Parameters
    ----------
    connection : Connection
        One that sees one state of the catalogue throughout, if it matters that nothing is told meanwhile.
    at_a_time : int
        Most pairs of a batch.
    """
    for rows in _page_by_page(_NEXT_COUNTED, connection, at_a_time):
        yield list(tallies_in(rows))


def _page_by_page(query: Select[Any], connection: Connection, at_a_time: int) -> Iterator[Sequence[Any]]:
    after: dict[str, Any] = {"skate": "", "part": "", "most": at_a_time}
    while rows := connection.execute(query, after).all():
        yield rows
        after |= {"skate": rows[-1].skate_sku, "part": rows[-1].part_sku}


def tallies_in(rows: Iterable[Sequence[Any]]) -> Iterator[tuple[Pair, Tally]]:
    """Give what was told of each pair, from rows of skate, part, outcome, cause, source and count in order of pairs."""
    for (skate, part), told in groupby(rows, key=lambda row: (row[0], row[1])):
        yield (skate, part), tallied(_counted(*said) for _, _, *said in told)


def _counted(outcome: str, cause: str, source: str, count: int) -> Counted:
    return Counted(Attested(outcome), ReturnCause(cause) if cause else None, Source(source), count)


def returns_told(connection: Connection, at_a_time: int = AT_A_TIME) -> Iterator[Returned]:
    """Give how often each part came back from each skate, by cause, since the row that it points at was checked.

    In order of SKU; so many pairs are read at once.
    """
    for rows in _page_by_page(_NEXT_RETURNED, connection, at_a_time):
        for skate, part, cause, count, used in rows:
            yield Returned(skate, part, ReturnCause(cause), count, used)


class Returns(NamedTuple):
    """What came back of one SKU since the row that it points at was checked, and what that says of its row.

    Parameters
    ----------
    by_cause : tuple of Returned
        By cause, added up over everything it was bought with, whose SKU is left empty.
    corrections : tuple of Correction
        That its row needs, the one with most returns first.
    """

    by_cause: tuple[Returned, ...]
    corrections: tuple[Correction, ...]

    @property
    def is_paused(self) -> bool:
        """Tell whether the SKU is not to be sold at checkout until its row is put right."""
        return any(correction.pauses for correction in self.corrections)


def returns_of(connection: Connection, sku: str) -> Returns:
    """Give what came back of a skate or a part."""
    as_skate, as_part = (connection.execute(query, {"sku": sku}).all() for query in (_OF_SKATE, _OF_PART))
    found = [Returned(sku, "", ReturnCause(cause), count, used) for cause, count, used in as_skate]
    found += [Returned("", sku, ReturnCause(cause), count, used) for cause, count, used in as_part]
    corrections = returns_to_correct(found, evidence_estimates())
    return Returns(tuple(found), tuple(each for each in corrections if each.sku == sku))


def _of(column: Any) -> Select[Any]:
    returned = select(*_RETURNS).where(CAME_BACK, column == bindparam("sku"))
    return returned.group_by(_COLUMNS.cause).order_by(_COLUMNS.cause)


_OF_SKATE, _OF_PART = _of(_COLUMNS.skate_sku), _of(_COLUMNS.part_sku)
