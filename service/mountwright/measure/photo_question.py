"""What is asked about a photo: an ID-1 card's edges and marks, as pixels; the picture itself is never sent."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

from mountwright.errors import InvalidQuantityError
from mountwright.measure.card_edges import CardEdges, Pixel


class Heel(StrEnum):
    """How the two platforms of a boot lie."""

    RAISED = "raised"
    LEVEL = "level"


class Known(NamedTuple):
    """A figure with its standard uncertainty, both in the unit that its name ends in."""

    value: float
    standard_uncertainty: float


@dataclass(frozen=True)
class Mark:
    """The centre of a hole, as somebody marked it.

    Parameters
    ----------
    name : str
    at : Pixel
    standard_uncertainty_px : float
        Along each axis, above 0.
    height_mm : Known or None
        Above the card's plane, toward the camera positive; None where nobody told.

    Raises
    ------
    InvalidQuantityError
        For a mark without doubt.
    """

    name: str
    at: Pixel
    standard_uncertainty_px: float
    height_mm: Known | None = None

    def __post_init__(self) -> None:
        if not self.standard_uncertainty_px > 0:
            raise InvalidQuantityError(self.standard_uncertainty_px, "a click's doubt above 0")


@dataclass(frozen=True)
class Photo:
    """What is told of one picture.

    What its clicks have against them, :func:`mountwright.measure.photo_faults.photo_faults` tells.

    Parameters
    ----------
    width_px, height_px : int
        Of the whole picture, above 0.
    focal_px : Known
        Focal length, above 0.
    card : CardEdges
    marks : tuple of Mark
        Two or more, each with a name of its own.
    pairs : tuple of (str, str)
        Which lengths are wanted, by the names of marks; all of them where it is empty.
    heel : Heel or None
        What is known of the platforms that the holes are in.

    Raises
    ------
    InvalidQuantityError
        For a picture or a focal length of nothing, marks that are not told apart, or a pair of others than two of them.
    """

    width_px: int
    height_px: int
    focal_px: Known
    card: CardEdges
    marks: tuple[Mark, ...]
    pairs: tuple[tuple[str, str], ...] = ()
    heel: Heel | None = None

    def __post_init__(self) -> None:
        if not (self.width_px > 0 and self.height_px > 0 and self.focal_px.value > 0):
            found = (self.width_px, self.height_px, self.focal_px.value)
            raise InvalidQuantityError(found, "a picture's size and a focal length above 0")
        names = {mark.name for mark in self.marks}
        if not 2 <= len(names) == len(self.marks):
            raise InvalidQuantityError([mark.name for mark in self.marks], "two marks or more, each with its own name")
        for pair in self.pairs:
            if pair[0] == pair[1] or not names.issuperset(pair):
                raise InvalidQuantityError(pair, f"two of {sorted(names)}")

    @property
    def wanted(self) -> tuple[tuple[int, int], ...]:
        """Give the pairs of marks whose length is wanted, by their places in the list of marks."""
        places = {mark.name: place for place, mark in enumerate(self.marks)}
        if self.pairs:
            return tuple((places[first], places[second]) for first, second in self.pairs)
        return tuple((first, second) for second in range(len(self.marks)) for first in range(second))
