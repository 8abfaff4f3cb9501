"""What a line, a part that stands on the skate, or the skate itself is, as a shop knows it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any, NamedTuple

from mountwright.errors import InvalidSpecError
from mountwright.measure.quantity import thousandths
from mountwright.mounts.mount import Part


class Hand(StrEnum):
    """Which of the two skates something belongs to."""

    LEFT = "left"
    RIGHT = "right"


class SizeRun(NamedTuple):
    """A run of EU sizes, both ends inclusive; an end that is None is open."""

    low: float | None = None
    high: float | None = None


#: Of what says nothing of sizes.
ANY_SIZE = SizeRun()


class Price(NamedTuple):
    """What one pack costs, in the currency's minor unit (ISO 4217)."""

    minor: int
    currency: str


#: What is sold as one of these holds so many pieces; a set says for itself.
_PIECES = {"piece": 1, "pair": 2}


@dataclass(frozen=True, eq=False)
class Article:
    """A skate or a part. Two articles are the same only if they are one.

    Parameters
    ----------
    kind : str
        One of :func:`mountwright.mounts.kinds.kinds`.
    part : Part
        Its mounts, none at all where nobody gave any.
    sku, name : str
        Empty where it has none.
    specs : Mapping[str, Any]
        Its figures by name, the unit in the name, as the catalogue keeps them.
    sizes : SizeRun
    hand : Hand or None
        None for what goes on either skate, or comes as a pair.
    units_per_pack : int or None
        Pieces in what is sold as one, 1 or more; None where nobody said.
    sold_as : str
        ``piece``, ``pair``, ``set`` or empty.
    colour, colour_srgb : str
    price : Price or None

    Raises
    ------
    InvalidSpecError
        For a pack of less than one piece.
    """

    kind: str
    part: Part
    sku: str = ""
    name: str = ""
    specs: Mapping[str, Any] = field(default_factory=dict)
    sizes: SizeRun = ANY_SIZE
    hand: Hand | None = None
    units_per_pack: int | None = None
    sold_as: str = ""
    colour: str = ""
    colour_srgb: str = ""
    price: Price | None = None

    def __post_init__(self) -> None:
        if self.units_per_pack is not None and self.units_per_pack < 1:
            raise InvalidSpecError("units_per_pack", str(self.units_per_pack), "1 or more")

    @property
    def pieces_per_pack(self) -> int | None:
        """Give how many pieces are sold as one, None where nobody said."""
        return self.units_per_pack or _PIECES.get(self.sold_as)

    def figure_um(self, name: str) -> int | None:
        """Give a length among its figures in whole micrometres, None where nobody gave it."""
        value = self.specs.get(name)
        return None if value is None else thousandths(value)
