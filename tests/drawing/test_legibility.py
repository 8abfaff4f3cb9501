"""A picture of a wheel line can be read, whatever it shows."""

from __future__ import annotations

import dataclasses
import re
from itertools import combinations
from math import hypot
from typing import Any, NamedTuple
from xml.etree.ElementTree import Element, fromstring

from hypothesis import given
from hypothesis import strategies as st

from mountwright.drawing.lettering import width
from mountwright.drawing.scene import Against, Clash, DrawnDeck, DrawnWheel, WheelLineScene
from mountwright.drawing.telling import LoadsIn
from mountwright.drawing.wheel_line import wheel_line_picture


def wheel_line_svg(scene: WheelLineScene, **how: Any) -> str:
    """Give the picture of a wheel line as SVG."""
    return wheel_line_picture(scene, **how).svg()


SVG = "{http://www.w3.org/2000/svg}"


class Box(NamedTuple):
    """The room that a line of text takes."""

    left: float
    right: float
    top: float
    bottom: float

    def meets(self, other: Box) -> bool:
        """Tell whether both lie over each other."""
        aside = self.right <= other.left or other.right <= self.left
        return not (aside or self.bottom <= other.top or other.bottom <= self.top)


def box(text: Element) -> Box:
    """Give the room of a text, letters as tall as in DejaVu Sans without its accents: 0.76 up, 0.24 down (ems)."""
    x, y, size = (float(text.attrib[name]) for name in ("x", "y", "font-size"))
    wide = width(text.text or "", size, is_bold=text.get("class") == "strong")
    left = x if text.get("text-anchor") == "start" else x - wide / 2
    return Box(left, left + wide, y - 0.76 * size, y + 0.24 * size)


def parsed(svg: str) -> Element:
    """Give a picture as a tree, which tells that it is well formed."""
    return fromstring(svg)  # noqa: S314  # drawn by this very process


def drawn(svg: str, kind: str) -> list[Element]:
    """Give the elements of a class, from the front."""
    return [each for each in parsed(svg).iter() if kind in each.get("class", "").split()]


def figures(element: Element, *names: str) -> tuple[float, ...]:
    """Give attributes as figures."""
    return tuple(float(element.attrib[name]) for name in names)


_MM = st.floats(40, 160)


@st.composite
def scenes(draw: st.DrawFn) -> WheelLineScene:
    """Give wheel lines of 1 to 8 wheels, apart or over each other, with whatever else there may be."""
    count = draw(st.integers(1, 8))
    along, wheels = draw(st.floats(-50, 500)), []
    standing = draw(st.integers(0, count - 1))
    for place in range(count):
        gap = 0.0 if place == standing else draw(st.sampled_from([0.0, 0.004, 0.5]) | st.floats(0, 20))
        wheels.append(DrawnWheel(along, draw(_MM), gap, draw(st.none() | st.floats(0, 99_999))))
        along -= draw(st.floats(1, 180))
    deck = st.builds(
        DrawnDeck,
        st.floats(40, 180),
        st.floats(10, 120),
        st.floats(-120, 0),
        st.floats(0, 40),
        st.floats(0, 20),
        st.floats(0, 20),
        st.just(()) | st.lists(st.tuples(st.floats(-200, 200), st.floats(-60, 150)), min_size=2).map(tuple),
        st.floats(-5, 5),
    )
    clash = st.builds(
        Clash, st.sampled_from(list(Against)[1:]), st.integers(0, count - 1), st.floats(-90, 9), st.none()
    )
    ends = st.tuples(st.floats(0, 300), st.floats(-300, 0))
    return WheelLineScene(
        tuple(wheels),
        draw(st.none() | deck),
        draw(st.none() | st.floats(-400, 600)),
        draw(st.none() | st.floats(0, 9_999)),
        draw(st.none() | ends),
        draw(st.none() | st.floats(-20, 20)),
        draw(st.none() | st.floats(1, 1e9)),
        draw(st.lists(clash, max_size=3).map(tuple)),
        draw(st.text()),
        draw(st.lists(st.text(), max_size=3).map(tuple)),
    )


class TestPicture:
    """A picture ..."""

    @given(scenes(), st.sampled_from(["newton", "percent"]), st.floats(1, 20))
    def test_can_be_read(self, scene: WheelLineScene, loads_in: LoadsIn, gap_factor: float) -> None:
        """... is well formed, has letters of 11 px on a phone 360 px wide, all inside, and no text over another."""
        svg = wheel_line_svg(scene, loads_in=loads_in, gap_factor=gap_factor)
        (wide, tall), texts = _size(svg), list(parsed(svg).iter(f"{SVG}text"))
        boxes = [box(text) for text in texts]

        assert all(float(text.attrib["font-size"]) * 360 / wide >= 11 for text in texts)
        assert all(each.left >= 0 and each.right <= wide and each.top >= 0 and each.bottom <= tall for each in boxes)
        assert not [pair for pair in combinations(boxes, 2) if pair[0].meets(pair[1])]

    @given(scenes(), st.floats(1, 20))
    def test_is_whole(self, scene: WheelLineScene, gap_factor: float) -> None:
        """... has every wheel, badge and place inside, letters clear of wheels and lines, and true figures."""
        svg = wheel_line_svg(scene, gap_factor=gap_factor)
        wide, tall = _size(svg)
        boxes = [box(text) for text in parsed(svg).iter(f"{SVG}text")]

        for each in (*drawn(svg, "length"), *drawn(svg, "shaft"), *drawn(svg, "ground")):
            x1, x2, y1, y2 = figures(each, "x1", "x2", "y1", "y2")
            line = Box(min(x1, x2), max(x1, x2), min(y1, y2), max(y1, y2))
            assert not any(text.meets(line) for text in boxes)
        for each in (*drawn(svg, "rim"), *drawn(svg, "badge"), *drawn(svg, "contact")):
            x, y, radius = figures(each, "cx", "cy", "r")
            assert 0 <= x - radius <= x + radius <= wide
            assert 0 <= y - radius <= y + radius <= tall
            assert not any(_reaches(text, x, y, radius) for text in boxes)
        assert not re.search(r"nan|inf\b|\"-0\"|e[+-]\d", re.sub(r"<(title|desc|text|style).*?</\1>", "", svg))

    @given(scenes())
    def test_is_the_same_every_time(self, scene: WheelLineScene) -> None:
        """... has the same bytes for the same scene."""
        assert wheel_line_svg(scene) == wheel_line_svg(dataclasses.replace(scene))


def _size(svg: str) -> tuple[float, float]:
    left, top, wide, tall = map(float, parsed(svg).attrib["viewBox"].split())
    assert (0, 0) == (left, top)
    return wide, tall


def _reaches(text: Box, x: float, y: float, radius: float) -> bool:
    """Tell whether a disc lies over a text."""
    nearest = min(max(x, text.left), text.right), min(max(y, text.top), text.bottom)
    return hypot(nearest[0] - x, nearest[1] - y) < radius
