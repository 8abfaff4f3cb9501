"""A basket as it is asked about: the skates that it is for, its lots, and the shop's policy."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import NamedTuple

from mountwright.checkout.article import Article
from mountwright.errors import InvalidQuantityError
from mountwright.fitting.evidence import Tally

#: Where a mount is: its position and its side there.
Spot = tuple[str, str]


class Unknown(StrEnum):
    """What to do with what nobody knows."""

    STRICT = "strict"
    LENIENT = "lenient"


class Counts(StrEnum):
    """What the counted parts are for."""

    PAIR = "pair"
    ONE_SKATE = "one_skate"
    SPARES = "spares"


class BenchWork(StrEnum):
    """What to do with a part that takes work: ask, or let it go where the shop's own workshop is in the basket."""

    ASK = "ask"
    IN_BASKET = "in_basket"


@dataclass(frozen=True)
class Policy:
    """What a shop decides for itself.

    Parameters
    ----------
    unknown : Unknown
    counts : Counts
    bench_work : BenchWork
    fits_at_least, does_not_fit_at_most : float or None
        Probabilities, inclusive; None takes the service's own.

    Raises
    ------
    InvalidQuantityError
        For probabilities that do not lie in order between 0 and 1.
    """

    unknown: Unknown = Unknown.STRICT
    counts: Counts = Counts.PAIR
    bench_work: BenchWork = BenchWork.ASK
    fits_at_least: float | None = None
    does_not_fit_at_most: float | None = None

    def __post_init__(self) -> None:
        low = 0.0 if self.does_not_fit_at_most is None else self.does_not_fit_at_most
        high = 1.0 if self.fits_at_least is None else self.fits_at_least
        if not 0 <= low < high <= 1:
            raise InvalidQuantityError((low, high), "two probabilities, the lower one for a no")


class Status(StrEnum):
    """What a line is to this service."""

    JUDGED = "judged"
    NOT_A_PART = "not_a_part"
    UNLISTED = "unlisted"
    WHOLE_SKATE = "whole_skate"
    WORKSHOP = "workshop"


@dataclass(frozen=True, eq=False)
class Lot:
    """Every line of one article for one skate, taken together.

    Parameters
    ----------
    key : str
        Sorts lots, whatever order their lines stand in.
    article : Article
    packs : int
        What the lines come to together, 1 or more.
    status : Status
    skate : int or None
        Which skate it is for; None where nobody said and there are several.
    is_paused : bool
        Whether what came back says that its row in the catalogue is wrong.

    Raises
    ------
    InvalidQuantityError
        For less than one pack.
    """

    key: str
    article: Article
    packs: int = 1
    status: Status = Status.JUDGED
    skate: int | None = None
    is_paused: bool = False

    def __post_init__(self) -> None:
        if self.packs < 1:
            raise InvalidQuantityError(self.packs, "1 pack or more")

    @property
    def pieces(self) -> int | None:
        """Give how many pieces it holds, None where nobody said how many a pack has."""
        units = self.article.pieces_per_pack
        return None if units is None else units * self.packs


class Fitted(NamedTuple):
    """A part that stands on the skate now.

    Parameters
    ----------
    article : Article
    pieces : int or None
        On the pair; None where nobody said.
    as_sold : bool
        Whether the skate came with it; else somebody said that it stands there instead.
    """

    article: Article
    pieces: int | None
    as_sold: bool


@dataclass(frozen=True, eq=False)
class Version:
    """One skate that may be meant.

    Parameters
    ----------
    skate : Article
    fitted : tuple of Fitted
    tallies : Mapping[str, Tally]
        What was told of parts on it, by SKU.
    mark : str
        What one sees that tells it from its namesakes.
    is_in_doubt : bool
        Whether what came back says that its row in the catalogue is wrong.
    """

    skate: Article
    fitted: tuple[Fitted, ...] = ()
    tallies: Mapping[str, Tally] = field(default_factory=dict)
    mark: str = ""
    is_in_doubt: bool = False


@dataclass(frozen=True, eq=False)
class Owned:
    """A customer's skate.

    Parameters
    ----------
    versions : tuple of Version
        The one, or all that its model's name may mean; at least one.
    eu_size : float or None
        Which size it is.
    foot_lengths_um : tuple of (float, float) or None
        Left and right.
    measured : frozenset of Spot
        What was measured on the one in hand.

    Raises
    ------
    InvalidQuantityError
        Without a version.
    """

    versions: tuple[Version, ...]
    eu_size: float | None = None
    foot_lengths_um: tuple[float, float] | None = None
    measured: frozenset[Spot] = frozenset()

    def __post_init__(self) -> None:
        if not self.versions:
            raise InvalidQuantityError(0, "1 version or more")


@dataclass(frozen=True, eq=False)
class Basket:
    """What is asked about.

    Parameters
    ----------
    skates : tuple of Owned
    lots : tuple of Lot
        One for each article and skate, in order of their keys.
    policy : Policy

    Raises
    ------
    InvalidQuantityError
        For a lot of a skate that there is not.
    """

    skates: tuple[Owned, ...]
    lots: tuple[Lot, ...]
    policy: Policy = field(default_factory=Policy)

    def __post_init__(self) -> None:
        for lot in self.lots:
            if lot.skate is not None and not 0 <= lot.skate < len(self.skates):
                raise InvalidQuantityError(lot.skate, f"one of {len(self.skates)} skates, counted from 0")
