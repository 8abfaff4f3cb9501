"""The typeface within a PDF: which letters it has."""

from __future__ import annotations

import pytest

from mountwright.drawing.typeface import BOLD, REGULAR, faces, lacking


class TestLacking:
    """The typeface ..."""

    @pytest.mark.parametrize("text", ["Rollschuh: größer, weiß", "Œuvre à 6,3 mm", "Σχάρα", "Колесо", "a\tb\nc", ""])
    def test_has_the_letters_of_europe(self, text: str) -> None:
        """... has Latin, Greek and Cyrillic letters, and spaces are none."""
        assert () == lacking(text)

    def test_names_what_it_lacks_once(self) -> None:
        """... names each letter that it lacks once, in their order."""
        assert ("輪", "付") == lacking("輪 wheel 付 輪")

    def test_knows_both_weights(self) -> None:
        """... comes in two weights, and one has no letter that the other lacks."""
        regular, bold = (set(faces()[name].face.charToGlyph) for name in (REGULAR, BOLD))

        assert regular == bold
