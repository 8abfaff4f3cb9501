"""Engines for a database address: one that reads without transactions, one that writes in them."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import quote

from psycopg.errors import LockNotAvailable, QueryCanceled
from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError, InterfaceError, OperationalError
from sqlalchemy.exc import TimeoutError as PoolTimeoutError

from mountwright.errors import CatalogueAwayError, CatalogueBusyError, SettingsError

#: How long a writer waits for another one, and a connection for a server, seconds.
PATIENCE_S = 5

#: Connections that a process keeps; a worker has two threads.
_CONNECTIONS = 4

#: The part of an error's number that is not about its circumstances.
_PRIMARY = 0xFF

#: The setting that a fault of the address is named by.
VARIABLE = "MOUNTWRIGHT_DATABASE"
_EXPECTED = "an address like sqlite:///mountwright.db or postgresql://user@host/name"


@dataclass(frozen=True, eq=False)
class Engines:
    """Where the catalogue is.

    Parameters
    ----------
    url : URL
    reads : Engine
        Without transactions: every statement sees one state of the database.
    writes : Engine
        One transaction a connection; on SQLite it holds the only writer's place from its beginning.
    """

    url: URL
    reads: Engine
    writes: Engine

    @property
    def is_sqlite(self) -> bool:
        """Tell whether the catalogue is a file of ours."""
        return self.url.get_backend_name() == "sqlite"

    @property
    def file(self) -> Path | None:
        """Give the file, of SQLite."""
        return Path(self.url.database or "") if self.is_sqlite else None

    @property
    def where(self) -> str:
        """Give the address as it may be shown: without a password."""
        return self.url.render_as_string(hide_password=True)

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Give a connection to read with.

        Raises
        ------
        CatalogueAwayError
            When the database cannot be reached.
        """
        with _away_told(), self.reads.connect() as connection:
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """Give a connection within a transaction, which is taken back when the block raises.

        Raises
        ------
        CatalogueAwayError
            When the database cannot be reached, is full, or another writer keeps it too long.
        """
        with _away_told(), self.writes.begin() as connection:
            yield connection

    @contextmanager
    def snapshot(self) -> Iterator[Connection]:
        """Give a connection that sees one state of the catalogue until the block ends.

        Raises
        ------
        CatalogueAwayError
            When the database cannot be reached.
        """
        with self.reading() as connection:
            connection.exec_driver_sql("BEGIN" if self.is_sqlite else "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY")
            try:
                yield connection
            finally:
                connection.exec_driver_sql("ROLLBACK")

    def close(self) -> None:
        """Let go of every connection."""
        self.reads.dispose()
        self.writes.dispose()


@contextmanager
def _away_told() -> Iterator[None]:
    try:
        yield
    except (OperationalError, InterfaceError) as error:
        raised = CatalogueBusyError if _is_busy(error.orig) else CatalogueAwayError
        raise raised(str(error.orig).strip()) from error
    except PoolTimeoutError as error:
        raise CatalogueBusyError("every connection is in use") from error


def _is_busy(error: BaseException | None) -> bool:
    """Tell whether a driver's error says that the database is there and took too long, for whatever reason."""
    if isinstance(error, sqlite3.Error):
        return error.sqlite_errorcode & _PRIMARY in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)
    return isinstance(error, QueryCanceled | LockNotAvailable)


def opened(address: str) -> Engines:
    """Give the engines for a database address; nothing is connected yet.

    Parameters
    ----------
    address : str
        ``sqlite:///file`` or ``postgresql://user@host/name``.

    Raises
    ------
    SettingsError
        For what is no such address.
    """
    try:
        url = make_url(address)
    except ArgumentError as error:
        raise SettingsError(VARIABLE, address, _EXPECTED) from error
    if url.get_backend_name() == "sqlite" and url.database:
        return Engines(url, _sqlite(url, "AUTOCOMMIT"), _sqlite(url, None))
    if url.get_backend_name() == "postgresql":
        url = url.set(drivername="postgresql+psycopg")
        return Engines(url, _postgresql(url, "AUTOCOMMIT"), _postgresql(url, "READ COMMITTED"))
    raise SettingsError(VARIABLE, url.render_as_string(hide_password=True), _EXPECTED)


def _sqlite(url: URL, isolation: Any) -> Engine:
    def connected() -> sqlite3.Connection:
        # A file that is not there is not made by reading: only `catalogue upgrade` makes one.
        place = f"file:{quote(str(url.database))}?mode=rw"
        connection = sqlite3.connect(place, timeout=PATIENCE_S, uri=True, check_same_thread=False, isolation_level=None)
        for pragma in ("foreign_keys = ON", "synchronous = NORMAL"):
            connection.execute(f"PRAGMA {pragma}")
        return connection

    engine = create_engine(url, creator=connected, pool_size=_CONNECTIONS, pool_reset_on_return=None)
    if isolation is None:
        # One writer at a time, from the first statement on: a reader that turns writer would be refused at once.
        event.listen(engine, "begin", lambda connection: connection.exec_driver_sql("BEGIN IMMEDIATE"))
        return engine
    return engine.execution_options(isolation_level=isolation)


def _postgresql(url: URL, isolation: Any) -> Engine:
    limits = f"-c lock_timeout={PATIENCE_S}s -c statement_timeout=" + (
        f"{PATIENCE_S}s" if isolation == "AUTOCOMMIT" else "0"
    )
    reset = None if isolation == "AUTOCOMMIT" else "rollback"
    return create_engine(
        url,
        isolation_level=isolation,
        pool_size=_CONNECTIONS,
        pool_timeout=PATIENCE_S,
        pool_reset_on_return=reset,
        connect_args={"connect_timeout": PATIENCE_S, "options": limits},
    )
