"""A ruler that stands upright: millimetres from a line at 0, halves between them, every tenth with its figure."""

from __future__ import annotations

from collections.abc import Iterator
from xml.etree.ElementTree import Element

from mountwright.drawing.gauge_look import FIGURE, FINE, THIN
from mountwright.drawing.svg import Point, line, text

#: How long the marks are, mm, by how many half millimetres they count; the largest count that divides is taken.
_TICKS = ((20, 5.0), (10, 3.6), (2, 2.4), (1, 1.4))
#: How far left of the spine the middle of a figure stands, mm.
_FIGURES = 8.6


def draw_ruler(parent: Element, spine_x: float, zero_y: float, length_mm: int) -> None:
    """Draw a ruler upwards from 0, its marks to the left of its spine."""
    line(parent, "spine", Point(spine_x, zero_y), Point(spine_x, zero_y - length_mm), THIN)
    for half, long in _marks(length_mm):
        y = zero_y - half / 2
        line(parent, "tick", Point(spine_x - long, y), Point(spine_x, y), FINE)
        if half % _TICKS[0][0] == 0:
            text(parent, FIGURE.kind, Point(spine_x - _FIGURES, y + FIGURE.size * 0.36), f"{half // 2}", FIGURE.size)


def _marks(length_mm: int) -> Iterator[tuple[int, float]]:
    for half in range(2 * length_mm + 1):
        yield half, next(long for count, long in _TICKS if half % count == 0)
