"""What a basket needs of the catalogue: read with one statement, and the same as the single readers give."""

from __future__ import annotations

from typing import Any

import orjson
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import Connection, event, select

from mountwright.bootstrap import create_workshop
from mountwright.catalogue.baskets import BasketNamed, BasketRead, basket_read
from mountwright.catalogue.documents import SKATE
from mountwright.catalogue.engines import Engines
from mountwright.catalogue.noting import Noting
from mountwright.catalogue.outcomes import returns_of, tallies_of
from mountwright.catalogue.reading import articles_of
from mountwright.catalogue.search import Wanted, page_of
from mountwright.catalogue.tables import ARTICLES
from mountwright.catalogue.versions import version_of
from mountwright.catalogue.writing import Writing
from mountwright.demo.loading import load_demo
from mountwright.settings import Settings

Json = dict[str, Any]

#: Versions of one model, in these tests.
MOST = 24

SKATES: tuple[Json, ...] = tuple(
    {
        "sku": f"heron-{size}",
        "kind": SKATE,
        "name": "Heron",
        "maker": "Marrowby",
        "eu_size_from": size,
        "eu_size_to": size,
        "comes_with": [{"sku": "frame-a", "count": 2}, {"sku": f"wheel-{size}", "count": 8}],
    }
    for size in (40, 42)
)
PARTS: tuple[Json, ...] = tuple(
    {"sku": sku, "kind": sku.split("-")[0], "name": sku} for sku in ("frame-a", "frame-b", "wheel-40", "wheel-42")
)
BACK: Json = {"skate": "heron-40", "part": "frame-b", "outcome": "came_back", "told_by": "shop", "on": "2026-03-07"}
HERON = Wanted(skates=True, model="heron")


@pytest.fixture
def shop(engines: Engines) -> Engines:
    """Give a catalogue with one model in two sizes, and what they come with."""
    keep(engines, *PARTS, *SKATES)
    return engines


@pytest.fixture
def demo(engines: Engines) -> Engines:
    """Give the demo's catalogue, with many more returns."""
    workshop = create_workshop(Settings(database=engines.url.render_as_string(hide_password=False)))
    load_demo(workshop)
    workshop.engines.close()
    with engines.reading() as connection:
        skates, parts = every_sku(connection)
    causes = ("wrong_version", "did_not_go_on", "wrong_count")
    backs = [{**BACK, "skate": skate, "part": parts[at], "cause": causes[at % 3]} for at, skate in enumerate(skates)]
    tell(engines, *backs, *backs, *backs)
    return engines


def keep(engines: Engines, *records: Json) -> None:
    """Keep articles."""
    with engines.writing() as connection:
        writing = Writing(connection, lambda _: [], "rules")
        for record in records:
            assert [] == writing.add_articles([record])
        writing.finish()


def tell(engines: Engines, *outcomes: Json) -> None:
    """Keep outcomes, each under a number of its own."""
    with engines.writing() as connection:
        noting = Noting(connection, "tidewheel")
        notes = noting.note([{**outcome, "outcome_id": f"n{at}"} for at, outcome in enumerate(outcomes)])
        assert [] == [note.wrong for note in notes if note.wrong]
        noting.finish()


def every_sku(connection: Connection) -> tuple[list[str], list[str]]:
    """Give the SKUs of the skates and of the parts."""
    rows = connection.execute(select(ARTICLES.c.sku, ARTICLES.c.kind).order_by(ARTICLES.c.sku)).all()
    return [sku for sku, kind in rows if kind == SKATE], [sku for sku, kind in rows if kind != SKATE]


def read(engines: Engines, named: BasketNamed, most: int = MOST) -> BasketRead:
    """Read a basket."""
    with engines.reading() as connection:
        return basket_read(connection, named, most)


def read_singly(connection: Connection, named: BasketNamed) -> BasketRead:
    """Give what a basket needs as the other readers give it, one after the other."""
    pages = [page_of(connection, model, "", MOST).articles for model in named.models]
    skates = {*named.skates, *(version.sku for page in pages for version in page)}
    articles = articles_of(connection, {*skates, *named.parts})
    documents = [orjson.loads(articles[sku].document) for sku in skates if sku in articles]
    contents = {content["sku"] for document in documents for content in document.get("comes_with", ())}
    tallies = {skate: tallies_of(connection, skate, named.parts) for skate in skates}
    return BasketRead(
        version_of(connection),
        articles | articles_of(connection, contents),
        tuple(tuple(version.sku for version in page) for page in pages),
        {(skate, part): tally for skate, told in tallies.items() for part, tally in told.items()},
        frozenset(sku for sku in {*skates, *named.parts} if returns_of(connection, sku).is_paused),
    )


