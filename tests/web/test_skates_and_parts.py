"""Skates and parts over HTTP: searched, paged, shown, kept and deleted, with a key where one is needed."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from mountwright.bootstrap import create_app
from mountwright.catalogue.keys import created
from mountwright.settings import Settings
from mountwright.web.workshop import EXTENSION, Workshop

Json = dict[str, Any]
Put = Callable[..., TestResponse]

MOUNT: Json = {"position": "frame", "standard": "two-bolt-165", "claimed_by": "maker"}
FRAME: Json = {"kind": "frame", "name": "Größe Towpath", "maker": "Quillfen", "colour": "Rust", "mounts": [MOUNT]}
SKATE: Json = {"kind": "skate", "name": "Lantern", "comes_with": [{"sku": "frame-1", "count": 2}]}


def key(shop: Flask, scope: str) -> dict[str, str]:
    """Give the headers of a request with a key."""
    workshop: Workshop = shop.extensions[EXTENSION]
    return {"Authorization": f"Bearer {created(workshop.engines, 'bell', [scope], None, datetime.now(UTC))}"}


@pytest.fixture
def put(shop: Flask) -> Put:
    """Give a way to keep an article."""
    headers = key(shop, "write")

    def kept(path: str, record: Json, **more: str) -> TestResponse:
        return shop.test_client().put(f"/v1/{path}", json=record, headers={**headers, **more})

    return kept


def test_what_is_put_is_shown(put: Put, asking: FlaskClient) -> None:
    """New is 201, the same again 200 and no new version."""
    first, again = put("parts/frame-1", FRAME), put("parts/frame-1", FRAME)
    shown = asking.get("/v1/parts/frame-1")

    assert (201, 200, 200) == (first.status_code, again.status_code, shown.status_code)
    assert first.headers["Catalogue-Version"] == shown.headers["Catalogue-Version"]


def test_a_skate_shows_the_mounts_of_what_it_comes_with(put: Put, asking: FlaskClient) -> None:
    """A skate is a boot plus its parts."""
    put("parts/frame-1", FRAME)
    put("skates/lantern", SKATE)

    assert "two-bolt-165" in asking.get("/v1/skates/lantern").get_data(as_text=True)


@pytest.mark.parametrize(
    ("path", "record", "pointer"),
    [
        ("parts/frame-1", {**FRAME, "price_minor": 5}, "/currency"),
        ("parts/frame-1", {**FRAME, "kind": "skate"}, "/kind"),
        ("parts/frame-1", {**FRAME, "sku": "frame-2"}, "/sku"),
        ("skates/lantern", SKATE, "/comes_with/0/sku"),
        ("skates/lantern", {"kind": "skate", "family": "nobody"}, "/family"),
    ],
)
def test_a_fault_is_pointed_at_and_nothing_kept(
    put: Put, asking: FlaskClient, path: str, record: Json, pointer: str
) -> None:
    """Also a name that leads nowhere."""
    refused = put(path, record)

    assert (422, [pointer]) == (refused.status_code, [fault["pointer"] for fault in refused.get_json()["errors"]])
    assert 404 == asking.get(f"/v1/{path}").status_code


def test_writing_needs_a_key_that_writes(shop: Flask, asking: FlaskClient) -> None:
    """None is 401, one that reads is 403."""
    reading = key(shop, "read")

    assert 401 == asking.put("/v1/parts/frame-1", json=FRAME).status_code
    assert 403 == asking.put("/v1/parts/frame-1", json=FRAME, headers=reading).status_code
    assert 401 == asking.delete("/v1/parts/frame-1").status_code


def test_a_part_that_a_skate_comes_with_stays(shop: Flask, put: Put, asking: FlaskClient) -> None:
    """It goes once the skate is gone; what is not there is 404."""
    headers = key(shop, "write")
    put("parts/frame-1", FRAME)
    put("skates/lantern", SKATE)
    statuses = [
        asking.delete(f"/v1/{path}", headers=headers).status_code
        for path in ("parts/frame-1", "skates/lantern", "parts/frame-1", "parts/frame-1")
    ]

    assert [409, 204, 204, 404] == statuses


def test_a_change_that_was_not_seen_is_not_written_over(put: Put, asking: FlaskClient) -> None:
    """If-Match holds the tag of what one has seen."""
    put("parts/frame-1", FRAME)
    tag = asking.get("/v1/parts/frame-1").headers["ETag"]
    seen = put("parts/frame-1", {**FRAME, "stock": 1}, **{"If-Match": tag})
    unseen = put("parts/frame-1", {**FRAME, "stock": 2}, **{"If-Match": tag})

    assert (200, 412) == (seen.status_code, unseen.status_code)


def test_what_one_has_is_not_sent_again(put: Put, asking: FlaskClient) -> None:
    """ETag, If-None-Match and Cache-Control."""
    put("parts/frame-1", FRAME)
    shown = asking.get("/v1/parts/frame-1")
    again = asking.get("/v1/parts/frame-1", headers={"If-None-Match": shown.headers["ETag"]})

    assert (304, b"") == (again.status_code, again.data)
    assert "public, max-age=30" == shown.headers["Cache-Control"]


def test_a_near_spelling_and_the_other_sort_are_told(put: Put, asking: FlaskClient) -> None:
    """A 404 that helps."""
    put("parts/frame-1", FRAME)

    assert "no_such_article_near" == asking.get("/v1/parts/frame1").get_json()["code"]
    assert "/v1/parts/frame-1" in asking.get("/v1/skates/frame-1").get_json()["detail"]


@pytest.mark.parametrize("limit", [1, 2, 3, 7, 100])
def test_pages_hold_every_part_once_and_in_order(put: Put, asking: FlaskClient, limit: int) -> None:
    """Whatever their size; each links to the next."""
    skus = sorted(f"frame-{number}" for number in range(7))
    for sku in skus:
        put(f"parts/{sku}", FRAME)
    found, path = [], f"/v1/parts?limit={limit}"
    while path:
        answer = asking.get(path)
        found += [part["sku"] for part in answer.get_json()["parts"]]
        path = answer.get_json()["next"]
        assert (path is not None) == ('rel="next"' in answer.headers["Link"])

    assert skus == found


@pytest.mark.parametrize(
    "query",
    [
        "name=grosse tow",
        "name=TOWP",
        "maker=quillfen",
        "kind=frame",
        "colour=rust",
        "position=frame&standard=two-bolt-165",
        "in_stock=true",
        "price_from_minor=100&price_to_minor=200&currency=EUR",
    ],
)
def test_each_filter_finds_what_it_says(put: Put, asking: FlaskClient, query: str) -> None:
    """Without regard to case and accents, and nothing else."""
    put("parts/frame-1", {**FRAME, "stock": 2, "price_minor": 150, "currency": "EUR"})
    put("parts/wheel-1", {"kind": "wheel", "name": "Bell", "stock": 0, "price_minor": 900, "currency": "EUR"})

    assert ["frame-1"] == [part["sku"] for part in asking.get(f"/v1/parts?{query}").get_json()["parts"]]


@pytest.mark.parametrize(
    ("query", "place"),
    [
        ("limit=0", "limit"),
        ("limit=x", "limit"),
        ("after=%C3%A9", "after"),
        ("bells=1", "bells"),
        ("kind=bell", "kind"),
    ],
)
def test_a_faulty_query_is_pointed_at(asking: FlaskClient, query: str, place: str) -> None:
    """As if it stood in a body."""
    refused = asking.get(f"/v1/parts?{query}")

    assert (422, f"/query/{place}") == (refused.status_code, refused.get_json()["errors"][0]["pointer"])


def test_a_part_that_was_read_is_shown_while_the_database_is_away(sqlite_database: str, tmp_path: Path) -> None:
    """With a word about its age; what was not read, and every write, is 503 with when to come again."""
    app = create_app(Settings(database=sqlite_database))
    workshop: Workshop = app.extensions[EXTENSION]
    headers, client = key(app, "write"), app.test_client()
    client.put("/v1/parts/frame-1", json=FRAME, headers=headers)
    before = client.get("/v1/parts/frame-1")
    workshop.engines.close()
    (tmp_path / "catalogue.db").rename(tmp_path / "away.db")
    workshop.shelf._confirmed_at -= 5  # a moment later
    after, other = client.get("/v1/parts/frame-1"), client.get("/v1/parts/frame-2")
    write = client.put("/v1/parts/frame-1", json=FRAME, headers=headers)

    assert (200, before.data) == (after.status_code, after.data)
    assert 5 <= int(after.headers["Catalogue-Age"])
    assert [(503, "5"), (503, "5")] == [
        (answer.status_code, answer.headers["Retry-After"]) for answer in (other, write)
    ]


def test_an_article_of_the_other_sort_is_not_deleted_nor_written_over(shop: Flask, put: Put) -> None:
    """The refusals say where it is; it stays as it was."""
    put("parts/frame-1", FRAME)
    put("skates/lantern", SKATE)
    client, headers = shop.test_client(), key(shop, "write")
    deleted = [client.delete(f"/v1/{path}", headers=headers) for path in ("parts/lantern", "skates/frame-1")]
    written = put("parts/lantern", FRAME)

    assert [(404, "article_elsewhere")] * 2 == [(each.status_code, each.get_json()["code"]) for each in deleted]
    assert (409, "sku_taken") == (written.status_code, written.get_json()["code"])
    assert 200 == client.get("/v1/skates/lantern").status_code


def test_a_key_that_reads_deletes_nothing(shop: Flask, put: Put, asking: FlaskClient) -> None:
    """403, and the part is still there."""
    put("parts/frame-1", FRAME)

    assert 403 == asking.delete("/v1/parts/frame-1", headers=key(shop, "read")).status_code
    assert 200 == asking.get("/v1/parts/frame-1").status_code


def test_a_page_one_has_is_not_sent_again_until_it_changes(put: Put, asking: FlaskClient) -> None:
    """The links stay with the 304; a new article of the page is another page."""
    put("parts/frame-1", FRAME)
    tag = {"If-None-Match": asking.get("/v1/parts").headers["ETag"]}
    same = asking.get("/v1/parts", headers=tag)
    put("parts/frame-2", FRAME)

    assert (304, b"", '</v1/parts>; rel="first"') == (same.status_code, same.data, same.headers["Link"])
    assert 200 == asking.get("/v1/parts", headers=tag).status_code


def test_what_a_page_was_asked_for_holds_for_the_next(put: Put, asking: FlaskClient) -> None:
    """The filter and the limit are in its address, whatever letters they hold; the first page is linked to as well."""
    for sku in ("frame-1", "frame-3"):
        put(f"parts/{sku}", FRAME)
    put("parts/frame-2", {**FRAME, "name": "Bell"})
    first = asking.get("/v1/parts", query_string={"name": "größe tow", "limit": 1})
    second = asking.get(first.get_json()["next"])

    assert ["frame-3"] == [part["sku"] for part in second.get_json()["parts"]]
    assert '</v1/parts?name=gr%C3%B6%C3%9Fe+tow&limit=1>; rel="first"' == second.headers["Link"]


def test_while_the_database_is_away_no_page_is_made_up(sqlite_database: str, tmp_path: Path) -> None:
    """503 with when to come again, for a list and for a deletion."""
    app = create_app(Settings(database=sqlite_database))
    workshop: Workshop = app.extensions[EXTENSION]
    headers, client = key(app, "write"), app.test_client()
    client.delete("/v1/parts/frame-1", headers=headers)
    workshop.engines.close()
    (tmp_path / "catalogue.db").rename(tmp_path / "away.db")
    answers = [client.get("/v1/skates"), client.delete("/v1/parts/frame-1", headers=headers)]

    assert [(503, "5")] * 2 == [(answer.status_code, answer.headers["Retry-After"]) for answer in answers]


def test_a_service_below_a_prefix_leads_to_places_below_it(put: Put, asking: FlaskClient) -> None:
    """Whoever mounts it under a path is not led out of it."""
    put("parts/frame-1", FRAME)
    refused = asking.get("/v1/skates/frame-1", environ_overrides={"SCRIPT_NAME": "/fit"})

    assert "/fit/v1/parts/frame-1" == refused.get_json()["params"]["place"]
