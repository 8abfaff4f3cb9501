"""Finds what may stand in for parts of a basket: for all of them with one statement, however large the catalogue is.

Where few articles have mounts that may go on, all of these are compared. Where many have, the nearest are: along the
index of one figure, so many upwards and so many downwards. What is given meets every condition; that it is the very
best of all holds where no more met them than are compared.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any, NamedTuple

from sqlalchemy import (
    CTE,
    BigInteger,
    ColumnElement,
    Connection,
    Float,
    Label,
    Select,
    case,
    exists,
    false,
    func,
    literal,
    not_,
    or_,
    select,
    true,
    union,
    union_all,
)

from mountwright.catalogue.candidates import with_a_chance
from mountwright.catalogue.reading import COLUMNS, Kept, kept
from mountwright.catalogue.search import Wanted, conditions
from mountwright.catalogue.tables import ARTICLE_FIGURES, ARTICLES, SIGNATURE_MOUNTS, SIGNATURES, STATE
from mountwright.catalogue.versions import Version, version_of
from mountwright.errors import InvalidSpecError
from mountwright.fitting.narrowing import Chance
from mountwright.mounts.kinds import searched

#: Both inclusive; an end that is None is open.
Ends = tuple[float | None, float | None]

#: What each of the mounts beside it at a position lets a part's mount be; one that it lets be is enough.
Chances = tuple[tuple[str, tuple[Chance, ...]], ...]

#: Up to so many articles with mounts that may go on are all looked at.
FEW = 1000

#: Else so many of the nearest, upwards and downwards.
NEAREST = 250

#: So many parts are taken at a time: a longer statement takes the databases longer to read than to answer.
MOST_SOUGHT = 32

#: Farther away than any figure or price: what nobody knows comes last.
_FAR = 10**12

#: By what articles are ordered, in this order, and then by SKU.
_RANKS = ("claims_otherwise", "out_of_stock", "distance", "price_distance", "other_colour")

_CLAIMS = SIGNATURE_MOUNTS.alias("claims").c
_WALKED = ARTICLE_FIGURES.alias("walked")
_FIGURE = ARTICLE_FIGURES.alias("figure")


@dataclass(frozen=True)
class Sought:
    """What an alternative has to be, and what it should be near to.

    Parameters
    ----------
    kind : str
    figures : Mapping[str, tuple of (float or None, float or None)]
        Figures that it has to have, in the unit of their names, and the bounds that they have to lie in, inclusive.
        The first is walked along, so the most telling one comes first.
    near : Mapping[str, float]
        Figures that it should be near to; the first is walked along where there are no bounds.
    chances : tuple of (str, tuple of Chance)
        What its mounts have to be, by position; it has to have a chance at each.
    eu_size : float or None
        That its run has to contain; an open end contains all.
    hand : str or None
        ``left`` or ``right``, where what is for the other one is out.
    not_skus : tuple of str
        Left out.
    colour_folded : str
        That it should have, folded; empty for any.
    price_minor : int or None
    currency : str
        A price in another currency is no nearer than none at all.
    most : int
        How many to give, 1 or more.

    Raises
    ------
    InvalidSpecError
        For a figure that the catalogue does not keep beside the document, and for less than one article.
    """

    kind: str
    figures: Mapping[str, Ends]
    near: Mapping[str, float]
    chances: Chances = ()
    eu_size: float | None = None
    hand: str | None = None
    not_skus: tuple[str, ...] = ()
    colour_folded: str = ""
    price_minor: int | None = None
    currency: str = ""
    most: int = 24

    def __post_init__(self) -> None:
        for name in (*self.figures, *self.near):
            if name not in searched():
                raise InvalidSpecError(name, "a spec that is not searched", ", ".join(sorted(searched())))
        if self.most < 1:
            raise InvalidSpecError("most", str(self.most), "1 or more")


def alternatives_of(
    connection: Connection, sought: Sequence[Sought], rules_version: str
) -> tuple[Version, tuple[tuple[Kept, ...], ...]]:
    """Give what may stand in for each of some parts, and the version of the catalogue that it was read from.

    What claims a standard that does not go on comes last; before that, what is in stock, or may be, comes first; then
    the nearest in all figures together, one that lacks a figure after all that have it; then the nearest in price,
    what has the colour, and by SKU. Mounts that certainly do not go on are left out; some that do not may be among
    them.

    Parameters
    ----------
    connection : Connection
    sought : sequence of Sought
        At most :data:`MOST_SOUGHT`.
    rules_version : str
        Of the rules at hand; what others have read into the index is not relied on.

    Raises
    ------
    InvalidSpecError
        For too many at a time.
    """
    if len(sought) > MOST_SOUGHT:
        raise InvalidSpecError("sought", str(len(sought)), f"at most {MOST_SOUGHT}")
    if not sought:
        return version_of(connection), ()
    chosen = _chosen(sought, rules_version, connection.dialect.name == "sqlite")
    branches = [_branch(number, each, chosen.get(each.chances)) for number, each in enumerate(sought)]
    found = union_all(*(select(branch.subquery()) for branch in branches)).subquery("found")
    order = [found.c[name] for name in ("number", *_RANKS, "sku")]
    # From the state outwards: it has its row also where nothing is found.
    query = select(STATE.c.version, STATE.c.digest, found).select_from(STATE).outerjoin(found, true()).order_by(*order)
    rows = connection.execute(query).all()
    by_number = {number: tuple(kept(row[3:8]) for row in each) for number, each in groupby(rows, lambda row: row[2])}
    return Version(*rows[0][:2]), tuple(by_number.get(number, ()) for number in range(len(sought)))


class _Chosen(NamedTuple):
    """Sets of mounts that may go on, and the SKUs of those that have them: all, or one more than are few."""

    signatures: CTE
    few: CTE

    @property
    def are_many(self) -> ColumnElement[bool]:
        return select(func.count()).select_from(self.few).scalar_subquery() > FEW

    @property
    def condition(self) -> ColumnElement[bool]:
        return ARTICLES.c.signature_id.in_(select(self.signatures.c.signature_id))


def _chosen(sought: Sequence[Sought], rules: str, is_sqlite: bool) -> dict[Chances, _Chosen]:
    """Give each distinct choice of mounts once; lines of one basket often share theirs."""
    found: dict[Chances, _Chosen] = {}
    for chances in dict.fromkeys(each.chances for each in sought if each.chances):
        here = [with_a_chance(position, at, rules) for position, at in chances]
        ids = select(SIGNATURES.c.id.label("signature_id")).where(*(SIGNATURES.c.id.in_(each) for each in here))
        signatures = ids.cte(f"chosen_{len(found)}")
        found[chances] = _Chosen(signatures, _few(signatures, is_sqlite).cte(f"few_{len(found)}"))
    return found


def _few(signatures: CTE, is_sqlite: bool) -> Select[tuple[str]]:
    of_each = select(ARTICLES.c.sku).where(ARTICLES.c.signature_id == signatures.c.signature_id).limit(FEW + 1)
    if is_sqlite:
        return of_each
    # PostgreSQL takes guessed numbers for many, and would go through all articles for a few. SQLite has no LATERAL.
    one_by_one = of_each.lateral()
    return select(one_by_one.c.sku).select_from(signatures).join(one_by_one, true()).limit(FEW + 1)


def _ranks(sought: Sought) -> tuple[Label[Any], ...]:
    columns = ARTICLES.c
    distance = sum((_distance(name, near) for name, near in sought.near.items()), literal(0.0, Float))
    price_distance = (
        literal(_FAR, BigInteger)
        if sought.price_minor is None
        else case((columns.currency == sought.currency, func.abs(columns.price_minor - sought.price_minor)))
    )
    found = (
        case((or_(*_claims_otherwise(sought)), 1), else_=0),
        case((columns.stock == 0, 1), else_=0),
        distance,
        func.coalesce(price_distance, literal(_FAR, BigInteger)),
        case((columns.colour_folded.in_(_askable([sought.colour_folded])), 0), else_=1),
    )
    return tuple(value.label(name) for name, value in zip(_RANKS, found, strict=True))


def _claims_otherwise(sought: Sought) -> Iterator[ColumnElement[bool]]:
    """Yield the conditions of a mount that claims a standard which does not go on, whatever else is known of it."""
    yield false()
    for position, chances in sought.chances:
        unwanted = frozenset.intersection(*(chance.unwanted for chance in chances))
        if unwanted:
            claims = (_CLAIMS.position == position, _CLAIMS.standard.in_(sorted(unwanted)))
            yield exists().where(_CLAIMS.signature_id == ARTICLES.c.signature_id, *claims)


def _distance(name: str, near: float) -> ColumnElement[float]:
    value = select(_FIGURE.c.value).where(_FIGURE.c.sku == ARTICLES.c.sku, _FIGURE.c.name == name).scalar_subquery()
    return func.coalesce(func.abs(value - literal(near, Float)), literal(float(_FAR), Float))


def _branch(number: int, sought: Sought, chosen: _Chosen | None) -> Select[Any]:
    ranks = _ranks(sought)
    pool = union(*(select(way.subquery().c.sku) for way in _ways(sought, chosen)))
    return (
        select(literal(number).label("number"), *COLUMNS, *ranks)
        .join(SIGNATURES)
        .where(ARTICLES.c.sku.in_(pool))
        .order_by(*ranks, ARTICLES.c.sku)
        .limit(sought.most)
    )


def _ways(sought: Sought, chosen: _Chosen | None) -> Iterator[Select[Any]]:
    """Yield what selects the SKUs to compare, all of which meet the conditions."""
    if chosen is None:
        yield from _walks(sought)
        return
    few = ARTICLES.c.sku.in_(select(chosen.few.c.sku))
    yield select(ARTICLES.c.sku).where(not_(chosen.are_many), few, *_conditions(sought))
    # Not a condition that either engine would begin with: walks go along their own indexes.
    for walk in _walks(sought, chosen.condition.is_(true())):
        yield walk.where(chosen.are_many)


def _walks(sought: Sought, *more: ColumnElement[bool]) -> Iterator[Select[Any]]:
    met = (*_conditions(sought), *more)
    lead = next(iter(sought.figures or sought.near), None)
    if lead is not None:
        yield from _along(lead, sought, met)
    if not sought.figures:
        # What says nothing of the figure may do as well.
        yield select(ARTICLES.c.sku).where(*met).order_by(ARTICLES.c.sku).limit(NEAREST)


def _along(lead: str, sought: Sought, met: Sequence[ColumnElement[bool]]) -> Iterator[Select[Any]]:
    """Yield the ways from the figure that is wanted to both sides; from the lower bound upwards where none is."""
    columns, near = _WALKED.c, sought.near.get(lead)
    bounds = _between(columns.value, sought.figures.get(lead, (None, None)))
    # Asked of each in turn: joined, PostgreSQL would gather all there are before it takes the nearest.
    is_met = select(true()).where(ARTICLES.c.sku == columns.sku, *met).scalar_subquery()
    walk = select(columns.sku).where(columns.kind == sought.kind, columns.name == lead, *bounds, is_met).limit(NEAREST)
    upwards = walk.order_by(columns.value, columns.sku)
    if near is None:
        yield upwards
    else:
        yield upwards.where(columns.value >= near)
        yield walk.order_by(columns.value.desc(), columns.sku.desc()).where(columns.value < near)


def _conditions(sought: Sought) -> Iterator[ColumnElement[bool]]:
    columns = ARTICLES.c
    yield from conditions(Wanted(skates=False, kind=sought.kind, eu_size=sought.eu_size))
    if sought.hand is not None:
        yield or_(columns.side.is_(None), columns.side == sought.hand)
    if left_out := _askable(sought.not_skus):
        yield columns.sku.not_in(left_out)
    for name, ends in sought.figures.items():
        of_article = (_FIGURE.c.sku == columns.sku, _FIGURE.c.name == name)
        yield exists().where(*of_article, *_between(_FIGURE.c.value, ends))


def _askable(texts: Iterable[str]) -> list[str]:
    """Give the texts that something may be called, in order; PostgreSQL does not take a NUL character to look for."""
    return sorted(text for text in texts if text and "\0" not in text)


def _between(value: ColumnElement[float], ends: Ends) -> Iterator[ColumnElement[bool]]:
    low, high = ends
    if low is not None:
        yield value >= low
    if high is not None:
        yield value <= high
