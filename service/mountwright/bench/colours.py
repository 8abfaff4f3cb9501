"""How alike two colours look: CIEDE2000 between catalogue colours, in words that claim no more than a screen shows.

A catalogue's colour is a screen value, read off a photo. So the least difference is called the same and never
identical, and no word here says that two pieces match.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cache, lru_cache
from importlib import resources
from itertools import combinations
from types import MappingProxyType
from typing import Any, NamedTuple

from coloraide import Color

from mountwright.errors import InvalidQuantityError

#: Largest a* and b* either way; every colour of a screen lies well within.
FARTHEST = 128.0

#: Differences are told to two decimals: finer than anybody sees.
SHOWN_TO = 0.01

#: Decimals of a colour's figures: finer than any screen, and the same on every machine.
_DECIMALS = 4


class Likeness(StrEnum):
    """What a difference is called, the least first."""

    SAME = "same"
    CLOSE = "close"
    SIMILAR = "similar"
    OTHER = "other"


@dataclass(frozen=True, order=True)
class Lab:
    """A colour of CIELAB under the light D65 (CIE 15; IEC 61966-2-1 for screens).

    Parameters
    ----------
    lightness : float
        L*, 0 to 100, both inclusive.
    a, b : float
        a* and b*, -128 to 128, both inclusive.

    Raises
    ------
    InvalidQuantityError
        For figures beyond these.
    """

    lightness: float
    a: float
    b: float

    def __post_init__(self) -> None:
        if not 0 <= self.lightness <= 100:
            raise InvalidQuantityError(self.lightness, "a lightness from 0 to 100")
        for value in (self.a, self.b):
            if not -FARTHEST <= value <= FARTHEST:
                raise InvalidQuantityError(value, f"a figure from -{FARTHEST:g} to {FARTHEST:g}")


class Edge(NamedTuple):
    """Where a likeness ends.

    Parameters
    ----------
    below : float
        A CIEDE2000 difference, exclusive.
    low, high : float
        Between which it may as well be drawn.
    standing : str
        ``estimate`` or ``common practice``.
    """

    below: float
    low: float
    high: float
    standing: str


class Pair(NamedTuple):
    """Two colours by their places in a list, the smaller first, and how they differ."""

    one: int
    other: int
    difference: float
    likeness: Likeness


class Together(NamedTuple):
    """How a list of colours goes together: by its most different pair, the first of several.

    Parameters
    ----------
    pairs : tuple of Pair
        All of the colours that are known, in the order of their places.
    farthest : Pair or None
        None where fewer than two are known.
    unknown : tuple of int
        Places without a colour.
    """

    pairs: tuple[Pair, ...]
    farthest: Pair | None
    unknown: tuple[int, ...]

    @property
    def likeness(self) -> Likeness | None:
        """Give what the whole list is called; None where a colour that is not known may make it worse."""
        if self.farthest is None:
            return None
        is_settled = not self.unknown or self.farthest.likeness is Likeness.OTHER
        return self.farthest.likeness if is_settled else None


@cache
def edges() -> Mapping[Likeness, Edge]:
    """Give where each likeness ends, in order; the last one has no end."""
    rows = tomllib.loads(resources.files(__package__).joinpath("colour_bands.toml").read_text(encoding="utf-8"))
    ending = [likeness for likeness in Likeness if likeness is not Likeness.OTHER]
    return MappingProxyType({likeness: _edge(rows[f"{likeness}_below"]) for likeness in ending})


def _edge(row: Mapping[str, Any]) -> Edge:
    low, high = row["range"]
    return Edge(row["likely"], low, high, row["standing"])


def likeness_of(difference: float) -> Likeness:
    """Give what a difference of CIEDE2000, 0 or more, is called."""
    return next((likeness for likeness, edge in edges().items() if difference < edge.below), Likeness.OTHER)


@lru_cache(maxsize=4096)
def lab_of(srgb: str) -> Lab:
    """Give the colour of a screen value, to four decimals.

    Parameters
    ----------
    srgb : str
        ``#rrggbb``, as of IEC 61966-2-1.

    Raises
    ------
    InvalidQuantityError
        For any other text.
    """
    try:
        found = Color(srgb).convert("lab-d65").coords(nans=False)
    except ValueError as error:
        raise InvalidQuantityError(srgb, "a colour as #rrggbb") from error
    # Nought has no sign here.
    return Lab(*(round(figure, _DECIMALS) + 0.0 for figure in found))


def shown(difference: float) -> float:
    """Give a difference as it is shown, sorted and named: to the nearest multiple of :data:`SHOWN_TO`."""
    return round(difference, 2)


def differences_from(wanted: Lab, others: Sequence[Lab]) -> list[float]:
    """Give the difference of each of some colours from one, CIEDE2000 (Sharma, Wu and Dalal 2005), all weights 1."""
    reference = _color(wanted)
    return [float(reference.delta_e(_color(other), method="2000")) for other in others]


def together(colours: Sequence[Lab | None]) -> Together:
    """Give how some colours, of which some may not be known, go together.

    Every pair is compared and the farthest decides. Which different colours please beside each other is taste, and
    nothing is said of it.
    """
    known = [(place, colour) for place, colour in enumerate(colours) if colour is not None]
    pairs = tuple(_pair(*each) for each in combinations(known, 2))
    farthest = max(pairs, key=lambda pair: pair.difference, default=None)
    return Together(pairs, farthest, tuple(place for place, colour in enumerate(colours) if colour is None))


def _pair(one: tuple[int, Lab], other: tuple[int, Lab]) -> Pair:
    difference = shown(*differences_from(one[1], [other[1]]))
    return Pair(one[0], other[0], difference, likeness_of(difference))


def _color(lab: Lab) -> Color:
    return Color("lab-d65", [lab.lightness, lab.a, lab.b])
