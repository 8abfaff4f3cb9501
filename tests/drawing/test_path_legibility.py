"""A picture of an upgrade path can be read, whatever it shows."""

from __future__ import annotations

import dataclasses
import re
from itertools import combinations, pairwise
from math import hypot
from typing import NamedTuple
from xml.etree.ElementTree import Element, fromstring

from hypothesis import given, settings
from hypothesis import strategies as st

from mountwright.drawing.lettering import width
from mountwright.drawing.path import path_svg
from mountwright.drawing.path_scene import OtherSkate, PathAlternative, PathPoint, PathScene, PathStage, PathStep

SVG = "{http://www.w3.org/2000/svg}"


class Box(NamedTuple):
    """The room that something takes."""

    left: float
    right: float
    top: float
    bottom: float

    def meets(self, other: Box) -> bool:
        """Tell whether both lie over each other."""
        aside = self.right <= other.left or other.right <= self.left
        return not (aside or self.bottom <= other.top or other.bottom <= self.top)


def lettered(text: Element) -> Box:
    """Give the room of a text, letters as tall as in DejaVu Sans without its accents: 0.76 up, 0.24 down (ems)."""
    x, y, size = (float(text.attrib[name]) for name in ("x", "y", "font-size"))
    wide = width(text.text or "", size, is_bold=text.get("class") == "strong")
    left = x if text.get("text-anchor") == "start" else x - wide / 2
    return Box(left, left + wide, y - 0.76 * size, y + 0.24 * size)


def around(corners: list[tuple[float, float]]) -> Box:
    """Give the room of places."""
    across, down = [x for x, _ in corners], [y for _, y in corners]
    return Box(min(across), max(across), min(down), max(down))


def corners(element: Element) -> list[tuple[float, float]]:
    """Give the places of a shape, those of a ring by its square."""
    if "points" in element.attrib:
        pairs = (pair.split(",") for pair in element.attrib["points"].split())
        return [(float(x), float(y)) for x, y in pairs]
    if "r" in element.attrib:
        x, y, radius = (float(element.attrib[name]) for name in ("cx", "cy", "r"))
        return [(x - radius, y - radius), (x + radius, y + radius)]
    return [(float(element.attrib[f"x{end}"]), float(element.attrib[f"y{end}"])) for end in (1, 2)]


def drawn(svg: str, *kinds: str) -> list[Element]:
    """Give the elements of some classes, in their order."""
    return [each for each in parsed(svg).iter() if set(kinds) & set(each.get("class", "").split())]


def parsed(svg: str) -> Element:
    """Give a picture as a tree, which tells that it is well formed."""
    return fromstring(svg)  # noqa: S314  # drawn by this very process


def numbers(svg: str) -> list[int]:
    """Give the steps that the numbers beside the marks stand for: those over a patch of ground of their own."""
    found: list[int] = []
    body = next(each for each in parsed(svg) if each.tag == f"{SVG}g")
    for patch, text in pairwise(body):
        if patch.get("class") == "paper":
            ends = [int(end) for end in (text.text or "").split("\N{EN DASH}")]
            found.extend(range(ends[0], ends[-1] + 1))
    return found


#: Few different sums and reliefs, so that many are nothing and many are equal; and any others.
_SUMS = st.sampled_from([0, 1, 100, 101, 5000]) | st.integers(0, 20_000) | st.integers(0, 10**12)
_RELIEFS = st.sampled_from([0.0, 0.004, 0.5, 0.51, 1.0]) | st.floats(0, 1)
_NAMES = st.text(max_size=20) | st.text().map(lambda text: text * 30) | st.sampled_from(["W" * 300, "a name " * 60])


@st.composite
def ways(draw: st.DrawFn, least: int, most: int) -> list[PathPoint]:
    """Give where steps lead of which none costs or relieves less than the one before."""
    count = draw(st.integers(least, most))
    sums = sorted(draw(st.lists(_SUMS, min_size=count, max_size=count)))
    reliefs = sorted(draw(st.lists(_RELIEFS, min_size=count, max_size=count)))
    return [PathPoint(*place) for place in zip(sums, reliefs, strict=True)]


