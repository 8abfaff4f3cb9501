"""The left half of a printed gauge: a scale for each length, its neighbours beside it, each by a ruler of its own."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from typing import NamedTuple
from xml.etree.ElementTree import Element

from mountwright.bench.gauges import GaugeScale, Neighbour
from mountwright.drawing.gauge_look import FIGURE, FINE, GUTTER_LEFT, HEADING, MARGIN, TEXT, THIN
from mountwright.drawing.lettering import cut, width
from mountwright.drawing.page import Letters
from mountwright.drawing.ruler import draw_ruler
from mountwright.drawing.svg import Point, circle, line, text
from mountwright.drawing.words import figure
from mountwright.messages import Messages
from mountwright.mounts.standard import DrawnAs

#: Where rulers stand, mm from the left edge.
_SPINE_X = MARGIN + 14
#: Room between things, and how far a ruler goes on beyond the last mark, mm.
_GAP, _BEYOND = 4.0, 3.0
#: A wider bolt is told by its middle alone.
_LARGEST_HOLE = 20.0
#: A ruler of its own is worth no less room, mm, and needs no more.
_LEAST_RULER, _MOST_RULER = 40, 200


class _Mark(NamedTuple):
    """One length on a scale, mm, with whose it is."""

    length_mm: float
    standard: str
    is_own: bool

    @property
    def kind(self) -> str:
        """Give how it is drawn."""
        return "own" if self.is_own else "other"

    @property
    def letters(self) -> Letters:
        """Give how it is written."""
        return HEADING if self.is_own else TEXT

    def named(self, messages: Messages) -> str:
        """Give its figure and whose it is."""
        told = {"value": figure(self.length_mm, 3), "standard": self.standard}
        return messages.text("gauge.of_standard", told)


def scale_that_fits(scale: GaugeScale, room_mm: float) -> GaugeScale | None:
    """Give a scale without the neighbours that would not go on the paper; None where it does not go on itself.

    Parameters
    ----------
    scale : GaugeScale
        Of holes or circles.
    room_mm : float
        How much height is left.
    """
    while scale_height(scale) > room_mm or _width(scale) > GUTTER_LEFT - _SPINE_X:
        if not scale.neighbours:
            return None
        largest = max(scale.neighbours, key=lambda each: (each.nominal_um, each.standard))
        scale = replace(scale, neighbours=tuple(each for each in scale.neighbours if each is not largest))
    return scale


def draw_scales(parent: Element, key: str, scales: Sequence[GaugeScale], bottom: float, messages: Messages) -> None:
    """Draw scales one below the other, and a ruler in the room that is left above ``bottom``, where there is any."""
    top = MARGIN
    for scale in scales:
        _draw_scale(parent, key, scale, top, messages)
        top += scale_height(scale)
    length = min(_MOST_RULER, int(bottom - top - HEADING.row - 2 * _GAP) // 10 * 10)
    if length >= _LEAST_RULER:
        _heading(parent, messages.text("gauge.ruler"), top)
        draw_ruler(parent, _SPINE_X, top + HEADING.row + _GAP + length, length)


def _draw_scale(parent: Element, key: str, scale: GaugeScale, top: float, messages: Messages) -> None:
    told = {"dimension": scale.dimension.name, "sides": ", ".join(scale.dimension.sides)}
    _heading(parent, messages.text("gauge.side", told), top)
    zero_y = top + HEADING.row + _GAP / 2 + _extent(scale)
    draw_ruler(parent, _SPINE_X, zero_y, math.floor(_extent(scale)))
    draw = _draw_holes if scale.drawn_as is DrawnAs.HOLES else _draw_circles
    draw(parent, scale, _marks(scale, key), zero_y, messages)


def _heading(parent: Element, content: str, top: float) -> None:
    room = GUTTER_LEFT - MARGIN
    letters = HEADING if width(content, HEADING.size, is_bold=True) <= room else TEXT
    fitting = cut(content, letters.size, room, is_bold=letters.is_bold)
    text(parent, letters.kind, Point(MARGIN, top + HEADING.size), fitting, letters.size, "start")


def _marks(scale: GaugeScale, key: str = "") -> list[_Mark]:
    """Give the lengths of a scale, its own first, then the nearest."""
    others = [_Mark(each.nominal_um / 1000, each.standard, is_own=False) for each in scale.neighbours]
    return [_Mark((scale.nominal_um or 0) / 1000, key, is_own=True), *others]


def _longest(scale: GaugeScale) -> float:
    return max(each.length_mm for each in _marks(scale))


def _radius(scale: GaugeScale) -> float:
    """Give how large the holes are drawn; 0 where their middles alone are."""
    return scale.hole_um / 2000 if scale.hole_um / 1000 <= _LARGEST_HOLE else 0.0


def _extent(scale: GaugeScale) -> float:
    """Give how far a scale reaches above its 0."""
    if scale.drawn_as is DrawnAs.HOLES:
        highest = max(_label_heights([each.length_mm for each in _marks(scale)]))
        return max(_longest(scale) + _radius(scale), highest) + _BEYOND
    return _longest(scale) + _BEYOND


def scale_height(scale: GaugeScale) -> float:
    """Give how much height a scale takes, mm."""
    below = _radius(scale) if scale.drawn_as is DrawnAs.HOLES else FIGURE.row + TEXT.row * len(_marks(scale))
    return HEADING.row + _GAP / 2 + _extent(scale) + below + 2 * _GAP


def _width(scale: GaugeScale) -> float:
    if scale.drawn_as is DrawnAs.HOLES:
        return 0.0
    return sum(each.length_mm + _GAP for each in _marks(scale))


def _draw_holes(parent: Element, scale: GaugeScale, marks: Sequence[_Mark], zero_y: float, messages: Messages) -> None:
    """Draw two holes on one axis; what lies fainter on it is where the other hole of each neighbour would be."""
    radius = _radius(scale)
    axis_x, end_x = _SPINE_X + _GAP + radius, _SPINE_X + 2 * (_GAP + radius)
    far_y = zero_y - marks[0].length_mm
    _draw_hole(parent, "own", Point(axis_x, zero_y), radius, end_x)
    line(parent, "own", Point(axis_x, zero_y + radius + 1), Point(axis_x, far_y - radius - 1), FINE)
    for each in reversed(marks):
        _draw_hole(parent, each.kind, Point(axis_x, zero_y - each.length_mm), radius, end_x)
    heights = _label_heights([each.length_mm for each in marks])
    for each, height in zip(marks, heights, strict=True):
        line(parent, "leader", Point(end_x, zero_y - each.length_mm), Point(end_x + _GAP, zero_y - height), FINE)
        _label(parent, each, Point(end_x + _GAP + 1, zero_y - height + TEXT.size * 0.36), messages)


def _draw_hole(parent: Element, kind: str, centre: Point, radius: float, end_x: float) -> None:
    """Draw a hole, and through its middle a line from the ruler to the label."""
    if radius:
        circle(parent, kind, centre, radius, THIN)
    line(parent, kind, Point(_SPINE_X, centre.y), Point(end_x, centre.y), THIN if kind == "own" else FINE)
    line(parent, kind, Point(centre.x, centre.y - radius - 1), Point(centre.x, centre.y + radius + 1), FINE)


def _label_heights(lengths: Sequence[float]) -> list[float]:
    """Give where each label stands: at its length, or so far above it that it is clear of the one below."""
    order = sorted(range(len(lengths)), key=lambda index: lengths[index])
    heights = [lengths[index] for index in order]
    for below, above in pairwise(range(len(order))):
        heights[above] = max(heights[above], heights[below] + HEADING.row)
    return [height for _, height in sorted(zip(order, heights, strict=True))]


def _label(parent: Element, mark: _Mark, at: Point, messages: Messages) -> None:
    letters = mark.letters
    fitting = cut(mark.named(messages), letters.size, GUTTER_LEFT - at.x, is_bold=letters.is_bold)
    text(parent, letters.kind, at, fitting, letters.size, "start")


def _draw_circles(
    parent: Element, scale: GaugeScale, marks: Sequence[_Mark], zero_y: float, messages: Messages
) -> None:
    """Draw circles that stand on the line at 0, each with a line from its far edge to the ruler."""
    right = _SPINE_X + _width(scale)
    line(parent, "own", Point(_SPINE_X, zero_y), Point(right, zero_y), THIN)
    x = _SPINE_X + _GAP
    for number, each in enumerate(marks):
        radius = each.length_mm / 2
        centre, top_y = Point(x + radius, zero_y - radius), zero_y - each.length_mm
        circle(parent, each.kind, centre, radius, THIN)
        line(parent, each.kind, Point(_SPINE_X, top_y), Point(centre.x, top_y), FINE)
        across = messages.phrase(figure(each.length_mm, 3))
        text(parent, FIGURE.kind, Point(centre.x, zero_y + FIGURE.row), across, FIGURE.size)
        _label(parent, each, Point(_SPINE_X, zero_y + FIGURE.row + TEXT.row * (number + 1)), messages)
        x += each.length_mm + _GAP


def told_neighbours(neighbours: Sequence[Neighbour], messages: Messages) -> str:
    """Give what is drawn fainter, in words."""
    named = (_Mark(each.nominal_um / 1000, each.standard, is_own=False).named(messages) for each in neighbours)
    return messages.text("gauge.told_neighbours", {"neighbours": ", ".join(named)})
