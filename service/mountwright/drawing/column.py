"""A column of text on a sheet, filled from its top."""

from __future__ import annotations

from xml.etree.ElementTree import Element

from mountwright.drawing.page import Letters, rows_of
from mountwright.drawing.svg import Point, text


class Column:
    """A column that knows where the next thing begins.

    Parameters
    ----------
    body : Element
        What it is drawn on.
    left, right, top : float
        In the sheet's unit.
    """

    def __init__(self, body: Element, left: float, right: float, top: float) -> None:
        self.body, self.left, self.right = body, left, right
        #: Where the next thing begins.
        self.top = top

    def write(self, letters: Letters, content: str, lines: int) -> None:
        """Write a text in so many lines at most, the last one cut, and go on below it."""
        for row in rows_of(content, letters, self.right - self.left, lines):
            text(self.body, letters.kind, Point(self.left, self.top + letters.size), row, letters.size, "start")
            self.top += letters.row
