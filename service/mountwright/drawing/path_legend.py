"""What each sign in the picture of a path means: a sample of it, and words."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import NamedTuple
from xml.etree.ElementTree import Element

from mountwright.drawing.page import LEFT, PLAIN, ROW, Page
from mountwright.drawing.path_marks import (
    draw_diamond,
    draw_limit,
    draw_start,
    draw_step,
    draw_steps_line,
    draw_way,
)
from mountwright.drawing.path_telling import PathTelling
from mountwright.drawing.svg import Point

#: How wide a sample is, and where words begin beside it.
_WIDE, _WORDS = 26.0, 42.0
#: An alternative is told by a whole sentence, with names of articles in it.
_LINES = 4


class _Sample(NamedTuple):
    """A row of the legend: how a thing is drawn from one place to another, and what it means."""

    draw: Callable[[Element, Point, Point], None]
    meaning: str


def write_legend(page: Page, telling: PathTelling) -> None:
    """Write a row for each kind of thing that the picture shows."""
    for sample in _samples(telling):
        y = page.top + ROW / 2
        sample.draw(page.body, Point(LEFT, y), Point(LEFT + _WIDE, y))
        page.write(PLAIN, sample.meaning, _WORDS, _LINES)


def _samples(telling: PathTelling) -> Iterator[_Sample]:
    scene = telling.scene
    yield _Sample(_amid(draw_start), telling.start())
    if scene.steps:
        yield _Sample(_draw_route, telling.route())
    yield _Sample(draw_limit, telling.limit())
    for index in range(len(scene.alternatives)):
        yield _Sample(_way(index), telling.way(index))
    if scene.other_skate is not None:
        yield _Sample(_amid(draw_diamond), telling.other())


def _amid(draw: Callable[[Element, Point], None]) -> Callable[[Element, Point, Point], None]:
    return lambda body, start, end: draw(body, Point((start.x + end.x) / 2, start.y))


def _way(index: int) -> Callable[[Element, Point, Point], None]:
    return lambda body, start, end: draw_way(body, index, (start, end))


def _draw_route(body: Element, start: Point, end: Point) -> None:
    draw_steps_line(body, (start, end))
    _amid(draw_step)(body, start, end)
