"""Loads what became of pairs from a JSON Lines file: every fault is told, and either all of it is kept or nothing."""

from __future__ import annotations

import re
import tempfile
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import islice
from pathlib import Path
from typing import IO, Any, Final

import orjson
from sqlalchemy import Connection

from mountwright.catalogue.documents import Json
from mountwright.catalogue.engines import Engines
from mountwright.catalogue.importing import Findings, Report
from mountwright.catalogue.json_records import json_records
from mountwright.catalogue.noting import Note, Noted, Noting
from mountwright.catalogue.rows import Misplaced, RecordFault, Row
from mountwright.catalogue.spool import Placed
from mountwright.catalogue.versions import Version
from mountwright.errors import CatalogueError
from mountwright.messages import shown

#: As keys are made out to.
_SHOP: Final = re.compile(r"[a-z0-9-]{1,40}")

#: Outcomes that are written at a time.
_AT_A_TIME = 1000

#: From an outcome to everything that is wrong with it.
OutcomeCheck = Callable[[Json], Iterable[Misplaced]]


def outcomes_loaded(
    path: Path, engines: Engines, shop: str, faults_of: OutcomeCheck, findings: Findings | None = None
) -> Report:
    """Load the outcomes of a file in one transaction; keep nothing if anything is wrong.

    Parameters
    ----------
    path : Path
        JSON Lines, one outcome a line.
    engines : Engines
    shop : str
        Code of the shop that tells them.
    faults_of : callable
        From an outcome to everything that is wrong with it by itself.
    findings : Findings or None

    Raises
    ------
    CatalogueError
        For what is no code of a shop.
    CatalogueAwayError
        When the database cannot be reached or is full.
    OSError
        When the file cannot be read or the disk is full.
    """
    if not _SHOP.fullmatch(shop):
        raise CatalogueError(f"shop: found {shop!r}, expected 1 to 40 of a to z, 0 to 9 and hyphens")
    findings = findings or Findings()
    with tempfile.TemporaryFile() as good:
        # Judged before the transaction begins, so that nobody waits for it longer than the writing takes.
        count = sum(_judge(row, faults_of, findings, good) for row in json_records(path))
        changed, version = (0, None) if findings.fault_count else _kept(engines, shop, good, findings)
    return Report({"outcomes": count}, changed, version, findings)


def _judge(row: Row, faults_of: OutcomeCheck, findings: Findings, good: IO[bytes]) -> bool:
    """Set an outcome down if it is good; tell whether it is."""
    for found in row.notes:
        findings.note(found)
    faults = [*row.faults]
    if row.record is not None and not faults:
        faults = [RecordFault(row.file, row.line, *_told(wrong)) for wrong in faults_of(row.record)]
    for found in faults:
        findings.fault(found)
    if row.record is None or faults:
        return False
    good.write(orjson.dumps(list(row.placed)) + b"\n")
    return True


def _told(wrong: Misplaced) -> tuple[str, str, Mapping[str, Any]]:
    return wrong.pointer, wrong.code, wrong.params


class _NotKeptError(Exception):
    """Takes the transaction back."""


def _kept(engines: Engines, shop: str, good: IO[bytes], findings: Findings) -> tuple[int, Version | None]:
    """Write what is good; give how many outcomes were new, and the version if they raised it."""
    try:
        with engines.writing() as connection:
            changed, version = _written(connection, shop, good, findings)
            if findings.fault_count:
                raise _NotKeptError
    except _NotKeptError:
        return 0, None
    return changed, version if changed else None


def _written(connection: Connection, shop: str, good: IO[bytes], findings: Findings) -> tuple[int, Version]:
    noting = Noting(connection, shop)
    for batch in _batches(good):
        for place, note in zip(batch, noting.note([placed.record for placed in batch]), strict=True):
            for found in _faults(place, note):
                findings.fault(found)
    return noting.count, noting.finish()


def _batches(good: IO[bytes]) -> Iterator[Sequence[Placed]]:
    good.seek(0)
    while lines := list(islice(good, _AT_A_TIME)):
        yield [Placed(*orjson.loads(line)) for line in lines]


def _faults(place: Placed, note: Note) -> Iterator[RecordFault]:
    for wrong in note.wrong:
        yield RecordFault(place.file, place.line, *wrong)
    if note.noted is Noted.OTHERWISE:
        params = {"found": shown(note.told["outcome_id"])}
        yield RecordFault(place.file, place.line, "/outcome_id", "request.told_otherwise", params)
