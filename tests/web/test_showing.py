"""What is shown of an article: its record, where its mounts come from, what came back; and how long it may be kept."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from itertools import islice
from typing import Any, NamedTuple

import pytest
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from requests.utils import parse_header_links
from werkzeug.test import TestResponse

from mountwright.bootstrap import create_app
from mountwright.catalogue.keys import created
from mountwright.catalogue.noting import Noting
from mountwright.catalogue.writing import Writing
from mountwright.settings import Reads, Settings
from mountwright.web.records import mount_reader
from mountwright.web.workshop import EXTENSION, Workshop

Json = dict[str, Any]

BOLTS: Json = {"position": "frame", "standard": "two-bolt-165", "claimed_by": "maker"}
STRAP: Json = {"position": "strap_cuff", "standard": "strap-pitch-15", "claimed_by": "maker"}
LINER: Json = {"position": "liner", "standard": "felt-3", "claimed_by": "seller"}
HUB: Json = {"position": "hub", "standard": "hub-608", "claimed_by": "maker"}
FIGURE: Json = {"hole_spacing_mm": {"value": 164.8, "instrument": "caliper"}}

FAMILY: Json = {"kind": "family", "family": "grow", "mounts": [BOLTS, STRAP]}
WHEEL: Json = {"sku": "wheel-1", "kind": "wheel", "name": "Towpath", "mounts": [HUB]}
SPACER: Json = {"sku": "spacer-1", "kind": "spacer"}
SKATE: Json = {
    "sku": "lantern",
    "kind": "skate",
    "name": "Lantern",
    "family": "grow",
    "trade_in_minor": 500,
    "currency": "EUR",
    "comes_with": [{"sku": "spacer-1", "count": 8}, {"sku": "wheel-1", "count": 8}],
    "mounts": [{"position": "frame", "dimensions": FIGURE, "source": "the bench"}, {**LINER, "source": "a sheet"}],
}


class Shop(NamedTuple):
    """A service with a few articles."""

    client: FlaskClient
    workshop: Workshop

    def shown(self, path: str = "skates/lantern", **headers: str) -> TestResponse:
        """Ask for what is there."""
        return self.client.get(f"/v1/{path}", headers=headers)

    def write(self, deed: Callable[[Writing], object]) -> None:
        """Write into the catalogue."""
        registry = self.workshop.registry
        with self.workshop.engines.writing() as connection:
            writing = Writing(connection, mount_reader(registry), registry.rules_version)
            deed(writing)
            version = writing.finish()
        if version is not None:
            self.workshop.shelf.noted(version)

    def return_(self, count: int, cause: str) -> None:
        """Tell that a wheel came back from the skate, used the first time."""
        outcome = {"skate": "lantern", "part": "wheel-1", "outcome": "came_back", "cause": cause}
        with self.workshop.engines.writing() as connection:
            noting = Noting(connection, "bell")
            noting.note(
                [
                    {**outcome, "outcome_id": str(number), "told_by": "bench", "on": "2026-03-07", "used": number == 0}
                    for number in range(count)
                ]
            )
            version = noting.finish()
        self.workshop.shelf.noted(version)


def opened(database: str, reads: Reads = Reads.OPEN) -> Shop:
    """Open a shop and fill it."""
    app = create_app(Settings(database=database, reads=reads))
    workshop: Workshop = app.extensions[EXTENSION]
    shop = Shop(app.test_client(), workshop)
    shop.write(lambda writing: writing.add_families([FAMILY]))
    shop.write(lambda writing: writing.add_articles([WHEEL, SPACER]))
    shop.write(lambda writing: writing.add_articles([SKATE]))
    return shop


@pytest.fixture
def shop(database: str) -> Iterator[Shop]:
    """Give a shop, on each of the two engines in turn."""
    found = opened(database)
    yield found
    found.workshop.engines.close()


@pytest.fixture
def keyed_shop(sqlite_database: str) -> Iterator[Shop]:
    """Give a shop that only holders of a key may read from."""
    found = opened(sqlite_database, Reads.KEYED)
    key = created(found.workshop.engines, "bell", ["read"], None, datetime.now(UTC))
    found.client.environ_base["HTTP_AUTHORIZATION"] = f"Bearer {key}"
    yield found
    found.workshop.engines.close()


@pytest.fixture
def small_shop(sqlite_database: str) -> Iterator[Shop]:
    """Give a shop with a file for a catalogue."""
    found = opened(sqlite_database)
    yield found
    found.workshop.engines.close()


def test_the_record_is_shown_as_it_was_given(shop: Shop) -> None:
    """What one reads one can write again."""
    assert SKATE == shop.shown().get_json()["record"]
    assert WHEEL == shop.shown("parts/wheel-1").get_json()["record"]


def test_each_mount_says_where_it_comes_from(shop: Shop) -> None:
    """Its own figure on its family's mount, its own, its family's, and its wheel's; the source is the record's."""
    assert [
        {"origin": "own_and_family", "sku": None, "mount": {**BOLTS, "dimensions": FIGURE}},
        {"origin": "own", "sku": None, "mount": LINER},
        {"origin": "family", "sku": None, "mount": STRAP},
        {"origin": "part", "sku": "wheel-1", "mount": HUB},
    ] == shop.shown().get_json()["mounts"]


def test_a_parts_mounts_are_its_own(shop: Shop) -> None:
    """It inherits from nobody, and comes with nothing."""
    shown = shop.shown("parts/wheel-1").get_json()

    assert [{"origin": "own", "sku": None, "mount": HUB}] == shown["mounts"]
    assert "comes_with" not in shown


def test_the_parts_that_a_skate_comes_with_are_named(shop: Shop) -> None:
    """In the order of the record; one without a name has none."""
    assert [
        {"sku": "spacer-1", "count": 8, "kind": "spacer", "name": None},
        {"sku": "wheel-1", "count": 8, "kind": "wheel", "name": "Towpath"},
    ] == shop.shown().get_json()["comes_with"]


def test_a_standard_that_is_not_installed_is_named(shop: Shop) -> None:
    """While it is not there, answers are cannot_tell at its position."""
    assert [{"position": "liner", "standard": "felt-3"}] == shop.shown().get_json()["not_installed"]
    assert [] == shop.shown("parts/wheel-1").get_json()["not_installed"]


def test_what_came_back_often_pauses_the_part(shop: Shop) -> None:
    """With what to look at; the skate that it came back from is not concerned."""
    shop.return_(3, "did_not_go_on")
    part, skate = shop.shown("parts/wheel-1").get_json(), shop.shown().get_json()
    (correction,) = part["to_correct"]

    assert (True, False) == (part["paused"], skate["paused"])
    assert [{"cause": "did_not_go_on", "count": 3, "used": 1}] == part["returns"]
    assert "3 came back as did_not_go_on, 1 of them used: look at mounts in this record." == correction["message"]


def test_a_change_of_mind_pauses_nothing(shop: Shop) -> None:
    """It is counted, and says nothing of the record."""
    shop.return_(5, "changed_mind")
    shown = shop.shown("parts/wheel-1").get_json()

    assert (False, [], 5) == (shown["paused"], shown["to_correct"], shown["returns"][0]["count"])


def test_what_is_unchanged_keeps_its_headers(shop: Shop) -> None:
    """RFC 9110, 15.4.5: a 304 has what a 200 would have had."""
    whole = shop.shown()
    unchanged = shop.shown(**{"If-None-Match": f'"another", W/{whole.headers["ETag"]}'})
    names = ("ETag", "Cache-Control", "Catalogue-Version")

    assert (304, b"") == (unchanged.status_code, unchanged.data)
    assert [whole.headers[name] for name in names] == [unchanged.headers[name] for name in names]


def test_open_reads_may_be_kept_by_anybody(small_shop: Shop) -> None:
    """For half a minute, whoever asks."""
    for path in ("skates", "skates/lantern", "parts?kind=wheel"):
        headers = small_shop.shown(path).headers
        assert ("public, max-age=30", "Accept-Language") == (headers["Cache-Control"], headers.get("Vary"))


def test_keyed_reads_are_kept_by_who_asked(keyed_shop: Shop) -> None:
    """No shared cache gives them to others; also where nothing has changed."""
    for path in ("skates", "skates/lantern", "parts?kind=wheel"):
        whole = keyed_shop.shown(path)
        again = keyed_shop.shown(path, **{"If-None-Match": whole.headers["ETag"]})
        assert [200, 304] == [whole.status_code, again.status_code]
        for headers in (whole.headers, again.headers):
            assert ("private, max-age=30", "Authorization, Accept-Language") == (
                headers["Cache-Control"],
                headers["Vary"],
            )


def test_a_read_without_a_key_is_refused_where_reads_are_keyed(keyed_shop: Shop) -> None:
    """Also of what is not there: nobody learns what there is."""
    del keyed_shop.client.environ_base["HTTP_AUTHORIZATION"]

    assert [401] * 3 == [keyed_shop.shown(path).status_code for path in ("parts", "parts/wheel-1", "parts/none")]


def test_the_body_of_a_head_is_left_out(small_shop: Shop) -> None:
    """The headers are those of a read."""
    head, whole = small_shop.client.head("/v1/skates/lantern"), small_shop.shown()

    assert (200, b"", whole.headers["ETag"]) == (head.status_code, head.data, head.headers["ETag"])


@pytest.mark.parametrize("sku", ["a%00b", "-a", "a%20b", "r%C3%A4der", "a" * 61, "%ED%A0%80"])
def test_what_can_be_no_sku_is_not_there(shop: Shop, sku: str) -> None:
    """Without a question to the database, which might not take it."""
    assert (404, "no_such_article") == ((answer := shop.shown(f"parts/{sku}")).status_code, answer.get_json()["code"])


def test_a_name_that_the_trade_uses_finds_the_standard(shop: Shop) -> None:
    """In the query too, whatever its case; a key is one as it stands."""
    flat = {"sku": "plate", "kind": "frame", "mounts": [{**BOLTS, "standard": "flat-167"}]}
    shop.write(lambda writing: writing.add_articles([flat]))
    found = [
        [part["sku"] for part in shop.shown(f"parts?standard={name}").get_json()["parts"]]
        for name in ("UFS", "ufs", "flat-167", "nothing")
    ]

    assert [["plate"], ["plate"], ["plate"], []] == found


def test_the_page_says_which_version_it_shows(shop: Shop) -> None:
    """So that who walks them can tell whether the catalogue changed between two."""
    page = shop.shown("skates")

    assert page.headers["Catalogue-Version"] == page.get_json()["catalogue"] == shop.workshop.shelf.version().label


def linked(client: FlaskClient, path: str | None, between: Callable[[], object]) -> Iterator[str]:
    """Follow the links from page to page, and do something between one and the next; give the SKUs."""
    start = path
    while path is not None:
        answer = client.get(path)
        yield from (record["sku"] for record in answer.get_json()["parts"])
        path = answer.get_json()["next"]
        header = {link["rel"]: link["url"] for link in parse_header_links(answer.headers["Link"])}
        assert (start, path) == (header["first"], header.get("next"))
        between()


SKU = st.from_regex(r"[a-d][a-d0-2._-]{0,2}", fullmatch=True)


@given(skus=st.sets(SKU, max_size=8), newcomers=st.lists(SKU, max_size=3), limit=st.integers(1, 9))
@settings(deadline=None, max_examples=20, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_the_links_lead_past_every_part_once(
    small_shop: Shop, skus: set[str], newcomers: list[str], limit: int
) -> None:
    """In order of SKU, whatever the limit, and whatever is added meanwhile, behind the walker or before him."""
    client, waiting = small_shop.client, iter(newcomers)
    for sku in linked(client, "/v1/parts?limit=100&kind=brake", lambda: None):
        small_shop.write(lambda writing, sku=sku: writing.remove_article(sku))
    small_shop.write(lambda writing: writing.add_articles([{"sku": sku, "kind": "brake"} for sku in sorted(skus)]))

    def add() -> None:
        added = [{"sku": sku, "kind": "brake"} for sku in islice(waiting, 1)]
        small_shop.write(lambda writing: writing.add_articles(added))

    found = list(islice(linked(client, f"/v1/parts?limit={limit}&kind=brake", add), 100))

    assert sorted(set(found)) == found
    assert skus <= set(found) <= skus | set(newcomers)


@pytest.mark.parametrize(
    ("query", "places"),
    [
        ("limit=0&after=%20&in_stock=yes", {"limit", "after", "in_stock"}),
        ("limit=1.0", {"limit"}),
        ("limit=%D9%A1", {"limit"}),
        ("limit=1&limit=2", {"limit"}),
        ("limit=101", {"limit"}),
        ("limit=", {"limit"}),
        ("eu_size=nan", {"eu_size"}),
        ("eu_size=1e1", {"eu_size"}),
        ("eu_size=14.5&made=1949", {"eu_size", "made"}),
        ("name=", {"name"}),
        ("name=---", {"name"}),
        ("maker=%00", {"maker"}),
        ("colour=a%0Ab", {"colour"}),
        ("price_to_minor=5", {"currency"}),
        ("price_from_minor=6&price_to_minor=5&currency=EUR", {"price_from_minor"}),
        ("price_from_minor=-1&currency=EUR", {"price_from_minor"}),
        ("price_from_minor=99999999999999999999&currency=EUR", {"price_from_minor"}),
        ("currency=eur", {"currency"}),
        ("gtin=12", {"gtin"}),
        ("kind=skate", {"kind"}),
        ("family=a%20b&bells=1", {"family", "bells"}),
    ],
)
def test_every_fault_of_a_query_is_pointed_at(small_shop: Shop, query: str, places: set[str]) -> None:
    """A query has only texts: a number is digits, a flag is true or false, and each is given once."""
    refused = small_shop.shown(f"skates?{query}")

    assert 422 == refused.status_code
    assert {f"/query/{place}" for place in places} == {fault["pointer"] for fault in refused.get_json()["errors"]}


@pytest.mark.parametrize(("query", "count"), [("", 20), ("limit=3", 3), ("limit=100", 27)])
def test_a_page_holds_what_was_asked_for(small_shop: Shop, query: str, count: int) -> None:
    """Twenty where nothing is said."""
    brakes = [{"sku": f"brake-{number}", "kind": "brake"} for number in range(25)]
    small_shop.write(lambda writing: writing.add_articles(brakes))

    assert count == len(small_shop.shown(f"parts?{query}").get_json()["parts"])


def closed(node: Any) -> Any:
    """Give a piece of the contract with every object closed to fields that it does not name."""
    if isinstance(node, list):
        return [closed(each) for each in node]
    if not isinstance(node, dict):
        return node
    whole = {name: closed(each) for name, each in node.items()}
    is_object = whole.get("type") == "object" and "properties" in whole
    return {**whole, "additionalProperties": False} if is_object else whole


def hold(contract: Json, path: str, method: str, answer: TestResponse) -> None:
    """Raise unless an answer has a documented status, media type, headers and schema."""
    said = contract["paths"][path][method]["responses"][str(answer.status_code)]
    assert set(said.get("headers", ())) <= {*answer.headers.keys(), "Catalogue-Age"}
    if not answer.data:
        assert "content" not in said
        return
    schema = {**said["content"][answer.content_type]["schema"], "components": closed(contract["components"])}
    Draft202012Validator(schema).validate(json.loads(answer.data))


def test_every_answer_keeps_to_the_contract(small_shop: Shop) -> None:
    """What is shown, kept, refused and deleted, of either sort."""
    small_shop.return_(3, "did_not_go_on")
    client, contract = small_shop.client, small_shop.client.get("/openapi.json").get_json()
    key = created(small_shop.workshop.engines, "bell", ["write"], None, datetime.now(UTC))
    writes = {"Authorization": f"Bearer {key}"}
    for sort, sku, record in (("skates", "lantern", SKATE), ("parts", "wheel-1", WHEEL)):
        page, one, new = f"/v1/{sort}", f"/v1/{sort}/{sku}", {**record, "sku": f"{sku}-new"}
        same = {"If-None-Match": client.get(one).headers["ETag"]}
        hold(contract, page, "get", client.get(f"{page}?limit=1"))
        hold(contract, page, "get", client.get(f"{page}?limit=0"))
        hold(contract, f"{page}/{{sku}}", "get", client.get(one))
        hold(contract, f"{page}/{{sku}}", "get", client.get(one, headers=same))
        hold(contract, f"{page}/{{sku}}", "get", client.get(f"{one}-none"))
        for body, status in ((new, 201), (new, 200), ({**new, "stock": 1}, 200), ({}, 422), ({**new, "sku": 1}, 422)):
            answer = client.put(f"{one}-new", json=body, headers=writes)
            assert status == answer.status_code
            hold(contract, f"{page}/{{sku}}", "put", answer)
        hold(contract, f"{page}/{{sku}}", "put", client.put(one, json=record, headers={**writes, "If-Match": '"x"'}))
        for path in (f"{one}-new", f"{one}-new"):
            hold(contract, f"{page}/{{sku}}", "delete", client.delete(path, headers=writes))
    hold(contract, "/v1/parts/{sku}", "delete", client.delete("/v1/parts/wheel-1", headers=writes))


def test_the_contract_names_every_parameter(small_shop: Shop) -> None:
    """Of the query, of the path and of the headers, each with what it may be."""
    contract = small_shop.client.get("/openapi.json").get_json()["paths"]
    listed = {each["name"]: each["schema"] for each in contract["/v1/skates"]["get"]["parameters"]}
    put = {each["name"] for each in contract["/v1/skates/{sku}"]["put"]["parameters"]}

    assert {"type": "integer", "minimum": 1, "maximum": 100, "default": 20} == listed["limit"]
    assert {"eu_size", "made", "family", "after", "If-None-Match"} <= listed.keys()
    assert {"If-Match", "If-None-Match"} == put
