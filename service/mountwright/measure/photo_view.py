"""How the card's plane lies before the camera, and whether what was clicked can be an ID-1 card at all."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from mountwright.measure.card_edges import LONG_MM, SHORT_MM, STEP_PX, Corners, fitted_corners, squared_residuals
from mountwright.measure.homography import camera, homography, on_plane, pose, skew
from mountwright.measure.photo_answer import CardSeen
from mountwright.measure.photo_places import STEP_SHARE
from mountwright.measure.photo_question import Photo
from mountwright.measure.propagation import Floats, jacobian, propagated
from mountwright.measure.updating import is_contradicted


@dataclass(frozen=True)
class View:
    """The card's plane as the camera sees it.

    Parameters
    ----------
    photo : Photo
        Without faults.
    corners : Corners
    card_mm : (float, float)
        The lengths of the edges that were called top and left.
    """

    photo: Photo
    corners: Corners
    card_mm: tuple[float, float]

    @property
    def centre_px(self) -> tuple[float, float]:
        """Give the picture's centre, where the axis of the lens is taken to meet it."""
        return self.photo.width_px / 2, self.photo.height_px / 2

    @cached_property
    def camera_mm(self) -> Floats:
        """Give the camera's place in the card's axes; the third figure is its height, of either sign."""
        return camera(pose(self._matrix, np.array(self.photo.focal_px.value), self.centre_px))

    @cached_property
    def distance_mm(self) -> float:
        """Give the distance from the camera to the card's middle."""
        return math.dist(self.camera_mm, [self.card_mm[0] / 2, self.card_mm[1] / 2, 0])

    @property
    def tilt_deg(self) -> float:
        """Give the angle between that line of sight and the card's normal, 0 to 90."""
        return math.degrees(math.acos(min(1.0, abs(float(self.camera_mm[2])) / self.distance_mm)))

    def nearness(self) -> Floats:
        """Give the depth of the card's first corner over that of each mark; not above 0 beyond the horizon."""
        return on_plane(self._matrix, np.array([mark.at for mark in self.photo.marks]))[1]

    def skew(self) -> Floats:
        """Give how far the outline is from a card of this size at this focal length; as :func:`homography.skew`."""
        return self._skew(self._inputs)

    def is_a_card(self) -> bool:
        """Tell whether clicks and focal length, as far as they are known, leave room for a card of this size.

        That the axes of the plane are of one scale and at a right angle, the homography does not need: two conditions.
        """
        focal = self.photo.focal_px
        steps = np.array([STEP_PX] * 8 + [focal.value * STEP_SHARE])
        given = np.diag([0.0] * 8 + [focal.standard_uncertainty**2])
        given[:8, :8] = self.corners.covariance
        spread, found = propagated(jacobian(self._skew, self._inputs, steps), given), self.skew()
        return not is_contradicted(float(found @ np.linalg.solve(spread, found)), len(found))

    @cached_property
    def _matrix(self) -> Floats:
        return homography(self.corners.points, self.card_mm)

    @property
    def _inputs(self) -> Floats:
        return np.append(self.corners.points, self.photo.focal_px.value)

    def _skew(self, inputs: Floats) -> Floats:
        corners = inputs[..., :8].reshape(*inputs.shape[:-1], 4, 2)
        return skew(pose(homography(corners, self.card_mm), inputs[..., 8], self.centre_px))


def viewed(photo: Photo) -> View:
    """Give the view, the card turned as it lies: that way round the axes of its plane come out nearer to one scale.

    One way round the ratio of their scales is 1, the other way the square of 85.60 / 53.98, which is 2.5, whatever the
    tilt: so that it cannot matter which edge was called top.
    """
    edges = [np.array(edge) for edge in photo.card.points]
    corners = fitted_corners(edges, photo.card.standard_uncertainty_px)
    ways = [View(photo, corners, size) for size in ((LONG_MM, SHORT_MM), (SHORT_MM, LONG_MM))]
    return min(ways, key=lambda way: abs(float(way.skew()[0])))


def card_seen(view: View) -> CardSeen:
    """Give how the card lies."""
    return CardSeen(
        is_upright=view.card_mm[0] < view.card_mm[1],
        tilt_deg=view.tilt_deg,
        distance_mm=view.distance_mm,
        px_per_mm=math.sqrt(_area(view.corners.points) / (LONG_MM * SHORT_MM)),
        residual_px=_residual_px(view.photo),
    )


def _area(corners: Floats) -> float:
    (across, down), (other_across, other_down) = corners[2] - corners[0], corners[3] - corners[1]
    return abs(float(across * other_down - down * other_across)) / 2


def _residual_px(photo: Photo) -> float | None:
    over = sum(len(edge) - 2 for edge in photo.card.points)
    squares = sum(squared_residuals(np.array(edge)) for edge in photo.card.points)
    return math.sqrt(squares / over) if over else None
