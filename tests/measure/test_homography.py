"""Planes before a pinhole camera, and back."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from mountwright.measure.card_edges import LONG_MM, SHORT_MM
from mountwright.measure.homography import camera, dropped, homography, on_plane, pose, skew

CARD = (LONG_MM, SHORT_MM)


def seen_pose(view: Any) -> Any:
    """Give the pose of a scene's card, from its corners."""
    centre = tuple(side / 2 for side in view.size_px)
    return pose(homography(view.seen(view.corners_mm()), CARD), np.array(view.focal_px), centre)


@pytest.fixture(params=[(0, 0), (20, 0), (30, 60), (45, 90), (45, 200), (60, 300)], ids=str)
def view(request: pytest.FixtureRequest, scene: Any) -> Any:
    """Give scenes of several tilts."""
    tilt, about = request.param
    return scene(tilt_deg=tilt, about_deg=about)


class TestHomography:
    """The matrix of a card ..."""

    def test_maps_its_corners_to_their_pixels(self, view: Any) -> None:
        """... maps its corners where they are seen."""
        outline = np.array([[0, 0, 1], [LONG_MM, 0, 1], [LONG_MM, SHORT_MM, 1], [0, SHORT_MM, 1]])
        corners = view.seen(view.corners_mm())
        mapped = outline @ homography(corners, CARD).T

        assert corners == pytest.approx(mapped[:, :2] / mapped[:, 2:], abs=1e-9)

    def test_gives_points_of_the_plane_back(self, view: Any) -> None:
        """... gives any point of the plane back to 1e-6 mm, from the card's first corner on."""
        points = np.array([[-82.5, 0], [82.5, 0], [0, -70], [120, 90.0]])
        found, nearness = on_plane(homography(view.seen(view.corners_mm()), CARD), view.seen(points))

        assert points - view.corners_mm()[0] == pytest.approx(found, abs=1e-6)
        assert (nearness > 0).all()

    def test_knows_the_horizon(self, scene: Any) -> None:
        """... says of a pixel beyond the horizon that its ray never meets the plane."""
        view = scene(tilt_deg=60, about_deg=0)
        horizon = view.focal_px / np.tan(np.radians(60))
        pixels = np.array([[2000, 1500 + 1.01 * horizon], [2000, 1500 + 0.99 * horizon]])
        _, nearness = on_plane(homography(view.seen(view.corners_mm()), CARD), pixels)

        assert [False, True] == (nearness > 0).tolist()

    def test_is_found_for_many_pictures_at_once(self, scene: Any) -> None:
        """... is the same whether pictures are taken one by one or together."""
        pictures = np.array([scene(tilt_deg=tilt).seen(scene().corners_mm()) for tilt in (0, 20, 40)])

        assert np.array([homography(each, CARD) for each in pictures]) == pytest.approx(homography(pictures, CARD))


class TestPose:
    """The card before the camera ..."""

    def test_tells_where_the_camera_is(self, view: Any) -> None:
        """... tells the camera's distance from the origin that its axis meets, and its height over the plane."""
        at = camera(seen_pose(view)) + np.append(view.corners_mm()[0], 0)

        assert 400 == pytest.approx(np.linalg.norm(at), abs=1e-6)
        assert 400 * np.cos(np.radians(view.tilt_deg)) == pytest.approx(abs(at[2]), abs=1e-6)

    def test_is_that_of_a_card(self, view: Any) -> None:
        """... has axes of one scale at a right angle, at the focal length that it was seen with."""
        assert [0, 0] == pytest.approx(skew(seen_pose(view)), abs=1e-9)

    def test_shows_another_focal_length_only_where_it_is_tilted(self, scene: Any) -> None:
        """... is no rectangle at another focal length if it is tilted, and is one at any if it is square on."""
        skews = [
            np.abs(skew(pose(homography(view.seen(view.corners_mm()), CARD), np.array(4000.0), (2000, 1500)))).max()
            for view in (scene(), scene(tilt_deg=30))
        ]

        assert skews[0] < 1e-9
        assert skews[1] > 0.02

    @pytest.mark.parametrize("tilt", [0, 30, 60])
    def test_taken_the_wrong_way_round_is_out_by_the_square_of_its_shape(self, scene: Any, tilt: float) -> None:
        """... with its long edge taken for the short one is out of scale by (85.60 / 53.98)^2, whatever the tilt."""
        view = scene(tilt_deg=tilt, about_deg=35)
        matrix = homography(view.seen(view.corners_mm()), (SHORT_MM, LONG_MM))
        found = skew(pose(matrix, np.array(view.focal_px), (2000, 1500)))

        assert [2 * np.log(LONG_MM / SHORT_MM), 0] == pytest.approx(found, abs=1e-9)


class TestDropped:
    """A mark above the plane ..."""

    @pytest.mark.parametrize("heights", [(0, 10), (3, 3), (-4, 25)], ids=str)
    def test_is_found_below_where_it_is(self, view: Any, heights: tuple[float, float]) -> None:
        """... is found at its foot on the plane, to 1e-6 mm, once its height is told."""
        places = np.array([[-82.5, 5.0], [82.5, 0]])
        pixels = view.seen(np.column_stack([places, heights]))
        rays, _ = on_plane(homography(view.seen(view.corners_mm()), CARD), pixels)
        found = dropped(rays, np.array(heights, dtype=float), camera(seen_pose(view)))

        assert places - view.corners_mm()[0] == pytest.approx(found, abs=1e-6)
