"""An application in this process with a catalogue of its own, and ways to fill and ask it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from mountwright.bootstrap import create_app
from mountwright.catalogue.writing import Writing
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
