"""Records as CSV: read row by row with their faults, in bounded memory whatever the file holds."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.catalogue.csv_records import csv_records
from mountwright.catalogue.rows import Row

Json = dict[str, Any]

HEAD = "sku,kind,name,stock,diameter_mm,hub.standard,hub.claimed_by,hub.seat_mm,hub.seat_mm.plus_minus\n"

#: Prints each row in short, then the most memory that reading took; a process of its own, for others allocate as well.
MEASURED = """
import json, sys, tracemalloc
from pathlib import Path
from mountwright.catalogue.csv_records import csv_records
tracemalloc.start()
for row in csv_records(Path(sys.argv[1])):
    print(json.dumps([row.line, [each.code for each in row.faults], (row.record or {}).get("sku")]))
print(tracemalloc.get_traced_memory()[1])
"""


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give a file that each test writes anew."""
    return tmp_path_factory.mktemp("csv") / "parts.csv"


def rows(place: Path, content: str | bytes, *, decimal_comma: bool = False) -> list[Row]:
    """Give what a file with some content is read as."""
    place.write_bytes(content.encode() if isinstance(content, str) else content)
    return list(csv_records(place, decimal_comma=decimal_comma))


def faults(place: Path, content: str | bytes, *, decimal_comma: bool = False) -> list[tuple[int, str, str]]:
    """Give the line, the column and the code of each fault of a file."""
    found = rows(place, content, decimal_comma=decimal_comma)
    return [(fault.line, fault.column, fault.code) for row in found for fault in row.faults]


def record(place: Path, heading: str, cell: str) -> Any:
    """Give what one cell makes of a record, beside its SKU and kind."""
    (row,) = rows(place, f"sku,kind,{heading}\na,wheel,{cell}\n")
    assert () == row.faults
    return {name: value for name, value in (row.record or {}).items() if name not in ("sku", "kind")}


