"""Where the millimetres of a scene come to lie in the picture."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

from mountwright.drawing.scene import DrawnDeck, DrawnWheel, WheelLineScene
from mountwright.drawing.svg import Point

#: A boot stands on the deck over so much either way, at most.
_HALF_PAD_MM = 30.0
#: Of the distance between both places, at most.
_HALF_PAD_SHARE = 0.3
#: A scale has so many decimals: what is measured in the picture comes out as it was.
_SCALE_DECIMALS = 6


class Spot(NamedTuple):
    """A place in the plane of the picture, millimetres: along the skate, and above the ground."""

    along_mm: float
    height_mm: float


class Frame(NamedTuple):
    """What has to be seen, millimetres."""

    front_mm: float
    rear_mm: float
    top_mm: float
    bottom_mm: float


class View(NamedTuple):
    """A scale, units for a millimetre, and where the place along 0 on the ground lies.

    The front is on the left.
    """

    scale: float
    origin: Point

    def at(self, spot: Spot) -> Point:
        """Give where a place lies in the picture."""
        return Point(self.origin.x - spot.along_mm * self.scale, self.origin.y - spot.height_mm * self.scale)


def axle(wheel: DrawnWheel, gap_factor: float) -> Spot:
    """Give where an axle is drawn: a wheel that hangs stands higher by its gap, as often as that is stretched."""
    return Spot(wheel.along_mm, wheel.diameter_mm / 2 + wheel.gap_mm * gap_factor)


def over_deck(deck: DrawnDeck, along_mm: float, up_mm: float) -> Spot:
    """Give a place that is given from the deck under the front of the sole."""
    return Spot(along_mm, deck.height_mm + up_mm + along_mm * math.tan(math.radians(deck.pitch_deg)))


def half_pad_mm(deck: DrawnDeck) -> float:
    """Give how far the places on which the boot stands reach either way."""
    return min(_HALF_PAD_MM, _HALF_PAD_SHARE * (deck.front_along_mm - deck.rear_along_mm))


def deck_line(deck: DrawnDeck) -> tuple[Spot, ...]:
    """Give the deck from the front: a place for the toe, the step, and a place for the heel."""
    half, step = half_pad_mm(deck), deck.heel_step_mm
    return (
        over_deck(deck, deck.front_along_mm + half, 0),
        over_deck(deck, deck.front_along_mm - half, 0),
        over_deck(deck, deck.rear_along_mm + half, step),
        over_deck(deck, deck.rear_along_mm - half, step),
    )


def blocks(deck: DrawnDeck) -> tuple[tuple[Spot, ...], ...]:
    """Give the corners of each mounting block that there is."""
    half = half_pad_mm(deck)
    ends = (
        (deck.front_along_mm, 0.0, deck.front_block_mm),
        (deck.rear_along_mm, deck.heel_step_mm, deck.rear_block_mm),
    )
    return tuple(
        tuple(
            over_deck(deck, along + side * half, foot + rise)
            for side, rise in ((1, 0.0), (1, tall), (-1, tall), (-1, 0.0))
        )
        for along, foot, tall in ends
        if tall > 0
    )


def sole_line(deck: DrawnDeck) -> tuple[Spot, ...]:
    """Give the sole's underside; none where nobody gave it."""
    return tuple(over_deck(deck, along, -down) for along, down in deck.sole)


def deck_top(deck: DrawnDeck, along_mm: float) -> Spot:
    """Give the place of the deck at a place along, that of its nearer end beyond it."""
    front, toe, heel, rear = deck_line(deck)
    if along_mm >= toe.along_mm:
        return Spot(along_mm, toe.height_mm if along_mm <= front.along_mm else front.height_mm)
    if along_mm <= heel.along_mm:
        return Spot(along_mm, heel.height_mm if along_mm >= rear.along_mm else rear.height_mm)
    share = (along_mm - heel.along_mm) / (toe.along_mm - heel.along_mm)
    return Spot(along_mm, heel.height_mm + share * (toe.height_mm - heel.height_mm))


def frame_of(scene: WheelLineScene, gap_factor: float) -> Frame:
    """Give what has to be seen of a scene."""
    spots = list(_spots(scene, gap_factor))
    alongs, heights = [spot.along_mm for spot in spots], [spot.height_mm for spot in spots]
    return Frame(max(alongs), min(alongs), max(heights), min(0.0, *heights))


def _spots(scene: WheelLineScene, gap_factor: float) -> Iterator[Spot]:
    for wheel in scene.wheels:
        centre, radius = axle(wheel, gap_factor), wheel.diameter_mm / 2
        yield Spot(centre.along_mm + radius, centre.height_mm + radius)
        yield Spot(centre.along_mm - radius, centre.height_mm - radius)
    if scene.deck is not None:
        yield from deck_line(scene.deck)
        yield from sole_line(scene.deck)
        yield from (corner for block in blocks(scene.deck) for corner in block)
    for along in (scene.load_along_mm, *(scene.effective_mm or ())):
        if along is not None:
            yield Spot(along, 0)


def viewed(frame: Frame, left: float, right: float, top: float, tallest: float, largest_scale: float) -> View:
    """Give the largest scale that shows a frame between two sides and within a height, its middle in the middle.

    Parameters
    ----------
    frame : Frame
    left, right, top : float
        Where it lies in the picture, units.
    tallest : float
        The height that it may take, units.
    largest_scale : float
        Units for a millimetre.
    """
    wide, tall = frame.front_mm - frame.rear_mm, frame.top_mm - frame.bottom_mm
    fine = 10**_SCALE_DECIMALS
    scale = math.floor(min((right - left) / wide, tallest / tall, largest_scale) * fine) / fine
    middle = (frame.front_mm + frame.rear_mm) / 2
    return View(scale, Point((left + right) / 2 + middle * scale, top + frame.top_mm * scale))
