"""How wide text may be, and what is left of text from anywhere."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.drawing.lettering import broken, cut, plain, width

# Advance widths of U+0020 to U+007E, units of 2,048 to the em (DejaVu Sans and DejaVu Sans Bold 2.37, table hmtx).
REGULAR = """
651 821 942 1716 1303 1946 1597 563 799 799 1024 1716 651 739 651 690 1303 1303 1303 1303 1303 1303 1303 1303 1303 1303
690 690 1716 1716 1716 1087 2048 1401 1405 1430 1577 1294 1178 1587 1540 604 604 1343 1141 1767 1532 1612 1235 1612
1423 1300 1251 1499 1401 2025 1403 1251 1403 799 690 799 1716 1024 1024 1255 1300 1126 1300 1260 721 1300 1298 569 569
1186 569 1995 1298 1253 1300 1300 842 1067 803 1298 1212 1675 1212 1212 1075 1303 690 1303 1716
"""
BOLD = """
713 934 1067 1716 1425 2052 1786 627 936 936 1071 1716 778 850 778 748 1425 1425 1425 1425 1425 1425 1425 1425 1425 1425
819 819 1716 1716 1716 1188 2048 1585 1561 1503 1700 1399 1399 1681 1714 762 762 1587 1305 2038 1714 1741 1501 1741
1577 1475 1397 1663 1585 2259 1579 1483 1485 936 748 936 1716 1024 1024 1382 1466 1214 1466 1389 891 1466 1458 702 702
1362 702 2134 1458 1407 1466 1466 1010 1219 979 1458 1335 1892 1321 1335 1192 1458 748 1458 1716
"""


class TestWidth:
    """The width of a line ..."""

    @pytest.mark.parametrize(("table", "is_bold"), [(REGULAR, False), (BOLD, True)], ids=["regular", "bold"])
    def test_is_at_least_that_of_a_wide_face(self, table: str, is_bold: bool) -> None:
        """... is at least what each letter takes in one of the widest faces, and not much more over all."""
        letters = [chr(code) for code in range(0x20, 0x7F)]
        advances = [int(each) / 2048 for each in table.split()]
        taken = [width(letter, 1, is_bold=is_bold) for letter in letters]

        assert [] == [letter for letter, most, em in zip(letters, taken, advances, strict=True) if most < em]
        assert sum(taken) < 1.25 * sum(advances)

    def test_counts_wide_signs_and_no_marks(self) -> None:
        """... counts what is as wide as it is tall in full, marks over a letter not at all, a sign for many as many."""
        assert width("車", 10) >= 10
        assert width("e\u0301", 10) == width("e", 10)
        assert width("\ufdfa", 10) > 100


class TestPlainText:
    """Plain text ..."""

    @given(st.text(st.characters(exclude_categories=[])))
    def test_has_nothing_that_xml_or_a_line_cannot_hold(self, text: str) -> None:
        """... has no control, layout or lone surrogate character, whatever comes in, and is plain from then on."""
        found = plain(text)

        assert {unicodedata.category(letter) for letter in found} & {"Cc", "Cs", "Cn", "Co", "Zl", "Zp"} == set()
        assert found == plain(found)

    @pytest.mark.parametrize(
        ("text", "expected"),
        [
            ("a\tb\r\n c", "a b c"),
            ("a\x00b\x1bc\ufffed", "abcd"),
            ("\u202eevil", "evil"),
            ("क्\u200dष", "क्\u200dष"),
            ("z" + "\u0321" * 40 + "!", "z\u0321\u0321!"),
            (" 4 Ø80 <mm> ", "4 Ø80 <mm>"),
        ],
        ids=["space", "control", "direction", "joiner", "marks", "kept"],
    )
    def test_keeps_what_can_be_read(self, text: str, expected: str) -> None:
        """... keeps letters, signs and joiners, one space for any, and two marks a letter."""
        assert expected == plain(text)


class TestBrokenText:
    """Broken text ..."""

    @given(st.text(max_size=200).map(plain), st.floats(60, 300), st.integers(1, 4))
    def test_fits(self, text: str, most: float, lines: int) -> None:
        """... has no more lines than allowed, and none too wide."""
        found = broken(text, 12, most, lines)

        assert len(found) <= lines
        assert all(width(line, 12) <= most for line in found)

    @given(st.text("ab ", max_size=60).map(plain))
    def test_loses_nothing_while_there_is_room(self, text: str) -> None:
        """... has all its words, in order, where there are lines for them."""
        words = [word[:20] for word in text.split()]

        assert words == " ".join(broken(" ".join(words), 12, 200, 60)).split()

    def test_says_that_something_is_left_out(self) -> None:
        """... ends in an ellipsis where it is not whole."""
        assert ("one two", "three f…") == broken("one two three four five", 12, 56, 2)
        assert "…" == cut("abc", 12, 13)[-1]
