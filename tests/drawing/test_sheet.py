"""A sheet in millimetres, as SVG."""

from __future__ import annotations

from types import MappingProxyType
from xml.etree.ElementTree import fromstring

import pytest

from mountwright.drawing.palette import Look
from mountwright.drawing.sheet import Paper, Sheet

LOOK = Look(MappingProxyType({}), lambda palette: {"text": f"fill: {palette.text}"})
SVG = "{http://www.w3.org/2000/svg}"


class TestSheet:
    """A sheet ..."""

    @pytest.mark.parametrize(("paper", "width", "height"), [(Paper.A4, "210", "297"), (Paper.LETTER, "215.9", "279.4")])
    def test_is_as_large_as_its_paper(self, paper: Paper, width: str, height: str) -> None:
        """... measures in millimetres what the paper does, and one of its units is one of them."""
        root = fromstring(Sheet("s", paper, LOOK, "Title", "More.").svg())  # noqa: S314  # our own picture

        assert (f"{width}mm", f"{height}mm") == (root.get("width"), root.get("height"))
        assert f"0 0 {width} {height}" == root.get("viewBox")

    def test_says_what_it_shows(self) -> None:
        """... is an image with a short and a long text for who does not see it."""
        root = fromstring(Sheet("s", Paper.A4, LOOK, "Title & more", "All of it.").svg())  # noqa: S314  # our own picture
        told = {each.get("id"): each.text for each in root if each.tag in (f"{SVG}title", f"{SVG}desc")}

        assert {"s-title": "Title & more", "s-description": "All of it."} == told
        assert ("img", "s-title s-description") == (root.get("role"), root.get("aria-labelledby"))

    def test_keeps_the_colours_of_paper(self) -> None:
        """... is drawn for light ground whatever the reader has set: paper is white."""
        assert "prefers-color-scheme" not in Sheet("s", Paper.A4, LOOK, "t", "d").svg()
