"""QR codes for paper: read back by another's reader, and never finer than a telephone sees."""

from __future__ import annotations

import numpy as np
import pytest
import zxingcpp

from mountwright.drawing.qr import Code, qr_code

ADDRESS = "https://fits.example.com/v1/bench-cards?q="

#: Longest address of a code of version 25 at level M, bytes (ISO/IEC 18004, table 7).
LONGEST = 997


def code(letters: int) -> Code | None:
    """Give the code of an address of so many letters."""
    return qr_code((ADDRESS + "eNqrVkosLcmIL0os" * 80)[:letters])


class TestCode:
    """A code ..."""

    @pytest.mark.parametrize("letters", [43, 200, 500, 800, LONGEST])
    def test_is_read_back(self, letters: int) -> None:
        """... is read by an independent reader as the address that went in."""
        made = code(letters)
        assert made is not None
        drawn = np.where(np.kron(np.array(made.rows), np.ones((4, 4))), 0, 255).astype(np.uint8)

        assert [made.address] == [found.text for found in zxingcpp.read_barcodes(drawn)]

    @pytest.mark.parametrize("letters", [43, 500, LONGEST])
    def test_has_modules_that_print(self, letters: int) -> None:
        """... has no module below 0.4 mm, and is no wider than 50 mm."""
        made = code(letters)
        assert made is not None

        assert 0.4 - 1e-9 <= made.side_mm / len(made.rows)
        assert made.side_mm <= 50

    def test_has_a_quiet_zone(self) -> None:
        """... has four light modules on every side (ISO/IEC 18004)."""
        made = code(100)
        assert made is not None
        rows = np.array(made.rows)

        assert not rows[:4].any()
        assert not rows[-4:].any()
        assert not rows[:, :4].any()
        assert not rows[:, -4:].any()
        assert rows[4, 4]

    @pytest.mark.parametrize("letters", [LONGEST + 1, 1200])
    def test_is_left_out_where_it_would_be_too_fine(self, letters: int) -> None:
        """... is none where the address needs a larger version."""
        assert code(letters) is None

    def test_is_left_out_where_there_is_none(self) -> None:
        """... is none for what no code holds at all."""
        assert qr_code(ADDRESS + "A" * 3600) is None

    def test_is_drawn_without_asking_anybody(self) -> None:
        """... stands in a page as data."""
        made = code(100)
        assert made is not None
        assert made.data_uri.startswith("data:image/svg+xml")
