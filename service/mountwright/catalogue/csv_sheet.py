"""The sheet of a CSV file: what its columns stand for, and how a row of cells becomes a record."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from mountwright.catalogue.csv_cells import Form, Shape, forms
from mountwright.catalogue.csv_headings import ALL_MOUNTS, Column, column
from mountwright.catalogue.csv_mounts import gathered
from mountwright.catalogue.documents import Json
from mountwright.messages import Fault, shown

#: Columns of a sheet, the most.
MOST_COLUMNS = 1000

#: What is wrong, by the heading it stands under; empty for the whole row.
Found = tuple[str, Fault]

_Place = tuple[str, ...]


def separator_of(*, decimal_comma: bool) -> str:
    """Give what stands between two cells."""
    return ";" if decimal_comma else ","


class _Reader(NamedTuple):
    """How the cells of one column are read and where they go."""

    heading: str
    steps: _Place
    last: str
    read: Callable[[str], Any]


class SheetRow(NamedTuple):
    """What a row of cells says.

    Parameters
    ----------
    record : dict
        Without the cells that are faulty.
    wrong : list of Found
    groups : frozenset of str
        First parts of the headings of its mounts; none where they all stand in one cell.
    """

    record: Json
    wrong: list[Found]
    groups: frozenset[str]


class Sheet:
    """What the columns of one file stand for.

    Parameters
    ----------
    headings : sequence of str
        Of every column in turn.
    decimal_comma : bool
    """

    def __init__(self, headings: Sequence[str], *, decimal_comma: bool) -> None:
        self.wrong: list[Found] = list(_misread(headings, decimal_comma))
        self.is_readable = not self.wrong
        self._readers: list[_Reader | None] = []
        self._places: set[_Place] = set()
        if self.is_readable:
            read = forms(decimal_comma=decimal_comma)
            for number, heading in enumerate(headings, start=1):
                self._readers.append(self._reader(number, heading, read))
            self.wrong += [(name, Fault("import.heading_missing", {"expected": name})) for name in self._missing()]
        self.has_records = not self._missing()
        self._groups = frozenset(place[1] for place in self._places if place[0] == "mounts")

    def row(self, cells: Sequence[str]) -> SheetRow:
        """Give the record of a row, and what is wrong with its cells."""
        if len(cells) != len(self._readers):
            found = {"found": len(cells), "expected": len(self._readers)}
            return SheetRow({}, [("", Fault("import.cells", found))], self._groups)
        record, wrong = _read(cells, self._readers)
        whole, laid = record.pop(ALL_MOUNTS, None), record.pop("mounts", None)
        if whole is not None and laid is not None:
            wrong.append(("mounts", Fault("import.mounts_twice")))
        elif whole is not None:
            record["mounts"] = whole
        elif laid is not None:
            record["mounts"] = gathered(laid)
        return SheetRow(record, wrong, self._groups if whole is None else frozenset())

    def _reader(self, number: int, heading: str, read: Mapping[Shape, Form]) -> _Reader | None:
        found: Column | Fault = column(heading)
        if isinstance(found, Column) and found.place in self._places:
            found = Fault("import.heading_twice", {"found": shown(heading)})
        if isinstance(found, Fault):
            self.wrong.append((heading.strip() or f"#{number}", found))
            return None
        self._places.add(found.place)
        return _Reader(found.heading, found.place[:-1], found.place[-1], read[found.shape].read)

    def _missing(self) -> list[str]:
        """Give the headings without which no row is a record."""
        missing = [] if ("kind",) in self._places else ["kind"]
        return missing if self._places & {("sku",), ("family",)} else [*missing, "sku"]


def _misread(headings: Sequence[str], decimal_comma: bool) -> Iterator[Found]:
    """Tell whether the file seems to be written the other way, or to be no sheet at all."""
    if len(headings) == 1 and separator_of(decimal_comma=not decimal_comma) in headings[0]:
        yield "", Fault("import.comma_declared" if decimal_comma else "import.semicolons")
    elif len(headings) > MOST_COLUMNS:
        yield "", Fault("import.too_many_columns", {"found": len(headings), "limit": MOST_COLUMNS})


def _read(cells: Sequence[str], readers: Sequence[_Reader | None]) -> tuple[Json, list[Found]]:
    record: Json = {}
    wrong: list[Found] = []
    for cell, reader in zip(cells, readers, strict=True):
        if not cell or reader is None:
            continue
        heading, steps, last, read = reader
        value = read(cell)
        if type(value) is Fault:
            wrong.append((heading, value))
        elif value is not None:
            within = record
            for step in steps:
                within = within.setdefault(step, {})
            within[last] = value
    return record, wrong
