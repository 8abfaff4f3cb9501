"""Sheets as PDF: what an independent reader finds stands where the sheet has it, to a few micrometres."""

from __future__ import annotations

import io
from collections.abc import Callable
from types import MappingProxyType
from typing import Any
from xml.etree.ElementTree import SubElement

import pytest
from pypdf import PdfReader

from mountwright.drawing.palette import Look
from mountwright.drawing.pdf import pdf
from mountwright.drawing.sheet import Paper, Sheet
from mountwright.drawing.svg import Point, circle, line, rect, text

Reading = Callable[[bytes], list[Any]]

LOOK = Look(MappingProxyType({".ring": "fill: none"}), lambda palette: {".ring .edge": f"stroke: {palette.text}"})


def sheet(paper: Paper = Paper.A4) -> Sheet:
    """Give an empty sheet."""
    return Sheet("trial", paper, LOOK, "A trial", "Nothing much.")


class TestShapes:
    """What is drawn ..."""

    @pytest.mark.parametrize("paper", Paper)
    def test_stands_where_the_sheet_has_it(self, read_pdf: Reading, paper: Paper) -> None:
        """... has its middle, its ends and its corners within a hundredth of a millimetre, and the page its size."""
        page = sheet(paper)
        circle(page.body, "ring", Point(33.3, 250.1), 3, 0.2)
        line(page.body, "edge", Point(10, 20), Point(10, 105.6), 0.2)
        rect(page.body, "ring", Point(92, 50), 53.98, 85.6, 0.2)

        (found,) = read_pdf(pdf([page], "t"))

        assert pytest.approx(paper.size, abs=0.001) == found.size
        assert [pytest.approx((33.3, 250.1, 3), abs=0.01)] == found.circles
        assert [pytest.approx((10, 20, 10, 105.6), abs=0.01)] == found.lines
        assert [pytest.approx((92, 50, 53.98, 85.6), abs=0.01)] == found.rectangles

    def test_may_stand_in_groups(self, read_pdf: Reading) -> None:
        """... is found in groups of groups, too."""
        page = sheet()
        circle(SubElement(SubElement(page.body, "g"), "g"), "ring", Point(20, 20), 5, 0.2)

        assert [pytest.approx((20, 20, 5), abs=0.01)] == read_pdf(pdf([page], "t"))[0].circles

    def test_without_a_colour_of_its_own_is_not_drawn(self, read_pdf: Reading) -> None:
        """... as a line has a class that gives it a colour; without, no picture shows it either."""
        page = sheet()
        line(page.body, "unknown", Point(10, 10), Point(20, 10), 0.2)

        assert [] == read_pdf(pdf([page], "t"))[0].lines


class TestDocument:
    """The document ..."""

    def test_has_a_page_for_each_sheet(self, read_pdf: Reading) -> None:
        """... has a page for each sheet, each of its own paper."""
        pages = read_pdf(pdf([sheet(), sheet(Paper.LETTER)], "t"))

        assert [(210.0, 297.0), (215.9, 279.4)] == [tuple(round(side, 3) for side in page.size) for page in pages]

    def test_is_the_same_each_time(self) -> None:
        """... has the same bytes for the same sheets."""
        assert pdf([sheet()], "t") == pdf([sheet()], "t")

    def test_asks_to_be_printed_at_its_true_size(self) -> None:
        """... tells the print dialogue not to fit it to the page."""
        reader = PdfReader(io.BytesIO(pdf([sheet()], "t")))

        assert "/None" == reader.viewer_preferences.print_scaling  # type: ignore[union-attr]  # it has some

    def test_carries_its_typeface(self, read_pdf: Reading) -> None:
        """... holds the letters that it shows, and names no face that a printer would have to have."""
        page = sheet()
        text(page.body, "word", Point(20, 20), "Ø 6,3 мм", 3, "start")
        body = pdf([page], "t")
        fonts = PdfReader(io.BytesIO(body)).pages[0]["/Resources"]["/Font"].values()  # type: ignore[index]  # a mapping

        assert ["Ø 6,3 мм"] == read_pdf(body)[0].texts
        assert [] == [font for font in fonts if "/FontFile2" not in font.get_object()["/FontDescriptor"]]

    def test_has_its_title(self) -> None:
        """... is called what its caller calls it."""
        assert "Two gauges" == PdfReader(io.BytesIO(pdf([sheet()], "Two gauges"))).metadata.title  # type: ignore[union-attr]
