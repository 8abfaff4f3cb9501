"""A file that a shop has sent to be brought in, and what became of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any, NamedTuple, Self

import orjson

from mountwright.catalogue.importing import Report
from mountwright.catalogue.rows import RecordFault


class JobState(StrEnum):
    """How far an import is; the last three are ends."""

    WAITING = "waiting"
    RUNNING = "running"
    DONE = "done"
    FAILED = "failed"
    INTERRUPTED = "interrupted"


#: Before an end.
UNDER_WAY = (JobState.WAITING, JobState.RUNNING)


class Finding(NamedTuple):
    """A fault or a note, and where it stands.

    Parameters
    ----------
    row : int or None
        The first is 1; None for what concerns no row.
    column : str
        A heading, or a JSON pointer; empty for the whole row.
    code : str
        Of its sentence.
    params : Mapping[str, Any]
    """

    row: int | None
    column: str
    code: str
    params: Mapping[str, Any]


@dataclass(frozen=True)
class JobReport:
    """What is known of an import.

    Parameters
    ----------
    dry_run : bool
        Everything is judged and nothing kept.
    rows_read : int
    counts : Mapping[str, int] or None
        Good records by sort; None until all are read.
    changed : int or None
        Rows that were not there in this form before; of a dry run, that would change. None until that is known.
    catalogue : str or None
        Version of the catalogue that holds the file; None where nothing was kept.
    fault_count, note_count : int
    faults, notes : sequence of Finding
        The first of them.
    """

    dry_run: bool = False
    rows_read: int = 0
    counts: Mapping[str, int] | None = None
    changed: int | None = None
    catalogue: str | None = None
    fault_count: int = 0
    faults: Sequence[Finding] = ()
    note_count: int = 0
    notes: Sequence[Finding] = ()

    def with_outcome(self, report: Report) -> Self:
        """Give the report with what an importer has to say at its end."""
        findings = report.findings
        return replace(
            self,
            counts=dict(report.counts),
            changed=report.changed,
            fault_count=findings.fault_count,
            faults=tuple(map(_finding, findings.faults)),
            note_count=findings.note_count,
            notes=tuple(map(_finding, findings.notes)),
        )

    def with_fault(self, code: str, params: Mapping[str, Any]) -> Self:
        """Give the report with the one fault that ended the import."""
        return replace(self, fault_count=1, faults=(Finding(None, "", code, params),))


@dataclass(frozen=True)
class ImportJob:
    """A file that a shop has sent.

    Parameters
    ----------
    id : str
    shop : str
        Code of the shop that sent it.
    state : JobState
    created_at, updated_at : str
        When it came, and when its importer was last heard of: ISO 8601, UTC, whole seconds.
    report : JobReport
    """

    id: str
    shop: str
    state: JobState
    created_at: str
    updated_at: str
    report: JobReport


def packed(report: JobReport) -> str:
    """Give a report as it is kept, JSON."""
    return orjson.dumps(report, default=list).decode()


def unpacked(text: str) -> JobReport:
    """Give a report that was kept."""
    read = orjson.loads(text)
    return JobReport(**{**read, **{name: tuple(Finding(*each) for each in read[name]) for name in ("faults", "notes")}})


def _finding(found: RecordFault) -> Finding:
    # The path of the file is a place on this machine, of which the sender knows nothing.
    params = {name: "the file" if name == "file" else value for name, value in found.params.items()}
    return Finding(found.line or None, found.column, found.code, params)
