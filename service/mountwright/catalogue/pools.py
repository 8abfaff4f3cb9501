"""Writes the statement that finds what may be bought for a skate: the articles of each kind are gone through once.

A pool holds the articles of one kind that meet every condition, with the lists that each of them is on. The lists are
cut and the pool is counted without another look at the table.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from enum import IntEnum, StrEnum
from types import MappingProxyType
from typing import Any, NamedTuple

from sqlalchemy import (
    CTE,
    ColumnElement,
    CompoundSelect,
    Select,
    and_,
    case,
    func,
    literal,
    literal_column,
    not_,
    null,
    or_,
    select,
    true,
    union_all,
)

from mountwright.catalogue.alternatives import Chances, Ends
from mountwright.catalogue.candidates import with_a_chance
from mountwright.catalogue.documents import SKATE
from mountwright.catalogue.outcomes import CAME_BACK
from mountwright.catalogue.reading import COLUMNS
from mountwright.catalogue.search import Wanted, conditions
from mountwright.catalogue.signatures import signature_of
from mountwright.catalogue.tables import (
    ARTICLE_FIGURES,
    ARTICLES,
    OUTCOMES,
    SIGNATURE_MOUNTS,
    SIGNATURES,
    STATE,
)
from mountwright.errors import InvalidSpecError
from mountwright.fitting.evidence import evidence_estimates
from mountwright.fitting.narrowing import Chance
from mountwright.mounts.kinds import searched

#: Most articles of a list, and most complete skates.
MOST, MOST_SKATES = 300, 50

_MOUNTS, _FIGURES = SIGNATURE_MOUNTS.c, ARTICLE_FIGURES.c

#: Of a part of which nobody described a mount.
_WITHOUT_MOUNTS = signature_of({"kind": "other"}).digest


@dataclass(frozen=True)
class Sought:
    """What an article of a kind has to be, to be worth judging.

    Parameters
    ----------
    kind : str
    holds : tuple of (str, tuple of Chance)
        What the mounts that stay let a part's mount be, by position. The article has to have a chance at one of these
        at least, and at each where it has a mount.
    stands : tuple of (str, tuple of Chance)
        The same of mounts that may be changed along with it: what has no chance there may be bought, too. Where nothing
        holds, the article has to have a mount at one of these.
    without_mounts : bool
        Whether one of which nobody described a mount will do.
    figures : Mapping[str, tuple of (float or None, float or None)]
        Wished for: figures that it should have, and the bounds that they should lie in, inclusive.
    colour_folded : str
        Wished for, folded; empty for any.

    Raises
    ------
    InvalidSpecError
        For a figure that the catalogue does not keep beside the document, and where nothing at all would do.
    """

    kind: str
    holds: Chances = ()
    stands: Chances = ()
    without_mounts: bool = False
    figures: Mapping[str, Ends] = field(default_factory=lambda: MappingProxyType({}))
    colour_folded: str = ""

    def __post_init__(self) -> None:
        for name in self.figures:
            if name not in searched():
                raise InvalidSpecError(name, "a spec that is not searched", ", ".join(sorted(searched())))
        if not (self.holds or self.stands or self.without_mounts):
            raise InvalidSpecError(self.kind, "nothing that would do", "mounts beside it, or none")


class Terms(NamedTuple):
    """What holds for everything that is bought.

    Parameters
    ----------
    currency : str
        ISO 4217.
    in_stock_only : bool
        Whether what is sold out, or may be, is left out.
    eu_size : float or None
        That a run of sizes has to contain; an open end contains all.
    skates : tuple of str
        SKUs of the skate that it is for, one for each version that may be meant; none where it has none.
    """

    currency: str
    in_stock_only: bool = False
    eu_size: float | None = None
    skates: tuple[str, ...] = ()


class Found(IntEnum):
    """The lists of a kind: for what an article was found."""

    WISHED = 0
    WISHED_COLOUR = 1
    ALONE = 2
    WITH_OTHERS = 3


class Sort(StrEnum):
    """What a row tells of."""

    VERSION = "version"
    ARTICLE = "article"
    COUNT = "count"
    TOLD = "told"
    BACK_AS_SKATE = "back_as_skate"
    BACK_AS_PART = "back_as_part"


def statement(sought: Sequence[Sought], terms: Terms, rules: str) -> CompoundSelect[Any]:
    """Give the statement: each of its rows is a sort, two numbers and as many texts as an article has columns.

    An article's numbers are the list that it is on (:func:`list_number`) and its price; complete skates are on the list
    of what goes on alone, of the kind after the last. A count's are the kind and how many there are. Else the first
    number is the version, or how often something was told.

    Parameters
    ----------
    sought : sequence of Sought
    terms : Terms
    rules : str
        Version of the rules at hand; what others have read into the index is not relied on.
    """
    places, last = _Places(rules), len(sought)
    pools = [_Pool(number, each, terms, places) for number, each in enumerate(sought)]
    skates = _skates(terms).cte("skates")
    sold = _cheapest(list_number(last, Found.ALONE), skates).limit(MOST_SKATES)
    lists = [*(each for pool in pools for each in pool.lists()), sold]
    found = union_all(*(select(each.subquery()) for each in lists)).cte("found")
    # Articles come second: with them every column has its type, whatever is null in the others.
    return union_all(
        _row(Sort.VERSION, STATE.c.digest, number=STATE.c.version).where(STATE.c.id == 1),
        _articles(found),
        *(_counted(number, pool.articles) for number, pool in enumerate(pools)),
        _counted(last, skates),
        _told(found, terms),
        _came_back(Sort.BACK_AS_SKATE, "skate", OUTCOMES.c.skate_sku, found),
        _came_back(Sort.BACK_AS_PART, "part", OUTCOMES.c.part_sku, found),
    )


def list_number(kind: int, found: Found) -> int:
    """Give the number of a list of a kind, which is given by its place."""
    return len(Found) * kind + found


class _Places:
    """Sets of a part's mounts by what they have at a position; kinds share them, so each is written once."""

    def __init__(self, rules: str) -> None:
        self._rules = rules
        self._ctes: dict[tuple[str, tuple[Chance, ...]], CTE] = {}

    def may(self, position: str, chances: tuple[Chance, ...]) -> ColumnElement[bool]:
        """Give the condition that a set of mounts has a chance at a position."""
        return self._among(position, chances, lambda: with_a_chance(position, chances, self._rules))

    def are_there(self, position: str) -> ColumnElement[bool]:
        """Give the condition that a set has a mount at a position."""
        here = (_MOUNTS.position == position, _MOUNTS.of_part)
        return self._among(position, (), lambda: select(_MOUNTS.signature_id).where(*here))

    def nowhere_refused(self, places: Chances) -> Iterator[ColumnElement[bool]]:
        """Yield the conditions that a set has a chance at each of some positions where it has a mount."""
        for position, chances in places:
            yield or_(not_(self.are_there(position)), self.may(position, chances))

    def _among(
        self, position: str, chances: tuple[Chance, ...], written: Callable[[], Select[tuple[int]]]
    ) -> ColumnElement[bool]:
        key = position, chances
        if key not in self._ctes:
            self._ctes[key] = written().cte(f"place_{len(self._ctes)}")
        return SIGNATURES.c.id.in_(select(self._ctes[key].c.signature_id))


