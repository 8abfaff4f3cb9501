"""The instruments in the box: each says how far it is to be believed, and where that comes from."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from importlib import resources
from typing import Any

import pytest

from mountwright.measure.instruments import instruments
from mountwright.measure.quantity import thousandths

ROWS: Mapping[str, Mapping[str, Any]] = tomllib.loads(
    resources.files("mountwright.measure").joinpath("instruments.toml").read_text(encoding="utf-8")
)


def is_within(half_width: float, row: Mapping[str, Any], unit: str) -> bool:
    """Tell whether a half-width lies within the range that its row gives."""
    low, high = row[f"range_{unit}"]
    return bool(low <= half_width <= high)


def test_the_instruments_of_the_contract_are_there() -> None:
    """A reading can be taken with each instrument that the contract names."""
    assert {"steel_rule", "caliper", "printed_gauge", "photo", "maker_drawing"} <= set(instruments())
    assert set(ROWS) == set(instruments())


@pytest.mark.parametrize("name", ROWS)
class TestEveryInstrument:
    """Every instrument ..."""

    def test_says_what_its_figure_is(self, name: str) -> None:
        """... says whether its half-width is exact or an estimate, and what it is good for."""
        assert ROWS[name]["standing"] in {"exact", "estimate"}
        assert ROWS[name]["note"]

    def test_reads_something(self, name: str) -> None:
        """... reads millimetres or degrees, in the whole thousandths of its row."""
        row = ROWS[name]
        expected = {u: thousandths(row[f"half_width_{u}"]) for u in ("mm", "deg") if f"half_width_{u}" in row}

        assert expected == instruments()[name].half_widths
        assert expected

    def test_has_its_estimate_within_the_range(self, name: str) -> None:
        """... that is an estimate gives a range around its half-width; an exact one has no doubt at all."""
        row, units = ROWS[name], instruments()[name].half_widths
        exact = row["standing"] == "exact"

        assert all(width == 0 if exact else is_within(width / 1000, row, unit) for unit, width in units.items())


class TestMethods:
    """A named way to use an instrument ..."""

    def test_has_a_half_width_of_its_own(self) -> None:
        """... has a half-width of its own: a rule from edge to edge is good for half a millimetre."""
        assert {"centre_to_centre": 1000, "edge_to_edge": 500} == instruments()["steel_rule"].methods

    def test_stays_within_the_range_of_its_instrument(self) -> None:
        """... stays within the range that the instrument gives."""
        methods = [(name, width) for name, found in instruments().items() for width in found.methods.values()]

        assert all(is_within(width / 1000, ROWS[name], "mm") for name, width in methods)

    def test_is_not_needed(self) -> None:
        """... is not needed: a caliper has none."""
        assert {} == instruments()["caliper"].methods


def test_a_drawing_is_exact() -> None:
    """A maker's drawing has no doubt, in millimetres and in degrees."""
    assert {"mm": 0, "deg": 0} == instruments()["maker_drawing"].half_widths


def test_the_half_widths_cannot_be_changed() -> None:
    """The table is read once and shared, so nobody can write to it."""
    with pytest.raises(TypeError):
        instruments()["caliper"].half_widths["mm"] = 0  # type: ignore[index]  # it is the point


class TestLeast:
    """What an instrument reads at its closest ..."""

    def test_is_told_of_a_photo_alone(self) -> None:
        """... is told of a photo alone: its errors leave no trace, and 2 mm hold 165 and 167 together."""
        least = {name: dict(found.least) for name, found in instruments().items() if found.least}

        assert {"photo": {"mm": 2000}} == least

    def test_lies_within_its_range_and_below_the_usual(self) -> None:
        """... lies within the range that its row gives, and is no more than what it usually reads."""
        row = ROWS["photo"]
        low, high = row["least_range_mm"]

        assert low <= row["least_half_width_mm"] <= min(high, row["half_width_mm"])
