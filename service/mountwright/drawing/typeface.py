"""The typeface that a PDF carries within it, and which letters it has: Latin, Greek, Cyrillic and a few signs."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib import resources
from types import MappingProxyType

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

#: Names of the two weights within a PDF.
REGULAR, BOLD = "mountwright-regular", "mountwright-bold"

#: Source Sans Pro, SIL Open Font License 1.1, as the distribution font-source-sans-pro brings it.
_FILES = {REGULAR: "SourceSansPro-Regular.ttf", BOLD: "SourceSansPro-Bold.ttf"}


@cache
def faces() -> Mapping[str, TTFont]:
    """Give both weights by name, made known to the writer of PDFs."""
    found = {name: _face(name, file) for name, file in _FILES.items()}
    for face in found.values():
        pdfmetrics.registerFont(face)
    return MappingProxyType(found)


def _face(name: str, file: str) -> TTFont:
    with resources.as_file(resources.files("font_source_sans_pro").joinpath("files", file)) as path:
        return TTFont(name, str(path))


def lacking(text: str) -> tuple[str, ...]:
    """Give the letters of a text that the typeface lacks, each once, in their order; spaces and line ends are none."""
    known = faces()[REGULAR].face.charToGlyph
    return tuple(letter for letter in dict.fromkeys(text) if ord(letter) not in known and letter not in "\n\r\t")