class _Pool:
    """Articles of one kind that may be bought, and the lists that are made of them."""

    def __init__(self, number: int, sought: Sought, terms: Terms, places: _Places) -> None:
        self._number, self._sought, self._places = number, sought, places
        self._held = self._sets_held().cte(f"held_{number}")
        self._lists = dict(self._conditions())
        marks = [case((met, 1), else_=0).label(each.name) for each, met in self._lists.items()]
        bought = _bought(sought.kind, terms, marks).where(_is_among(self._held))
        #: Everything that may be bought.
        self.articles = bought.cte(f"pool_{number}")

    def lists(self) -> Iterator[Select[Any]]:
        """Yield what selects the cheapest of each list."""
        for each in self._lists:
            is_on_it = self.articles.c[each.name] == 1
            yield _cheapest(list_number(self._number, each), self.articles).where(is_on_it).limit(MOST)

    def _sets_held(self) -> Select[tuple[int]]:
        """Give the sets of mounts that go on what holds; where nothing does, those that have a mount at what stands."""
        sought, places = self._sought, self._places
        will_do = [places.may(*place) for place in sought.holds]
        will_do = will_do or [places.are_there(position) for position, _ in sought.stands]
        if sought.without_mounts:
            will_do.append(SIGNATURES.c.digest == _WITHOUT_MOUNTS)
        return select(SIGNATURES.c.id).where(or_(*will_do), *places.nowhere_refused(sought.holds))

    def _conditions(self) -> Iterator[tuple[Found, ColumnElement[bool]]]:
        """Yield what puts an article on each of the lists that there are."""
        sought, wished = self._sought, and_(true(), *_wished(self._sought))
        if sought.figures:
            yield Found.WISHED, wished
        if sought.colour_folded:
            yield Found.WISHED_COLOUR, and_(wished, ARTICLES.c.colour_folded == sought.colour_folded)
        if not sought.stands:
            yield Found.ALONE, true()
            return
        nowhere_refused = self._places.nowhere_refused(sought.stands)
        sets = select(SIGNATURES.c.id).where(SIGNATURES.c.id.in_(select(self._held.c.id)), *nowhere_refused)
        goes_alone = _is_among(sets.cte(f"alone_{self._number}"))
        yield Found.ALONE, goes_alone
        yield Found.WITH_OTHERS, not_(goes_alone)


