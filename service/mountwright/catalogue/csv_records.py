"""Records as CSV: one row a record, the unit of every figure in its heading."""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import IO, Any, NamedTuple

from mountwright.catalogue.csv_cells import Form, Shape, forms
from mountwright.catalogue.csv_headings import FIELDS, column_of, in_order, spec_heading, spec_shape
from mountwright.catalogue.csv_mounts import flat
from mountwright.catalogue.csv_sheet import Sheet, separator_of
from mountwright.catalogue.lines import MOST_BYTES, Lines
from mountwright.catalogue.rows import RecordFault, Row, cut_row, faulty
from mountwright.messages import Fault


def csv_records(path: Path, *, decimal_comma: bool = False) -> Iterator[Row]:
    """Give the records of a file; rows without anything in them are passed over.

    Parameters
    ----------
    path : Path
    decimal_comma : bool
        Semicolons between the cells and commas in the numbers.

    Raises
    ------
    OSError
        When the file cannot be read.
    """
    # The longest cell is the longest record; the limit holds for the process and is only ever raised.
    csv.field_size_limit(max(csv.field_size_limit(), MOST_BYTES))
    with path.open("rb") as opened:
        lines = Lines(opened)
        yield from _rows(str(path), lines, decimal_comma)
        if lines.is_cut:
            yield cut_row(str(path), lines.number)


def written_csv(
    records: Callable[[], Iterable[Mapping[str, Any]]], out: IO[str], *, decimal_comma: bool = False
) -> int:
    """Write records with the columns that any of them uses; give how many there were.

    An empty list or object of a record says nothing and is left out.

    Parameters
    ----------
    records : callable
        Gives them, the same ones each time: they are gone through twice.
    out : IO of str
        Takes line breaks as they are.
    decimal_comma : bool
        As in reading.
    """
    used: set[str] = set()
    for record in records():
        used.update(_cells(record))
    headings, written = in_order(used), forms(decimal_comma=decimal_comma)
    separator = separator_of(decimal_comma=decimal_comma)
    out.write(separator.join(headings) + "\n")
    count = 0
    for count, record in enumerate(records(), start=1):  # noqa: B007  # the last is how many there were
        cells = _cells(record)
        out.write(separator.join(_written(cells.get(name), written) for name in headings) + "\n")
    return count


class _Raw(NamedTuple):
    """A row as the file has it."""

    line: int
    cells: Sequence[str]
    faults: tuple[RecordFault, ...]


def _rows(file: str, lines: Lines, decimal_comma: bool) -> Iterator[Row]:
    raws = _raws(file, lines, separator_of(decimal_comma=decimal_comma))
    head = next(raws, None)
    if head is None:
        yield faulty(file, 1, Fault("import.empty_file"))
    elif head.faults:
        yield Row(file, head.line, None, head.faults)
    else:
        sheet = Sheet(head.cells, decimal_comma=decimal_comma)
        if sheet.wrong:
            yield Row(file, head.line, None, _placed(file, head.line, sheet.wrong))
        if sheet.is_readable:
            yield from _below(file, sheet, raws, lines)


def _below(file: str, sheet: Sheet, raws: Iterator[_Raw], lines: Lines) -> Iterator[Row]:
    """Give the rows below the headings."""
    raw = None
    for raw in raws:
        yield _row(file, raw, sheet)
    if raw is None:
        yield faulty(file, lines.number, Fault("import.no_rows"))


def _raws(file: str, lines: Lines, separator: str) -> Iterator[_Raw]:
    reader = csv.reader(lines, delimiter=separator, strict=True)
    cells: Sequence[str]
    while not lines.has_ended:
        lines.begin()
        wrong: list[tuple[int, Fault]] = []
        try:
            cells = next(reader, ())
        except csv.Error as error:
            cells, wrong = (), [(lines.first, _malformed(error, lines))]
        faults = [RecordFault(file, line, "", *found) for line, found in [*lines.wrong, *wrong]]
        if faults or any(cells):
            yield _Raw(lines.first, cells, tuple(faults))


def _malformed(error: csv.Error, lines: Lines) -> Fault:
    return Fault("import.quote_open") if lines.has_ended else Fault("import.row_form", {"detail": str(error)})


def _row(file: str, raw: _Raw, sheet: Sheet) -> Row:
    if raw.faults:
        return Row(file, raw.line, None, raw.faults)
    record, wrong, groups = sheet.row(raw.cells)
    whole = record if record and sheet.has_records else None
    column = partial(column_of, record=record, groups=groups)
    return Row(file, raw.line, whole, _placed(file, raw.line, wrong) if wrong else (), (), column)


def _placed(file: str, line: int, wrong: Iterable[tuple[str, Fault]]) -> tuple[RecordFault, ...]:
    return tuple(RecordFault(file, line, heading, *found) for heading, found in wrong)


def _cells(record: Mapping[str, Any]) -> dict[str, tuple[Shape, Any]]:
    """Give what a record says by heading, nothing where it says nothing."""
    cells = {name: (shape, record[name]) for name, shape in FIELDS.items() if record.get(name) not in (None, [])}
    for name, value in record.get("specs", {}).items():
        cells[spec_heading(name)] = spec_shape(name), value
    if mounts := record.get("mounts"):
        laid = flat(mounts)
        cells |= {"mounts": (Shape.JSON, mounts)} if laid is None else laid
    return cells


#: A cell with one of these in it stands in quotes, whichever separates the cells.
_QUOTED = re.compile(r'[,;"\r\n]')


def _written(cell: tuple[Shape, Any] | None, written: Mapping[Shape, Form]) -> str:
    if cell is None:
        return ""
    shape, value = cell
    text = written[shape].written(value)
    if _QUOTED.search(text):
        return '"' + text.replace('"', '""') + '"'
    return text
