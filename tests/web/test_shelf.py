"""The catalogue as one process sees it: of one version an answer, and for a while also without its database."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from mountwright.bootstrap import create_workshop
from mountwright.catalogue.writing import Writing
from mountwright.errors import CatalogueAwayError
from mountwright.settings import Settings
from mountwright.web.records import mount_reader
from mountwright.web.shelf import FRESH_S, RETRY_S, STALE_S, Shelf
from mountwright.web.shelved import Named
from mountwright.web.workshop import Workshop

MOUNT = {"position": "frame", "standard": "two-bolt-165", "claimed_by": "maker"}


class Clock:
    """Stands still until it is set on."""

    def __init__(self) -> None:
        self.now_s = 0.0

    def __call__(self) -> float:
        """Give the time, seconds."""
        return self.now_s


@pytest.fixture
def clock() -> Clock:
    """Give a clock."""
    return Clock()


@pytest.fixture
def workshop(sqlite_database: str) -> Iterator[Workshop]:
    """Give a workshop with an empty catalogue in a file."""
    found = create_workshop(Settings(database=sqlite_database))
    yield found
    found.engines.close()


@pytest.fixture
def shelf(workshop: Workshop, clock: Clock) -> Shelf:
    """Give a shelf that goes by the clock."""
    return Shelf(workshop.engines, workshop.registry, clock=clock)


def keep(workshop: Workshop, **more: Any) -> None:
    """Keep two frames."""
    records = [{"sku": sku, "kind": "frame", "name": "Bell", "mounts": [MOUNT], **more} for sku in ("a", "b")]
    with workshop.engines.writing() as connection:
        writing = Writing(connection, mount_reader(workshop.registry), workshop.registry.rules_version)
        assert [] == writing.add_articles(records)
        writing.finish()


def stocks(shelf: Shelf, *skus: str) -> tuple[int, list[int]]:
    """Give the version and the stock of some parts."""
    seen = shelf.seen(Named(parts=skus))
    return seen.version.number, [seen.articles[sku].record["stock"] for sku in skus]


def test_an_answer_never_mixes_versions(workshop: Workshop, shelf: Shelf) -> None:
    """What is remembered of an older version is read anew beside what is not."""
    keep(workshop, stock=1)
    assert (1, [1]) == stocks(shelf, "a")
    keep(workshop, stock=2)

    assert (2, [2, 2]) == stocks(shelf, "a", "b")


def test_a_new_version_is_looked_for_once_a_second(workshop: Workshop, shelf: Shelf, clock: Clock) -> None:
    """Before that, what is remembered is given; after it, what is new."""
    keep(workshop, stock=1)
    stocks(shelf, "a")
    keep(workshop, stock=2)
    clock.now_s = FRESH_S - 0.01
    before = stocks(shelf, "a")
    clock.now_s = FRESH_S

    assert ((1, [1]), (2, [2])) == (before, stocks(shelf, "a"))


def test_equal_mounts_are_one_part(workshop: Workshop, shelf: Shelf) -> None:
    """So that what was answered about the one is known of the other."""
    keep(workshop, stock=1)
    articles = shelf.seen(Named(parts=("a", "b"))).articles

    assert articles["a"].part is articles["b"].part


def test_what_was_read_lately_is_given_while_the_database_is_away(
    workshop: Workshop, shelf: Shelf, clock: Clock, tmp_path: Path
) -> None:
    """For ten minutes, with its age; what was not read is not made up, and the database is not asked at every turn."""
    keep(workshop, stock=1)
    stocks(shelf, "a")
    workshop.engines.close()
    away = (tmp_path / "catalogue.db").rename(tmp_path / "away.db")
    clock.now_s = STALE_S
    assert ((1, [1]), STALE_S) == (stocks(shelf, "a"), shelf.stale_s)
    with pytest.raises(CatalogueAwayError):
        stocks(shelf, "b")
    away.rename(tmp_path / "catalogue.db")
    with pytest.raises(CatalogueAwayError, match="a moment ago"):
        stocks(shelf, "b")
    clock.now_s += RETRY_S

    assert ((1, [1]), 0.0) == (stocks(shelf, "b"), shelf.stale_s)


def test_what_is_too_old_is_not_given(workshop: Workshop, shelf: Shelf, clock: Clock, tmp_path: Path) -> None:
    """A catalogue that could not be asked for longer is no catalogue."""
    keep(workshop, stock=1)
    stocks(shelf, "a")
    workshop.engines.close()
    (tmp_path / "catalogue.db").rename(tmp_path / "away.db")
    clock.now_s = STALE_S + 1

    with pytest.raises(CatalogueAwayError):
        stocks(shelf, "a")
