"""The catalogue as one process sees it: one version an answer, and what was read of late while it is away."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import psycopg
import pytest
from flask import Flask
from sqlalchemy import Connection, event

from mountwright.bootstrap import create_app
from mountwright.catalogue.engines import Engines, opened
from mountwright.catalogue.reading import articles_of
from mountwright.catalogue.versions import Version, version_of
from mountwright.catalogue.writing import Writing
from mountwright.errors import CatalogueAwayError
from mountwright.mounts.discovery import discovered
from mountwright.mounts.registry import Registry
from mountwright.settings import Settings
from mountwright.web.records import mount_reader
from mountwright.web.shelf import FRESH_S, RETRY_S, STALE_S, Shelf
from mountwright.web.shelved import Model, Named
from mountwright.web.staleness import HEADER
from mountwright.web.workshop import EXTENSION, Workshop

Json = dict[str, Any]

MOUNT: Json = {"position": "frame", "standard": "two-bolt-165", "claimed_by": "maker"}
FRAME: Json = {"sku": "towpath", "kind": "frame", "name": "Towpath", "mounts": [MOUNT]}
SKATE: Json = {"sku": "lantern", "kind": "skate", "name": "Lantern", "mounts": [MOUNT]}
NAMED = Named("lantern", None, ("towpath",))
NOBODY_LISTENS = "postgresql://nobody@127.0.0.1:9/none"


class Clock:
    """Seconds, which pass when they are told to."""

    def __init__(self) -> None:
        self.now_s = 100.0

    def __call__(self) -> float:
        return self.now_s

    def passes(self, seconds: float) -> None:
        """Let time pass."""
        self.now_s += seconds


@pytest.fixture(scope="module")
def registry() -> Registry:
    """Give the standards in the box."""
    return discovered()


@pytest.fixture
def clock() -> Clock:
    """Give a clock."""
    return Clock()


@pytest.fixture
def engines(database: str) -> Iterator[Engines]:
    """Give an empty catalogue, on each of the two engines in turn."""
    found = opened(database)
    yield found
    found.close()


@pytest.fixture
def shelf(engines: Engines, registry: Registry, clock: Clock) -> Shelf:
    """Give a shelf of a catalogue with a skate and a frame."""
    keep(engines, registry, FRAME, SKATE)
    return Shelf(engines, registry, clock=clock)


@pytest.fixture
def looks(engines: Engines) -> list[str]:
    """Give the statements that are read with, as they come."""
    said: list[str] = []
    event.listen(engines.reads, "before_cursor_execute", lambda *args: said.append(args[2]))
    return said


def keep(engines: Engines, registry: Registry, *records: Json) -> Version:
    """Keep articles as another process would."""
    with engines.writing() as connection:
        writing = Writing(connection, mount_reader(registry), registry.rules_version)
        assert [] == writing.add_articles(records)
        version = writing.finish()
    assert version is not None
    return version


@pytest.fixture
def taken_away(engines: Engines, database: str) -> Iterator[Callable[[], None]]:
    """Give a way to take the database away: its file is renamed, or its server lets nobody in any more."""
    undone: list[Callable[[], object]] = []

    def away() -> None:
        engines.close()
        if engines.file is not None:
            hidden = engines.file.rename(engines.file.with_suffix(".gone"))
            undone.append(lambda: hidden.rename(Path(str(engines.file))))
            return
        name = engines.url.database
        server = psycopg.connect(database.replace(f"/{name}", "/postgres"), autocommit=True)
        server.execute(f'ALTER DATABASE "{name}" RENAME TO "{name}_gone"'.encode())

        def back() -> None:
            server.execute(f'ALTER DATABASE "{name}_gone" RENAME TO "{name}"'.encode())
            server.close()

        undone.append(back)

    yield away
    engines.close()
    for undo in undone:
        undo()


def test_what_is_named_is_read_with_its_version(shelf: Shelf, engines: Engines) -> None:
    """Of a skate and a part, by SKU; what there is not is not among them."""
    seen = shelf.seen(Named("lantern", None, ("towpath", "bell")))
    with engines.reading() as connection:
        version = version_of(connection)

    assert ({"lantern", "towpath"}, version) == (set(seen.articles), seen.version)


def test_a_write_between_two_reads_never_mixes_versions(shelf: Shelf, engines: Engines, registry: Registry) -> None:
    """What was read before the write is read again after it."""
    written: list[Version] = []

    def twice(connection: Connection) -> list[str]:
        first = articles_of(connection, ["towpath"])["towpath"].document
        if not written:
            written.append(keep(engines, registry, {**FRAME, "name": "Towpath II"}))
        return [first, articles_of(connection, ["towpath"])["towpath"].document]

    version, (first, second) = shelf.read(twice)

    assert (written[0], first) == (version, second)


def test_a_catalogue_that_never_stands_still_is_away(shelf: Shelf, engines: Engines, registry: Registry) -> None:
    """Rather no answer than one of two versions."""
    names = iter(range(100))

    with pytest.raises(CatalogueAwayError, match="faster"):
        shelf.read(lambda _: keep(engines, registry, {**FRAME, "name": f"Towpath {next(names)}"}))


def test_a_version_is_looked_for_at_most_once_a_second(shelf: Shelf, clock: Clock, looks: list[str]) -> None:
    """Within the second nothing at all is asked that was read before."""
    shelf.seen(NAMED)
    before = len(looks)
    clock.passes(FRESH_S * 0.99)
    shelf.seen(NAMED)
    within = len(looks)
    clock.passes(FRESH_S)
    shelf.seen(NAMED)

    assert 0 == within - before
    assert 0 < len(looks) - within


def test_what_another_process_wrote_is_seen_after_a_second(
    shelf: Shelf, engines: Engines, registry: Registry, clock: Clock
) -> None:
    """Nothing of the old version is left then."""
    old = shelf.seen(NAMED)
    new = keep(engines, registry, {**FRAME, "name": "Towpath II"})
    clock.passes(FRESH_S)
    seen = shelf.seen(NAMED)

    assert old.version != new
    assert (new, "Towpath II") == (seen.version, seen.articles["towpath"].record["name"])


def test_what_this_process_wrote_is_seen_at_once(shelf: Shelf, engines: Engines, registry: Registry) -> None:
    """A version that is noted needs no look."""
    shelf.seen(NAMED)
    shelf.noted(keep(engines, registry, {**FRAME, "name": "Towpath II"}))

    assert "Towpath II" == shelf.seen(NAMED).articles["towpath"].record["name"]


def test_what_was_read_lately_is_given_while_the_database_is_away(
    shelf: Shelf, clock: Clock, taken_away: Callable[[], None]
) -> None:
    """With its age, up to the last moment."""
    before = shelf.seen(NAMED)
    taken_away()
    clock.passes(STALE_S)

    assert before == shelf.seen(NAMED)
    assert STALE_S == shelf.stale_s


def test_what_is_too_old_is_not_given(shelf: Shelf, clock: Clock, taken_away: Callable[[], None]) -> None:
    """Nobody ships by a catalogue of yesterday."""
    shelf.seen(NAMED)
    taken_away()
    clock.passes(STALE_S + 1)

    with pytest.raises(CatalogueAwayError):
        shelf.seen(NAMED)


@pytest.mark.parametrize("named", [Named("lantern-2"), Named(None, Model("Lantern")), Named(None, None, ("bell",))])
def test_what_was_not_read_is_not_made_up(
    shelf: Shelf, clock: Clock, taken_away: Callable[[], None], named: Named
) -> None:
    """While it is away nobody can say that there is none."""
    shelf.seen(NAMED)
    taken_away()
    clock.passes(FRESH_S)

    with pytest.raises(CatalogueAwayError):
        shelf.seen(named)


def test_an_age_ends_when_the_database_is_back(
    shelf: Shelf, engines: Engines, clock: Clock, taken_away: Callable[[], None]
) -> None:
    """It is asked again after a moment, not before."""
    shelf.seen(NAMED)
    place = engines.file
    taken_away()
    clock.passes(FRESH_S)
    shelf.seen(NAMED)
    ages = [shelf.stale_s]
    if place is not None:
        place.with_suffix(".gone").rename(place)
        clock.passes(RETRY_S * 0.5)
        shelf.seen(NAMED)
        ages.append(shelf.stale_s)
        clock.passes(RETRY_S * 0.5)
        shelf.seen(NAMED)
        ages.append(shelf.stale_s)
        place.rename(place.with_suffix(".gone"))

    assert [FRESH_S, FRESH_S + RETRY_S * 0.5, 0.0][: len(ages)] == ages


def test_nothing_is_stale_that_merely_nobody_looked_at(shelf: Shelf, clock: Clock) -> None:
    """An age is of a database that did not answer, not of a quiet hour."""
    shelf.seen(NAMED)
    clock.passes(FRESH_S * 3)

    assert 0.0 == shelf.stale_s


def test_a_server_that_nobody_listens_at_is_away(registry: Registry, clock: Clock) -> None:
    """And nothing was ever read from it."""
    shelf = Shelf(opened(NOBODY_LISTENS), registry, clock=clock)

    with pytest.raises(CatalogueAwayError):
        shelf.version()
    with pytest.raises(CatalogueAwayError, match="a moment ago"):
        shelf.seen(NAMED)


def test_the_same_signature_is_the_same_part(shelf: Shelf, engines: Engines, registry: Registry, clock: Clock) -> None:
    """Also after it was read anew, and for another article with the same mounts."""
    first = shelf.seen(NAMED).articles["towpath"].part
    keep(engines, registry, {**FRAME, "sku": "towpath-2"}, {**FRAME, "name": "Towpath II"})
    clock.passes(FRESH_S)
    seen = shelf.seen(Named(None, None, ("towpath", "towpath-2"))).articles

    assert seen["towpath"].part is first
    assert seen["towpath-2"].part is first


def test_a_name_that_no_database_takes_is_nobodys(shelf: Shelf) -> None:
    """A NUL character comes to no database."""
    seen = shelf.seen(Named("lan\0tern", Model("Lan\0tern"), ("tow\0path",)))

    assert ({}, ()) == (seen.articles, seen.versions)
    assert shelf.near("lan\0tern") is None


@pytest.fixture
def shop(sqlite_database: str) -> Iterator[Flask]:
    """Give an app with a skate and a frame, whose clock may be turned."""
    app = create_app(Settings(database=sqlite_database))
    workshop: Workshop = app.extensions[EXTENSION]
    keep(workshop.engines, workshop.registry, FRAME, SKATE)
    yield app
    workshop.engines.close()


def test_an_answer_tells_its_age_in_a_header(shop: Flask) -> None:
    """A fit check and a page of the catalogue, in whole seconds; none while the database answers."""
    workshop: Workshop = shop.extensions[EXTENSION]
    client, clock = shop.test_client(), Clock()
    object.__setattr__(workshop, "shelf", Shelf(workshop.engines, workshop.registry, clock=clock))
    body = {"skate": {"sku": "lantern"}, "parts": [{"sku": "towpath"}]}

    def asked() -> list[str | None]:
        answers = client.post("/v1/fit-checks", json=body), client.get("/v1/skates/lantern")
        assert [200, 200] == [answer.status_code for answer in answers]
        return [answer.headers.get(HEADER) for answer in answers]

    fresh = asked()
    workshop.engines.close()
    assert workshop.engines.file is not None
    workshop.engines.file.rename(workshop.engines.file.with_suffix(".gone"))
    clock.passes(90.5)

    assert ([None, None], ["90", "90"]) == (fresh, asked())
    assert 503 == client.get("/v1/skates/lantern/candidates?position=frame").status_code
