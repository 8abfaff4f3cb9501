"""An ID-1 card's corners from points on its edges: it is 85.60 x 53.98 mm (ISO/IEC 7810) and its corners are round.

A line goes through the points of each edge, by least squares of their distances where there are more than two; each
corner is the crossing of two lines. Neighbouring corners share an edge, so that their doubts go together.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from mountwright.errors import InvalidQuantityError
from mountwright.measure.propagation import Floats, jacobian, propagated

#: Length and width of an ID-1 card, mm (ISO/IEC 7810).
LONG_MM, SHORT_MM = 85.60, 53.98

#: The edges in their order around the card; each meets the one before it in its first corner.
EDGES = ("top", "right", "bottom", "left")

#: How far a point is moved to see what that does, pixels.
STEP_PX = 0.01


class Pixel(NamedTuple):
    """A point of the picture: to the right and down from its upper left corner, pixels."""

    x: float
    y: float


@dataclass(frozen=True)
class CardEdges:
    """Points that were clicked on the four edges, away from the round corners.

    Parameters
    ----------
    points : tuple of tuple of Pixel
        By edge, in the order of ``EDGES``; two or more on each.
    standard_uncertainty_px : float
        Of a click, along each axis, above 0.

    Raises
    ------
    InvalidQuantityError
        For another number of edges, an edge with fewer points, or a click without doubt.
    """

    points: tuple[tuple[Pixel, ...], ...]
    standard_uncertainty_px: float

    def __post_init__(self) -> None:
        counts = [len(edge) for edge in self.points]
        if len(counts) != len(EDGES) or min(counts) < 2:
            raise InvalidQuantityError(counts, "two points or more on each of four edges")
        if not self.standard_uncertainty_px > 0:
            raise InvalidQuantityError(self.standard_uncertainty_px, "a click's doubt above 0")


class Corners(NamedTuple):
    """The card's corners: top left, top right, bottom right, bottom left, as its edges are named.

    Parameters
    ----------
    points : array of float
        Pixels, of shape (..., 4, 2).
    covariance : array of float
        Of their eight coordinates, of shape (..., 8, 8).
    """

    points: Floats
    covariance: Floats


def lines(points: Floats) -> Floats:
    """Give the line ``a x + b y + c = 0`` with the least sum of squared distances, ``a^2 + b^2 = 1``, (..., 3).

    Parameters
    ----------
    points : array of float
        Of shape (..., n, 2), not all in one place.
    """
    middle = points.mean(axis=-2)
    away = points - middle[..., None, :]
    along, across = (away**2).sum(axis=-2)[..., 0], (away**2).sum(axis=-2)[..., 1]
    turn = 0.5 * np.arctan2(2 * away.prod(axis=-1).sum(axis=-1), along - across)
    normal = np.stack([-np.sin(turn), np.cos(turn)], axis=-1)
    return np.concatenate([normal, -(normal * middle).sum(axis=-1, keepdims=True)], axis=-1)


def crossings(edges: Sequence[Floats]) -> Floats:
    """Give the four corners, of shape (..., 4, 2); neighbouring edges must not be parallel.

    Parameters
    ----------
    edges : sequence of array
        By edge, each of shape (..., n, 2); n may differ.
    """
    met = _meetings(edges)
    return met[..., :2] / met[..., 2:]


def corner_sines(edges: Sequence[Floats]) -> Floats:
    """Give the sine of the angle, 0 to 1, at which the edges meet at each corner, of shape (..., 4).

    Parameters
    ----------
    edges : sequence of array
        As for :func:`crossings`; parallel ones meet at 0.
    """
    return np.abs(_meetings(edges)[..., 2])


def _meetings(edges: Sequence[Floats]) -> Floats:
    fitted = np.stack([lines(edge) for edge in edges], axis=-2)
    return np.cross(np.roll(fitted, 1, axis=-2), fitted)


def fitted_corners(edges: Sequence[Floats], standard_uncertainty_px: float) -> Corners:
    """Give the corners with the doubt that the clicks leave.

    Parameters
    ----------
    edges : sequence of array
        As for :func:`crossings`, neighbours not parallel.
    standard_uncertainty_px : float
        Of a click, along each axis.
    """
    ends = np.cumsum([edge.shape[-2] for edge in edges])[:-1]

    def corners(clicks: Floats) -> Floats:
        by_edge = np.split(clicks.reshape(*clicks.shape[:-1], -1, 2), ends, axis=-2)
        return crossings(by_edge).reshape(*clicks.shape[:-1], 8)

    together = np.concatenate(edges, axis=-2)
    clicks = together.reshape(*together.shape[:-2], -1)
    slopes = jacobian(corners, clicks, np.full(clicks.shape[-1], STEP_PX))
    return Corners(crossings(edges), propagated(slopes, standard_uncertainty_px**2 * np.eye(clicks.shape[-1])))


def squared_residuals(edge: Floats) -> float:
    """Give the sum of the squared distances of an edge's points from its line, square pixels; 0 for two points.

    Parameters
    ----------
    edge : array of float
        Of shape (n, 2).
    """
    line = lines(edge)
    return float(((edge @ line[:2] + line[2]) ** 2).sum()) if len(edge) > 2 else 0.0
