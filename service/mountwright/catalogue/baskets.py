"""Reads all that a basket needs of the catalogue with one statement, and so of one state of it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from enum import StrEnum
from functools import lru_cache
from typing import Any, NamedTuple

import orjson
from sqlalchemy import (
    CTE,
    CompoundSelect,
    Connection,
    Select,
    String,
    bindparam,
    func,
    literal_column,
    null,
    select,
    union_all,
)
from sqlalchemy.dialects.postgresql import ARRAY

from mountwright.catalogue.outcomes import CAME_BACK, Pair, tallies_in
from mountwright.catalogue.reading import COLUMNS, Kept, kept
from mountwright.catalogue.search import Wanted, conditions
from mountwright.catalogue.tables import ARTICLES, CONTENTS, OUTCOMES, SIGNATURES, STATE
from mountwright.catalogue.versions import Version
from mountwright.fitting.evidence import ReturnCause, Returned, Tally, evidence_estimates, returns_to_correct


class BasketNamed(NamedTuple):
    """What a basket names of the catalogue.

    Parameters
    ----------
    skates, parts : tuple of str
        SKUs; either may turn out to be the other.
    models : tuple of Wanted
        Skates of which no SKU is known; not by words nor by a mount, for which a search first looks what leads to them.
    """

    skates: tuple[str, ...] = ()
    models: tuple[Wanted, ...] = ()
    parts: tuple[str, ...] = ()


class BasketRead(NamedTuple):
    """What was read for a basket, all of one version.

    Parameters
    ----------
    version : Version
    articles : Mapping[str, Kept]
        By SKU, those that there are: what is named, the versions of the models, and what all these skates come with.
    versions : tuple of tuple of str
        Of each model that is named its SKUs, in order.
    tallies : Mapping[tuple[str, str], Tally]
        What was told of a skate or a version of a model, and a part that is named, by SKU.
    paused : frozenset of str
        SKUs among the skates, the versions of the models and the parts that are not to be sold at checkout until their
        row is put right.
    """

    version: Version
    articles: Mapping[str, Kept]
    versions: tuple[tuple[str, ...], ...]
    tallies: Mapping[Pair, Tally]
    paused: frozenset[str]


#: A row but for its sort: its number and its texts.
_Row = tuple[Any, ...]


class _Sort(StrEnum):
    """What a row tells of."""

    VERSION = "version"
    ARTICLE = "article"
    MODEL = "model"
    TOLD = "told"
    BACK_AS_SKATE = "back_as_skate"
    BACK_AS_PART = "back_as_part"


def basket_read(connection: Connection, named: BasketNamed, most: int) -> BasketRead:
    """Give what a basket needs, with one statement.

    Parameters
    ----------
    connection : Connection
    named : BasketNamed
    most : int
        Versions of one model, the first by SKU.
    """
    rows = _read(connection, named, most)
    (((number, digest, *_)),) = rows[_Sort.VERSION]
    versions: list[list[str]] = [[] for _ in named.models]
    for model, sku, *_ in sorted(rows[_Sort.MODEL]):
        versions[model].append(sku)
    return BasketRead(
        Version(number, digest),
        {sku: kept((sku, *rest)) for _, sku, *rest in rows[_Sort.ARTICLE]},
        tuple(map(tuple, versions)),
        dict(tallies_in((*said, count) for count, *said in sorted(rows[_Sort.TOLD], key=lambda row: row[1:3]))),
        _paused(rows[_Sort.BACK_AS_SKATE], rows[_Sort.BACK_AS_PART]),
    )


def _read(connection: Connection, named: BasketNamed, most: int) -> Mapping[str, list[_Row]]:
    """Give the rows by their sort."""
    is_sqlite = connection.dialect.name == "sqlite"
    skus = {"skates": [*named.skates], "parts": [*named.parts]}
    given = {name: orjson.dumps(each).decode() for name, each in skus.items()} if is_sqlite else skus
    rows: dict[str, list[_Row]] = defaultdict(list)
    for sort, *row in connection.execute(_statement(named.models, most, is_sqlite), given):
        rows[sort].append(tuple(row))
    return rows


def _paused(as_skate: Iterable[_Row], as_part: Iterable[_Row]) -> frozenset[str]:
    returned = [Returned(sku, "", ReturnCause(cause), count) for count, sku, cause, *_ in as_skate]
    returned += [Returned("", sku, ReturnCause(cause), count) for count, sku, cause, *_ in as_part]
    corrections = returns_to_correct(returned, evidence_estimates())
    return frozenset(correction.sku for correction in corrections if correction.pauses)


#: Statements are put together for so many sets of models; most baskets name none.
_STATEMENTS = 64


@lru_cache(_STATEMENTS)
def _statement(models: tuple[Wanted, ...], most: int, is_sqlite: bool) -> CompoundSelect[Any]:
    """Give the statement; it is the same however many SKUs there are, so that an engine plans it once."""
    named_skates, parts = _given("skates", is_sqlite), _given("parts", is_sqlite)
    if not models:
        return union_all(*_parts_of(named_skates, parts))
    versions = union_all(*(_versions(number, model, most) for number, model in enumerate(models))).cte("versions")
    skates = union_all(select(named_skates.c.sku), select(versions.c.sku)).cte("all_skates")
    found = _row(_Sort.MODEL, versions.c.sku, number=versions.c.model)
    return union_all(*_parts_of(skates, parts), found)


def _given(name: str, is_sqlite: bool) -> CTE:
    """Give a list of SKUs as a table: one parameter, however long it is."""
    if is_sqlite:
        sku = func.json_each(bindparam(name, type_=String)).table_valued("value").c.value
    else:
        sku = func.unnest(bindparam(name, type_=ARRAY(String))).column_valued()
    return select(sku.label("sku")).cte(name)


def _versions(number: int, model: Wanted, most: int) -> Select[Any]:
    found = select(ARTICLES.c.sku).where(*conditions(model)).order_by(ARTICLES.c.sku).limit(most).subquery()
    return select(literal_column(str(number)).label("model"), found.c.sku)


def _parts_of(skates: CTE, parts: CTE) -> Iterator[Select[Any]]:
    """Yield what finds each sort of rows, but for the models."""
    asked = union_all(select(skates.c.sku), select(parts.c.sku)).cte("asked")
    # Articles come second: with them every column has its type, whatever is null in the others.
    yield _row(_Sort.VERSION, STATE.c.digest, number=STATE.c.version).where(STATE.c.id == 1)
    yield _articles(skates, asked)
    yield _told(skates, parts)
    yield _came_back(_Sort.BACK_AS_SKATE, "skate", OUTCOMES.c.skate_sku, asked)
    yield _came_back(_Sort.BACK_AS_PART, "part", OUTCOMES.c.part_sku, asked)


def _articles(skates: CTE, asked: CTE) -> Select[Any]:
    contents = select(CONTENTS.c.part_sku).where(CONTENTS.c.sku.in_(select(skates.c.sku)))
    wanted = union_all(select(asked.c.sku), contents)
    return _row(_Sort.ARTICLE, *COLUMNS).join(SIGNATURES).where(ARTICLES.c.sku.in_(wanted))


def _told(skates: CTE, parts: CTE) -> Select[Any]:
    told = OUTCOMES.c
    said = (told.skate_sku, told.part_sku, told.outcome, told.cause, told.told_by)
    of_pairs = told.skate_sku.in_(select(skates.c.sku)) & told.part_sku.in_(select(parts.c.sku))
    return _row(_Sort.TOLD, *said, number=func.count()).where(of_pairs).group_by(*said)


def _came_back(sort: _Sort, of: str, sku: Any, asked: CTE) -> Select[Any]:
    """Give what counts the returns for which skates, or parts, may be paused."""
    rules = evidence_estimates().corrections.items()
    pausing = OUTCOMES.c.cause.in_([cause for cause, rule in rules if rule.of == of and rule.pauses])
    counted = _row(sort, sku, OUTCOMES.c.cause, number=func.count()).where(sku.in_(select(asked.c.sku)), pausing)
    return counted.where(CAME_BACK).group_by(sku, OUTCOMES.c.cause)


def _row(sort: _Sort, *texts: Any, number: Any = None) -> Select[Any]:
    """Give a sort of rows in the form of all: its name, a number, and as many texts as an article has."""
    rest = [null()] * (len(COLUMNS) - len(texts))
    return select(literal_column(f"'{sort}'"), null() if number is None else number, *texts, *rest)
