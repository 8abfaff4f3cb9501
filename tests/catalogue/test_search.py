"""The search: each thing that can be asked for finds just what it says, and pages hold every article once, in order."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from itertools import islice
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import delete

from mountwright.catalogue.engines import Engines
from mountwright.catalogue.importing import Checks
from mountwright.catalogue.search import Wanted, page_of
from mountwright.catalogue.tables import ARTICLES
from mountwright.catalogue.writing import Writing

Json = dict[str, Any]
Keep = Callable[..., None]
Find = Callable[..., list[str]]


def mount(position: str, standard: str) -> Json:
    """Give a mount as its maker claims it."""
    return {"position": position, "standard": standard, "claimed_by": "maker"}


FAMILY: Json = {"kind": "family", "family": "grow", "mounts": [mount("strap_cuff", "strap-pitch-15")]}
ARTICLES_KEPT: tuple[Json, ...] = (
    {
        "sku": "frame-1",
        "kind": "frame",
        "name": "Größe Towpath",
        "maker": "Ålbrook",
        "version": "2021 on",
        "colour": "Rust Red",
        "stock": 2,
        "price_minor": 4500,
        "currency": "EUR",
        "mounts": [mount("frame", "two-bolt-165")],
    },
    {
        "sku": "frame-2",
        "kind": "frame",
        "name": "Towline Groom",
        "maker": "Quillfen",
        "stock": 0,
        "price_minor": 4500,
        "currency": "CHF",
        "mounts": [mount("frame", "two-bolt-195"), mount("axle", "axle-8")],
    },
    {"sku": "wheel-1", "kind": "wheel", "name": "Bell", "gtin": "4006381333931", "mounts": [mount("hub", "hub-608")]},
    {
        "sku": "grow-1",
        "kind": "skate",
        "name": "Grow",
        "family": "grow",
        "eu_size_from": 30,
        "eu_size_to": 34.5,
        "made_from": 2018,
        "made_to": 2021,
    },
    {
        "sku": "lantern",
        "kind": "skate",
        "name": "Lantern",
        "made_from": 2021,
        "eu_size_from": 34.5,
        "comes_with": [{"sku": "wheel-1", "count": 8}],
        "mounts": [mount("frame", "two-bolt-165"), mount("liner", "axle-8")],
    },
)


@pytest.fixture
def keep(engines: Engines, checks: Checks) -> Keep:
    """Give a way to write articles in one transaction."""

    def kept(records: Iterable[Json], families: Iterable[Json] = ()) -> None:
        with engines.writing() as connection:
            writing = Writing(connection, checks.read_mounts, checks.rules)
            writing.add_families(list(families))
            for record in records:
                assert [] == writing.add_articles([record])
            writing.finish()

    return kept


@pytest.fixture
def find(engines: Engines, keep: Keep) -> Find:
    """Give a way to search a small shop; gives the SKUs of the first page."""
    keep(ARTICLES_KEPT, [FAMILY])

    def found(*, skates: bool = False, **asked: Any) -> list[str]:
        with engines.reading() as connection:
            page = page_of(connection, Wanted(skates=skates, **asked), "", 100)
        return [article.sku for article in page.articles]

    return found


PARTS: list[tuple[Json, str]] = [
    ({}, "frame-1 frame-2 wheel-1"),
    ({"name": "tow"}, "frame-1 frame-2"),
    ({"name": "TOWPATH"}, "frame-1"),
    ({"name": "grosse"}, "frame-1"),
    ({"name": "Größe"}, "frame-1"),
    ({"name": "gro tow"}, "frame-1 frame-2"),
    ({"name": "tow gro 2021"}, "frame-1"),
    ({"name": "path"}, ""),
    ({"name": "albr"}, "frame-1"),
    ({"name": "tow%"}, "frame-1 frame-2"),
    ({"name": "t_w"}, ""),
    ({"maker": "albrook"}, "frame-1"),
    ({"maker": "ÅLBROOK"}, "frame-1"),
    ({"maker": "albr"}, ""),
    ({"model": "grosse towpath"}, "frame-1"),
    ({"model": "towpath"}, ""),
    ({"kind": "frame"}, "frame-1 frame-2"),
    ({"gtin": "4006381333931"}, "wheel-1"),
    ({"colour": "rust red"}, "frame-1"),
    ({"colour": "rust"}, ""),
    ({"position": "frame"}, "frame-1 frame-2"),
    ({"standard": "axle-8"}, "frame-2"),
    ({"position": "axle", "standard": "axle-8"}, "frame-2"),
    ({"position": "frame", "standard": "axle-8"}, ""),
    ({"in_stock": True}, "frame-1"),
    ({"in_stock": False}, "frame-2"),
    ({"currency": "EUR", "price_from_minor": 4500}, "frame-1"),
    ({"currency": "EUR", "price_from_minor": 4501}, ""),
    ({"currency": "EUR", "price_to_minor": 4500}, "frame-1"),
    ({"currency": "EUR", "price_to_minor": 4499}, ""),
    ({"currency": "CHF"}, "frame-2"),
    ({"kind": "frame", "name": "tow", "in_stock": True, "maker": "quillfen"}, ""),
]

SKATES: list[tuple[Json, str]] = [
    ({}, "grow-1 lantern"),
    ({"family": "grow"}, "grow-1"),
    ({"position": "strap_cuff"}, "grow-1"),
    ({"position": "hub", "standard": "hub-608"}, "lantern"),
    ({"eu_size": 30}, "grow-1"),
    ({"eu_size": 29.5}, ""),
    ({"eu_size": 34.5}, "grow-1 lantern"),
    ({"eu_size": 48}, "lantern"),
    ({"made": 2017}, ""),
    ({"made": 2021}, "grow-1 lantern"),
    ({"made": 2030}, "lantern"),
    ({"name": "towpath"}, ""),
]


def test_parts_are_found_by_what_is_asked(find: Find) -> None:
    """All of it has to hold; skates are not among them."""
    assert [(asked, expected.split()) for asked, expected in PARTS] == [(asked, find(**asked)) for asked, _ in PARTS]


def test_skates_are_found_by_what_is_asked(find: Find) -> None:
    """Runs of sizes and years are inclusive and open where nothing is said; mounts are found wherever they are from."""
    found = [(asked, find(skates=True, **asked)) for asked, _ in SKATES]

    assert [(asked, expected.split()) for asked, expected in SKATES] == found


#: More than any walk here meets: one that does not end is noticed.
MANY = 100

SKU = st.from_regex(r"[A-Za-z0-9][A-Za-z0-9._-]{0,4}", fullmatch=True)


def walked(engines: Engines, size: int, between: Iterator[Callable[[str], object]]) -> Iterator[str]:
    """Walk all pages, and do something between one and the next; give the SKUs."""
    after: str | None = ""
    while after is not None:
        with engines.reading() as connection:
            page = page_of(connection, Wanted(skates=False), after, size)
        yield from (article.sku for article in page.articles)
        after = page.next_after
        if after is not None:
            next(between, lambda _: None)(after)


def emptied(engines: Engines) -> None:
    """Take everything out of the catalogue."""
    with engines.writing() as connection:
        connection.execute(delete(ARTICLES))


@given(skus=st.sets(SKU, max_size=12), newcomers=st.lists(SKU, max_size=4), size=st.integers(1, 13))
@settings(deadline=None, max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_pages_hold_every_article_once_and_in_order(
    engines: Engines, keep: Keep, skus: set[str], newcomers: list[str], size: int
) -> None:
    """By code points, whatever the page's size; what is added behind the walker is not seen, what is before him is."""
    emptied(engines)
    keep({"sku": sku, "kind": "wheel"} for sku in sorted(skus))
    expected = set(skus)

    def add(sku: str) -> Callable[[str], object]:
        def added(after: str) -> None:
            keep([{"sku": sku, "kind": "wheel"}])
            expected.update([sku] if sku > after else [])

        return added

    found = list(islice(walked(engines, size, iter([add(sku) for sku in newcomers])), MANY))

    assert sorted(expected) == found
