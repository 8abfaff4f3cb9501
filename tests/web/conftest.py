"""An application in this process with a catalogue of its own, and ways to fill and ask it."""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Iterator
from typing import Any

import psycopg
import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy.engine import make_url

from mountwright.bootstrap import create_app
from mountwright.catalogue.writing import Writing
from mountwright.demo.loading import load_demo
from mountwright.settings import Settings
from mountwright.web.records import mount_reader
from mountwright.web.workshop import EXTENSION, Workshop

Json = dict[str, Any]
Keep = Callable[..., None]


@pytest.fixture
def shop(database: str) -> Iterator[Flask]:
    """Give an app with an empty catalogue of its own, on each of the two engines in turn."""
    app = create_app(Settings(database=database))
    yield app
    workshop: Workshop = app.extensions[EXTENSION]
    workshop.engines.close()


@pytest.fixture
def keep(shop: Flask) -> Keep:
    """Give a way to keep articles."""
    workshop: Workshop = shop.extensions[EXTENSION]

    def kept(*records: Json) -> None:
        with workshop.engines.writing() as connection:
            writing = Writing(connection, mount_reader(workshop.registry), workshop.registry.rules_version)
            assert [] == writing.add_articles(records)
            version = writing.finish()
        if version is not None:
            workshop.shelf.noted(version)

    return kept


@pytest.fixture
def asking(shop: Flask) -> FlaskClient:
    """Give a client."""
    return shop.test_client()


@pytest.fixture(scope="session", params=["sqlite", "postgresql"])
def demo(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[FlaskClient]:
    """Give a client of an app with the invented shop's catalogue, on each of the two engines in turn."""
    if request.param == "sqlite":
        address = f"sqlite:///{tmp_path_factory.mktemp('demo') / 'catalogue.db'}"
    else:
        address = request.getfixturevalue("postgresql_demo")
    app = create_app(Settings(database=address))
    workshop: Workshop = app.extensions[EXTENSION]
    load_demo(workshop)
    yield app.test_client()
    workshop.engines.close()


@pytest.fixture(scope="session")
def postgresql_demo(postgresql_server: str, postgresql_template: str) -> Iterator[str]:
    """Give the address of an empty catalogue on PostgreSQL that lasts for all tests."""
    name = f"mountwright_demo_{os.getpid()}"
    address = make_url(postgresql_server).set(database=name).render_as_string(hide_password=False)
    with psycopg.connect(postgresql_server, autocommit=True) as server:
        server.execute(f'CREATE DATABASE "{name}" TEMPLATE "{postgresql_template}"'.encode())
        yield address
        server.execute(f'DROP DATABASE "{name}" WITH (FORCE)'.encode())


@pytest.fixture(scope="session")
def all_finite() -> Callable[[Any], bool]:
    """Give what tells whether every number of an answer is finite."""

    def are_finite(value: Any) -> bool:
        if isinstance(value, dict | list):
            return all(map(are_finite, value.values() if isinstance(value, dict) else value))
        return not isinstance(value, float) or math.isfinite(value)

    return are_finite
