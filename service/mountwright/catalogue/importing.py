"""Brings files into the catalogue: every fault is told, and either all of it is kept or nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from sqlalchemy import Connection

from mountwright.catalogue.documents import FAMILY, Json, span_key
from mountwright.catalogue.engines import Engines
from mountwright.catalogue.import_lock import importing_alone
from mountwright.catalogue.records import records_in
from mountwright.catalogue.rows import Misplaced, RecordFault
from mountwright.catalogue.signatures import MountReader
from mountwright.catalogue.spool import ORDER, Placed, Spool
from mountwright.catalogue.versions import Version
from mountwright.catalogue.writing import Writing
from mountwright.errors import FamilyCycleError

#: Records that are written at a time.
_AT_A_TIME = 1000

#: From so many changed rows on, the database's own counts are taken anew.
_MANY = 1000

#: Rows between two words about how far it is.
_BETWEEN_WORDS = 500


@dataclass(frozen=True)
class Checks:
    """How records are judged and their mounts read.

    Parameters
    ----------
    faults_of, notes_on : callable
        From a record to everything that is wrong with it, and to what is worth a word though it may be kept.
    read_mounts : MountReader
    rules : str
        Version of the rules behind them.
    """

    faults_of: Callable[[Json], Iterable[Misplaced]]
    notes_on: Callable[[Json], Iterable[Misplaced]]
    read_mounts: MountReader
    rules: str


def _nothing(*_said: object) -> None:
    """Let a word pass."""


@dataclass(frozen=True)
class Watch:
    """What is told to whoever watches an import.

    Parameters
    ----------
    read, written : callable
        Take the number of rows that were read, and that were written, since the last time.
    kept : callable
        Takes the connection within the import's own transaction, once everything in it is to be kept.
    """

    read: Callable[[int], object] = _nothing
    written: Callable[[int], object] = _nothing
    kept: Callable[[Connection], object] = _nothing


@dataclass
class Findings:
    """Faults and notes, in the order they were found; all are counted, the first are kept.

    Parameters
    ----------
    most : int
        How many of each are kept.
    told : callable
        Takes each fault at once: a report that has to be whole is written there; left out, nobody listens.
    """

    most: int = 1000
    told: Callable[[RecordFault], object] = _nothing
    faults: list[RecordFault] = field(default_factory=list)
    notes: list[RecordFault] = field(default_factory=list)
    fault_count: int = 0
    note_count: int = 0

    def fault(self, found: RecordFault) -> None:
        """Take a fault."""
        self.told(found)
        self.fault_count += 1
        if len(self.faults) < self.most:
            self.faults.append(found)

    def note(self, found: RecordFault) -> None:
        """Take a note."""
        self.note_count += 1
        if len(self.notes) < self.most:
            self.notes.append(found)


@dataclass(frozen=True)
class Report:
    """What became of an import.

    Parameters
    ----------
    counts : Mapping[str, int]
        Good records by sort: families, parts, skates.
    changed : int
        Rows that were not there in this form before.
    version : Version or None
        The catalogue's, if this import raised it.
    findings : Findings
    """

    counts: Mapping[str, int]
    changed: int
    version: Version | None
    findings: Findings

    @property
    def is_good(self) -> bool:
        """Tell whether the files had no fault."""
        return self.findings.fault_count == 0


def imported(
    files: Sequence[Path],
    engines: Engines,
    checks: Checks,
    *,
    decimal_comma: bool = False,
    dry_run: bool = False,
    findings: Findings | None = None,
    watch: Watch = Watch(),  # it is frozen
) -> Report:
    """Bring files into the catalogue in one transaction; keep nothing if anything is wrong.

    Parameters
    ----------
    files : sequence of Path
        ``*.csv``, ``*.jsonl``; in any order.
    engines : Engines
    checks : Checks
    decimal_comma : bool
        CSV with semicolons between the cells and commas in the numbers.
    dry_run : bool
        Judge everything and keep nothing.
    findings : Findings or None
    watch : Watch

    Raises
    ------
    ImportRunsError
        When another one is running.
    CatalogueAwayError
        When the database cannot be reached or is full.
    OSError
        When a file cannot be read or the disk is full.
    """
    findings = findings or Findings()
    with importing_alone(engines), Spool() as spool:
        _read(files, spool, checks, findings, decimal_comma, watch)
        if findings.fault_count:
            return Report(spool.counts, 0, None, findings)
        changed, version = _kept(engines, spool, checks, findings, dry_run, watch)
    return Report(spool.counts, changed, version, findings)


def _read(
    files: Sequence[Path],
    spool: Spool,
    checks: Checks,
    findings: Findings,
    decimal_comma: bool,
    watch: Watch,
) -> None:
    first: dict[str, tuple[str, int]] = {}
    waiting = 0
    for path in files:
        for row in records_in(path, decimal_comma=decimal_comma):
            for found in row.faults:
                findings.fault(found)
            for found in row.notes:
                findings.note(found)
            if row.record is not None and not row.faults:
                _judge(row.placed, first, spool, checks, findings, row.column_of)
            waiting += 1
            if waiting == _BETWEEN_WORDS:
                watch.read(waiting)
                waiting = 0
    watch.read(waiting)


def _judge(
    placed: Placed,
    first: dict[str, tuple[str, int]],
    spool: Spool,
    checks: Checks,
    findings: Findings,
    column_of: Callable[[str], str],
) -> None:
    good = True
    for wrong in checks.faults_of(placed.record):
        findings.fault(RecordFault(placed.file, placed.line, column_of(wrong.pointer), wrong.code, wrong.params))
        good = False
    if good and (before := first.setdefault(_key(placed.record), placed[:2])) != placed[:2]:
        findings.fault(_twice(placed, before, column_of))
        good = False
    for word in checks.notes_on(placed.record) if good else ():
        findings.note(RecordFault(placed.file, placed.line, column_of(word.pointer), word.code, word.params))
    if good:
        spool.add(placed)


def _key(record: Json) -> str:
    return "\0" + span_key(record) if record["kind"] == FAMILY else record["sku"]


def _twice(placed: Placed, before: tuple[str, int], column_of: Callable[[str], str]) -> RecordFault:
    field = "family" if placed.record["kind"] == FAMILY else "sku"
    params = {"found": repr(placed.record[field]), "file": before[0], "line": before[1]}
    return RecordFault(placed.file, placed.line, column_of(f"/{field}"), "import.twice", params)


class _NotKeptError(Exception):
    """Takes the transaction back."""


def _kept(
    engines: Engines, spool: Spool, checks: Checks, findings: Findings, dry_run: bool, watch: Watch
) -> tuple[int, Version | None]:
    """Write what is on the spool; give how many rows changed, and the new version if it stands."""
    changed, version = 0, None
    try:
        with engines.writing() as connection:
            changed, version = _written(connection, spool, checks, findings, watch)
            if findings.fault_count or dry_run:
                raise _NotKeptError
            watch.kept(connection)
    except _NotKeptError:
        return (0 if findings.fault_count else changed), None
    return changed, version


def _written(
    connection: Connection, spool: Spool, checks: Checks, findings: Findings, watch: Watch
) -> tuple[int, Version | None]:
    writing = Writing(connection, checks.read_mounts, checks.rules)
    for sort in ORDER:
        for batch in spool.batches(sort, _AT_A_TIME):
            _write(sort, batch, writing, findings)
            watch.written(len(batch))
    version = writing.finish()
    if writing.changed >= _MANY and connection.dialect.name == "postgresql":
        # Its planner goes by counts of rows, which nobody would take for minutes yet.
        connection.exec_driver_sql("ANALYZE")
    for sku in writing.torn:
        findings.fault(RecordFault("", 0, "", "import.torn", {"sku": sku}))
    for family in writing.orphaned():
        findings.fault(RecordFault("", 0, "parent", "request.unknown_family", {"found": repr(family)}))
    return writing.changed, version


def _write(sort: str, batch: Sequence[Placed], writing: Writing, findings: Findings) -> None:
    records = [placed.record for placed in batch]
    if sort == "families":
        try:
            writing.add_families(records)
        except FamilyCycleError as error:
            place = next(placed for placed in batch if placed.record["family"] in error.ring)
            params = {"ring": " from ".join(error.ring)}
            findings.fault(RecordFault(place.file, place.line, "parent", "import.ring", params))
        return
    for wrong in writing.add_articles(records):
        place = batch[wrong.number]
        findings.fault(RecordFault(place.file, place.line, wrong.pointer, wrong.code, wrong.params))
