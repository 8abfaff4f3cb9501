"""Whichever lead a search follows, its pages hold what matches, once each and in order."""

from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import event

from mountwright.catalogue import leads
from mountwright.catalogue.documents import words_of
from mountwright.catalogue.engines import Engines
from mountwright.catalogue.importing import Report
from mountwright.catalogue.search import Wanted, page_of

Json = dict[str, Any]

WORDS = ("bell", "bellow", "bellrush", "towpath", "tow", "lantern", "heron")
STANDARDS = ("two-bolt-165", "two-bolt-195", "flat-167")


def shop(seed: int) -> list[Json]:
    """Give parts with names and mounts at random."""
    draw = random.Random(seed)  # noqa: S311  # no secret
    return [
        {
            "sku": f"{draw.choice('abc')}-{number}",
            "kind": "frame",
            "name": " ".join(draw.sample(WORDS, 2)),
            "stock": draw.randrange(2),
            "mounts": [{"position": "frame", "standard": draw.choice(STANDARDS), "claimed_by": "maker"}],
        }
        for number in range(60)
    ]


def walked(engines: Engines, wanted: Wanted, size: int) -> list[str]:
    """Give the SKUs of all pages; a walk that goes on and on ends as a failure."""
    found: list[str] = []
    after: str | None = ""
    with engines.reading() as connection:
        while after is not None and len(found) <= 100:
            page = page_of(connection, wanted, after, size)
            found += [article.sku for article in page.articles]
            after = page.next_after
    return found


def meant(parts: list[Json], name: str, standard: str | None, in_stock: bool | None) -> list[str]:
    """Give what has to be found, by going through everything."""
    return sorted(
        part["sku"]
        for part in parts
        if all(any(word.startswith(each) for word in words_of(part["name"])) for each in name.split())
        and standard in (None, part["mounts"][0]["standard"])
        and in_stock in (None, part["stock"] > 0)
    )


@pytest.mark.parametrize("common", [1, 25, 2000], ids=lambda count: f"common from {count}")
@pytest.mark.parametrize("side_by_side", [1, 64], ids=lambda count: f"{count} side by side")
def test_every_lead_leads_to_the_same_pages(
    bring_in: Callable[..., Report],
    file: Callable[..., Path],
    engines: Engines,
    monkeypatch: pytest.MonkeyPatch,
    common: int,
    side_by_side: int,
) -> None:
    """Rare words, common ones, many spellings, mounts, all together, and nothing."""
    monkeypatch.setattr(leads, "COMMON", common)
    monkeypatch.setattr(leads, "MOST_SIDE_BY_SIDE", side_by_side)
    parts = shop(common)
    bring_in(file(*parts))
    names = ("bell", "b", "tow", "towpath", "bell tow", "heron b", "lantern lan", "nothing", "bell nothing", "")
    asked = [(name, standard, stock) for name in names for standard in (None, STANDARDS[0]) for stock in (None, True)]

    assert [meant(parts, *each) for each in asked] == [
        walked(engines, Wanted(skates=False, name=name, standard=standard, in_stock=stock), size=1 + len(name))
        for name, standard, stock in asked
    ]


def test_a_standard_that_nothing_has_finds_nothing(
    bring_in: Callable[..., Report], file: Callable[..., Path], engines: Engines
) -> None:
    """And no article is looked at for that."""
    bring_in(file(*shop(1)))
    asked: list[str] = []
    with engines.reading() as connection:
        event.listen(connection, "before_cursor_execute", lambda *given: asked.append(given[2]))
        page = page_of(connection, Wanted(skates=False, position="frame", standard="riveted"), "", 10)

    assert ([], None) == (page.articles, page.next_after)
    assert ["signature_mounts"] == [statement.partition("FROM ")[2].split()[0] for statement in asked]
