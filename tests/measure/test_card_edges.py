"""Corners of a card from clicks on its edges."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from mountwright.errors import InvalidQuantityError
from mountwright.measure.card_edges import (
    LONG_MM,
    SHORT_MM,
    CardEdges,
    Pixel,
    corner_sines,
    crossings,
    fitted_corners,
    lines,
    squared_residuals,
)

BENT = np.array([[0, 0], [10, 0.3], [20, -0.2], [30, 0.5]]) @ np.array([[0.8, 0.6], [-0.6, 0.8]]) + [700, 300]


def test_a_card_is_of_the_standards_size() -> None:
    """An ID-1 card measures 85.60 by 53.98 mm (ISO/IEC 7810)."""
    assert (85.60, 53.98) == (LONG_MM, SHORT_MM)


class TestLine:
    """The line through an edge's points ..."""

    def test_has_the_least_squares(self) -> None:
        """... is the one of the singular vectors, and leaves the squares that the smallest singular value says."""
        _, sizes, ways = np.linalg.svd(BENT - BENT.mean(axis=0))
        line = lines(BENT)

        assert 1 == pytest.approx(abs(line[:2] @ ways[1]), abs=1e-12)
        assert sizes[1] ** 2 == pytest.approx(squared_residuals(BENT), abs=1e-9)

    def test_through_two_points_leaves_nothing(self) -> None:
        """... goes through two points, and leaves nothing to check."""
        assert [0, 0] == pytest.approx(BENT[:2] @ lines(BENT[:2])[:2] + lines(BENT[:2])[2], abs=1e-9)
        assert 0 == squared_residuals(BENT[:2])

    @pytest.mark.parametrize("turn", [0, 45, 90, 135, 180, 270])
    def test_is_found_in_any_direction(self, turn: float) -> None:
        """... is found whatever its direction, upright ones included."""
        way = np.array([np.cos(np.radians(turn)), np.sin(np.radians(turn))])
        points = np.array([500, 400]) + np.outer([-50, 0, 80], way)

        assert 0 == pytest.approx(squared_residuals(points), abs=1e-12)


class TestCorners:
    """The corners ..."""

    @pytest.mark.parametrize("along", [(0.1, 0.9), (0.2, 0.5, 0.8), (0.1, 0.3, 0.6, 0.7, 0.9)], ids=len)
    def test_are_where_the_edges_cross(self, scene: Any, along: tuple[float, ...]) -> None:
        """... are found where nobody can click, since they are round: in order from the top left."""
        view = scene(tilt_deg=30, about_deg=20)

        assert view.seen(view.corners_mm()) == pytest.approx(crossings(view.edges(along)), abs=1e-9)

    def test_are_nowhere_where_edges_are_parallel(self, scene: Any) -> None:
        """... are square on a card that is seen square on, and have no angle where neighbours are parallel."""
        top, right, bottom, left = scene().edges()

        assert [1, 1, 1, 1] == pytest.approx(corner_sines([top, right, bottom, left]))
        assert [1, 0, 1, 0] == pytest.approx(corner_sines([top, bottom, right, left]), abs=1e-9)

    @pytest.mark.parametrize("click_px", [1, 3])
    def test_are_in_doubt_by_what_clicks_do(self, scene: Any, click_px: float) -> None:
        """... scatter as their covariance says when the clicks are drawn, neighbours together."""
        edges, draws = scene(tilt_deg=20).edges(), np.random.default_rng(7)
        drawn = [edge + draws.normal(0, click_px, (20_000, *edge.shape)) for edge in edges]
        expected = fitted_corners(edges, click_px).covariance
        found = np.cov(crossings(drawn).reshape(-1, 8).T)

        assert np.abs(expected - found).max() < 0.05 * expected.max()
        assert expected[1, 3] < -0.3 * click_px**2

    def test_are_in_less_doubt_the_more_points_there_are(self, scene: Any) -> None:
        """... are in less doubt with more points, and with points farther apart."""
        near, far, many = (
            np.trace(fitted_corners(scene().edges(along), 1).covariance)
            for along in ((0.4, 0.6), (0.1, 0.9), (0.1, 0.12, 0.14, 0.86, 0.88, 0.9))
        )

        assert near > 5 * far > 5 * many


class TestCardEdges:
    """Edges ..."""

    def test_are_four(self) -> None:
        """... are four, with two points or more on each."""
        edge = (Pixel(0, 0), Pixel(9, 0))
        for points in ((edge,) * 3, (edge,) * 5, (edge, edge, edge, edge[:1])):
            with pytest.raises(InvalidQuantityError):
                CardEdges(points, 1.0)

    @pytest.mark.parametrize("doubt", [0, -1, float("nan")])
    def test_are_clicked_with_some_doubt(self, doubt: float) -> None:
        """... are never without doubt."""
        with pytest.raises(InvalidQuantityError):
            CardEdges(((Pixel(0, 0), Pixel(9, 0)),) * 4, doubt)
