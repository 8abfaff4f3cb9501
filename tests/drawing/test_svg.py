"""Figures as they stand in a picture."""

from __future__ import annotations

import pytest

from mountwright.drawing.svg import number


class TestNumber:
    """A figure ..."""

    @pytest.mark.parametrize(
        ("value", "expected"),
        [
            (0, "0"),
            (-0.0, "0"),
            (-0.0004, "0"),
            (10, "10"),
            (1.5, "1.5"),
            (2 / 3, "0.667"),
            (1e-9, "0"),
            (-12.25, "-12.25"),
        ],
    )
    def test_has_three_decimals_at_most(self, value: float, expected: str) -> None:
        """... has three decimals at most, no noughts behind them, and no minus before nothing."""
        assert expected == number(value)
