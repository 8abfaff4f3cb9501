"""A sheet of paper that is drawn on in millimetres, to be printed at its true size: as SVG, or as a page of a PDF."""

from __future__ import annotations

from enum import StrEnum
from typing import NamedTuple
from xml.etree.ElementTree import Element, SubElement, tostring

from mountwright.drawing.palette import Look, style_sheet
from mountwright.drawing.svg import number


class Size(NamedTuple):
    """A size of paper, upright, millimetres."""

    width_mm: float
    height_mm: float


class Paper(StrEnum):
    """The papers that printers hold."""

    A4 = "a4"
    LETTER = "letter"

    @property
    def size(self) -> Size:
        """Give its size: ISO 216, and ANSI/ASME Y14.1 A (8.5 by 11 inches)."""
        return Size(210.0, 297.0) if self is Paper.A4 else Size(215.9, 279.4)


class Sheet:
    """An upright sheet; whatever is drawn on its body stands in millimetres from the upper left corner.

    Parameters
    ----------
    prefix : str
        Of the ids.
    paper : Paper
    look : Look
        Drawn in the colours of light ground: paper is white.
    title, description : str
        The short and the long alternative text.
    """

    def __init__(self, prefix: str, paper: Paper, look: Look, title: str, description: str) -> None:
        self.paper, self.look, self.title = paper, look, title
        width, height = (number(side) for side in paper.size)
        self._root = Element("svg", {"xmlns": "http://www.w3.org/2000/svg", "id": prefix, "role": "img"})
        self._root.attrib |= {"width": f"{width}mm", "height": f"{height}mm", "viewBox": f"0 0 {width} {height}"}
        ids = [f"{prefix}-title", f"{prefix}-description"]
        self._root.set("aria-labelledby", " ".join(ids))
        for tag, key, words in zip(("title", "desc"), ids, (title, description), strict=True):
            SubElement(self._root, tag, {"id": key}).text = words
        SubElement(self._root, "style").text = style_sheet(prefix, "light", look)
        #: What is drawn.
        self.body = SubElement(self._root, "g")

    def svg(self) -> str:
        """Give the sheet as one SVG element, at its true size."""
        return tostring(self._root, encoding="unicode")
