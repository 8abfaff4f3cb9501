"""The headings of a CSV file, and the column that a place in a record has."""

from __future__ import annotations

from typing import Any

import pytest

from mountwright.catalogue.csv_cells import Shape
from mountwright.catalogue.csv_headings import Column, column, column_of, in_order
from mountwright.messages import Fault
from mountwright.mounts.kinds import specs

RECORD: dict[str, Any] = {
    "sku": "wheel-80",
    "specs": {"diameter_mm": 80, "grip_mm": 3},
    "mounts": [{"position": "axle"}, {"position": "axle", "side": "bearing"}, {"position": "hub", "side": "wheel"}],
}
GROUPS = {"axle", "axle/bearing", "hub"}


class TestColumn:
    """A heading ..."""

    @pytest.mark.parametrize(
        ("heading", "place", "shape"),
        [
            ("sku", ("sku",), Shape.TEXT),
            (" stock ", ("stock",), Shape.NUMBER),
            ("links", ("links",), Shape.WORDS),
            ("comes_with", ("comes_with",), Shape.CONTENTS),
            ("diameter_mm", ("specs", "diameter_mm"), Shape.NUMBER),
            ("takes_brake", ("specs", "takes_brake"), Shape.FLAG),
            ("fastening", ("specs", "fastening"), Shape.WORDS),
            ("soles", ("specs", "soles"), Shape.JSON),
            ("specs.grip_mm", ("specs", "grip_mm"), Shape.NUMBER),
            ("specs.soles", ("specs", "soles"), Shape.JSON),
            ("frame.standard", ("mounts", "frame", "standard"), Shape.TEXT),
            ("axle/bearing.damage", ("mounts", "axle/bearing", "damage"), Shape.WORDS),
            ("frame.patterns", ("mounts", "frame", "patterns"), Shape.JSON),
            ("frame.seen.heel", ("mounts", "frame", "seen", "heel"), Shape.TEXT),
            ("frame.gap_mm", ("mounts", "frame", "dimensions", "gap_mm", "value"), Shape.NUMBER),
            ("frame.gap_mm.plus_minus", ("mounts", "frame", "dimensions", "gap_mm", "plus_minus"), Shape.NUMBER),
            ("frame.gap_mm.check_bar_mm", ("mounts", "frame", "dimensions", "gap_mm", "check_bar_mm"), Shape.NUMBER),
            ("frame.tilt_deg.lock", ("mounts", "frame", "dimensions", "tilt_deg", "lock"), Shape.TEXT),
        ],
    )
    def test_stands_for_a_place_in_the_record(self, heading: str, place: tuple[str, ...], shape: Shape) -> None:
        """... stands for one place in the record, white space around it aside."""
        assert Column(heading.strip(), place, shape) == column(heading)

    @pytest.mark.parametrize(
        ("heading", "near"),
        [
            ("SKU", "sku"),
            ("colur", "colour"),
            ("diametr_mm", "diameter_mm"),
            ("Diameter_mm", "diameter_mm"),
            ("frame.standrd", "frame.standard"),
            ("frame.claimedby", "frame.claimed_by"),
            ("Frame.gap_mm", "frame.gap_mm"),
            ("frame.gap_mm.plusminus", "frame.gap_mm.plus_minus"),
        ],
    )
    def test_that_is_misspelt_leads_to_the_nearest(self, heading: str, near: str) -> None:
        """... that is misspelt is told the one that was most likely meant."""
        assert Fault("import.unknown_heading_near", {"found": repr(heading), "near": near}) == column(heading)

    @pytest.mark.parametrize(
        ("heading", "near"), [("diameter", "diameter_mm"), ("hardness", "hardness_shore_a"), ("mass", "mass_g")]
    )
    def test_without_its_unit_leads_to_the_name_with_it(self, heading: str, near: str) -> None:
        """... of a figure without its unit is told the whole name."""
        assert Fault("request.unit_missing", {"found": repr(heading), "near": near}) == column(heading)

    @pytest.mark.parametrize("heading", ["frame.hole_spacing", "frame.hole_spacing_cm", "axle/hub.width.plus_minus"])
    def test_of_a_dimension_needs_a_unit(self, heading: str) -> None:
        """... of a dimension without a unit is told which units there are."""
        assert Fault("request.no_unit", {"found": repr(heading), "known": "_mm, _deg"}) == column(heading)

    @pytest.mark.parametrize(
        ("heading", "code"),
        [
            ("", "import.no_heading"),
            ("  ", "import.no_heading"),
            ("remarks by hand", "import.unknown_heading"),
            ("knob_size_mm", "import.free_heading"),
            ("specs.grip", "request.no_unit"),
            ("specs.standard", "request.no_unit"),
            ("frame.", "import.unknown_heading"),
            (".standard", "import.unknown_heading"),
            ("frame/.standard", "import.unknown_heading"),
            ("frame.seen.", "request.no_unit"),
            ("x" * 10_000, "import.unknown_heading"),
        ],
    )
    def test_that_stands_for_nothing_is_refused(self, heading: str, code: str) -> None:
        """... that stands for nothing is refused with the reason."""
        found = column(heading)

        assert isinstance(found, Fault)
        assert code == found.code

    def test_with_the_side_in_front_has_no_column_for_it(self) -> None:
        """... that names the side leaves no room for another in a cell."""
        assert isinstance(column("axle/bearing.side"), Fault)