class TestCell:
    """A cell ..."""

    @pytest.mark.parametrize(
        ("heading", "cell", "expected"),
        [
            ("name", '"say ""hi"", twice\nand again"', {"name": 'say "hi", twice\nand again'}),
            ("gtin", "04006381333931", {"gtin": "04006381333931"}),
            ("stock", " 007 ", {"stock": 7}),
            ("stock", "3.0", {"stock": 3}),
            ("stock", "123456789012345678", {"stock": 123456789012345678}),
            ("eu_size_from", "42.5", {"eu_size_from": 42.5}),
            ("mass_g", "6.25e1", {"specs": {"mass_g": 62.5}}),
            ("hard_core", "TRUE", {"specs": {"hard_core": True}}),
            ("fastening", " laces  zip", {"specs": {"fastening": ["laces", "zip"]}}),
            ("soles", '"[{""eu_size"":42}]"', {"specs": {"soles": [{"eu_size": 42}]}}),
            ("specs.grip_mm", "-3", {"specs": {"grip_mm": -3}}),
            (
                "links",
                "https://a.example/1 https://a.example/2",
                {"links": ["https://a.example/1", "https://a.example/2"]},
            ),
            (
                "comes_with",
                "wheel-80*8 b*1",
                {"comes_with": [{"sku": "wheel-80", "count": 8}, {"sku": "b", "count": 1}]},
            ),
            ("hub.seat_mm", "22", {"mounts": [{"position": "hub", "dimensions": {"seat_mm": 22}}]}),
            (
                "axle/frame.gap_mm.from",
                "1",
                {"mounts": [{"position": "axle", "side": "frame", "dimensions": {"gap_mm": {"from": 1}}}]},
            ),
            ("frame.seen.heel", "raised", {"mounts": [{"position": "frame", "seen": {"heel": "raised"}}]}),
            ("frame.damage", "worn cracked", {"mounts": [{"position": "frame", "damage": ["worn", "cracked"]}]}),
            ("stock", "  ", {}),
            ("links", " ", {}),
            ("soles", " ", {}),
            ("hard_core", " ", {}),
            ("comes_with", " ", {}),
            ("hub.seat_mm", "", {}),
        ],
    )
    def test_holds_what_its_heading_says(self, place: Path, heading: str, cell: str, expected: Json) -> None:
        """... is a text, a number, some words or JSON as its heading has it; blank, it is absent."""
        assert expected == record(place, heading, cell)

    @pytest.mark.parametrize(("cell", "kept_as"), [("3.0", int), ("3e2", int), ("3.5", float), ("1e300", float)])
    def test_with_a_whole_number_holds_an_integer(self, place: Path, cell: str, kept_as: type) -> None:
        """... with a whole number is an integer however it is written, unless it is beyond all counting."""
        assert kept_as is type(record(place, "stock", cell)["stock"])

    @pytest.mark.parametrize(
        ("heading", "cell", "code"),
        [
            ("stock", "many", "request.not_number"),
            ("stock", "1_000", "request.not_number"),
            ("stock", "٣", "request.not_number"),
            ("stock", "nan", "request.not_number"),
            ("stock", "inf", "request.not_number"),
            ("stock", "1e999", "request.not_number"),
            ("stock", "9" * 500, "request.not_number"),
            ("stock", "0x10", "request.not_number"),
            ("stock", '"1,000.5"', "request.not_number"),
            ("mass_g", '"62,5"', "import.decimal_comma"),
            ("hard_core", "1", "request.not_flag"),
            ("soles", "[{", "import.bad_json"),
            ("soles", '"[{""a"":1,""a"":2}]"', "import.name_twice"),
            ("soles", "[NaN]", "import.bad_json"),
            ("comes_with", "wheel-80 x 8", "import.contents"),
            ("comes_with", "wheel-80*", "import.contents"),
            ("hub.seat_mm.step", "-", "request.not_number"),
        ],
    )
    def test_that_is_wrong_is_named_by_its_line_and_heading(
        self, place: Path, heading: str, cell: str, code: str
    ) -> None:
        """... that is not what its heading asks for is a fault, and the rest of the row is still read."""
        (row,) = rows(place, f"sku,kind,{heading}\na,wheel,{cell}\n")

        assert [(2, heading, code)] == [(fault.line, fault.column, fault.code) for fault in row.faults]
        assert {"sku": "a", "kind": "wheel"} == row.record

    def test_may_have_a_decimal_comma_once_declared(self, place: Path) -> None:
        """... has a comma in its number once that was declared, and then no point."""
        content = "sku;kind;mass_g\na;wheel;62,5\nb;wheel;62.5\n"
        first, second = rows(place, content, decimal_comma=True)

        assert {"mass_g": 62.5} == (first.record or {})["specs"]
        assert ["import.decimal_point"] == [fault.code for fault in second.faults]

    def test_is_not_the_only_one_to_be_named(self, place: Path) -> None:
        """... that is wrong does not hide the next one, in its row or below."""
        expected = [
            (2, "stock", "request.not_number"),
            (2, "mass_g", "request.not_number"),
            (3, "stock", "request.not_number"),
        ]

        assert expected == faults(place, "sku,kind,stock,mass_g\na,wheel,x,y\nb,wheel,z,1\n")


