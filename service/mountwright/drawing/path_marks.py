"""What the picture of a path shows: axes, the limits of the stages, the ways, their marks, and another skate."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import hypot
from xml.etree.ElementTree import Element

from mountwright.drawing.lettering import width
from mountwright.drawing.page import TEXT
from mountwright.drawing.path_chart import START, Chart, is_beyond, points, stairs
from mountwright.drawing.path_scene import PathPoint, PathScene
from mountwright.drawing.path_telling import stage_keys, step_keys, way_key
from mountwright.drawing.runs import Room, Run, labelled
from mountwright.drawing.svg import Point, circle, line, polygon, polyline, text

#: Radius of a mark and of that at the start with its rim, half of the other skate's mark, and the arrow beside that.
_DOT, _START, _DIAMOND, _ARROW = 3.6, 5.4, 6.0, 8.0
_ROUTE, _WAY, _LEADER, _THIN, _RIM = 2.6, 1.6, 0.8, 1.2, 1.6
#: From the middle of a mark to its number: along, and up or down, where the start may be beside it.
_ASIDE, _ASTRIDE = _DOT + 1, _START
#: How much of its size a letter rises above its line, and hangs below it.
_RISE, _FALL = 0.76, 0.24
#: From the end of the axis to the middle of an alternative's letter, and between two of them.
_TO_KEY, _KEY_ROW = 14.0, 13.0
#: The other skate's mark hangs from the top of the limits by so much.
_HANG = 7.0
_PLACES = (Point(0, -1), Point(1, 0), Point(0, 1), Point(-1, 0))


def draw_axes(parent: Element, chart: Chart, levels: Sequence[float], ends: tuple[float, float]) -> None:
    """Draw both axes, and a faint line between two ends for each relief that is written."""
    for level in levels:
        y = chart.at(PathPoint(0, level)).y
        line(parent, "grid", Point(ends[0], y), Point(ends[1], y), 1)
    line(parent, "axis", Point(ends[0], chart.bottom), Point(ends[1], chart.bottom), _THIN)
    line(parent, "axis", Point(chart.left, chart.top - _DOT), Point(chart.left, chart.bottom), _THIN)


def draw_tick(parent: Element, start: Point, length: float) -> None:
    """Draw the tick of a sum, down from the axis."""
    line(parent, "axis", start, Point(start.x, start.y + length), _THIN)


def draw_limits(parent: Element, scene: PathScene, chart: Chart, top: float) -> None:
    """Draw how far the money of each stage reaches, up to ``top``, and letters above."""
    places = [chart.x(stage.budget_minor) for stage in scene.stages]
    for x in sorted(set(places)):
        draw_limit(parent, Point(x, top), Point(x, chart.bottom))

    def rooms(run: Run) -> Sequence[Room]:
        half = width(stage_keys(run), TEXT) / 2
        middle = (places[run.first] + places[run.last]) / 2
        return (Room(middle - half, middle + half, top - TEXT - 1, top - 1),)

    for run, room in labelled([Run(index, index) for index in range(len(places))], rooms):
        _write(parent, "label", room, stage_keys(run))


def draw_limit(parent: Element, start: Point, end: Point) -> None:
    """Draw the line that tells where the money of a stage ends."""
    line(parent, "limit", start, end, _THIN)


def draw_other(parent: Element, scene: PathScene, chart: Chart, top: float) -> None:
    """Draw from what sum on another skate wins, and an arrow towards it where that is not shown."""
    if scene.other_skate is None:
        return
    if is_beyond(scene):
        middle = Point(chart.right, top + _HANG)
        tip = Point(middle.x + _DIAMOND + _ARROW, middle.y)
        line(parent, "other-line", middle, Point(tip.x - _ARROW / 2, tip.y), _ROUTE)
        polygon(parent, "other", (tip, *(Point(tip.x - _ARROW, tip.y + side * _ARROW / 2) for side in (1, -1))))
    else:
        middle = Point(chart.x(scene.other_skate.price_minor), top + _HANG)
        line(parent, "other-line", middle, Point(middle.x, chart.bottom), _ROUTE / 2)
    draw_diamond(parent, middle)


def draw_diamond(parent: Element, middle: Point) -> None:
    """Draw the mark of another skate."""
    corners = (Point(middle.x + _DIAMOND * place.x, middle.y + _DIAMOND * place.y) for place in _PLACES)
    polygon(parent, "other", corners)


def draw_ways(parent: Element, scene: PathScene, chart: Chart) -> None:
    """Draw the alternatives, each with its own dashes, and a letter at the end of the axis where it leads."""
    ends = [chart.at(alternative.points[-1]) for alternative in scene.alternatives]
    heights = _apart([end.y for end in ends], chart.bottom - TEXT / 2)
    for index, alternative in enumerate(scene.alternatives):
        draw_way(parent, index, [chart.at(place) for place in stairs(alternative.points)])
        end, key = ends[index], Point(chart.right + _TO_KEY, heights[index])
        half = width(way_key(index), TEXT) / 2
        polyline(parent, "way", (end, Point(chart.right, end.y), Point(key.x - half - 1, key.y)), _LEADER)
        text(parent, "label", Point(key.x, key.y + (_RISE - _FALL) / 2 * TEXT), way_key(index), TEXT)


def draw_way(parent: Element, index: int, places: Sequence[Point]) -> None:
    """Draw the line of an alternative."""
    polyline(parent, f"way way-{way_key(index).lower()}", places, _WAY)


def number_room(steps: int) -> float:
    """Give how much room the numbers of so many steps need before the first mark."""
    return width(step_keys(Run(max(steps - 2, 0), max(steps - 1, 0))), TEXT) + _ASIDE


def draw_route(parent: Element, scene: PathScene, chart: Chart) -> None:
    """Draw the path over everything else: its line, a mark for each step, and their numbers."""
    places = [chart.at(place) for place in points(scene)]
    for run, room in labelled(_touching(places), lambda run: tuple(_rooms(run, places, chart))):
        corners = (room.left, room.top), (room.right, room.top), (room.right, room.bottom), (room.left, room.bottom)
        polygon(parent, "paper", (Point(*corner) for corner in corners))
        _write(parent, "label", room, step_keys(run))
    if places:
        draw_steps_line(parent, [chart.at(place) for place in stairs(points(scene))])
    draw_start(parent, chart.at(START))
    for place in places:
        draw_step(parent, place)


def draw_steps_line(parent: Element, places: Sequence[Point]) -> None:
    """Draw the line of the path."""
    polyline(parent, "route", places, _ROUTE)


def draw_step(parent: Element, middle: Point) -> None:
    """Draw the mark of a step."""
    circle(parent, "step", middle, _DOT)


def draw_start(parent: Element, middle: Point) -> None:
    """Draw the mark of the skate as it is."""
    circle(parent, "start", middle, _START - _RIM / 2, _RIM)


def _touching(places: Sequence[Point]) -> list[Run]:
    """Give the marks in runs: those that lie over the first one of their run could not be told apart."""
    runs: list[Run] = []
    for index, place in enumerate(places):
        first = runs[-1].first if runs else index
        if index > first and hypot(place.x - places[first].x, place.y - places[first].y) < 2 * _DOT:
            runs[-1] = Run(first, index)
        else:
            runs.append(Run(index, index))
    return runs


def _rooms(run: Run, places: Sequence[Point], chart: Chart) -> Iterator[Room]:
    """Give where a number may stand: the path rises, so it leaves what is above before a mark and below after it."""
    wide, place = width(step_keys(run), TEXT), places[run.first]
    before = place.x - _ASIDE
    yield Room(before - wide, before, place.y - _ASTRIDE - TEXT, place.y - _ASTRIDE)
    after = place.x + _ASIDE
    if after + wide <= chart.right and place.y + _ASTRIDE + TEXT <= chart.bottom:
        yield Room(after, after + wide, place.y + _ASTRIDE, place.y + _ASTRIDE + TEXT)


def _apart(heights: Sequence[float], lowest: float) -> list[float]:
    """Give heights far enough apart for a row each, in their order, as close to those given as that leaves them."""
    order = sorted(range(len(heights)), key=lambda index: heights[index])
    found = list(heights)
    for above, below in pairwise(order):
        found[below] = max(found[below], found[above] + _KEY_ROW)
    for rows, index in enumerate(reversed(order)):
        found[index] = min(found[index], lowest - rows * _KEY_ROW)
    return found


def _write(parent: Element, kind: str, room: Room, content: str) -> None:
    text(parent, kind, Point((room.left + room.right) / 2, room.bottom - _FALL * TEXT), content, TEXT)