class TestColumnOf:
    """The column of a place ..."""

    @pytest.mark.parametrize(
        ("pointer", "heading"),
        [
            ("", ""),
            ("/price_minor", "price_minor"),
            ("/links/2", "links"),
            ("/comes_with/0/sku", "comes_with"),
            ("/specs/diameter_mm", "diameter_mm"),
            ("/specs/soles/0/eu_size", "soles"),
            ("/specs/grip_mm", "specs.grip_mm"),
            ("/mounts/0/dimensions/gap_mm", "axle.gap_mm"),
            ("/mounts/0/dimensions/gap_mm/value", "axle.gap_mm"),
            ("/mounts/0/dimensions/gap_mm/plus_minus", "axle.gap_mm.plus_minus"),
            ("/mounts/1/standard", "axle/bearing.standard"),
            ("/mounts/1/side", "axle/bearing"),
            ("/mounts/1/holes/2/name", "axle/bearing.holes"),
            ("/mounts/2/side", "hub.side"),
            ("/mounts/2/seen/core", "hub.seen.core"),
            ("/mounts/2/damage/0", "hub.damage"),
            ("/mounts/2/position", "hub"),
            ("/mounts/2", "hub"),
            ("/mounts/3/standard", "mounts"),
            ("/mounts", "mounts"),
        ],
    )
    def test_is_the_one_that_holds_it(self, pointer: str, heading: str) -> None:
        """... is headed as the file has it, even where a cell is missing."""
        assert heading == column_of(pointer, RECORD, GROUPS)

    def test_is_that_of_all_mounts_where_they_stand_in_one_cell(self) -> None:
        """... within mounts that stand in one cell is that cell's."""
        assert "mounts" == column_of("/mounts/0/dimensions/gap_mm", RECORD, ())

    @pytest.mark.parametrize("mounts", [["x"], {"0": 1}, 5, [None], [[]]])
    def test_is_there_for_mounts_that_are_none(self, mounts: Any) -> None:
        """... is told whatever stands in the place of the mounts."""
        assert "mounts" == column_of("/mounts/0/position", {"mounts": mounts}, GROUPS)


class TestInOrder:
    """Headings ..."""

    def test_stand_in_the_order_of_the_fields_then_by_name(self) -> None:
        """... stand fields first, then figures, then mounts, whole mounts last."""
        ordered = ["sku", "kind", "stock", "mass_g", "width_mm", "specs.grip_mm", "axle.side", "hub.standard", "mounts"]

        assert ordered == in_order(set(ordered))

    def test_are_each_their_own(self) -> None:
        """... of all figures are understood as those figures."""
        found = [column(name) for name in specs()]

        assert [("specs", name) for name in specs()] == [each.place for each in found if isinstance(each, Column)]