def _is_among(sets: CTE) -> ColumnElement[bool]:
    return ARTICLES.c.signature_id.in_(select(sets.c.id))


def _wished(sought: Sought) -> Iterator[ColumnElement[bool]]:
    for name, (low, high) in sought.figures.items():
        ends = [] if low is None else [_FIGURES.value >= low]
        ends += [] if high is None else [_FIGURES.value <= high]
        of_kind = (_FIGURES.kind == sought.kind, _FIGURES.name == name)
        yield ARTICLES.c.sku.in_(select(_FIGURES.sku).where(*of_kind, *ends))


def _skates(terms: Terms) -> Select[Any]:
    return _bought(SKATE, terms).where(ARTICLES.c.sku.not_in(terms.skates) if terms.skates else true())


def _bought(kind: str, terms: Terms, marks: Sequence[ColumnElement[Any]] = ()) -> Select[Any]:
    columns, in_stock = ARTICLES.c, True if terms.in_stock_only else None
    wanted = Wanted(kind == SKATE, kind=kind, eu_size=terms.eu_size, currency=terms.currency, in_stock=in_stock)
    priced = select(columns.sku, columns.price_minor.label("price"), *marks).where(columns.price_minor.is_not(None))
    return priced.where(*conditions(wanted))


def _cheapest(number: int, pool: CTE) -> Select[Any]:
    listed = select(literal_column(str(number)).label("number"), pool.c.sku, pool.c.price)
    return listed.order_by(pool.c.price, pool.c.sku)


def _articles(found: CTE) -> Select[Any]:
    row = _row(Sort.ARTICLE, *COLUMNS, number=found.c.number, second=found.c.price)
    return row.join_from(found, ARTICLES, ARTICLES.c.sku == found.c.sku).join(SIGNATURES)


def _counted(kind: int, pool: CTE) -> Select[Any]:
    return _row(Sort.COUNT, number=literal_column(str(kind)), second=func.count()).select_from(pool)


def _told(found: CTE, terms: Terms) -> Select[Any]:
    told = OUTCOMES.c
    said = (told.skate_sku, told.part_sku, told.outcome, told.cause, told.told_by)
    of_pairs = (told.skate_sku.in_(terms.skates), told.part_sku.in_(select(found.c.sku)))
    return _row(Sort.TOLD, *said, number=func.count()).where(*of_pairs).group_by(*said)


def _came_back(sort: Sort, of: str, sku: Any, found: CTE) -> Select[Any]:
    """Give what counts the returns for which skates, or parts, may be paused."""
    rules = evidence_estimates().corrections.items()
    pausing = OUTCOMES.c.cause.in_([cause for cause, rule in rules if rule.of == of and rule.pauses])
    counted = _row(sort, sku, OUTCOMES.c.cause, number=func.count()).where(sku.in_(select(found.c.sku)), pausing)
    return counted.where(CAME_BACK).group_by(sku, OUTCOMES.c.cause)


def _row(sort: Sort, *texts: Any, number: Any = None, second: Any = None) -> Select[Any]:
    """Give a sort of rows in the form of all: its name, two numbers, and as many texts as an article has."""
    numbers = (null() if each is None else each for each in (number, second))
    rest = [null()] * (len(COLUMNS) - len(texts))
    return select(literal(str(sort)), *numbers, *texts, *rest)
