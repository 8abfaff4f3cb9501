"""The colours of a picture on light and on dark ground, and the style sheet that they make."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Literal, NamedTuple, TypeAlias, get_args

from mountwright.errors import InvalidQuantityError

#: ``auto`` follows what the reader has set; the others do not.
Theme: TypeAlias = Literal["auto", "light", "dark"]


class Palette(NamedTuple):
    """The colours of one ground, as ``#rrggbb``.

    Text keeps a contrast of 4.5 : 1 and every line one of 3 : 1 to the ground and to the fills that it may cross
    (WCAG 2.1, success criteria 1.4.3 and 1.4.11). The fills mean nothing, and may stay close to the ground.
    """

    ground: str
    tyre: str
    frame: str
    text: str
    line: str
    contact: str
    load: str
    clash: str

    @property
    def fills(self) -> tuple[str, ...]:
        """Give what lines may lie on."""
        return (self.ground, self.tyre, self.frame)

    @property
    def lines(self) -> tuple[str, ...]:
        """Give what is drawn as a line or a mark."""
        return (self.line, self.contact, self.load, self.clash)


LIGHT = Palette("#ffffff", "#e3e8ee", "#f1f3f6", "#16202b", "#44505d", "#0b6b3a", "#0b57d0", "#b3261e")
DARK = Palette("#12171d", "#2a323c", "#1d242c", "#e8edf3", "#a9b4c0", "#63d29a", "#8ab4f8", "#ff9a90")


class Look(NamedTuple):
    """How the classes of a picture are drawn, by selectors with spaces between.

    Parameters
    ----------
    shapes : Mapping[str, str]
        What is the same on every ground.
    colours : callable
        Gives the rest for a palette.
    """

    shapes: Mapping[str, str]
    colours: Callable[[Palette], Mapping[str, str]]


def _wheel_line_colours(palette: Palette) -> Mapping[str, str]:
    return {
        ".paper .hub .badge": f"fill: {palette.ground}",
        ".frame": f"fill: {palette.frame}",
        ".tyre .block": f"fill: {palette.tyre}",
        "text": f"fill: {palette.text}",
        ".axle": f"fill: {palette.line}",
        ".rim .hub .sole .deck .block .ground .gap .length": f"stroke: {palette.line}",
        ".contact": f"fill: {palette.contact}; stroke: {palette.contact}",
        ".idle": f"fill: {palette.ground}",
        ".arrow": f"fill: {palette.load}",
        ".shaft .plumb": f"stroke: {palette.load}",
        ".clashing .badge .cross": f"stroke: {palette.clash}",
    }


WHEEL_LINE = Look(
    MappingProxyType(
        {
            "text": "font-family: sans-serif",
            ".strong": "font-weight: bold",
            ".lifted": "stroke-dasharray: 5 3",
            ".plumb": "stroke-dasharray: 2 3",
            ".rim .sole .deck": "fill: none; stroke-linejoin: round",
        }
    ),
    _wheel_line_colours,
)


def style_sheet(scope: str, theme: Theme, look: Look = WHEEL_LINE) -> str:
    """Give the rules that draw and colour the element with the id ``scope``, and nothing outside of it.

    Raises
    ------
    InvalidQuantityError
        For a theme that there is not.
    """
    if theme not in get_args(Theme):
        raise InvalidQuantityError(theme, f"one of the themes {get_args(Theme)}")
    first = DARK if theme == "dark" else LIGHT
    rules = [_rules(scope, look.shapes), _rules(scope, look.colours(first))]
    if theme == "auto":
        rules.append(f"@media (prefers-color-scheme: dark) {{ {_rules(scope, look.colours(DARK))} }}")
    return " ".join(rules)


def _rules(scope: str, rules: Mapping[str, str]) -> str:
    """Give rules of which each is kept to the scope, whatever else has a class of that name on the page."""
    return " ".join(
        ", ".join(f"#{scope} {kind}" for kind in kinds.split()) + f" {{ {rule} }}" for kinds, rule in rules.items()
    )
