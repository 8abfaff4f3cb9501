"""Alternatives are faint, and can be seen all the same."""

from __future__ import annotations

import pytest

from mountwright.drawing.palette import DARK, LIGHT, Palette, style_sheet
from mountwright.drawing.path_look import PATH, WAY_OPACITY


@pytest.mark.parametrize("palette", [LIGHT, DARK], ids=["light", "dark"])
class TestLook:
    """The look of a path ..."""

    def test_has_alternatives_that_can_be_seen(self, palette: Palette) -> None:
        """... has alternatives fainter than other lines, and of 3 : 1 to the ground (WCAG 2.1, 1.4.11)."""
        seen = _blended(palette.line, palette.ground, WAY_OPACITY)

        assert 3 <= _contrast(seen, palette.ground) < _contrast(palette.line, palette.ground)
        assert f"#path .way {{ stroke-opacity: {WAY_OPACITY} }}" in style_sheet("path", "auto", PATH)

    def test_keeps_to_the_palette(self, palette: Palette) -> None:
        """... has no colour but those of the palette, of which the contrasts are known."""
        colours = {rule.rpartition(" ")[2] for rule in PATH.colours(palette).values()}

        assert colours <= {palette.ground, palette.text, palette.tyre, *palette.lines}


def _blended(over: str, under: str, opacity: float) -> str:
    """Give the colour of one that lets another through."""
    parts = ((int(over[at : at + 2], 16), int(under[at : at + 2], 16)) for at in (1, 3, 5))
    return "#" + "".join(f"{round(opacity * high + (1 - opacity) * low):02x}" for high, low in parts)


def _contrast(one: str, other: str) -> float:
    """Give the contrast of two colours (WCAG 2.1, definition of contrast ratio)."""
    low, high = sorted(map(_luminance, (one, other)))
    return (high + 0.05) / (low + 0.05)


def _luminance(colour: str) -> float:
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
