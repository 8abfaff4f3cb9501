"""A comb to cut out: stairs of whole millimetres that are pushed below a straight edge to measure a height."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable
from typing import NamedTuple
from xml.etree.ElementTree import Element

from mountwright.bench.gauges import GaugeScale
from mountwright.drawing.column import Column
from mountwright.drawing.gauge_look import FIGURE, HEADING, TEXT, THIN
from mountwright.drawing.svg import Point, polyline, text
from mountwright.drawing.words import figure
from mountwright.messages import Messages

#: Stairs, how wide each is, and how far the highest goes beyond the highest that a standard states, mm.
_STAIRS, _STAIR, _BEYOND = 15, 6.8, 4
#: A comb with a higher stair would be no comb, mm.
_HIGHEST = 40


class Stairs(NamedTuple):
    """The heights of a comb's stairs, whole millimetres, both inclusive."""

    low: int
    high: int


def stairs_of(scale: GaugeScale) -> Stairs | None:
    """Give the stairs that reach beyond what the standard and its neighbours state; None where that is too high."""
    stated = (each.nominal_um / 1000 for each in scale.neighbours)
    own = () if scale.nominal_um is None else (scale.nominal_um / 1000,)
    high = max(_STAIRS, math.ceil(max((*own, *stated), default=0.0)) + _BEYOND)
    return Stairs(high - _STAIRS + 1, high) if high <= _HIGHEST else None


def draw_comb(column: Column, key: str, scale: GaugeScale, messages: Messages) -> None:
    """Draw a comb in a column, with how it is used and which stair each standard has."""
    stairs = stairs_of(scale)
    if stairs is None:
        return
    column.write(HEADING, messages.text("gauge.comb", {"dimension": scale.dimension.name}), lines=1)
    column.write(TEXT, messages.text("gauge.read_comb"), lines=4)
    base_y = column.top + 1 + FIGURE.row + stairs.high
    _draw_stairs(column.body, stairs, Point(column.left, base_y), scale.nominal_um)
    column.top = base_y + 1
    for line in _stated(key, scale, messages):
        column.write(TEXT, line, lines=1)


def _draw_stairs(parent: Element, stairs: Stairs, foot: Point, own_um: int | None) -> None:
    outline, x = [foot], foot.x
    for height in range(stairs.low, stairs.high + 1):
        top_y = foot.y - height
        outline += [Point(x, top_y), Point(x + _STAIR, top_y)]
        kind = HEADING.kind if own_um == height * 1000 else FIGURE.kind
        text(parent, kind, Point(x + _STAIR / 2, top_y - 0.8), f"{height}", FIGURE.size)
        x += _STAIR
    polyline(parent, "comb", [*outline, Point(x, foot.y), foot], THIN)


def _stated(key: str, scale: GaugeScale, messages: Messages) -> Iterable[str]:
    """Give which standards have which height, a line each, the standard's own first."""
    keys: dict[int, list[str]] = defaultdict(list)
    if scale.nominal_um is not None:
        keys[scale.nominal_um].append(key)
    for each in scale.neighbours:
        keys[each.nominal_um].append(each.standard)
    for height_um, standards in keys.items():
        told = {"value": figure(height_um / 1000, 3), "standards": ", ".join(standards)}
        yield messages.text("gauge.stair" if height_um else "gauge.level", told)
