"""Colours that can be told apart, and rules that stay where they belong."""

from __future__ import annotations

import re

import pytest

from mountwright.drawing.palette import DARK, LIGHT, Palette, style_sheet
from mountwright.errors import InvalidQuantityError


def luminance(colour: str) -> float:
    """Give the relative luminance of ``#rrggbb`` (WCAG 2.1, definition of relative luminance)."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Give the contrast of two colours (WCAG 2.1, definition of contrast ratio)."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_contrast_is_that_of_the_guidelines() -> None:
    """Black on white has 21 : 1, and #767676 is the lightest grey with 4.5 : 1 on white (WCAG 2.1, technique G18)."""
    assert pytest.approx(21) == contrast("#000000", "#ffffff")
    assert contrast("#777777", "#ffffff") < 4.5 <= contrast("#767676", "#ffffff")


@pytest.mark.parametrize("palette", [LIGHT, DARK], ids=["light", "dark"])
class TestPalette:
    """A palette ..."""

    def test_has_text_that_can_be_read(self, palette: Palette) -> None:
        """... has text of 4.5 : 1 at least on whatever it may lie on (WCAG 2.1, 1.4.3)."""
        assert 4.5 <= min(contrast(palette.text, fill) for fill in palette.fills)

    def test_has_lines_that_can_be_seen(self, palette: Palette) -> None:
        """... has lines and marks of 3 : 1 at least on whatever they may cross (WCAG 2.1, 1.4.11)."""
        assert 3 <= min(contrast(line, fill) for line in palette.lines for fill in palette.fills)

    def test_counts_every_colour(self, palette: Palette) -> None:
        """... has no colour that is neither text, nor line, nor fill."""
        assert set(palette) == {palette.text, *palette.lines, *palette.fills}


class TestStyleSheet:
    """A style sheet ..."""

    def test_follows_the_reader(self) -> None:
        """... has the light colours, and the dark ones for who wants them."""
        light, dark = style_sheet("x", "auto").split("@media (prefers-color-scheme: dark)")

        assert (True, False) == (LIGHT.text in light, DARK.text in light)
        assert (False, True) == (LIGHT.text in dark, DARK.text in dark)

    @pytest.mark.parametrize(("theme", "kept", "left"), [("light", LIGHT, DARK), ("dark", DARK, LIGHT)])
    def test_keeps_to_what_was_asked_for(self, theme: str, kept: Palette, left: Palette) -> None:
        """... has the colours of one ground alone where that is asked for."""
        found = style_sheet("x", theme)  # type: ignore[arg-type]  # one of the themes

        assert set(kept) <= set(re.findall(r"#[0-9a-f]{6}", found))
        assert not set(left) & set(re.findall(r"#[0-9a-f]{6}", found))
        assert "@media" not in found

    def test_stays_in_its_scope(self) -> None:
        """... colours nothing outside of the picture, also where a rule has several selectors."""
        rules = re.sub(r"@media [^{]*\{(.*)\}", r"\1", style_sheet("one", "auto"))
        selectors = [each.strip() for rule in rules.split("}")[:-1] for each in rule.split("{")[0].split(",")]

        assert len(selectors) > 20
        assert all(selector.startswith("#one ") for selector in selectors)

    def test_refuses_a_theme_that_there_is_not(self) -> None:
        """... is not made for a ground that nobody knows."""
        with pytest.raises(InvalidQuantityError, match="one of the themes"):
            style_sheet("x", "sepia")  # type: ignore[arg-type]  # what is tested
