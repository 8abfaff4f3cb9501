"""Clicks that cannot be, each named with its place."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from mountwright.measure.photo_faults import photo_faults


def told(photo: Any) -> list[tuple[tuple[str | int, ...], str]]:
    """Give places and codes of a photo's faults."""
    return [(fault.place, fault.code) for fault in photo_faults(photo)]


class TestFaults:
    """The faults of a photo ..."""

    def test_are_none_of_a_good_one(self, scene: Any) -> None:
        """... are none where clicks are as they should be."""
        assert [] == told(scene(tilt_deg=30).photo())

    def test_name_every_point_outside(self, scene: Any) -> None:
        """... name each coordinate outside the picture; its rim is within."""
        photo = scene().photo(spots=[(-1, 3001), (4000, 3000)])

        assert [(("marks", 0, "x_px"), "photo.outside"), (("marks", 0, "y_px"), "photo.outside")] == told(photo)

    def test_name_points_of_the_card_outside(self, scene: Any) -> None:
        """... name a card's points outside the picture by edge and number."""
        photo = scene(card_at=(-225, 0)).photo()

        assert [(("card", "left", number, "x_px"), "photo.outside") for number in range(3)] == told(photo)

    @pytest.mark.parametrize("apart", [0, 5, 9.9])
    def test_name_an_edge_whose_points_are_together(self, scene: Any, apart: float) -> None:
        """... name an edge whose points are closer than ten times the doubt of a click: it has no direction."""
        edges = scene().edges()
        edges[2] = edges[2][0] + np.array([[0, 0], [apart / 2, 0], [apart, 0]])

        assert [(("card", "bottom"), "photo.points_together")] == told(scene().photo(edges=edges))

    @pytest.mark.parametrize(("off", "expected"), [(3, []), (6, ["photo.points_off_line"])])
    def test_name_an_edge_that_is_no_line(self, scene: Any, off: float, expected: list[str]) -> None:
        """... name an edge whose points are farther off a line than clicks are in doubt, a round corner's say."""
        edges = scene().edges()
        edges[1] = edges[1] + [[0, 0], [off, 0], [0, 0]]

        assert [(("card", "right"), code) for code in expected] == told(scene().photo(edges=edges))

    @pytest.mark.parametrize("order", [(1, 0, 2, 3), (0, 2, 1, 3), (0, 1, 3, 2), (3, 1, 2, 0)], ids=str)
    def test_name_a_card_whose_edges_are_out_of_order(self, scene: Any, order: tuple[int, ...]) -> None:
        """... name the card, or its edges, where neighbours were mixed up, square on and tilted."""
        for view in (scene(), scene(tilt_deg=35, about_deg=30)):
            edges = view.edges()
            found = told(view.photo(edges=[edges[place] for place in order]))
            assert {code for _, code in found} <= {"photo.edges_do_not_close", "photo.points_beyond_corners"}
            assert found

    def test_name_a_card_that_is_one_line(self, scene: Any) -> None:
        """... name the card where all its edges are one line."""
        line = np.array([[500, 500], [900, 900], [1300, 1300]])

        assert [(("card",), "photo.edges_do_not_close")] == told(scene().photo(edges=[line] * 4))

    def test_name_edges_whose_points_lie_beyond_their_corners(self, scene: Any) -> None:
        """... name an edge whose points do not lie between the corners that it makes with its neighbours."""
        view = scene()
        edges = view.edges()
        edges[0] = edges[0] + [450, 0]

        assert [(("card", "top"), "photo.points_beyond_corners")] == told(view.photo(edges=edges))

    def test_name_a_card_that_is_tiny(self, scene: Any) -> None:
        """... name a card whose shortest side is below 40 px."""
        small, smaller = (
            told(scene(focal_px=focal).photo(click_px=0.3)) for focal in (40.1 / 53.98 * 400, 39.9 / 53.98 * 400)
        )

        assert ([], [(("card",), "photo.card_small")]) == (small, smaller)

    def test_are_all_told_at_once(self, scene: Any) -> None:
        """... are told together: a mark outside and a bent edge."""
        edges = scene().edges()
        edges[0] = edges[0] + [[0, 0], [0, 9], [0, 0]]
        photo = replace(scene().photo(edges=edges), height_px=1400)

        assert {"photo.outside", "photo.points_off_line"} == {code for _, code in told(photo)}
