"""What became of an import, as lines for a person and as rows for a file."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TextIO

from mountwright.catalogue.importing import Report
from mountwright.catalogue.rows import RecordFault
from mountwright.messages import Messages

#: Faults that are printed; the report file has all of them.
FAULTS_SHOWN = 20

_HEADINGS = ("file", "row", "column", "code", "detail")


def rows_in(path: Path) -> int:
    """Give about how many rows a file has, for the progress bar."""
    with path.open("rb") as file:
        return sum(block.count(b"\n") for block in iter(lambda: file.read(1 << 20), b""))


def told_to(report: TextIO | None, messages: Messages) -> Callable[[RecordFault], object]:
    """Give what writes each fault as a row of a CSV file, where one is wanted."""
    if report is None:
        return id
    rows = csv.writer(report)
    rows.writerow(_HEADINGS)
    return lambda fault: rows.writerow(
        (fault.file, fault.line, fault.column, fault.code, messages.text(fault.code, fault.params))
    )


def import_lines(report: Report, dry_run: bool, messages: Messages) -> Iterator[str]:
    """Give what to print: every fault and note with its place, then what was kept."""
    findings = report.findings
    for found in (*findings.notes, *findings.faults):
        yield f"{_place(found)}: {messages.text(found.code, found.params)}"
    hidden = findings.fault_count - len(findings.faults)
    if hidden:
        yield f"… and {hidden} more faults; --report FILE gives all of them"
    yield _sum(report, dry_run)


def _place(found: RecordFault) -> str:
    row = f", row {found.line}" if found.line else ""
    column = f", column {found.column}" if found.column else ""
    return f"{found.file or 'catalogue'}{row}{column}"


def _sum(report: Report, dry_run: bool) -> str:
    if not report.is_good:
        return f"{report.findings.fault_count} fault(s); nothing was kept"
    read = ", ".join(f"{count} {sort}" for sort, count in report.counts.items())
    if dry_run:
        return f"{read}: good; {report.changed} would change"
    version = f"catalogue {report.version.label}" if report.version else "the catalogue is as it was"
    return f"{read}: {report.changed} changed; {version}"
