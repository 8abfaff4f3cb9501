"""Files of records, told apart by what their names end in."""

from __future__ import annotations

from pathlib import Path

import pytest

from mountwright.catalogue.records import records_in


@pytest.mark.parametrize("name", ["parts.csv", "PARTS.CSV"])
def test_a_csv_file_is_read_as_csv(tmp_path: Path, name: str) -> None:
    """Case does not matter, and the decimal comma is passed on."""
    path = tmp_path / name
    path.write_text("sku;kind;mass_g\na;wheel;62,5\n", encoding="utf-8")

    assert [{"sku": "a", "kind": "wheel", "specs": {"mass_g": 62.5}}] == [
        row.record for row in records_in(path, decimal_comma=True)
    ]


@pytest.mark.parametrize("name", ["parts.jsonl", "parts.ndjson"])
def test_a_file_of_json_lines_is_read_as_json(tmp_path: Path, name: str) -> None:
    """Both usual endings are known."""
    path = tmp_path / name
    path.write_text('{"sku":"a"}\n', encoding="utf-8")

    assert [{"sku": "a"}] == [row.record for row in records_in(path)]


@pytest.mark.parametrize("name", ["parts.xlsx", "parts"])
def test_any_other_file_is_refused_by_name(tmp_path: Path, name: str) -> None:
    """The file is not opened; the fault says which endings there are."""
    (row,) = records_in(tmp_path / name)

    assert [(str(tmp_path / name), 0, "import.file_name")] == [
        (found.file, found.line, found.code) for found in row.faults
    ]
