"""What tests of the catalogue share: files in the shop's format, imports of them, and the whole content as bytes."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import orjson
import pytest

from mountwright.bootstrap import create_workshop
from mountwright.catalogue.engines import Engines, opened
from mountwright.catalogue.exporting import documents_in
from mountwright.catalogue.importing import Checks, Report, imported
from mountwright.settings import Settings
from mountwright.web.records import checks_of

Json = dict[str, Any]


@pytest.fixture
def engines(database: str) -> Iterator[Engines]:
    """Give an empty catalogue, on each of the two engines in turn."""
    found = opened(database)
    yield found
    found.close()


@pytest.fixture(scope="session")
def checks() -> Checks:
    """Give what records are judged with, by the standards in the box."""
    return checks_of(create_workshop(Settings()))


@pytest.fixture
def file(tmp_path: Path) -> Callable[..., Path]:
    """Give a way to write records into a JSON Lines file."""

    def written(*records: Json, name: str = "shop.jsonl") -> Path:
        path = tmp_path / name
        path.write_bytes(b"".join(orjson.dumps(record) + b"\n" for record in records))
        return path

    return written


@pytest.fixture
def bring_in(engines: Engines, checks: Checks) -> Callable[..., Report]:
    """Give a way to import files."""
    return lambda *files, **options: imported(files, engines, checks, **options)


@pytest.fixture
def content(engines: Engines) -> Callable[[], Sequence[str]]:
    """Give a way to read the whole catalogue."""

    def read() -> Sequence[str]:
        with engines.snapshot() as connection:
            return list(documents_in(connection))

    return read
