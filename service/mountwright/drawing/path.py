"""The picture of an upgrade path as SVG: money along, relief up."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from mountwright.drawing.lettering import cut, width
from mountwright.drawing.page import HEADING, LEFT, NAME, PLAIN, RIGHT, ROW, TEXT, Page
from mountwright.drawing.palette import Theme
from mountwright.drawing.path_chart import Chart, extent_minor, tick_steps
from mountwright.drawing.path_legend import write_legend
from mountwright.drawing.path_look import PATH
from mountwright.drawing.path_marks import (
    draw_axes,
    draw_limits,
    draw_other,
    draw_route,
    draw_tick,
    draw_ways,
    number_room,
)
from mountwright.drawing.path_scene import PathPoint, PathScene
from mountwright.drawing.path_telling import PathTelling
from mountwright.drawing.rows import Label, spread
from mountwright.drawing.svg import Point, text
from mountwright.drawing.words import Words

#: The reliefs that are written at the axis.
_LEVELS = (1.0, 0.5, 0.0)
#: How tall the chart is, and what room there is above it for the topmost number and the other skate's mark.
_TALL, _ABOVE = 150.0, 32.0
#: From the end of the axis to the edge: the letters of the alternatives and the arrow to another skate stand there.
_BESIDE = 24.0
_WIDEST_LEVEL, _GAP, _TICK = 60.0, 4.0, 4.0
#: Of figures along the axis, in ems.
_APART = 1.0
#: What is dangerous, or has to be looked at first, is not cut short.
_NOTE_LINES = 5
#: Where words begin beside a number.
_AFTER_NUMBER = 30.0


def path_svg(
    scene: PathScene,
    *,
    theme: Theme = "auto",
    prefix: str = "path",
    words: Mapping[str, str] = MappingProxyType({}),
) -> str:
    """Give the picture of an upgrade path: one SVG element, the same for the same arguments.

    It stands by itself or inside a page, holds no script and asks for nothing from outside. Steps are numbered, and
    listed with their names under the chart, stage by stage; stages and alternatives have letters.

    Parameters
    ----------
    scene : PathScene
    theme : {"auto", "light", "dark"}
        What ground it is on; ``auto`` follows what the reader has set.
    prefix : str
        Of the ids: a letter, then up to 63 letters, digits, ``-`` and ``_``. Pictures on one page need one each.
    words : Mapping[str, str]
        Templates in place of some of ``mountwright.drawing.words.english``; ``path_money`` and ``decimal_mark``
        say how a sum is written.

    Raises
    ------
    InvalidQuantityError
        For a theme or a prefix that there is not.
    """
    telling = PathTelling(scene, Words(words))
    page = Page(prefix, theme, PATH, telling.title(), telling.description())
    page.write(NAME, telling.name())
    for note in telling.notes():
        page.write(PLAIN, note, lines=_NOTE_LINES)
        page.top += _GAP
    page.write(PLAIN, telling.up())
    _draw_chart(page, telling)
    write_legend(page, telling)
    for stage in range(len(scene.stages)):
        _write_stage(page, telling, stage)
    return page.finished()


def _draw_chart(page: Page, telling: PathTelling) -> None:
    scene, top = telling.scene, page.top + ROW
    levels = {level: cut(telling.relieved(level), TEXT, _WIDEST_LEVEL) for level in _LEVELS}
    ends = (LEFT + max(width(level, TEXT) for level in levels.values()) + _GAP, RIGHT - _BESIDE)
    left = ends[0] + number_room(len(scene.steps)) + _GAP
    chart = Chart(left, ends[1], top + _ABOVE, top + _ABOVE + _TALL, extent_minor(scene))
    draw_axes(page.body, chart, _LEVELS, ends)
    for level, label in levels.items():
        middle = Point((LEFT + ends[0] - _GAP) / 2, chart.at(PathPoint(0, level)).y + TEXT / 4)
        text(page.body, "label", middle, label, TEXT)
    draw_limits(page.body, scene, chart, top)
    draw_ways(page.body, scene, chart)
    draw_other(page.body, scene, chart, top)
    draw_route(page.body, scene, chart)
    page.top = chart.bottom
    _write_ticks(page, telling, chart)


def _write_ticks(page: Page, telling: PathTelling, chart: Chart) -> None:
    """Write round sums along the axis, and what they are."""
    sums = _tick_sums(telling, chart)
    places = [chart.x(each) for each in sums]
    # The nought has the other axis.
    for x in places[1:]:
        draw_tick(page.body, Point(x, chart.bottom), _TICK)
    page.top += _TICK
    labels = [Label(label, x) for label, x in zip(telling.ticks(sums), places, strict=True)]
    for label in spread(labels, LEFT, RIGHT, TEXT):
        text(page.body, "label", Point(label.x, page.top + TEXT), label.text, TEXT)
    page.top += ROW
    (along,) = spread([Label(telling.along(), RIGHT)], LEFT, RIGHT, TEXT)
    text(page.body, "label", Point(along.x, page.top + TEXT), along.text, TEXT)
    page.top += ROW + _GAP


def _tick_sums(telling: PathTelling, chart: Chart) -> list[int]:
    """Give the most round sums of which the figures have room beside each other."""
    rounded = (list(range(0, chart.extent_minor + 1, step)) for step in tick_steps(chart.extent_minor))
    return next(
        sums for sums in rounded if len(sums) == 1 or _have_room(telling.ticks(sums), chart.x(sums[1]) - chart.left)
    )


def _have_room(figures: list[str], apart: float) -> bool:
    return max(width(figure, TEXT) for figure in figures) + _APART * TEXT <= apart


def _write_stage(page: Page, telling: PathTelling, stage: int) -> None:
    """Write what a stage is called and what it has, and its steps."""
    page.top += _GAP
    page.write(HEADING, telling.stage(stage))
    page.write(PLAIN, telling.budget(stage))
    for index, step in enumerate(telling.scene.steps):
        if step.stage != stage:
            continue
        text(page.body, "label", Point(LEFT, page.top + TEXT), str(index + 1), TEXT, "start")
        page.write(PLAIN, telling.step(index), _AFTER_NUMBER)
        page.write(PLAIN, telling.figures(index), _AFTER_NUMBER)
