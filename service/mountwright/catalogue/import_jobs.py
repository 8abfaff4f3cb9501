"""Files that shops have sent: what became of each, kept in the database so that any copy of the service answers."""

from __future__ import annotations

import secrets
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any, Final, TypeVar

from sqlalchemy import Connection, bindparam, case, delete, exists, insert, select, update

from mountwright.catalogue.engines import Engines
from mountwright.catalogue.import_job import UNDER_WAY, ImportJob, JobReport, JobState, packed, unpacked
from mountwright.catalogue.import_lock import import_runs, importing_alone
from mountwright.catalogue.tables import IMPORTS
from mountwright.errors import CatalogueAwayError, ImportRunsError

T = TypeVar("T")

#: While it reads, an importer is heard of so often, seconds.
BETWEEN_WORDS_S: Final = 2.0

#: One that was not heard of for longer, and holds no lock, is gone, seconds; the clocks of two copies may differ.
GRACE_S: Final = 10

#: What became of a file is kept for so long.
KEPT: Final = timedelta(days=30)

#: How long the lock is waited for: somebody who only looks whether it is free holds it for a moment, seconds.
PATIENCE_S: Final = 0.5
_PAUSE_S: Final = 0.05

_ID_BYTES: Final = 8

#: Noted with the rows themselves: an importer that is gone afterwards has done its work. Told as running until then.
_KEPT: Final = "kept"

_OF = IMPORTS.c.id == bindparam("job_id")
_IS_UNDER_WAY = IMPORTS.c.state.in_((*UNDER_WAY, _KEPT))
_FOUND = select(IMPORTS).where(_OF)
_HEARD_OF = select(exists().where(_IS_UNDER_WAY, IMPORTS.c.updated_at >= bindparam("since")))
_WRITTEN: dict[str, Any] = {name: bindparam(f"new_{name}") for name in ("state", "updated_at", "report")}
_BEGUN = update(IMPORTS).where(_OF, IMPORTS.c.state == JobState.WAITING).values(_WRITTEN)
_VOUCHED = update(IMPORTS).where(_OF, IMPORTS.c.state == JobState.WAITING).values(updated_at=bindparam("at"))
_HEARD = update(IMPORTS).where(_OF, IMPORTS.c.state == JobState.RUNNING).values(_WRITTEN)
_ENDED = update(IMPORTS).where(_OF).values(_WRITTEN)
_NOT_KEPT = _ENDED.where(IMPORTS.c.state.not_in((_KEPT, JobState.DONE)))
_GONE = {
    "state": case((IMPORTS.c.state == _KEPT, JobState.DONE.value), else_=JobState.INTERRUPTED.value),
    "updated_at": bindparam("at"),
}
_GIVEN_UP = update(IMPORTS).where(_OF, _IS_UNDER_WAY).values(_GONE)
_FALLEN_SILENT = update(IMPORTS).where(_OF, _IS_UNDER_WAY, IMPORTS.c.updated_at == bindparam("last")).values(_GONE)
_ALL_GIVEN_UP = update(IMPORTS).where(_IS_UNDER_WAY).values(_GONE)
_FORGOTTEN = delete(IMPORTS).where(IMPORTS.c.created_at < bindparam("before"))


def require_none(engines: Engines, now: datetime) -> None:
    """Raise if an import is under way.

    Raises
    ------
    ImportRunsError
        When there is one.
    CatalogueAwayError
        When the database cannot be reached.
    """
    # Asked for before the lock is looked at: an importer that starts must not find it taken by who only looks.
    with engines.reading() as connection:
        _require_none_heard_of(connection, now)
    if import_runs(engines):
        raise ImportRunsError


def admitted(engines: Engines, shop: str, now: datetime, *, dry_run: bool = False) -> ImportJob:
    """Take an import in, unless another one is under way; it waits for its importer.

    Raises
    ------
    ImportRunsError
        When there is another one.
    CatalogueAwayError
        When the database cannot be reached or is full.
    """
    job_id, at = secrets.token_hex(_ID_BYTES), _written(now)
    job = ImportJob(job_id, shop, JobState.WAITING, at, at, JobReport(dry_run=dry_run))
    patiently(lambda: _admit(engines, job, now), PATIENCE_S)
    return job


def job_of(engines: Engines, job_id: str, now: datetime) -> ImportJob | None:
    """Give an import, None for an unknown one; one whose importer is gone is noted, and told, as interrupted or done.

    Raises
    ------
    CatalogueAwayError
        When the database cannot be reached.
    """
    job = _read(engines, job_id)
    if job is None or not _is_silent(job, now) or import_runs(engines):
        return job
    # A full disk keeps no note; who asks is told all the same.
    with suppress(CatalogueAwayError), engines.writing() as connection:
        connection.execute(_FALLEN_SILENT, {"job_id": job_id, "at": _written(now), "last": job.updated_at})
    job = _read(engines, job_id)
    if job is None or not _is_silent(job, now):
        return job
    return replace(job, state=JobState.DONE if job.report.catalogue else JobState.INTERRUPTED)