@given(data=st.data())
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_it_says_what_the_single_readers_say(demo: Engines, data: st.DataObject) -> None:
    """Whatever is named, there or not, as a skate or as a part."""
    with demo.reading() as connection:
        skates, parts = every_sku(connection)
        names = [orjson.loads(each.document)["name"] for each in articles_of(connection, skates).values()]
        skus = st.sampled_from([*skates, *skates, *parts, "nowhere", "Ünbekannt'"])
        sizes = st.sampled_from([None, 33, 42.5])
        models = st.builds(Wanted, st.just(True), model=st.sampled_from([*names, "Nobody"]), eu_size=sizes)
        named = BasketNamed(
            tuple(data.draw(st.lists(skus, max_size=8))),
            tuple(data.draw(st.lists(models, max_size=3))),
            tuple(data.draw(st.lists(st.sampled_from([*parts, *skates, "nowhere"]), max_size=60))),
        )

        assert read_singly(connection, named) == basket_read(connection, named, MOST)


def test_it_says_what_the_single_readers_say_of_everything(demo: Engines) -> None:
    """A basket of 400 lines for eight skates is read like any other, and some of it is told of and paused."""
    with demo.reading() as connection:
        skates, parts = every_sku(connection)
        named = BasketNamed(tuple(skates[:8]), (), tuple([*skates[8:], *parts][:400]))
        found = basket_read(connection, named, MOST)

        assert read_singly(connection, named) == found
    assert found.tallies
    assert {"skate", "part"} == {"skate" if sku in skates else "part" for sku in found.paused}


@pytest.mark.parametrize("models", [(), (HERON,), (HERON, Wanted(skates=True, model="heron", eu_size=42))])
def test_it_is_one_statement(shop: Engines, models: tuple[Wanted, ...]) -> None:
    """So that it sees one state of the catalogue without looking at the version before and after."""
    statements: list[str] = []
    event.listen(shop.reads, "before_cursor_execute", lambda *about: statements.append(about[2]))
    read(shop, BasketNamed(("heron-40",), models, ("frame-a", "frame-b")))

    assert 1 == len(statements)


@pytest.mark.parametrize(("first", "second"), [(1, 40), (40, 400)])
def test_it_is_the_same_statement_for_any_number_of_lines(shop: Engines, first: int, second: int) -> None:
    """So that an engine plans it once."""
    statements: set[str] = set()
    event.listen(shop.reads, "before_cursor_execute", lambda *about: statements.add(about[2]))
    for count in (first, second):
        read(shop, BasketNamed(("heron-40",), (), tuple(f"frame-{number}" for number in range(count))))

    assert 1 == len(statements)


def test_a_skate_brings_what_it_comes_with(shop: Engines) -> None:
    """Named by its SKU or by its model; a skate that lies in the basket as a line brings nothing."""
    by_sku, by_model, as_line = (
        {*read(shop, named).articles}
        for named in (BasketNamed(("heron-40",)), BasketNamed(models=(HERON,)), BasketNamed(parts=("heron-40",)))
    )

    assert {"heron-40", "frame-a", "wheel-40"} == by_sku
    assert {"heron-40", "heron-42", "frame-a", "wheel-40", "wheel-42"} == by_model
    assert {"heron-40"} == as_line


def test_a_model_has_so_many_versions_at_most(shop: Engines) -> None:
    """The first by SKU."""
    assert (("heron-40",),) == read(shop, BasketNamed(models=(HERON,)), most=1).versions


def test_what_a_skate_told_twice_over_is_counted_once(shop: Engines) -> None:
    """A skate that is named by its SKU and by its model is one skate."""
    tell(shop, {**BACK, "cause": "faulty"})
    found = read(shop, BasketNamed(("heron-40", "heron-40"), (HERON, HERON), ("frame-b", "frame-b")))

    assert [1] == [row.count for row in found.tallies["heron-40", "frame-b"].rows]


@pytest.mark.parametrize(
    ("cause", "times", "paused"),
    [
        ("did_not_go_on", 3, {"frame-b"}),
        ("did_not_go_on", 2, set()),
        ("wrong_version", 3, {"heron-40"}),
        ("wrong_version", 2, set()),
        ("wrong_count", 3, set()),
        ("changed_mind", 9, set()),
    ],
)
def test_what_came_back_too_often_is_paused(shop: Engines, cause: str, times: int, paused: set[str]) -> None:
    """From the third return on for which the row of the skate or of the part is looked at."""
    tell(shop, *[{**BACK, "cause": cause}] * times)

    assert paused == read(shop, BasketNamed(("heron-40", "heron-42"), (), ("frame-a", "frame-b"))).paused


def test_what_was_checked_since_is_paused_no_longer(shop: Engines) -> None:
    """Somebody held the row against the goods on the day of the last return, or after it."""
    tell(shop, *[{**BACK, "cause": "did_not_go_on"}] * 3)
    named = BasketNamed(parts=("frame-b",))
    before = read(shop, named).paused
    keep(shop, {**PARTS[1], "checked_on": BACK["on"]})

    assert ({"frame-b"}, set()) == (before, read(shop, named).paused)


def test_an_empty_basket_has_a_version(shop: Engines) -> None:
    """It is read as well."""
    with shop.reading() as connection:
        assert BasketRead(version_of(connection), {}, (), {}, frozenset()) == basket_read(
            connection, BasketNamed(), MOST
        )
