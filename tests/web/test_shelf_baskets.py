"""The catalogue as one process sees it for a basket: asked once at most, and for a while also without its database."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import event

from mountwright.bootstrap import create_workshop
from mountwright.catalogue.noting import Noting
from mountwright.catalogue.outcomes import returns_of
from mountwright.catalogue.writing import Writing
from mountwright.errors import CatalogueAwayError
from mountwright.settings import Settings
from mountwright.web.records import mount_reader
from mountwright.web.shelf import FRESH_S, MOST_PAIRS, RETRY_S, STALE_S, Shelf
from mountwright.web.shelved import Model, Named, NamedBasket, SeenBasket
from mountwright.web.workshop import Workshop

Json = dict[str, Any]

MOUNT: Json = {"position": "frame", "standard": "two-bolt-165", "claimed_by": "maker"}
PARTS: tuple[Json, ...] = tuple(
    {"sku": sku, "kind": sku.split("-")[0], "name": sku, "mounts": [MOUNT] if sku.startswith("frame") else []}
    for sku in ("frame-a", "frame-b", "wheel-40", "wheel-42")
)
SKATES: tuple[Json, ...] = tuple(
    {
        "sku": f"heron-{size}",
        "kind": "skate",
        "name": "Heron",
        "maker": "Marrowby",
        "eu_size_from": size,
        "eu_size_to": size,
        "mounts": [MOUNT],
        "comes_with": [{"sku": "frame-a", "count": 2}, {"sku": f"wheel-{size}", "count": 8}],
    }
    for size in (40, 42)
)
BACK: Json = {"skate": "heron-40", "part": "frame-b", "outcome": "came_back", "told_by": "shop", "on": "2026-03-07"}
HERON = Model("Heron")
BASKET = NamedBasket(("heron-40",), (HERON,), ("frame-b", "nowhere"))


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
def workshop(database: str) -> Iterator[Workshop]:
    """Give a workshop with a model in two sizes, and a part that came back from one of them three times."""
    found = create_workshop(Settings(database=database))
    keep(found, *PARTS)
    keep(found, *SKATES)
    tell(found, *[{**BACK, "cause": "did_not_go_on"}] * 3)
    yield found
    found.engines.close()


@pytest.fixture
def shelf(workshop: Workshop, clock: Clock) -> Shelf:
    """Give a shelf that goes by the clock."""
    return Shelf(workshop.engines, workshop.registry, clock=clock)


@pytest.fixture
def statements(workshop: Workshop) -> list[str]:
    """Give the statements that the catalogue is read with from now on."""
    found: list[str] = []
    event.listen(workshop.engines.reads, "before_cursor_execute", lambda *about: found.append(about[2]))
    return found


def keep(workshop: Workshop, *records: Json) -> None:
    """Keep articles."""
    with workshop.engines.writing() as connection:
        writing = Writing(connection, mount_reader(workshop.registry), workshop.registry.rules_version)
        assert [] == writing.add_articles(records)
        writing.finish()


def tell(workshop: Workshop, *outcomes: Json) -> None:
    """Keep outcomes, each under a number of its own."""
    with workshop.engines.writing() as connection:
        noting = Noting(connection, "tidewheel")
        noting.note([{**outcome, "outcome_id": f"n{at}"} for at, outcome in enumerate(outcomes)])
        noting.finish()


def test_everything_is_seen_at_once(shelf: Shelf) -> None:
    """What is named and there, the versions of a model, what all of them come with, what was told, what is paused."""
    seen = shelf.basket(BASKET)

    assert {"heron-40", "frame-b", "frame-a", "wheel-40", "wheel-42"} == seen.articles.keys()
    assert {HERON: ["heron-40", "heron-42"]} == {
        of: [each.sku for each in found] for of, found in seen.versions.items()
    }
    assert [("heron-40", "frame-b")] == [*seen.tallies]
    assert {"frame-b"} == seen.paused


def test_the_database_is_asked_once_and_not_again_for_a_second(
    shelf: Shelf, clock: Clock, statements: list[str]
) -> None:
    """Also not for a smaller basket; after a second it is asked once more."""
    cold = shelf.basket(BASKET)
    after_cold = len(statements)
    clock.now_s = FRESH_S - 0.01
    warm, smaller = shelf.basket(BASKET), shelf.basket(NamedBasket(("heron-40",), (), ("frame-b",)))
    after_warm = len(statements)
    clock.now_s = FRESH_S
    shelf.basket(BASKET)

    assert (1, 1, 2) == (after_cold, after_warm, len(statements))
    assert cold == warm
    assert {"frame-b"} == smaller.paused


def test_another_part_is_another_question(shelf: Shelf, statements: list[str]) -> None:
    """What was not read is, with one statement."""
    shelf.basket(BASKET)
    shelf.basket(BASKET._replace(parts=("frame-b", "wheel-42")))

    assert 2 == len(statements)


def test_a_change_is_seen_after_a_second(workshop: Workshop, shelf: Shelf, clock: Clock) -> None:
    """Of an article, of what was told, and of what is paused; all of it of the new version, and nothing before."""
    first = shelf.basket(BASKET)
    keep(workshop, {**PARTS[1], "stock": 7, "checked_on": BACK["on"]})
    clock.now_s = FRESH_S - 0.01
    before = shelf.basket(BASKET)
    clock.now_s = FRESH_S
    after = shelf.basket(BASKET)

    assert first == before
    assert (first.version.number + 1, 7, frozenset()) == (
        after.version.number,
        after.articles["frame-b"].record["stock"],
        after.paused,
    )


def test_what_did_not_change_stays_the_same_object(shelf: Shelf, clock: Clock) -> None:
    """So that what was made of an article is found again when the catalogue was merely looked at anew."""
    first = shelf.basket(BASKET)
    clock.now_s = FRESH_S
    again = shelf.basket(BASKET)

    assert all(again.articles[sku] is article for sku, article in first.articles.items())
    assert all(one is other for one, other in zip(first.versions[HERON], again.versions[HERON], strict=True))


def test_a_basket_and_a_fit_check_know_of_each_other(shelf: Shelf, statements: list[str]) -> None:
    """What was read for the one is not read for the other again; but for what is paused a fit check does not ask."""
    basket = shelf.basket(BASKET)
    by_sku, by_model = shelf.seen(Named("heron-40", None, ("frame-b",))), shelf.seen(Named(None, HERON, ("frame-b",)))

    assert 1 == len(statements)
    assert basket.versions[HERON] == by_model.versions
    assert {("heron-40", "frame-b"): basket.tallies["heron-40", "frame-b"]} == by_sku.tallies == by_model.tallies


def test_very_large_baskets_push_nothing_out(shelf: Shelf, statements: list[str]) -> None:
    """More pairs than are remembered come with each; what other baskets need is still there."""
    shelf.basket(BASKET)
    skates = tuple(f"skate-{number}" for number in range(8))
    for name in "abcd":
        shelf.basket(NamedBasket(skates, (), tuple(f"{name}-{number}" for number in range(MOST_PAIRS // 8 + 1))))
    shelf.basket(BASKET)

    assert 1 + 4 == len(statements)


@pytest.mark.parametrize(
    "nothing", [Model("\0"), Model("Heron", "\0"), Model("Heron", eu_size=2**63), Model("Heron", made=-(2**31))]
)
def test_what_there_cannot_be_is_not_asked_for(shelf: Shelf, nothing: Model) -> None:
    """A NUL character stands in no text and a huge figure in no column: the engines do not even take them to look."""
    seen = shelf.basket(NamedBasket(("heron-40", "\0"), (nothing, HERON), ("frame-b", "a\0")))

    assert {"heron-40", "frame-b", "frame-a", "wheel-40", "wheel-42"} == seen.articles.keys()
    assert {HERON} == seen.versions.keys()
    assert () == shelf.seen(Named(None, nothing, ("frame-b",))).versions


SKUS = st.sampled_from(["heron-40", "heron-42", "frame-a", "frame-b", "wheel-40", "wheel-42", "nowhere"])
MODELS = st.sampled_from(
    [HERON, Model("HERON"), Model("Heron", "Marrowby", 42), Model("Heron", eu_size=41.5, made=2020), Model("Nobody")]
)
BASKETS = st.builds(
    lambda *lists: NamedBasket(*map(tuple, lists)),
    st.lists(SKUS, max_size=4),
    st.lists(MODELS, max_size=3),
    st.lists(SKUS, max_size=6),
)


@given(baskets=st.lists(BASKETS, min_size=1, max_size=6))
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_it_says_what_fit_checks_say_one_by_one(workshop: Workshop, baskets: list[NamedBasket]) -> None:
    """Whatever was asked before, and so remembered."""
    basket_shelf, other_shelf = (Shelf(workshop.engines, workshop.registry, clock=Clock()) for _ in range(2))
    for named in baskets:
        singly, at_once = seen_singly(other_shelf, workshop, named), basket_shelf.basket(named)

        assert plain(singly) == plain(at_once)


def plain(seen: SeenBasket) -> tuple[Any, ...]:
    """Give what was seen without what each shelf makes of it for itself."""
    articles = {sku: article[:3] for sku, article in seen.articles.items()}
    versions = {model: [article[:3] for article in found] for model, found in seen.versions.items()}
    return seen.version, articles, versions, seen.tallies, seen.paused


def seen_singly(shelf: Shelf, workshop: Workshop, named: NamedBasket) -> SeenBasket:
    """Give what a basket names as fit checks see it, skate by skate."""
    asked = [Named(skate, None, named.parts) for skate in named.skates]
    asked += [Named(None, model, named.parts) for model in named.models]
    seen = [shelf.seen(Named(None, None, named.parts)), *map(shelf.seen, asked)]
    articles = {sku: article for each in seen for sku, article in each.articles.items()}
    versions = dict(zip(named.models, [each.versions for each in seen[len(seen) - len(named.models) :]], strict=True))
    skates = [articles[sku] for sku in named.skates if sku in articles] + [
        one for of in versions.values() for one in of
    ]
    contents = tuple(content["sku"] for skate in skates for content in skate.record.get("comes_with", ()))
    with workshop.engines.reading() as connection:
        paused = {
            sku for sku in {*named.skus, *(skate.sku for skate in skates)} if returns_of(connection, sku).is_paused
        }
    return SeenBasket(
        seen[0].version,
        articles | shelf.seen(Named(None, None, contents)).articles,
        versions,
        {pair: tally for each in seen for pair, tally in each.tallies.items()},
        frozenset(paused),
    )


class TestWhileTheDatabaseIsAway:
    """A basket ..."""

    @pytest.fixture
    def database(self, sqlite_database: str) -> str:
        """Give the address of a catalogue in a file, which can be moved away."""
        return sqlite_database

    @pytest.fixture
    def away(self, workshop: Workshop, shelf: Shelf, tmp_path: Path) -> Path:
        """Give the file of a catalogue that was read for a basket and then moved away."""
        shelf.basket(BASKET)
        workshop.engines.close()
        return (tmp_path / "catalogue.db").rename(tmp_path / "away.db")

    @pytest.mark.usefixtures("away")
    def test_that_was_read_lately_is_given_for_ten_minutes(self, shelf: Shelf, clock: Clock) -> None:
        """... that was read is given with its age; once it is too old, it is given no more."""
        clock.now_s = STALE_S
        seen, age_s = shelf.basket(BASKET), shelf.stale_s
        clock.now_s = STALE_S + 1

        assert ({"frame-b"}, STALE_S) == (seen.paused, age_s)
        with pytest.raises(CatalogueAwayError):
            shelf.basket(BASKET)

    @pytest.mark.usefixtures("away")
    def test_that_was_not_read_is_not_made_up(self, shelf: Shelf, clock: Clock) -> None:
        """... that names one part more cannot be judged."""
        clock.now_s = FRESH_S

        with pytest.raises(CatalogueAwayError):
            shelf.basket(BASKET._replace(parts=("frame-b", "wheel-42")))

    def test_is_asked_for_again_after_a_moment(self, shelf: Shelf, clock: Clock, away: Path, tmp_path: Path) -> None:
        """... waits for no database in turn, and is read again once that is back."""
        other = BASKET._replace(parts=("wheel-42",))
        clock.now_s = FRESH_S
        with pytest.raises(CatalogueAwayError):
            shelf.basket(other)
        away.rename(tmp_path / "catalogue.db")
        with pytest.raises(CatalogueAwayError, match="a moment ago"):
            shelf.basket(other)
        clock.now_s += RETRY_S

        assert "wheel-42" in shelf.basket(other).articles
        assert 0.0 == shelf.stale_s
