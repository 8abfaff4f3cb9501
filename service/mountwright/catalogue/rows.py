"""What comes of reading a file: its records one by one, each with its place and with what is wrong with it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

from mountwright.catalogue.documents import Json
from mountwright.catalogue.spool import Placed
from mountwright.messages import Fault


class RecordFault(NamedTuple):
    """A fault or a note, and where it stands.

    Parameters
    ----------
    file : str
    line : int
        The first is 1; nought for a fault of no line.
    column : str
        A heading, or a JSON pointer; empty for the whole line.
    code : str
        Of its sentence.
    params : Mapping[str, Any]
    """

    file: str
    line: int
    column: str
    code: str
    params: Mapping[str, Any]


class Misplaced(NamedTuple):
    """A fault of a record and its place, a JSON pointer."""

    pointer: str
    code: str
    params: Mapping[str, Any]


def _itself(pointer: str) -> str:
    return pointer


class Row(NamedTuple):
    """One record of a file, or what stands in its stead.

    Parameters
    ----------
    file : str
    line : int
        Where the record begins; the first line is 1.
    record : dict or None
        Without what was faulty; None where nothing can be said of it.
    faults, notes : tuple of RecordFault
    column_of : callable
        From a place in the record, a JSON pointer, to what the file calls it: a heading, or the pointer itself.
    """

    file: str
    line: int
    record: Json | None
    faults: tuple[RecordFault, ...] = ()
    notes: tuple[RecordFault, ...] = ()
    column_of: Callable[[str], str] = _itself

    @property
    def placed(self) -> Placed:
        """Give the record and where it stands; an empty one where there is none."""
        return Placed(self.file, self.line, self.record or {})


def faulty(file: str, line: int, *wrong: Fault, column: str = "") -> Row:
    """Give a row that is nothing but faults."""
    return Row(file, line, None, tuple(RecordFault(file, line, column, *each) for each in wrong))


def cut_row(file: str, line: int) -> Row:
    """Give the row with the note that a file does not end in a line break."""
    return Row(file, line, None, notes=(RecordFault(file, line, "", "import.no_line_break", {}),))
