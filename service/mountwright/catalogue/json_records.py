"""Records as JSON Lines: one object a line."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from mountwright.catalogue.lines import Lines
from mountwright.catalogue.rows import Row, cut_row, faulty
from mountwright.catalogue.strict_json import parsed
from mountwright.messages import Fault


def json_records(path: Path) -> Iterator[Row]:
    """Give the records of a file with one JSON object a line; empty lines are passed over.

    Raises
    ------
    OSError
        When the file cannot be read.
    """
    file, count = str(path), 0
    with path.open("rb") as opened:
        lines = Lines(opened)
        while (line := _next(lines)) is not None:
            if lines.wrong or line.strip():
                count += 1
                yield _row(file, line, lines)
        if not count:
            yield faulty(file, 1, Fault("import.no_rows" if lines.number else "import.empty_file"))
        elif lines.is_cut:
            yield cut_row(file, lines.number)


def _next(lines: Lines) -> str | None:
    lines.begin()
    return next(lines, None)


def _row(file: str, line: str, lines: Lines) -> Row:
    if lines.wrong:
        return faulty(file, lines.number, *(each.wrong for each in lines.wrong))
    found = parsed(line)
    if isinstance(found, Fault):
        return faulty(file, lines.number, found)
    if not isinstance(found, dict):
        return faulty(file, lines.number, Fault("request.not_object"))
    return Row(file, lines.number, found)
