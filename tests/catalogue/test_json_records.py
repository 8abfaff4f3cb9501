"""Records as JSON Lines: read one by one with their faults, and written in canonical form."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import orjson
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.catalogue.json_records import json_records
from mountwright.catalogue.rows import Row
from mountwright.catalogue.strict_json import parsed

LEAVES = st.booleans() | st.integers(-(2**53), 2**53) | st.floats(-1e6, 1e6) | st.text()
RECORDS = st.lists(
    st.dictionaries(
        st.text(max_size=6),
        st.recursive(LEAVES, lambda b: st.lists(b, max_size=3) | st.dictionaries(st.text(max_size=4), b, max_size=3)),
        max_size=6,
    ),
    min_size=1,
    max_size=4,
)


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give a file that each test writes anew."""
    return tmp_path_factory.mktemp("json") / "parts.jsonl"


def rows(place: Path, content: bytes) -> list[Row]:
    """Give what a file with some bytes in it is read as."""
    place.write_bytes(content)
    return list(json_records(place))


def faults(place: Path, content: bytes) -> list[tuple[int, str]]:
    """Give the line and the code of each fault of a file."""
    return [(fault.line, fault.code) for row in rows(place, content) for fault in row.faults]


class TestJsonRecords:
    """A file of JSON Lines ..."""

    @given(RECORDS)
    def test_that_was_written_reads_the_same(self, place: Path, records: list[dict[str, Any]]) -> None:
        """... that has one record a line gives the same records, line by line."""
        content = b"".join(orjson.dumps(record) + b"\n" for record in records)

        assert list(enumerate(records, start=1)) == [(row.line, row.record) for row in rows(place, content)]

    @given(st.binary(max_size=80))
    def test_of_anything_is_read_to_its_end(self, place: Path, content: bytes) -> None:
        """... with anything in it gives records and faults and never raises."""
        assert all(row.record is not None or row.faults or row.notes for row in rows(place, content))

    def test_may_begin_with_a_byte_order_mark_and_end_its_lines_as_elsewhere(self, place: Path) -> None:
        """... may have a byte order mark, carriage returns and empty lines."""
        found = rows(place, b'\xef\xbb\xbf{"sku":"a"}\r\n\r\n{"sku":"b"}\r\n')

        assert [(1, {"sku": "a"}, ()), (3, {"sku": "b"}, ())] == [(row.line, row.record, row.notes) for row in found]

    @pytest.mark.parametrize(
        ("line", "code"),
        [
            (b'{"sku":"a"', "import.bad_json"),
            (b"{'sku':1}", "import.bad_json"),
            (b'{"sku":"a"}{"sku":"b"}', "import.bad_json"),
            (b'{"stock":NaN}', "import.bad_json"),
            (b'{"stock":-Infinity}', "import.bad_json"),
            (b'{"name":"\\ud800"}', "import.bad_json"),
            (b'{"stock":' + b"9" * 6000 + b"}", "import.bad_json"),
            (b'{"sku":"a","sku":"b"}', "import.name_twice"),
            (b'{"specs":{"mass_g":1,"mass_g":1}}', "import.name_twice"),
            (b'{"a":' * 33 + b"1" + b"}" * 33, "import.too_deep"),
            (b"[" * 5000 + b"]" * 5000, "import.bad_json"),
            (b'["sku"]', "request.not_object"),
            (b"null", "request.not_object"),
            (b'"sku"', "request.not_object"),
            (b'{"name":"caf\xe9"}', "import.not_utf8"),
            (b'{"name":"' + b"x" * 2**20 + b'"}', "import.record_too_long"),
        ],
        ids=lambda value: value[:20] if isinstance(value, bytes) else value,
    )
    def test_says_where_a_line_is_no_record(self, place: Path, line: bytes, code: str) -> None:
        """... names the line that is no record, and reads on behind it."""
        found = rows(place, b'{"sku":"a"}\n' + line + b'\n{"sku":"c"}\n')

        assert [(2, code)] == [(fault.line, fault.code) for row in found for fault in row.faults]
        assert [(1, {"sku": "a"}), (2, None), (3, {"sku": "c"})] == [(row.line, row.record) for row in found]

    @pytest.mark.parametrize(
        ("content", "code"),
        [(b"", "import.empty_file"), (b"\n \r\n", "import.no_rows"), (b"\xef\xbb\xbf", "import.no_rows")],
    )
    def test_without_records_says_so(self, place: Path, content: bytes, code: str) -> None:
        """... without a record is no silent success."""
        assert [(1, code)] == faults(place, content)

    def test_that_may_be_cut_says_so(self, place: Path) -> None:
        """... that does not end in a line break is read whole, with a note."""
        first, last = rows(place, b'{"sku":"a"}\n{"sku":"b"}')[1:]

        assert ({"sku": "b"}, None) == (first.record, last.record)
        assert [(2, "import.no_line_break")] == [(note.line, note.code) for note in last.notes]

    def test_calls_a_place_by_its_pointer(self, place: Path) -> None:
        """... has no headings: a place in a record is called by its JSON pointer."""
        (row,) = rows(place, b'{"sku":"a"}\n')

        assert "/specs/mass_g" == row.column_of("/specs/mass_g")
        assert (str(place), 1, {"sku": "a"}) == row.placed


class TestParsed:
    """A JSON text ..."""

    @given(st.recursive(LEAVES | st.none(), lambda b: st.lists(b, max_size=3), max_leaves=6), st.sampled_from(" \n\t"))
    def test_is_taken_with_white_space_around_it(self, value: Any, blank: str) -> None:
        """... is taken for its value however it is spaced."""
        text = orjson.dumps({"a": value, "b": [value, 1.5]}).decode()

        assert parsed(text) == parsed(f"{blank}{text.replace('{', '{' + blank, 1)}{blank}")

    def test_may_be_wide(self) -> None:
        """... may hold many lists, as long as they are not deep."""
        assert [[1]] * 100 == parsed("[" + ",".join(["[1]"] * 100) + "]")
