"""What a customer asks: the skate as it is, what bothers, what is wished for, and the money there is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from itertools import pairwise
from types import MappingProxyType
from typing import NamedTuple

from mountwright.checkout.article import Article
from mountwright.checkout.basket import Owned
from mountwright.errors import InvalidQuantityError

#: Kinds of articles that a path may change, in a fixed order: the positions of a plan.
KINDS = (
    "frame",
    "bolt",
    "wheel",
    "bearing",
    "spacer",
    "axle",
    "liner",
    "insole",
    "cuff",
    "buckle",
    "strap",
    "lace",
    "brake",
)


class Instalment(NamedTuple):
    """Money that comes on a day, in minor units; the day is None where all of it is there now."""

    on: date | None
    amount_minor: int


@dataclass(frozen=True)
class Money:
    """What may be spent.

    Parameters
    ----------
    currency : str
        ISO 4217.
    instalments : tuple of Instalment
        1 to 8, in order of their days; 0 or more each.
    until : date or None
        How long the skate is to serve, None for a year after the last instalment.

    Raises
    ------
    InvalidQuantityError
        For no instalment or too many, amounts below 0, and days out of order or missing beside others.
    """

    currency: str
    instalments: tuple[Instalment, ...]
    until: date | None = None

    def __post_init__(self) -> None:
        days = [each.on for each in self.instalments]
        if not 1 <= len(days) <= 8:
            raise InvalidQuantityError(len(days), "1 to 8 instalments")
        if any(each.amount_minor < 0 for each in self.instalments):
            raise InvalidQuantityError([each.amount_minor for each in self.instalments], "amounts of 0 or more")
        known = [day for day in days if day is not None]
        if len(known) < len(days) and len(days) > 1:
            raise InvalidQuantityError(days, "a day for each of several instalments")
        if any(later <= earlier for earlier, later in pairwise(known)):
            raise InvalidQuantityError(known, "days in order, each after the one before")

    @property
    def total_minor(self) -> int:
        """Give all of it."""
        return sum(each.amount_minor for each in self.instalments)


@dataclass(frozen=True)
class Wishes:
    """What is wished for beside the complaints; None for no wish.

    Parameters
    ----------
    wheel_diameter_mm : float or None
    wheelbase_mm : float or None
    rocker_mm : float or None
    colour : str
        Empty for any.
    """

    wheel_diameter_mm: float | None = None
    wheelbase_mm: float | None = None
    rocker_mm: float | None = None
    colour: str = ""


class Candidate(NamedTuple):
    """An article that may be bought.

    Parameters
    ----------
    article : Article
    in_stock : bool
    """

    article: Article
    in_stock: bool


@dataclass(frozen=True, eq=False)
class Customer:
    """Everything that a path is planned from, but the candidates.

    Parameters
    ----------
    owned : Owned
        The skate as it is.
    complaints : tuple of str
        Keys of complaints, the worst first, each once.
    money : Money
    wishes : Wishes
    stays : frozenset of str
        Kinds of articles that must stay as they are.
    at_home : frozenset of str
        Keys of bench jobs that the customer does without the workshop.
    labour_minor_per_hour : int
        Of the workshop, 0 or more.
    mass_kg : float
        Of the rider with everything worn, above 0.
    worn_mm : Mapping[str, float]
        Measured diameters by kind, where they are known: ``wheel``.

    Raises
    ------
    InvalidQuantityError
        For a complaint twice, and figures beyond these bounds.
    """

    owned: Owned
    complaints: tuple[str, ...]
    money: Money
    wishes: Wishes = field(default_factory=Wishes)
    stays: frozenset[str] = frozenset()
    at_home: frozenset[str] = frozenset()
    labour_minor_per_hour: int = 0
    mass_kg: float = 80.0
    worn_mm: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))

    def __post_init__(self) -> None:
        if len(set(self.complaints)) < len(self.complaints):
            raise InvalidQuantityError(self.complaints, "each complaint once")
        if self.labour_minor_per_hour < 0 or not self.mass_kg > 0:
            raise InvalidQuantityError(
                (self.labour_minor_per_hour, self.mass_kg), "labour of 0 or more and a mass above 0"
            )
        if unknown := self.stays - set(KINDS):
            raise InvalidQuantityError(sorted(unknown), f"some of {', '.join(KINDS)}")


def article_key(article: Article) -> str:
    """Give what tells an article from others in a plan."""
    return article.sku or article.name or str(id(article))