class TestHeadings:
    """The headings of a file ..."""

    def test_are_all_judged_and_the_good_ones_read(self, place: Path) -> None:
        """... are named each by itself where they are wrong, and the columns of the others are still read."""
        head, row = rows(place, "sku,kind,diameter,colur,sku,,frame.gap,stock\na,wheel,80,red,b,c,1,5\n")
        expected = [
            ("diameter", "request.unit_missing"),
            ("colur", "import.unknown_heading_near"),
            ("sku", "import.heading_twice"),
            ("#6", "import.no_heading"),
            ("frame.gap", "request.no_unit"),
        ]
        assert expected == [(fault.column, fault.code) for fault in head.faults]
        assert ({"sku": "a", "kind": "wheel", "stock": 5}, ()) == (row.record, row.faults)

    def test_may_not_name_one_place_twice_in_two_ways(self, place: Path) -> None:
        """... that lead to the same place are one too many."""
        assert [(1, "specs.mass_g", "import.heading_twice")] == faults(
            place, "sku,kind,mass_g,specs.mass_g\na,wheel,1,2\n"
        )

    def test_without_which_nothing_is_a_record_are_missed(self, place: Path) -> None:
        """... must tell the kind and the SKU or family; without, cells are judged and no record is made of them."""
        head, row = rows(place, "skuu,stock,name\na,x,y\n")

        assert ["import.unknown_heading_near", "import.heading_missing", "import.heading_missing"] == [
            fault.code for fault in head.faults
        ]
        assert (None, ["request.not_number"]) == (row.record, [fault.code for fault in row.faults])

    @pytest.mark.parametrize(
        ("content", "decimal_comma", "code"),
        [
            ("sku;kind\na;wheel\n", False, "import.semicolons"),
            ("sku,kind\na,wheel\n", True, "import.comma_declared"),
            (",".join(["sku"] * 1001) + "\n", False, "import.too_many_columns"),
        ],
    )
    def test_that_show_another_format_end_the_reading(
        self, place: Path, content: str, decimal_comma: bool, code: str
    ) -> None:
        """... of another format are one fault, not one for every row."""
        assert [(1, "", code)] == faults(place, content, decimal_comma=decimal_comma)

    def test_lead_from_a_place_in_the_record_back_to_a_column(self, place: Path) -> None:
        """... tell in which column a fault of the record stands, though the row leaves other mounts out."""
        content = "sku,kind,axle.standard,hub.standard,hub.seat_mm\na,wheel,,hub-608,22\n"
        (row,) = rows(place, content)

        assert ["hub.seat_mm", "hub.claimed_by"] == [
            row.column_of(pointer) for pointer in ("/mounts/0/dimensions/seat_mm", "/mounts/0/claimed_by")
        ]

    def test_may_stand_in_any_order(self, place: Path) -> None:
        """... may stand in any order: mounts are in the order of their positions and sides all the same."""
        content = "hub.standard,axle/frame.standard,axle/bearing.standard,kind,sku\nx,y,z,wheel,a\n"
        (row,) = rows(place, content)

        assert ["z", "y", "x"] == [mount["standard"] for mount in (row.record or {})["mounts"]]
        assert "axle/frame.standard" == row.column_of("/mounts/1/standard")

    def test_may_have_mounts_whole_or_flat_but_not_both_in_a_row(self, place: Path) -> None:
        """... may have a column for whole mounts beside others; a row fills one or the other."""
        mounts = '"[{""position"":""hub""}]"'
        content = f"sku,kind,mounts,hub.standard\na,wheel,{mounts},\nb,wheel,,hub-608\nc,wheel,{mounts},hub-608\n"

        assert [(4, "mounts", "import.mounts_twice")] == faults(place, content)
        assert ["mounts", "hub.standard"] == [row.column_of("/mounts/0/standard") for row in rows(place, content)[:2]]