@st.composite
def scenes(draw: st.DrawFn) -> PathScene:
    """Give paths of 0 to 12 steps in 1 to 8 stages, with whatever else there may be."""
    way, count = draw(ways(0, 12)), draw(st.integers(1, 8))
    within = sorted(draw(st.lists(st.integers(0, count - 1), min_size=len(way), max_size=len(way))))
    steps = tuple(PathStep(draw(_NAMES), *place, stage) for place, stage in zip(way, within, strict=True))
    budgets = sorted(draw(st.lists(_SUMS, min_size=count, max_size=count)))
    spent = [max((step.money_minor for step in steps if step.stage <= stage), default=0) for stage in range(count)]
    stages = [PathStage(draw(_NAMES), max(each)) for each in zip(budgets, spent, strict=True)]
    alternative = st.builds(PathAlternative, _NAMES, ways(1, 12).map(tuple))
    return PathScene(
        steps,
        tuple(stages),
        "EUR",
        draw(st.integers(0, 4)),
        draw(st.lists(alternative, max_size=3).map(tuple)),
        draw(st.none() | st.builds(OtherSkate, _NAMES, _SUMS)),
        draw(_NAMES),
    )


class TestPicture:
    """A picture ..."""

    @settings(deadline=None)
    @given(scenes())
    def test_can_be_read(self, scene: PathScene) -> None:
        """... is well formed, has letters of 11 px on a phone 360 px wide, all inside, and no text over another."""
        svg = path_svg(scene)
        page, texts = _page(svg), list(parsed(svg).iter(f"{SVG}text"))
        boxes = [lettered(text) for text in texts]

        assert all(float(text.attrib["font-size"]) * 360 / page.right >= 11 for text in texts)
        assert all(_is_inside(box, page) for box in boxes)
        assert not [pair for pair in combinations(boxes, 2) if pair[0].meets(pair[1])]

    @settings(deadline=None)
    @given(scenes())
    def test_is_whole(self, scene: PathScene) -> None:
        """... has every line and mark inside, letters clear of the path and of all marks, and true figures."""
        svg = path_svg(scene)
        page = _page(svg)
        boxes = [lettered(text) for text in parsed(svg).iter(f"{SVG}text")]
        rings = drawn(svg, "step", "start")
        marks = [around(corners(each)) for each in drawn(svg, "other")]
        routes = [around(list(ends)) for each in drawn(svg, "route") for ends in pairwise(corners(each))]
        others = [around(corners(each)) for each in drawn(svg, "axis", "grid", "limit", "way", "other-line")]

        assert all(_is_inside(each, page) for each in (*marks, *routes, *others, *(around(corners(r)) for r in rings)))
        assert not [(box, ring.attrib) for box in boxes for ring in rings if _reaches(ring, box)]
        assert not [(box, each) for box in boxes for each in (*marks, *routes) if box.meets(each)]
        assert not re.search(r"nan|inf\b|\"-0\"|e[+-]\d", re.sub(r"<(title|desc|text|style).*?</\1>", "", svg))

    @settings(deadline=None)
    @given(scenes())
    def test_numbers_every_step(self, scene: PathScene) -> None:
        """... has a mark for each step, and each number once beside the marks."""
        svg = path_svg(dataclasses.replace(scene, other_skate=None))
        sample = bool(scene.steps)

        assert len(scene.steps) + sample == len(drawn(svg, "step"))
        assert list(range(1, len(scene.steps) + 1)) == numbers(svg)

    @settings(deadline=None)
    @given(scenes())
    def test_is_the_same_every_time(self, scene: PathScene) -> None:
        """... has the same bytes for the same scene."""
        assert path_svg(scene) == path_svg(dataclasses.replace(scene))


def _page(svg: str) -> Box:
    left, top, wide, tall = map(float, parsed(svg).attrib["viewBox"].split())
    assert (0, 0) == (left, top)
    return Box(left, wide, top, tall)


def _reaches(ring: Element, box: Box) -> bool:
    """Tell whether a mark lies over a text."""
    x, y, radius = (float(ring.attrib[name]) for name in ("cx", "cy", "r"))
    return hypot(min(max(x, box.left), box.right) - x, min(max(y, box.top), box.bottom) - y) < radius - 1e-6


def _is_inside(box: Box, page: Box) -> bool:
    return page.left <= box.left <= box.right <= page.right and page.top <= box.top <= box.bottom <= page.bottom
