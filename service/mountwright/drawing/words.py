"""What the pictures say, in English where a caller brings no other words for it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache

from mountwright.drawing.lettering import plain
from mountwright.messages import catalogue

#: Group of the words in the message catalogue.
PICTURE = "picture"

_FIGURE = re.compile(r"[-\N{MINUS SIGN}]?\d+\.\d+")


@cache
def english() -> Mapping[str, str]:
    """Give the English templates by key, with ``{name}`` for figures."""
    return catalogue({}).group(PICTURE)


class Words:
    """The words of one picture: those that a caller brings, English for the rest.

    Parameters
    ----------
    own : Mapping[str, str]
        Templates by key; ``decimal_mark`` is what stands between whole and parts.
    """

    def __init__(self, own: Mapping[str, str]) -> None:
        self._templates = {**english(), **own}

    def say(self, key: str, **figures: object) -> str:
        """Give the words for a key with its figures, on one line."""
        return plain(self._templates[key].format_map({name: self._said(value) for name, value in figures.items()}))

    def _said(self, value: object) -> object:
        """Give a figure as it is written; whatever else it is stays as it is."""
        is_figure = isinstance(value, str) and _FIGURE.fullmatch(value)
        return str(value).replace(".", self._templates["decimal_mark"]) if is_figure else value


def figure(value: float, decimals: int = 2) -> str:
    """Give a figure as a reader wants it: no noughts at its end, and a true minus."""
    text = f"{value:.{decimals}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text.replace("-", "\N{MINUS SIGN}")