class TestFile:
    """A file ..."""

    def test_may_come_from_elsewhere(self, place: Path) -> None:
        """... may have a byte order mark, carriage returns, blank rows and line breaks within quotes."""
        content = '\ufeffsku,kind,name\r\n\r\na,wheel,"x\r\ny"\r\n,,\r\nb,wheel,z\r\n'
        found = [(row.line, row.record, row.notes) for row in rows(place, content)]

        assert found == [
            (3, {"sku": "a", "kind": "wheel", "name": "x\r\ny"}, ()),
            (6, {"sku": "b", "kind": "wheel", "name": "z"}, ()),
        ]

    def test_has_as_many_cells_in_a_row_as_headings(self, place: Path) -> None:
        """... with a row too short or too long names that row alone."""
        expected = [(2, "", "import.cells"), (4, "", "import.cells")]

        assert expected == faults(place, "sku,kind,name\na,wheel\nb,wheel,x\nc,wheel,x,\n")

    def test_names_the_line_of_a_byte_that_is_no_utf_8(self, place: Path) -> None:
        """... in another encoding names the very line of the byte, also within a quoted cell, and goes on."""
        content = b'sku,kind,name\na,wheel,"x\ncaf\xe9"\nb,wheel,y\n'

        assert [(3, "", "import.not_utf8")] == faults(place, content)
        assert [None, "b"] == [row.record and row.record["sku"] for row in rows(place, content)]

    def test_names_the_row_where_a_quote_is_never_closed(self, place: Path) -> None:
        """... that is cut within quotes names the row where the quote begins."""
        assert [(3, "", "import.quote_open")] == faults(place, 'sku,kind,name\na,wheel,x\nb,wheel,"y\nc,wheel,z\n')

    def test_names_the_row_that_is_badly_quoted_and_goes_on(self, place: Path) -> None:
        """... with more behind a closing quote names that row and reads the next."""
        content = 'sku,kind,name\na,wheel,"x"y\nb,wheel,z\n'

        assert [(2, "", "import.row_form")] == faults(place, content)
        assert "b" == (rows(place, content)[-1].record or {})["sku"]

    @pytest.mark.parametrize(
        ("content", "code"),
        [(b"", "import.empty_file"), (b"\xef\xbb\xbf", "import.empty_file"), (b"\n\n", "import.empty_file")],
    )
    def test_without_anything_says_so(self, place: Path, content: bytes, code: str) -> None:
        """... that is empty is no silent success."""
        assert [(1, "", code)] == faults(place, content)

    def test_with_headings_alone_says_so(self, place: Path) -> None:
        """... that has headings and no rows is no silent success."""
        assert [(1, "", "import.no_rows")] == faults(place, HEAD)

    def test_that_may_be_cut_says_so(self, place: Path) -> None:
        """... that does not end in a line break is read whole, with a note."""
        *_, row, last = rows(place, "sku,kind\na,wheel\nb,wheel")

        assert {"sku": "b", "kind": "wheel"} == row.record
        assert [(3, "import.no_line_break")] == [(note.line, note.code) for note in last.notes]

    def test_cut_anywhere_gives_what_stands_before_the_cut(self, place: Path) -> None:
        """... cut behind any of its bytes gives its whole rows as they were, and says that it may be cut."""
        row = '"a",wheel,"é ""x"",\r\ny",3,80,hub-608,maker,22,0.05\r\n'
        first, content = (("\ufeff" + HEAD + row * count).encode() for count in (1, 2))
        whole = [each.record for each in rows(place, content)]
        silent = []
        for cut in range(len(content)):
            found = rows(place, content[:cut])
            records = [each.record for each in found if each.record is not None and not each.faults]
            assert records[:-1] == whole[: max(0, len(records) - 1)]
            if not any(each.faults or each.notes for each in found):
                silent.append(content[:cut])

        assert [first] == silent

    @given(st.binary(max_size=60), st.booleans())
    def test_of_anything_is_read_to_its_end(self, place: Path, content: bytes, has_head: bool) -> None:
        """... with anything in it gives records and faults and never raises."""
        found = rows(place, HEAD.encode() * has_head + content)

        assert [] == [row for row in found if row.record is None and not row.faults and not row.notes]

    def test_with_one_line_without_end_is_refused_in_bounded_memory(self, place: Path) -> None:
        """... with a line of 200 MB is not held in memory: the line is refused and the next one read."""
        with place.open("wb") as out:
            out.write(HEAD.encode())
            out.seek(200_000_000, io.SEEK_CUR)
            out.write(b"\nb,wheel,z,1,80,hub-608,maker,22,1\n")
        found, peak = self._measured(place)

        assert [[2, ["import.record_too_long"], None], [3, [], "b"]] == found
        assert peak < 8 * 2**20

    def test_with_one_quote_without_end_is_refused_in_bounded_memory(self, place: Path) -> None:
        """... whose quote is not closed within a record's length is given up there."""
        place.write_text(HEAD + 'a,wheel,"' + ("x" * 99 + "\n") * 40_000, encoding="utf-8")
        found, peak = self._measured(place)

        assert [[2, ["import.quote_open"], None]] == found
        assert peak < 16 * 2**20

    def test_of_any_length_is_read_in_bounded_memory(self, place: Path) -> None:
        """... of 20,000 rows takes no more memory than one of a few."""
        with place.open("w", encoding="utf-8") as out:
            out.write("sku,kind,diameter_mm,hub.standard\n")
            out.writelines(f"wheel-{number},wheel,80,hub-608\n" for number in range(20_000))
        found, peak = self._measured(place)

        assert 20_000 == len(found)
        assert peak < 2**20

    @staticmethod
    def _measured(place: Path) -> tuple[list[Any], int]:
        """Give each row in short, and the most memory that reading took."""
        env = {name: value for name, value in os.environ.items() if name != "PYTHONTRACEMALLOC"}
        done = subprocess.run(
            [sys.executable, "-c", MEASURED, place], env=env, capture_output=True, text=True, check=True, timeout=60
        )
        *found, peak = map(json.loads, done.stdout.splitlines())
        return found, peak
