"""A wheel line as it is drawn: plain figures, checked, in the plane of the picture.

Lengths are millimetres. Along the skate, forward is positive, from midway between the frame bolts. Wheels run from the
front, and are counted from 0.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from typing import NamedTuple

from mountwright.errors import InvalidQuantityError

#: Beyond these nothing is a skate, and a picture would show nothing.
_FARTHEST_MM, _LARGEST_MM, _MOST_N, _MOST_WHEELS, _STEEPEST_DEG = 3000.0, 1000.0, 1e6, 16, 30.0
_FLATTEST_MM = 1e15


class DrawnWheel(NamedTuple):
    """A wheel where it stands.

    Parameters
    ----------
    along_mm : float
        Of its axle.
    diameter_mm : float
        Above 0.
    gap_mm : float
        Between the wheel and the ground, as the skate stands; 0 where it touches.
    load_n : float or None
        What it carries, 0 or more; None where nobody knows.
    """

    along_mm: float
    diameter_mm: float
    gap_mm: float = 0.0
    load_n: float | None = None


class DrawnDeck(NamedTuple):
    """What stands above the wheels.

    Parameters
    ----------
    height_mm : float
        Of the deck under the front of the sole above the ground, midway between the bolts if the skate is pitched.
    front_along_mm, rear_along_mm : float
        The middles of the places where the boot stands on the deck; the front one is ahead.
    heel_step_mm : float
        How much higher the rear place is than the front one.
    front_block_mm, rear_block_mm : float
        Height of the mounting blocks, 0 for none.
    sole : tuple of (float, float)
        The sole's underside: along, and down from the deck under the front of the sole. Two places at least, or none.
    pitch_deg : float
        How far the toe is up.
    """

    height_mm: float
    front_along_mm: float
    rear_along_mm: float
    heel_step_mm: float = 0.0
    front_block_mm: float = 0.0
    rear_block_mm: float = 0.0
    sole: tuple[tuple[float, float], ...] = ()
    pitch_deg: float = 0.0


class Against(StrEnum):
    """What a wheel has no room against."""

    WHEEL = "wheels"
    SOLE = "sole"
    FRAME = "frame"
    BOLT = "bolt"
    BLOCK = "block"


class Clash(NamedTuple):
    """A wheel that has no room.

    Parameters
    ----------
    against : Against
    wheel : int
    gap_mm : float
        What is between them; below 0 where they overlap.
    other : int or None
        The other wheel, further back; None against anything else.
    """

    against: Against
    wheel: int
    gap_mm: float
    other: int | None = None


@dataclass(frozen=True)
class WheelLineScene:
    """Everything that is seen of a wheel line.

    Parameters
    ----------
    wheels : tuple of DrawnWheel
        1 to 16, each behind the last; one at least touches the ground.
    deck : DrawnDeck or None
        None where nobody knows it.
    load_along_mm, load_n : float or None
        Where the load stands, and how large it is.
    effective_mm : (float, float) or None
        The places along between which the skate stands: the front one, and the rear one.
    rocker_mm : float or None
        Below 0 where the inner wheels hang.
    rocker_radius_mm : float or None
        0 or more; None where there is no rocker.
    clashes : tuple of Clash
    name : str
        Any text; empty for none.
    notes : tuple of str
        Sentences to stand under the picture.

    Raises
    ------
    InvalidQuantityError
        For what is not finite, out of order, or out of these bounds.
    """

    wheels: tuple[DrawnWheel, ...]
    deck: DrawnDeck | None = None
    load_along_mm: float | None = None
    load_n: float | None = None
    effective_mm: tuple[float, float] | None = None
    rocker_mm: float | None = None
    rocker_radius_mm: float | None = None
    clashes: tuple[Clash, ...] = ()
    name: str = ""
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        _check_wheels(self.wheels)
        if self.deck is not None:
            _check_deck(self.deck)
        _within((self.load_along_mm, *(self.effective_mm or ())), -_FARTHEST_MM, _FARTHEST_MM, "a place along")
        _within((self.load_n,), 0, _MOST_N, "a load")
        _within((self.rocker_mm,), -_LARGEST_MM, _LARGEST_MM, "a rocker")
        _within((self.rocker_radius_mm,), 0, _FLATTEST_MM, "a radius")
        if self.effective_mm is not None and self.effective_mm[0] < self.effective_mm[1]:
            raise InvalidQuantityError(self.effective_mm, "the front end, then the rear one")
        for clash in self.clashes:
            _check_clash(clash, len(self.wheels))

    @property
    def wheelbase_mm(self) -> float:
        """Give the distance along between the outer axles."""
        return self.wheels[0].along_mm - self.wheels[-1].along_mm


def _check_wheels(wheels: tuple[DrawnWheel, ...]) -> None:
    if not 1 <= len(wheels) <= _MOST_WHEELS:
        raise InvalidQuantityError(len(wheels), f"1 to {_MOST_WHEELS} wheels")
    _within((wheel.along_mm for wheel in wheels), -_FARTHEST_MM, _FARTHEST_MM, "an axle")
    _within((wheel.diameter_mm for wheel in wheels), 1, _LARGEST_MM, "a diameter")
    _within((wheel.gap_mm for wheel in wheels), 0, _LARGEST_MM, "a gap")
    _within((wheel.load_n for wheel in wheels), 0, _MOST_N, "a load")
    if any(front.along_mm <= rear.along_mm for front, rear in pairwise(wheels)):
        raise InvalidQuantityError([wheel.along_mm for wheel in wheels], "wheels from the front, each behind the last")
    if min(wheel.gap_mm for wheel in wheels) > 0:
        raise InvalidQuantityError([wheel.gap_mm for wheel in wheels], "a wheel that touches the ground")


def _check_deck(deck: DrawnDeck) -> None:
    alongs = (deck.front_along_mm, deck.rear_along_mm, *(along for along, _ in deck.sole))
    _within(alongs, -_FARTHEST_MM, _FARTHEST_MM, "a place along")
    _within((deck.height_mm, deck.heel_step_mm), -_LARGEST_MM, _LARGEST_MM, "a height")
    _within((deck.front_block_mm, deck.rear_block_mm), 0, _LARGEST_MM, "a block")
    _within((down for _, down in deck.sole), -_LARGEST_MM, _LARGEST_MM, "a place below the deck")
    _within((deck.pitch_deg,), -_STEEPEST_DEG, _STEEPEST_DEG, "a pitch")
    if deck.front_along_mm <= deck.rear_along_mm:
        raise InvalidQuantityError((deck.front_along_mm, deck.rear_along_mm), "a front place ahead of the rear one")
    if len(deck.sole) == 1:
        raise InvalidQuantityError(deck.sole, "2 places of an outline at least, or none")


def _check_clash(clash: Clash, wheels: int) -> None:
    if (clash.other is not None) != (clash.against is Against.WHEEL):
        raise InvalidQuantityError(clash, "another wheel against a wheel, and against nothing else")
    last = wheels - 1 if clash.other is None else clash.other
    if not (0 <= clash.wheel <= last < wheels and clash.wheel != clash.other):
        raise InvalidQuantityError(clash, f"wheels within 0 and {wheels - 1}, the front one first")
    _within((clash.gap_mm,), -_LARGEST_MM, _LARGEST_MM, "a gap")


def _within(values: Iterable[float | None], low: float, high: float, what: str) -> None:
    for value in values:
        if value is not None and not (math.isfinite(value) and low <= value <= high):
            raise InvalidQuantityError(value, f"{what} within {low:g} and {high:g}, both inclusive")
