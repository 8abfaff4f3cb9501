"""How wide text may come out in a face that nobody knows, and how it is broken to fit."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Mapping
from types import MappingProxyType

#: Widths in ems by letter: those of a wide sans serif (DejaVu Sans 2.37), each group's widest rounded up.
_EMS: Mapping[str, float] = MappingProxyType(
    {
        letter: ems
        for letters, ems in (
            (" \N{NO-BREAK SPACE}\N{NARROW NO-BREAK SPACE}", 0.32),
            ("ijlIrft|.,:;'!()[]/-", 0.43),
            ("0123456789", 0.64),
            ("mwMW%@&#^+=<>~…", 1.0),
        )
        for letter in letters
    }
)
_CAPITAL, _USUAL, _FOREIGN = 0.79, 0.65, 1.05
#: Letters that are no wider than capitals, where others beyond ASCII may be.
_LIKE_CAPITALS = frozenset("Ø\N{MULTIPLICATION SIGN}·")
#: Bold letters are wider by so much at most.
_BOLD = 1.15
#: Marks over one letter that are kept: more of them would grow into the lines around.
_MOST_MARKS = 2
#: Spaces that no line ends at.
_UNBREAKABLE = frozenset("\N{NO-BREAK SPACE}\N{NARROW NO-BREAK SPACE}")
#: They join letters of scripts that need it, and signs to one picture.
_JOINERS = frozenset("\u200c\u200d")


def plain(text: str) -> str:
    """Give text without what no picture can show: control and layout characters, and what is no character at all.

    Spaces and line ends of any kind become one space each, but for those that no line may end at.
    """
    return " ".join(_words("".join(_shown(text))))


def _words(text: str) -> list[str]:
    """Give what stands between spaces that a line may end at."""
    return [word for word in text.split(" ") if word]


def _shown(text: str) -> Iterator[str]:
    marks = 0
    for letter in text:
        kind = unicodedata.category(letter)
        marks = marks + 1 if kind[0] == "M" else 0
        if letter.isspace():
            yield letter if letter in _UNBREAKABLE else " "
        elif marks <= _MOST_MARKS and (kind not in ("Cc", "Cf", "Cs", "Cn", "Co") or letter in _JOINERS):
            yield letter


def width(text: str, size: float, *, is_bold: bool = False) -> float:
    """Give what width a line of text takes at most, in the unit of ``size``."""
    return sum(map(_ems, text)) * size * (_BOLD if is_bold else 1.0)


def _ems(letter: str) -> float:
    if letter in _EMS:
        return _EMS[letter]
    if letter.isascii() or letter in _LIKE_CAPITALS:
        return _USUAL if letter.islower() else _CAPITAL
    if letter in _JOINERS or unicodedata.category(letter)[0] == "M":
        return 0.0
    # A sign that stands for several letters is as wide as they are.
    return _FOREIGN * len(unicodedata.normalize("NFKC", letter))


def cut(text: str, size: float, most: float, *, is_bold: bool = False) -> str:
    """Give as much of a text as goes into a width, with an ellipsis where some is left out."""
    if width(text, size, is_bold=is_bold) <= most:
        return text
    while text and width(text + "…", size, is_bold=is_bold) > most:
        text = text[:-1]
    return text.rstrip() + "…"


def broken(text: str, size: float, most: float, lines: int, *, is_bold: bool = False) -> tuple[str, ...]:
    """Give a text in lines of a width, the last one cut where there are not enough of them.

    Parameters
    ----------
    text : str
    size, most : float
        Size of the letters, and the width of a line.
    lines : int
        The most, 1 or more.
    is_bold : bool
    """
    found: list[str] = []
    words = _words(text)
    while words and len(found) < lines - 1:
        count = _fitting(words, size, most, is_bold)
        found.append(cut(" ".join(words[:count]), size, most, is_bold=is_bold))
        words = words[count:]
    return (*found, cut(" ".join(words), size, most, is_bold=is_bold)) if words else tuple(found)


def _fitting(words: list[str], size: float, most: float, is_bold: bool) -> int:
    """Give how many words go on a line: one at least."""
    count = 1
    while count < len(words) and width(" ".join(words[: count + 1]), size, is_bold=is_bold) <= most:
        count += 1
    return count
