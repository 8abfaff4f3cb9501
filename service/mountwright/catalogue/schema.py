"""Brings the tables to the form of this release, and says when they are not."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable
from contextlib import closing, suppress
from importlib import resources
from pathlib import Path
from tempfile import TemporaryDirectory

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from alembic.util import CommandError

from mountwright.catalogue.engines import Engines, opened
from mountwright.errors import CatalogueAwayError, CatalogueSchemaError

_UPGRADE = "run `mountwright catalogue upgrade`"


def upgrade(engines: Engines) -> str:
    """Make the tables, or bring them to the form of this release; give its revision.

    Raises
    ------
    CatalogueAwayError
        When the database cannot be reached.
    CatalogueSchemaError
        When it was written by a newer release.
    """
    if engines.file is not None and is_new(engines):
        try:
            _make_file(engines.file, _upgraded)
        except (OSError, sqlite3.Error) as error:
            raise CatalogueAwayError(f"{engines.file}: {error}") from error
    return _upgraded(engines)


def _upgraded(engines: Engines) -> str:
    config = _config()
    _refuse_newer(engines, config)
    with engines.writing() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, "head")
    return _head(config)


def require_current(engines: Engines) -> None:
    """Raise unless the tables have the form of this release.

    Raises
    ------
    CatalogueAwayError
        When the database cannot be reached.
    CatalogueSchemaError
        When there are none, older ones or newer ones.
    """
    config = _config()
    found = _revision(engines)
    if found != _head(config):
        _refuse_newer(engines, config)
        raise CatalogueSchemaError(engines.where, found or "no tables", f"revision {_head(config)}", _UPGRADE)


def is_new(engines: Engines) -> bool:
    """Tell whether the catalogue is a file that is not there yet."""
    return engines.file is not None and not engines.file.exists()


def _refuse_newer(engines: Engines, config: Config) -> None:
    found = _revision(engines)
    if found is None:
        return
    try:
        ScriptDirectory.from_config(config).get_revision(found)
    except CommandError as error:
        known, remedy = f"revision {_head(config)} or older", "it was written by a newer release: update this one"
        raise CatalogueSchemaError(engines.where, f"revision {found}", known, remedy) from error


def _revision(engines: Engines) -> str | None:
    if is_new(engines):
        return None
    with engines.reading() as connection:
        return MigrationContext.configure(connection).get_current_revision()


def _head(config: Config) -> str:
    return str(ScriptDirectory.from_config(config).get_current_head())


def _config() -> Config:
    config = Config()
    config.set_main_option(
        "script_location", str(resources.files(__package__).joinpath("migrations")).replace("%", "%%")
    )
    return config


def _make_file(file: Path, revision: Callable[[Engines], str]) -> None:
    """Make the file whole under another name and then give it its own: nobody ever sees one without tables.

    Where another process was faster, its file stays.
    """
    with TemporaryDirectory(prefix=f"{file.name}-", dir=file.parent) as folder:
        new = Path(folder) / file.name
        with closing(sqlite3.connect(str(new))) as connection:
            # Readers and a writer work side by side; the mode stays with the file.
            connection.execute("PRAGMA journal_mode = WAL")
        engines = opened(f"sqlite:///{new}")
        revision(engines)
        engines.close()
        with suppress(FileExistsError):
            os.link(new, file)
