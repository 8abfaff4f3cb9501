"""The records of a file, by what the file's name ends in."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from mountwright.catalogue.csv_records import csv_records
from mountwright.catalogue.json_records import json_records
from mountwright.catalogue.rows import RecordFault, Row, faulty
from mountwright.messages import Fault, shown

__all__ = ["RecordFault", "Row", "records_in"]

_CSV, _JSON_LINES = (".csv",), (".jsonl", ".ndjson")


def records_in(path: Path, *, decimal_comma: bool = False) -> Iterator[Row]:
    """Give the records of a CSV or JSON Lines file.

    Parameters
    ----------
    path : Path
    decimal_comma : bool
        Of CSV: semicolons between the cells and commas in the numbers.

    Raises
    ------
    OSError
        When the file cannot be read.
    """
    suffix = path.suffix.lower()
    if suffix in _CSV:
        return csv_records(path, decimal_comma=decimal_comma)
    if suffix in _JSON_LINES:
        return json_records(path)
    params = {"found": shown(path.suffix), "known": ", ".join(_CSV + _JSON_LINES)}
    return iter([faulty(str(path), 0, Fault("import.file_name", params))])
