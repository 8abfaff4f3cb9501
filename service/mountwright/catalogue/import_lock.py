"""One import at a time: a lock that its holder's death lets go, whichever way it dies."""

from __future__ import annotations

import fcntl
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import text

from mountwright.catalogue.engines import Engines
from mountwright.errors import ImportRunsError

#: Any number, the same in every copy of the service.
_LOCK = 7_212_005

_TRY = text("SELECT pg_try_advisory_lock(:lock)")
_RELEASE = text("SELECT pg_advisory_unlock(:lock)")


@contextmanager
def importing_alone(engines: Engines) -> Iterator[None]:
    """Keep every other import of the same catalogue out while the block runs.

    Raises
    ------
    ImportRunsError
        When another one is running, at once.
    CatalogueAwayError
        When the database cannot be reached.
    """
    alone = _file_locked(engines.file) if engines.file is not None else _session_locked(engines)
    with alone:
        yield


def import_runs(engines: Engines) -> bool:
    """Tell whether an import is running."""
    try:
        with importing_alone(engines):
            return False
    except ImportRunsError:
        return True


@contextmanager
def _file_locked(database: Path) -> Iterator[None]:
    with database.with_name(database.name + "-import").open("w") as held:
        try:
            fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError as error:
            raise ImportRunsError from error
        yield


@contextmanager
def _session_locked(engines: Engines) -> Iterator[None]:
    with engines.reading() as session:
        if not session.scalar(_TRY, {"lock": _LOCK}):
            raise ImportRunsError
        try:
            yield
        finally:
            session.execute(_RELEASE, {"lock": _LOCK})
