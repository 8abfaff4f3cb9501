"""How the lines and marks of an upgrade path are drawn on light and on dark ground."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from mountwright.drawing.palette import Look, Palette

#: Alternatives let the ground through, and keep a contrast of 3 : 1 to it all the same.
WAY_OPACITY = 0.75


def _colours(palette: Palette) -> Mapping[str, str]:
    return {
        ".paper .start": f"fill: {palette.ground}",
        "text": f"fill: {palette.text}",
        ".grid": f"stroke: {palette.tyre}",
        ".axis .limit .way": f"stroke: {palette.line}",
        ".step": f"fill: {palette.load}",
        ".route .start": f"stroke: {palette.load}",
        ".other": f"fill: {palette.contact}",
        ".other-line": f"stroke: {palette.contact}",
    }


PATH = Look(
    MappingProxyType(
        {
            "text": "font-family: sans-serif",
            ".strong": "font-weight: bold",
            ".route .way": "fill: none; stroke-linejoin: round",
            ".way": f"stroke-opacity: {WAY_OPACITY}",
            ".way-x": "stroke-dasharray: 7 3",
            ".way-y": "stroke-dasharray: 2 2",
            ".way-z": "stroke-dasharray: 9 3 2 3",
            ".limit": "stroke-dasharray: 5 3",
            ".other-line": "stroke-dasharray: 2 3",
        }
    ),
    _colours,
)
