"""What of a photo's clicks cannot be: each fault with its place, so that all are told at once."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple, TypeAlias

import numpy as np

from mountwright.measure.card_edges import EDGES, CardEdges, Pixel, corner_sines, crossings, squared_residuals
from mountwright.measure.photo_limits import photo_limits
from mountwright.measure.photo_question import Photo
from mountwright.measure.propagation import Floats
from mountwright.measure.updating import is_contradicted

#: Names and places in lists, from the photo down.
Place: TypeAlias = tuple[str | int, ...]


class PhotoFault(NamedTuple):
    """One fault.

    Parameters
    ----------
    place : tuple of (str or int)
        What is at fault: ``card``, an edge of it, a point of that, or a mark.
    code : str
        Of a message.
    params : Mapping[str, str or float]
    """

    place: Place
    code: str
    params: Mapping[str, str | float]


def photo_faults(photo: Photo) -> tuple[PhotoFault, ...]:
    """Give every fault of a photo; one that has none can be measured or refused, and nothing else."""
    points = {**edge_places(photo.card.points), **mark_places(mark.at for mark in photo.marks)}
    return (*points_outside(points, photo.width_px, photo.height_px), *card_faults(photo.card))


def edge_places(edges: Sequence[Sequence[Pixel]]) -> dict[Place, Pixel]:
    """Give the points of a card's edges by their places."""
    return {
        ("card", name, index): point
        for name, edge in zip(EDGES, edges, strict=True)
        for index, point in enumerate(edge)
    }


def mark_places(marks: Iterable[Pixel]) -> dict[Place, Pixel]:
    """Give marks by their places."""
    return {("marks", index): at for index, at in enumerate(marks)}


def points_outside(points: Mapping[Place, Pixel], width_px: int, height_px: int) -> Iterator[PhotoFault]:
    """Give the coordinates that lie outside a picture; its rim is within."""
    for place, point in points.items():
        for axis, found, most in (("x_px", point.x, width_px), ("y_px", point.y, height_px)):
            if not 0 <= found <= most:
                yield PhotoFault((*place, axis), "photo.outside", {"found": found, "most": most})


def card_faults(card: CardEdges) -> tuple[PhotoFault, ...]:
    """Give what speaks against a card's edges; how they cross is looked at only where each is a line."""
    edges = [np.array(edge) for edge in card.points]
    found = tuple(
        fault
        for name, edge in zip(EDGES, edges, strict=True)
        for fault in _edge_faults(("card", name), edge, card.standard_uncertainty_px)
    )
    return found or tuple(_outline_faults(edges))


def _edge_faults(place: Place, edge: Floats, standard_uncertainty_px: float) -> Iterator[PhotoFault]:
    spread = float(np.linalg.norm(edge[:, None] - edge, axis=-1).max())
    least = photo_limits().least_spread_in_clicks * standard_uncertainty_px
    squares = squared_residuals(edge)
    if spread < least:
        yield PhotoFault(place, "photo.points_together", {"found": spread, "least": least})
    elif is_contradicted(squares / standard_uncertainty_px**2, len(edge) - 2):
        off = float(np.sqrt(squares / (len(edge) - 2)))
        yield PhotoFault(place, "photo.points_off_line", {"off": off, "expected": standard_uncertainty_px})


def _outline_faults(edges: Sequence[Floats]) -> Iterator[PhotoFault]:
    flattest = math.sin(math.radians(photo_limits().flattest_corner_deg))
    if corner_sines(edges).min() < flattest or not _is_convex(corners := crossings(edges)):
        yield PhotoFault(("card",), "photo.edges_do_not_close", {})
        return
    sides = np.roll(corners, -1, axis=0) - corners
    for name, edge, corner, side in zip(EDGES, edges, corners, sides, strict=True):
        along = (edge - corner) @ side / (side @ side)
        slack = photo_limits().outside_share
        if not (-slack <= along.min() and along.max() <= 1 + slack):
            yield PhotoFault(("card", name), "photo.points_beyond_corners", {})
    shortest, least = float(np.linalg.norm(sides, axis=1).min()), photo_limits().least_card_side_px
    if shortest < least:
        yield PhotoFault(("card",), "photo.card_small", {"found": shortest, "least": least})


def _is_convex(corners: Floats) -> bool:
    """Tell whether four corners lie around an outline that turns one way only."""
    ahead = np.roll(corners, -1, axis=0) - corners
    behind = np.roll(ahead, 1, axis=0)
    turns = np.sign(behind[:, 0] * ahead[:, 1] - behind[:, 1] * ahead[:, 0])
    return bool(abs(turns.sum()) == len(corners))