def begun(engines: Engines, job_id: str, report: JobReport, now: datetime) -> bool:
    """Note that an importer has begun; tell whether it may go on: one that was given up meanwhile may not.

    Raises
    ------
    CatalogueAwayError
        When the database cannot be reached or is full.
    """
    with engines.writing() as connection:
        return connection.execute(_BEGUN, _new(job_id, JobState.RUNNING, report, now)).rowcount == 1


def vouched_for(engines: Engines, job_id: str, now: datetime) -> bool:
    """Note that an importer that has not begun yet is on its way; tell whether it has not.

    Raises
    ------
    CatalogueAwayError
        When the database cannot be reached or is full, or another writer keeps it.
    """
    with engines.writing() as connection:
        return connection.execute(_VOUCHED, {"job_id": job_id, "at": _written(now)}).rowcount == 1


def heard_of(engines: Engines, job_id: str, report: JobReport, now: datetime) -> None:
    """Note that an importer is alive, and how far it is.

    Raises
    ------
    CatalogueAwayError
        When the database cannot be reached or is full, or another writer keeps it.
    """
    with engines.writing() as connection:
        connection.execute(_HEARD, _new(job_id, JobState.RUNNING, report, now))


def kept(connection: Connection, job_id: str, report: JobReport, now: datetime) -> None:
    """Note, in the transaction of an import, that its rows are kept: so neither stands without the other."""
    connection.execute(_ENDED, _new(job_id, _KEPT, report, now))


def done(engines: Engines, job_id: str, report: JobReport, now: datetime) -> None:
    """Note that an import is done.

    Raises
    ------
    CatalogueAwayError
        When the database cannot be reached or is full.
    """
    with engines.writing() as connection:
        connection.execute(_ENDED, _new(job_id, JobState.DONE, report, now))


def failed(engines: Engines, job_id: str, report: JobReport, now: datetime) -> None:
    """Note that an import ended and nothing was kept; one whose rows are kept is done.

    Raises
    ------
    CatalogueAwayError
        When the database cannot be reached or is full.
    """
    with engines.writing() as connection:
        connection.execute(_NOT_KEPT, _new(job_id, JobState.FAILED, report, now))


def given_up(engines: Engines, job_id: str, now: datetime) -> None:
    """Note as interrupted, or as done where its rows are kept, an import whose importer has ended.

    One that has an end of its own keeps it.

    Raises
    ------
    CatalogueAwayError
        When the database cannot be reached or is full.
    """
    with engines.writing() as connection:
        connection.execute(_GIVEN_UP, {"job_id": job_id, "at": _written(now)})


def patiently(action: Callable[[], T], patience_s: float) -> T:
    """Do what needs the lock, and again while another import holds it.

    Raises
    ------
    ImportRunsError
        When it is still held after so many seconds.
    """
    deadline_s = time.monotonic() + patience_s
    while True:
        try:
            return action()
        except ImportRunsError:
            if time.monotonic() >= deadline_s:
                raise
        time.sleep(_PAUSE_S)


def _admit(engines: Engines, job: ImportJob, now: datetime) -> None:
    with importing_alone(engines), engines.writing() as connection:
        _require_none_heard_of(connection, now)
        # The lock is ours, so whoever else is noted as under way is not.
        connection.execute(_ALL_GIVEN_UP, {"at": job.created_at})
        connection.execute(_FORGOTTEN, {"before": _written(now - KEPT)})
        connection.execute(insert(IMPORTS), {**vars(job), "report": packed(job.report)})


def _require_none_heard_of(connection: Connection, now: datetime) -> None:
    if connection.scalar(_HEARD_OF, {"since": _silent_since(now)}):
        raise ImportRunsError


def _read(engines: Engines, job_id: str) -> ImportJob | None:
    with engines.reading() as connection:
        row = connection.execute(_FOUND, {"job_id": job_id}).one_or_none()
    if row is None:
        return None
    state = JobState.RUNNING if row.state == _KEPT else JobState(row.state)
    return ImportJob(row.id, row.shop, state, row.created_at, row.updated_at, unpacked(row.report))


def _new(job_id: str, state: str, report: JobReport, now: datetime) -> dict[str, str]:
    return {
        "job_id": job_id,
        "new_state": str(state),
        "new_updated_at": _written(now),
        "new_report": packed(report),
    }


def _is_silent(job: ImportJob, now: datetime) -> bool:
    return job.state in UNDER_WAY and job.updated_at < _silent_since(now)


def _silent_since(now: datetime) -> str:
    return _written(now - timedelta(seconds=GRACE_S))


def _written(moment: datetime) -> str:
    """Give a moment as it is kept: texts of one form, that sort and compare as the moments do."""
    return moment.astimezone(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
