"""A database that takes too long is busy, and one that is not there is away: the next question goes by that."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator

import pytest
from sqlalchemy import Connection, text

from mountwright.bootstrap import create_workshop
from mountwright.catalogue.engines import Engines, opened
from mountwright.errors import CatalogueBusyError
from mountwright.settings import Settings
from mountwright.web.shelf import Shelf


@pytest.fixture
def postgresql(postgresql_database: str) -> Iterator[Engines]:
    """Give an empty catalogue on PostgreSQL."""
    engines = opened(postgresql_database)
    yield engines
    engines.close()


def long_question(connection: Connection) -> None:
    """Ask what takes longer than it may."""
    connection.execute(text("SET statement_timeout = 50"))
    connection.execute(text("SELECT pg_sleep(5)"))


def test_a_question_that_takes_too_long_is_no_sign_of_a_database_that_is_away(postgresql: Engines) -> None:
    """It fails, and whoever asks next is answered."""
    shelf = Shelf(postgresql, create_workshop(Settings()).registry)
    with pytest.raises(CatalogueBusyError):
        shelf.read(long_question)

    assert 0 == shelf.version().number


def test_another_writer_makes_a_database_busy(sqlite_database: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Waited for, and then told."""
    monkeypatch.setattr("mountwright.catalogue.engines.PATIENCE_S", 0.05)
    engines = opened(sqlite_database)
    other = sqlite3.connect(str(engines.file), isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with pytest.raises(CatalogueBusyError, match="locked"), engines.writing():
        pass
    other.close()
    engines.close()
