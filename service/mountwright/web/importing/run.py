"""Brings in one file that a shop has sent, in a process of its own, and notes how far that is."""

from __future__ import annotations

import logging
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import Connection

from mountwright.catalogue.import_job import JobReport
from mountwright.catalogue.import_jobs import BETWEEN_WORDS_S, begun, done, failed, heard_of, kept, patiently
from mountwright.catalogue.importing import Watch, imported
from mountwright.catalogue.versions import version_of
from mountwright.errors import CatalogueAwayError, CatalogueError, ImportRunsError
from mountwright.web.records import checks_of
from mountwright.web.workshop import Workshop

#: How long another import is waited for, seconds: this one was let in when there was none.
_PATIENCE_S = 5.0

log = logging.getLogger(__name__)


def run_import(job_id: str, file: Path, workshop: Workshop, *, decimal_comma: bool, dry_run: bool) -> None:
    """Bring a file in and note the outcome; the file is gone afterwards.

    Parameters
    ----------
    job_id : str
        Of an import that waits; any other is left alone.
    file : Path
        ``*.csv`` or ``*.jsonl``.
    workshop : Workshop
    decimal_comma, dry_run : bool
        As in :func:`mountwright.catalogue.importing.imported`.

    Raises
    ------
    CatalogueAwayError
        When the database keeps no word of it.
    """
    importer = Importer(job_id, workshop, JobReport(dry_run=dry_run))
    try:
        importer.bring_in(file, decimal_comma)
    finally:
        file.unlink(missing_ok=True)


class Importer:
    """Brings a file in and says a word about it now and then.

    Parameters
    ----------
    job_id : str
    workshop : Workshop
    report : JobReport
        What is known at the beginning.
    clock : callable
        Seconds, from any start.
    """

    def __init__(
        self, job_id: str, workshop: Workshop, report: JobReport, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._job_id, self._workshop, self._report, self._clock = job_id, workshop, report, clock
        self._spoke_at_s = clock()

    def bring_in(self, file: Path, decimal_comma: bool) -> None:
        """Bring the file in, unless the import was given up before it began.

        Raises
        ------
        CatalogueAwayError
            When the database keeps no word of it.
        """
        engines = self._workshop.engines
        if not begun(engines, self._job_id, self._report, _now()):
            return
        try:
            patiently(lambda: self._import(file, decimal_comma), _PATIENCE_S)
        except (CatalogueError, OSError) as error:
            log.warning("import %s: %s", self._job_id, error)
            failed(engines, self._job_id, self._report.with_fault(*_ended_by(error)), _now())

    def _import(self, file: Path, decimal_comma: bool) -> None:
        engines, dry_run = self._workshop.engines, self._report.dry_run
        watch = Watch(self._note_read, self._note_written, self._note_kept)
        checks = checks_of(self._workshop)
        report = imported([file], engines, checks, decimal_comma=decimal_comma, dry_run=dry_run, watch=watch)
        self._report = self._report.with_outcome(report)
        ended = done if report.is_good else failed
        ended(engines, self._job_id, self._report, _now())

    def _note_read(self, rows: int) -> None:
        self._report = replace(self._report, rows_read=self._report.rows_read + rows)
        self._note_alive()

    def _note_written(self, _rows: int) -> None:
        # The one writer's place of SQLite is taken, by this import.
        if not self._workshop.engines.is_sqlite:
            self._note_alive()

    def _note_alive(self) -> None:
        if self._clock() - self._spoke_at_s < BETWEEN_WORDS_S:
            return
        # Another writer may keep the database for a moment; the next word will do.
        with suppress(CatalogueAwayError):
            heard_of(self._workshop.engines, self._job_id, self._report, _now())
        self._spoke_at_s = self._clock()

    def _note_kept(self, connection: Connection) -> None:
        # An importer that is killed from here on has done its work, and whoever asks has to be told so.
        self._report = replace(self._report, catalogue=version_of(connection).label)
        kept(connection, self._job_id, self._report, _now())


def _ended_by(error: CatalogueError | OSError) -> tuple[str, dict[str, str]]:
    """Give code and params of what ended an import; a database's own words may tell more than its keeper likes."""
    if isinstance(error, OSError):
        return "import.broken_off", {"reason": error.strerror or str(error)}
    return ("import.another_runs" if isinstance(error, ImportRunsError) else "import.away"), {}


def _now() -> datetime:
    return datetime.now(UTC)
