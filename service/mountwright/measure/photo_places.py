"""Where marks of a picture lie on the card's plane, and how far that is in doubt, by what the doubt comes from.

Leading axes of all arrays go through, so that many pictures are placed at once.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from mountwright.measure.card_edges import STEP_PX, Corners
from mountwright.measure.homography import camera, dropped, homography, on_plane, pose
from mountwright.measure.propagation import Floats, jacobian, propagated

#: How far a height is moved to see what that does, mm, and the focal length, as a share of it.
_STEP_MM, STEP_SHARE = 0.01, 1e-4

#: What the doubt comes from, in the order of the inputs.
SOURCES = ("card", "marks", "heights", "focal_length")


class Clicks(NamedTuple):
    """What was clicked and told of one picture or, with leading axes, of many.

    Parameters
    ----------
    corners : Corners
    marks : array of float
        Pixels, of shape (..., n, 2).
    heights : array of float
        Above the card's plane toward the camera, mm, of shape (..., n).
    focal_px : array of float
        Of shape (...,).
    """

    corners: Corners
    marks: Floats
    heights: Floats
    focal_px: Floats


class Doubts(NamedTuple):
    """Standard uncertainties of what was clicked and told, the same for all pictures.

    Parameters
    ----------
    marks_px : array of float
        Along each axis, of shape (n,).
    heights_mm : array of float
        Of shape (n,).
    focal_px : float
    """

    marks_px: Floats
    heights_mm: Floats
    focal_px: float


class Places(NamedTuple):
    """Where the marks lie.

    Parameters
    ----------
    points : array of float
        On the card's plane, mm, of shape (..., n, 2).
    covariance : Mapping[str, array of float]
        Of their coordinates, by what it comes from, each of shape (..., 2 n, 2 n); their sum is the whole of it.
    """

    points: Floats
    covariance: Mapping[str, Floats]


class Length(NamedTuple):
    """How far two marks are apart along the card's plane.

    Parameters
    ----------
    length_mm : array of float
        Of shape (...,).
    variances : Mapping[str, array of float]
        By what they come from, mm^2.
    """

    length_mm: Floats
    variances: Mapping[str, Floats]

    @property
    def standard_uncertainty_mm(self) -> Floats:
        """Give the standard uncertainty, of shape (...,)."""
        return np.sqrt(sum(self.variances.values(), np.zeros(())))


@dataclass(frozen=True)
class Placing:
    """What all pictures that are placed at once have in common.

    Parameters
    ----------
    card_mm : (float, float)
        Of the card, along its edges called top and left.
    centre_px : (float, float)
        Of the picture.
    """

    card_mm: tuple[float, float]
    centre_px: tuple[float, float]

    def places(self, clicks: Clicks, doubts: Doubts) -> Places:
        """Give where the marks lie, with the doubt ``J S J^T``."""
        inputs, ends = _in_one(clicks)

        def placed(values: Floats) -> Floats:
            points = self._points(np.split(values, ends, axis=-1))
            return points.reshape(*points.shape[:-2], -1)

        slopes = np.split(jacobian(placed, inputs, _steps(clicks)), ends, axis=-1)
        given = [
            clicks.corners.covariance,
            np.diag(np.repeat(doubts.marks_px, 2) ** 2),
            np.diag(doubts.heights_mm**2),
            np.array([[doubts.focal_px**2]]),
        ]
        spread = [propagated(*each) for each in zip(slopes, given, strict=True)]
        return Places(placed(inputs).reshape(clicks.marks.shape), dict(zip(SOURCES, spread, strict=True)))

    def _points(self, inputs: list[Floats]) -> Floats:
        corners, marks, heights, focal_px = inputs
        matrix = homography(_pairs(corners), self.card_mm)
        points, _ = on_plane(matrix, _pairs(marks))
        return dropped(points, heights, camera(pose(matrix, focal_px[..., 0], self.centre_px)))


def _pairs(flat: Floats) -> Floats:
    return flat.reshape(*flat.shape[:-1], -1, 2)


def _in_one(clicks: Clicks) -> tuple[Floats, Floats]:
    """Give all inputs as one vector, and where in it the second, third and fourth kind begin."""
    points, leading = clicks.corners.points, clicks.heights.shape[:-1]
    kinds = (
        points.reshape(*leading, -1),
        clicks.marks.reshape(*leading, -1),
        clicks.heights,
        clicks.focal_px[..., None],
    )
    return np.concatenate(kinds, axis=-1), np.cumsum([kind.shape[-1] for kind in kinds[:-1]])


def _steps(clicks: Clicks) -> Floats:
    count = clicks.heights.shape[-1]
    of_focal = float(np.max(clicks.focal_px)) * STEP_SHARE
    return np.array([STEP_PX] * (8 + 2 * count) + [_STEP_MM] * count + [of_focal])


def length_between(places: Places, first: int, second: int) -> Length:
    """Give the length from one mark to another with its doubt along that direction, which is NaN if both are one place.

    Parameters
    ----------
    places : Places
    first, second : int
        Which marks.
    """
    apart = places.points[..., second, :] - places.points[..., first, :]
    length = np.linalg.norm(apart, axis=-1)
    with np.errstate(invalid="ignore"):
        along = apart / length[..., None]
    slopes = np.concatenate([-along, along], axis=-1)[..., None, :]
    touched = [2 * first, 2 * first + 1, 2 * second, 2 * second + 1]
    variances = {
        name: propagated(slopes, spread[..., touched, :][..., touched])[..., 0, 0]
        for name, spread in places.covariance.items()
    }
    return Length(length, variances)
