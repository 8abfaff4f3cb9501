"""How a printed gauge is drawn: the standard's own lines, fainter ones of its neighbours, rulers, and the letters."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from mountwright.drawing.page import Letters
from mountwright.drawing.palette import Look, Palette

#: Nothing is drawn nearer to an edge of the paper, mm: few printers reach it.
MARGIN = 10.0
#: Where the scales end and what is read begins, mm from the left edge.
GUTTER_LEFT, GUTTER_RIGHT = 88.0, 92.0

#: Widths of lines, mm: thin enough to read a tenth of a millimetre by.
FINE, THIN = 0.15, 0.2

TITLE = Letters("strong", 4.6, 6.0)
HEADING = Letters("strong", 3.2, 4.4)
TEXT = Letters("caption", 3.0, 3.9)
FIGURE = Letters("caption", 2.8, 3.6)


def _colours(palette: Palette) -> Mapping[str, str]:
    return {
        "text": f"fill: {palette.text}",
        ".own .spine .tick .bar .card .field .comb": f"stroke: {palette.text}",
        ".other .leader": f"stroke: {palette.line}",
    }


GAUGE = Look(
    MappingProxyType(
        {
            "text": "font-family: sans-serif",
            ".strong": "font-weight: bold",
            ".own .other .card .field .comb": "fill: none",
            ".other": "stroke-dasharray: 0.8 0.6",
        }
    ),
    _colours,
)
