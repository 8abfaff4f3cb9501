"""The check of a printed gauge: a bar to measure, a bank card's frame, and a scale where the card measures the bar."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple
from xml.etree.ElementTree import Element

from mountwright.drawing.column import Column
from mountwright.drawing.gauge_look import FIGURE, FINE, HEADING, TEXT, THIN
from mountwright.drawing.svg import Point, line, rect, text
from mountwright.drawing.words import figure
from mountwright.measure.card_edges import SHORT_MM
from mountwright.messages import Messages

#: Bars that the card's scale has marks for, half millimetres, both inclusive.
_SCALE = (160, 184)
#: Marks for the card, figures behind them, the bar, and what is said of it, mm to the right of the frame.
_MARKS_X, _FIGURES_X, _BAR_X, _WORDS_X = 1.0, 7.5, 17.0, 21.5
#: In the frame, mm: how far from its edge, the size of a field, and the room around it.
_INSET, _FIELD, _GAP = 3.0, Point(30.0, 7.5), 1.5


class CardCheck(NamedTuple):
    """What is checked and entered: the bar's length, mm, and the dimensions that are read."""

    bar_mm: float
    dimensions: Sequence[str]


def card_scale_height(bar_mm: float, measured_mm: float) -> float:
    """Give how far above the card's lower edge, as drawn, its upper edge lies on a print whose bar measures so much.

    On a print at scale s = b / L, a card of length L covers L / s = L^2 / b of what was drawn.

    Parameters
    ----------
    bar_mm : float
        As drawn, and as long as the card.
    measured_mm : float
        Above 0.
    """
    return bar_mm * bar_mm / measured_mm


def draw_card_check(column: Column, check: CardCheck, messages: Messages) -> None:
    """Draw the check in a column, and go on below it."""
    base_y = column.top + 1.2 * FIGURE.row + card_scale_height(check.bar_mm, _SCALE[0] / 2)
    corner, beside_x = Point(column.left, base_y - check.bar_mm), column.left + SHORT_MM
    rect(column.body, "card", corner, SHORT_MM, check.bar_mm, THIN)
    line(column.body, "bar", Point(column.left, base_y), Point(beside_x + _BAR_X + 3, base_y), THIN)
    _draw_card_scale(column.body, check.bar_mm, Point(beside_x, base_y), messages)
    _draw_bar(column.body, check.bar_mm, Point(beside_x + _BAR_X, base_y))
    words = Column(column.body, beside_x + _WORDS_X, column.right, corner.y)
    words.write(HEADING, messages.text("gauge.bar", {"length": f"{check.bar_mm:.2f}"}), lines=3)
    words.write(TEXT, messages.text("gauge.bar_how"), lines=18)
    _draw_fields(column.body, check, corner, messages)
    column.top = base_y


def _draw_bar(parent: Element, bar_mm: float, foot: Point) -> None:
    line(parent, "bar", foot, Point(foot.x, foot.y - bar_mm), THIN)
    line(parent, "bar", Point(foot.x - 3, foot.y - bar_mm), Point(foot.x + 3, foot.y - bar_mm), THIN)


def _draw_card_scale(parent: Element, bar_mm: float, foot: Point, messages: Messages) -> None:
    """Draw where the card's upper edge lies, by what the bar measures then."""
    above = Point(foot.x + _MARKS_X, foot.y - card_scale_height(bar_mm, _SCALE[0] / 2) - FIGURE.row * 0.6)
    text(parent, FIGURE.kind, above, messages.text("gauge.bar_scale"), FIGURE.size, "start")
    for half in range(_SCALE[0], _SCALE[1] + 1):
        y = foot.y - card_scale_height(bar_mm, half / 2)
        long = 5.0 if half % 10 == 0 else 3.2 if half % 2 == 0 else 2.0
        line(parent, "tick", Point(foot.x + _MARKS_X, y), Point(foot.x + _MARKS_X + long, y), FINE)
        if half % 10 == 0:
            at = Point(foot.x + _FIGURES_X, y + FIGURE.size * 0.36)
            text(parent, FIGURE.kind, at, f"{half // 2}", FIGURE.size, "start")


def _draw_fields(parent: Element, check: CardCheck, corner: Point, messages: Messages) -> None:
    """Write what the frame is for, and draw in it a field for the bar and for each reading."""
    column = Column(parent, corner.x + _INSET, corner.x + SHORT_MM - _INSET, corner.y + _INSET)
    told = {"length": f"{check.bar_mm:.2f}", "width": figure(SHORT_MM)}
    column.write(TEXT, messages.text("gauge.card", told), lines=3)
    # Under these names the figures are entered.
    for name in ("check_bar_mm", *check.dimensions):
        column.top += _GAP
        column.write(TEXT, name, lines=1)
        rect(parent, "field", Point(column.left, column.top), _FIELD.x, _FIELD.y, FINE)
        at = Point(column.left + _FIELD.x + _GAP, column.top + _FIELD.y - _GAP)
        text(parent, TEXT.kind, at, messages.text("gauge.unit"), TEXT.size, "start")
        column.top += _FIELD.y
