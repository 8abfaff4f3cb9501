"""The side view of a wheel line, to scale, as SVG."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple, get_args
from xml.etree.ElementTree import Element, SubElement, tostring

from mountwright.drawing.lettering import broken, width
from mountwright.drawing.marks import LONGEST_ARROW, draw_load, draw_loads, draw_scene
from mountwright.drawing.palette import Theme, style_sheet
from mountwright.drawing.rows import Label, spread
from mountwright.drawing.scene import WheelLineScene
from mountwright.drawing.svg import Point, line, number, text
from mountwright.drawing.telling import LoadsIn, Telling
from mountwright.drawing.view import Spot, View, frame_of, viewed
from mountwright.drawing.words import Words
from mountwright.errors import InvalidQuantityError

#: Units across: one for each CSS pixel of a phone, so that text stays as large there as it is written here.
WIDTH = 360
#: What an unscaled picture measures across, CSS pixels.
_SHOWN_WIDTH = 720
_MARGIN, _TEXT, _NAME, _ROW, _NAME_ROW = 8.0, 12.0, 13.0, 16.0, 17.0
_LEFT, _RIGHT = _MARGIN, WIDTH - _MARGIN
#: What wheels and boot may take: as tall as this, and as large as twice their size.
_TALLEST, _LARGEST_SCALE = 260.0, 2.0
#: Room around them for the badges on their rims.
_AROUND = 10.0
_LOAD_ROOM, _LENGTH_ROOM, _TICK = 22.0, 28.0, 4.0
_NAME_LINES, _CAPTION_LINES = 2, 3
_MOST_STRETCHED = 20.0
_PREFIX = re.compile(r"[A-Za-z][A-Za-z0-9_-]{0,63}")


class Picture(NamedTuple):
    """A picture as elements.

    Parameters
    ----------
    root : Element
        The SVG element.
    body : Element
        What is drawn in it, without words for those who do not see it and without styles.
    width, height : float
        Of its view box.
    """

    root: Element
    body: Element
    width: float
    height: float

    def svg(self) -> str:
        """Give it as one SVG element."""
        return tostring(self.root, encoding="unicode")


def wheel_line_picture(
    scene: WheelLineScene,
    *,
    theme: Theme = "auto",
    gap_factor: float = 1.0,
    prefix: str = "wheel-line",
    loads_in: LoadsIn = "newton",
    words: Mapping[str, str] = MappingProxyType({}),
) -> Picture:
    """Give the picture of a wheel line as elements, the same for the same arguments.

    As SVG it stands by itself or inside a page, holds no script and asks for nothing from outside.

    Parameters
    ----------
    scene : WheelLineScene
    theme : {"auto", "light", "dark"}
        What ground it is on; ``auto`` follows what the reader has set.
    gap_factor : float
        How often the gaps under wheels that hang are stretched, 1 to 20, both inclusive; the picture says so.
        Everything else stays to scale, and wheels stay round.
    prefix : str
        Of the ids: a letter, then up to 63 letters, digits, ``-`` and ``_``. Pictures on one page need one each.
    loads_in : {"newton", "percent"}
        How the loads of the wheels are given.
    words : Mapping[str, str]
        Templates in place of some of ``mountwright.drawing.words.english``.

    Returns
    -------
    Picture
        Its root has ``data-units-per-mm``, the scale in units of the view box.

    Raises
    ------
    InvalidQuantityError
        For a theme, a factor, a prefix or a kind of load that there is not.
    """
    _check(gap_factor, prefix, loads_in)
    telling = Telling(scene, Words(words), loads_in, gap_factor)
    root = Element("svg", {"xmlns": "http://www.w3.org/2000/svg", "id": prefix})
    _tell(root, prefix, telling)
    SubElement(root, "style").text = style_sheet(prefix, theme)
    paper = SubElement(root, "rect", {"class": "paper", "width": number(WIDTH)})
    body = SubElement(root, "g")
    view, height = _lay_out(body, telling)
    paper.set("height", number(height))
    _size(root, height)
    root.set("data-units-per-mm", f"{view.scale:.6f}")
    return Picture(root, body, WIDTH, height)


def _check(gap_factor: float, prefix: str, loads_in: str) -> None:
    if not (math.isfinite(gap_factor) and 1 <= gap_factor <= _MOST_STRETCHED):
        raise InvalidQuantityError(gap_factor, f"a factor within 1 and {_MOST_STRETCHED:g}, both inclusive")
    if not _PREFIX.fullmatch(prefix):
        raise InvalidQuantityError(prefix, "a letter, then up to 63 letters, digits, - and _")
    if loads_in not in get_args(LoadsIn):
        raise InvalidQuantityError(loads_in, f"one of {get_args(LoadsIn)}")


def _tell(root: Element, prefix: str, telling: Telling) -> None:
    """Write what a reader hears who does not see the picture."""
    title, description = f"{prefix}-title", f"{prefix}-description"
    root.set("role", "img")
    root.set("aria-labelledby", f"{title} {description}")
    SubElement(root, "title", {"id": title}).text = telling.title()
    SubElement(root, "desc", {"id": description}).text = telling.description()


def _size(root: Element, height: float) -> None:
    root.set("viewBox", f"0 0 {number(WIDTH)} {number(height)}")
    root.set("width", number(_SHOWN_WIDTH))
    root.set("height", number(height * _SHOWN_WIDTH / WIDTH))
    root.set("style", "max-width: 100%; height: auto")


def _lay_out(page: Element, telling: Telling) -> tuple[View, float]:
    """Draw the page from its top to its end, and give how the scene lies in it and how tall it is."""
    scene = telling.scene
    frame = frame_of(scene, telling.gap_factor)
    top = _write_name(page, telling.name(), _MARGIN)
    sides = (_LEFT + _AROUND, _RIGHT - _AROUND)
    across = viewed(frame, *sides, 0, _TALLEST, _LARGEST_SCALE)
    head = _write_labels(page, _head(telling, across), top)
    room = _LOAD_ROOM if scene.load_along_mm is not None else 0.0
    view = viewed(frame, *sides, head + room + _AROUND, _TALLEST, _LARGEST_SCALE)
    draw_scene(page, scene, view, telling.gap_factor, (_LEFT, _RIGHT))
    draw_load(page, scene, view, head + 2)
    bottom = _write_wheels(page, telling, view, view.at(Spot(0, frame.bottom_mm)).y)
    bottom = _draw_lengths(page, telling, view, bottom)
    return view, _write_captions(page, telling.captions(), bottom) + _MARGIN


def _head(telling: Telling, view: View) -> list[Label]:
    front = telling.front()
    labels = [Label(front, _LEFT + width(front, _TEXT) / 2)]
    if telling.scene.load_along_mm is not None:
        labels.append(Label(telling.load(), view.at(Spot(telling.scene.load_along_mm, 0)).x))
    return labels


def _write_wheels(page: Element, telling: Telling, view: View, bottom: float) -> float:
    """Draw the loads under the wheels and write what is said of each; give where that ends."""
    wheels = telling.scene.wheels
    bottom += _AROUND
    if any(wheel.load_n for wheel in wheels):
        draw_loads(page, telling.scene, view, bottom - _AROUND)
        bottom += LONGEST_ARROW
    places = [view.at(Spot(wheel.along_mm, 0)).x for wheel in wheels]
    under = [Label(telling.under(wheel), x) for wheel, x in zip(wheels, places, strict=True)]
    bottom = _write_labels(page, [label for label in under if label.text], bottom)
    return _write_labels(page, [Label(telling.wheel(index), x) for index, x in enumerate(places)], bottom)


def _draw_lengths(page: Element, telling: Telling, view: View, top: float) -> float:
    """Draw the wheelbase and what of it is effective; give where that ends."""
    scene = telling.scene
    if len(scene.wheels) > 1:
        ends = (scene.wheels[0].along_mm, scene.wheels[-1].along_mm)
        top = _draw_length(page, view, ends, telling.wheelbase(), top)
    if scene.effective_mm is not None:
        top = _draw_length(page, view, scene.effective_mm, telling.effective(*scene.effective_mm), top)
    return top


def _draw_length(page: Element, view: View, ends_mm: tuple[float, float], label: str, top: float) -> float:
    front, rear = (view.at(Spot(along, 0)).x for along in ends_mm)
    y = top + _TICK + 3
    line(page, "length", Point(front, y), Point(rear, y), 1.2)
    for x in (front, rear):
        line(page, "length", Point(x, y - _TICK), Point(x, y + _TICK), 1.2)
    _write_labels(page, [Label(label, (front + rear) / 2)], y + _TICK)
    return top + _LENGTH_ROOM


def _write_name(page: Element, name: str, top: float) -> float:
    for row in broken(name, _NAME, _RIGHT - _LEFT, _NAME_LINES, is_bold=True):
        text(page, "strong", Point(_LEFT, top + _NAME), row, _NAME, "start")
        top += _NAME_ROW
    return top


def _write_captions(page: Element, captions: tuple[str, ...], top: float) -> float:
    top += _TICK
    for caption in captions:
        for row in broken(caption, _TEXT, _RIGHT - _LEFT, _CAPTION_LINES):
            text(page, "caption", Point(_LEFT, top + _TEXT), row, _TEXT, "start")
            top += _ROW
    return top


def _write_labels(page: Element, labels: list[Label], top: float) -> float:
    """Write labels side by side, in as many rows as they need; give where the last one ends."""
    placed = spread(labels, _LEFT, _RIGHT, _TEXT)
    for label in placed:
        text(page, "label", Point(label.x, top + _TEXT + label.row * _ROW), label.text, _TEXT)
    return top + _ROW * (max((label.row for label in placed), default=-1) + 1)
