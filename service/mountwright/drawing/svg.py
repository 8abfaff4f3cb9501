"""The few elements that a picture is made of, with the same bytes for the same figures."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal, NamedTuple, TypeAlias
from xml.etree.ElementTree import Element, SubElement

_DECIMALS = 3

Anchor: TypeAlias = Literal["start", "middle"]


class Point(NamedTuple):
    """A place in the picture, in the units of its view box: to the right, and downwards."""

    x: float
    y: float


def number(value: float) -> str:
    """Give a figure as it stands in the picture: three decimals at most, and no nought below nothing."""
    text = f"{value:.{_DECIMALS}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def line(parent: Element, kind: str, start: Point, end: Point, width: float = 1.5) -> None:
    """Draw a straight line."""
    ends = {"x1": start.x, "y1": start.y, "x2": end.x, "y2": end.y, "stroke-width": width}
    SubElement(parent, "line", {"class": kind} | _numbers(ends))


def circle(parent: Element, kind: str, centre: Point, radius: float, width: float = 0) -> None:
    """Draw a circle, with a rim where ``width`` is above 0."""
    figures = {"cx": centre.x, "cy": centre.y, "r": radius} | ({"stroke-width": width} if width else {})
    SubElement(parent, "circle", {"class": kind} | _numbers(figures))


def rect(parent: Element, kind: str, corner: Point, across: float, down: float, width: float = 0) -> None:
    """Draw a rectangle from its upper left corner, with a rim where ``width`` is above 0."""
    figures = {"x": corner.x, "y": corner.y, "width": across, "height": down}
    SubElement(parent, "rect", {"class": kind} | _numbers(figures | ({"stroke-width": width} if width else {})))


def polygon(parent: Element, kind: str, points: Iterable[Point], width: float = 0) -> None:
    """Draw a closed shape."""
    _through(parent, "polygon", kind, points, width)


def polyline(parent: Element, kind: str, points: Iterable[Point], width: float) -> None:
    """Draw straight lines from place to place."""
    _through(parent, "polyline", kind, points, width)


def text(parent: Element, kind: str, at: Point, content: str, size: float, anchor: Anchor = "middle") -> None:
    """Write a line of text, with the middle or the start of its baseline at a place."""
    placed = _numbers({"x": at.x, "y": at.y, "font-size": size})
    SubElement(parent, "text", {"class": kind, "text-anchor": anchor} | placed).text = content


def _through(parent: Element, tag: str, kind: str, points: Iterable[Point], width: float) -> None:
    places = " ".join(f"{number(point.x)},{number(point.y)}" for point in points)
    SubElement(parent, tag, {"class": kind, "points": places} | (_numbers({"stroke-width": width}) if width else {}))


def _numbers(figures: dict[str, float]) -> dict[str, str]:
    return {name: number(value) for name, value in figures.items()}
