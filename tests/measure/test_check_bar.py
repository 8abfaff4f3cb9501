"""The check bar of a printed gauge: the printer's scale is taken out of a reading, and the bar's doubt put in."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.errors import InvalidQuantityError
from mountwright.measure.check_bar import CheckBar
from mountwright.measure.instruments import instruments
from mountwright.measure.quantity import Quantity

BAR = CheckBar(85_600, 200, 0.9, 1.1)
LINES = 400 / math.sqrt(3)


def read(value: int, doubt: float = LINES) -> Quantity:
    """Give a reading off a print, micrometres."""
    return Quantity(value, doubt, "printed_gauge")


class TestCorrected:
    """A corrected reading ..."""

    def test_of_a_small_print_is_smaller_than_what_was_read(self) -> None:
        """... takes from a print of 97 %, on which 165 mm reach to the line of 170.103, what the printer put on."""
        assert 165_000 == BAR.corrected(read(170_103), 83_032).value

    def test_of_a_large_print_is_larger_than_what_was_read(self) -> None:
        """... adds to a print of 103 %, on which 165 mm reach to the line of 160.194 only."""
        assert 165_000 == BAR.corrected(read(160_194), 88_168).value

    def test_of_a_true_print_is_what_was_read(self) -> None:
        """... stays what it was where the bar came out as it was drawn."""
        assert 165_300 == BAR.corrected(read(165_300), 85_600).value

    def test_is_in_doubt_by_the_bar_too(self) -> None:
        """... is in doubt by the reading and, as much more as it is longer than the bar, by the bar's measurement."""
        expected = math.hypot(400 / math.sqrt(3), 165_000 / 85_600 * 200 / math.sqrt(3))

        assert pytest.approx(expected) == BAR.corrected(read(165_000), 85_600).standard_uncertainty

    def test_keeps_its_instrument(self) -> None:
        """... is still told as one off a printed gauge."""
        assert "printed_gauge" == BAR.corrected(read(165_000), 85_000).instrument

    @given(length=st.integers(1_000, 220_000), scale=st.floats(0.9, 1.1))
    def test_is_the_true_length_whatever_the_scale(self, length: int, scale: float) -> None:
        """... is what lay on the print, to the few micrometres that both figures were rounded by."""
        found = BAR.corrected(read(round(length / scale)), round(85_600 * scale))

        assert abs(length - found.value) <= 1 + length / 85_600

    @given(length=st.integers(1_000, 220_000), bar=st.integers(77_040, 94_160))
    def test_propagates_as_small_shifts_do(self, length: int, bar: int) -> None:
        """... is in doubt by what a shift of each figure by its own doubt would move it, squared and added."""
        shift = 200 / math.sqrt(3)
        by_reading, by_bar = LINES * bar / 85_600, length * shift / 85_600

        assert pytest.approx(math.hypot(by_reading, by_bar)) == BAR.corrected(read(length), bar).standard_uncertainty

    @pytest.mark.parametrize("bar", [77_039, 94_161, 0, -85_600])
    def test_is_refused_for_a_bar_that_no_printer_makes(self, bar: int) -> None:
        """... is refused where another line was measured than the bar."""
        with pytest.raises(InvalidQuantityError):
            BAR.corrected(read(165_000), bar)

    @pytest.mark.parametrize("bar", [77_040, 94_160])
    def test_is_given_at_either_end(self, bar: int) -> None:
        """... is given for the most that a printer may do, either way."""
        assert BAR.corrected(read(100_000), bar).value == round(100_000 * bar / 85_600)


class TestBar:
    """A check bar ..."""

    def test_is_as_long_as_a_bank_card(self) -> None:
        """... is the long edge of an ID-1 card (ISO/IEC 7810), on the gauge alone."""
        bars = {name: each.check_bar for name, each in instruments().items() if each.check_bar is not None}

        assert {"printed_gauge": 85_600} == {name: bar.length_um for name, bar in bars.items()}

    @pytest.mark.parametrize(
        ("length", "least", "most"), [(0, 0.9, 1.1), (-1, 0.9, 1.1), (85_600, 1.1, 0.9), (1, 0, 1)]
    )
    def test_that_cannot_be_is_refused(self, length: int, least: float, most: float) -> None:
        """... has a length, and scales with the lower one first."""
        with pytest.raises(InvalidQuantityError):
            CheckBar(length, 200, least, most)
