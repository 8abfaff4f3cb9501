"""The sheet that a picture stands on: a phone wide, told in words, with lines of text from its top to its end."""

from __future__ import annotations

import re
from itertools import accumulate
from typing import NamedTuple
from xml.etree.ElementTree import Element, SubElement, tostring

from mountwright.drawing.lettering import broken, width
from mountwright.drawing.palette import Look, Theme, style_sheet
from mountwright.drawing.svg import Point, number, text
from mountwright.errors import InvalidQuantityError

#: Units across: one for each CSS pixel of a phone, so that text stays as large there as it is written here.
WIDTH = 360.0
MARGIN = 8.0
LEFT, RIGHT = MARGIN, WIDTH - MARGIN
#: Letters, and a row of them.
TEXT, ROW = 12.0, 16.0
#: No text takes more lines, unless it is asked for.
_LINES = 2
#: What an unscaled picture measures across, CSS pixels.
_SHOWN_WIDTH = 720
_PREFIX = re.compile(r"[A-Za-z][A-Za-z0-9_-]{0,63}")


class Letters(NamedTuple):
    """What a text is written in: a class of the style sheet, a size, and the height of a row of it."""

    kind: str
    size: float
    row: float

    @property
    def is_bold(self) -> bool:
        """Tell whether the style sheet makes them heavy."""
        return self.kind == "strong"


NAME = Letters("strong", 13.0, 17.0)
HEADING = Letters("strong", TEXT, ROW)
PLAIN = Letters("caption", TEXT, ROW)


class Page:
    """A page that is filled from its top.

    Parameters
    ----------
    prefix : str
        Of the ids: a letter, then up to 63 letters, digits, ``-`` and ``_``.
    theme : {"auto", "light", "dark"}
    look : Look
    title, description : str
        The short and the long alternative text.

    Raises
    ------
    InvalidQuantityError
        For a prefix or a theme that there is not.
    """

    def __init__(self, prefix: str, theme: Theme, look: Look, title: str, description: str) -> None:
        if not _PREFIX.fullmatch(prefix):
            raise InvalidQuantityError(prefix, "a letter, then up to 63 letters, digits, - and _")
        self._root = Element("svg", {"xmlns": "http://www.w3.org/2000/svg", "id": prefix, "role": "img"})
        ids = [f"{prefix}-title", f"{prefix}-description"]
        self._root.set("aria-labelledby", " ".join(ids))
        for tag, key, words in zip(("title", "desc"), ids, (title, description), strict=True):
            SubElement(self._root, tag, {"id": key}).text = words
        SubElement(self._root, "style").text = style_sheet(prefix, theme, look)
        self._paper = SubElement(self._root, "rect", {"class": "paper", "width": number(WIDTH)})
        #: What is drawn.
        self.body = SubElement(self._root, "g")
        #: Where the next thing begins.
        self.top = MARGIN

    def write(self, letters: Letters, content: str, left: float = LEFT, lines: int = _LINES) -> None:
        """Write a text to the right of ``left`` in so many lines at most, and go on below it."""
        room = RIGHT - left
        for row in rows_of(content, letters, room, lines):
            text(self.body, letters.kind, Point(left, self.top + letters.size), row, letters.size, "start")
            self.top += letters.row

    def finished(self) -> str:
        """Give the page as one SVG element, as tall as it was filled."""
        height = self.top + MARGIN
        self._paper.set("height", number(height))
        self._root.set("viewBox", f"0 0 {number(WIDTH)} {number(height)}")
        self._root.set("width", number(_SHOWN_WIDTH))
        self._root.set("height", number(height * _SHOWN_WIDTH / WIDTH))
        self._root.set("style", "max-width: 100%; height: auto")
        return tostring(self._root, encoding="unicode")


def rows_of(content: str, letters: Letters, room: float, lines: int) -> tuple[str, ...]:
    """Give a text of any length in rows no wider than ``room``, in so many lines at most, the last one cut."""
    enough = _begun(content, letters, lines * (room + letters.size))
    return broken(enough, letters.size, room, lines, is_bold=letters.is_bold)


def _begun(content: str, letters: Letters, most: float) -> str:
    """Give a text until it is wider than fits: to cut what goes on and on letter by letter takes far too long."""
    wide = accumulate(width(letter, letters.size, is_bold=letters.is_bold) for letter in content)
    return content[: next((count for count, so_far in enumerate(wide, 1) if so_far > most), len(content))]
