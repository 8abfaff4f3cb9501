"""Writes of single articles: every fault at once, what may not be overwritten, and what the answers say."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import UTC, datetime
from typing import Any, NamedTuple

import pytest
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from mountwright.bootstrap import create_app
from mountwright.catalogue.keys import created
from mountwright.settings import Settings
from mountwright.web.workshop import EXTENSION, Workshop

Json = dict[str, Any]

HUB: Json = {"position": "hub", "standard": "hub-608", "claimed_by": "maker"}
WHEEL: Json = {"kind": "wheel", "name": "Towpath", "mounts": [HUB]}
SKATE: Json = {"kind": "skate", "name": "Lantern", "comes_with": [{"sku": "wheel-1", "count": 8}]}


class Shop(NamedTuple):
    """A service and a key that writes."""

    client: FlaskClient
    workshop: Workshop
    key: str

    def put(self, path: str, record: Any, **headers: str) -> TestResponse:
        """Keep an article."""
        shown = {"Authorization": f"Bearer {self.key}", **headers}
        return self.client.put(f"/v1/{path}", data=json.dumps(record), content_type="application/json", headers=shown)

    def delete(self, path: str, **headers: str) -> TestResponse:
        """Delete an article."""
        return self.client.delete(f"/v1/{path}", headers={"Authorization": f"Bearer {self.key}", **headers})

    def tag(self, path: str) -> str:
        """Give the tag of what is shown."""
        return self.client.get(f"/v1/{path}").headers["ETag"]

    def version(self) -> int:
        """Give the number of the version that stands."""
        return self.workshop.shelf.version().number


@pytest.fixture
def shop(sqlite_database: str) -> Iterator[Shop]:
    """Give a shop with an empty catalogue in a file."""
    app = create_app(Settings(database=sqlite_database))
    workshop: Workshop = app.extensions[EXTENSION]
    yield Shop(app.test_client(), workshop, created(workshop.engines, "bell", ["write"], None, datetime.now(UTC)))
    workshop.engines.close()


def pointers(refused: TestResponse) -> list[str]:
    """Give the places of the faults of a refusal."""
    assert 422 == refused.status_code
    return [fault["pointer"] for fault in refused.get_json()["errors"]]


def test_the_answer_shows_what_is_kept(shop: Shop) -> None:
    """As a read gives it afterwards, in this process at once."""
    shop.put("parts/wheel-1", WHEEL)
    kept = shop.put("skates/lantern", SKATE)

    assert kept.data == shop.client.get("/v1/skates/lantern").data
    assert {**SKATE, "sku": "lantern"} == kept.get_json()["record"]


def test_what_is_new_says_where_it_is(shop: Shop) -> None:
    """Location with 201 alone, and with both that the body is what stands there."""
    new, replaced = shop.put("parts/wheel-1", WHEEL), shop.put("parts/wheel-1", {**WHEEL, "stock": 1})

    assert (201, "/v1/parts/wheel-1") == (new.status_code, new.headers["Location"])
    assert (200, None) == (replaced.status_code, replaced.headers.get("Location"))
    assert ["/v1/parts/wheel-1"] * 2 == [answer.headers["Content-Location"] for answer in (new, replaced)]


def test_the_answer_to_a_write_carries_no_tag(shop: Shop) -> None:
    """The body is not what was sent, so that RFC 9110, 9.3.4, has none."""
    assert "ETag" not in shop.put("parts/wheel-1", WHEEL).headers


def test_only_what_changes_something_raises_the_version(shop: Shop) -> None:
    """The same again does not, whatever the order of its fields, and nor does what is refused."""
    shop.put("parts/wheel-1", WHEEL)
    shop.put("parts/wheel-1", {**dict(reversed(WHEEL.items())), "sku": "wheel-1"})
    shop.put("skates/lantern", {**SKATE, "family": "none"})
    shop.delete("parts/wheel-2")

    assert 1 == shop.version()


def test_all_faults_are_told_at_once(shop: Shop) -> None:
    """Of the path, of the form and of what the standards say; a wrong kind hides nothing."""
    record = {
        "sku": "wheel-2",
        "kind": "family",
        "price_minor": 5,
        "bells": 1,
        "gtin": "4006381333932",
        "mounts": [{**HUB, "dimensions": {"seat_diameter_mm": {"value": 2200, "instrument": "caliper"}}}],
    }

    assert [
        "/bells",
        "/currency",
        "/gtin",
        "/kind",
        "/mounts/0/dimensions/seat_diameter_mm",
        "/sku",
    ] == sorted(pointers(shop.put("parts/wheel-1", record)))


def test_names_that_lead_nowhere_are_told_at_once(shop: Shop) -> None:
    """The family, and each part that a skate would come with."""
    lost = {**SKATE, "family": "none", "comes_with": [{"sku": sku, "count": 4} for sku in ("wheel-1", "wheel-2")]}

    assert ["/comes_with/0/sku", "/comes_with/1/sku", "/family"] == pointers(shop.put("skates/lantern", lost))


@pytest.mark.parametrize("body", [[], "lantern", None, 5])
def test_what_is_no_object_is_no_record(shop: Shop, body: Any) -> None:
    """The fault is the whole body's."""
    assert [""] == pointers(shop.put("skates/lantern", body))


@pytest.mark.parametrize(
    ("record", "pointer"),
    [
        ({**WHEEL, "name": "a\0b"}, "/name"),
        ({**WHEEL, "mounts": [{**HUB, "position": "a\0"}]}, "/mounts/0/position"),
        ({**WHEEL, "a/\0": 1}, "/a~1\0"),
    ],
    ids=["name", "position", "field"],
)
def test_a_nul_character_is_refused(shop: Shop, record: Json, pointer: str) -> None:
    """PostgreSQL keeps none, so that no copy of a catalogue may."""
    assert [pointer] == pointers(shop.put("parts/wheel-1", record))


@pytest.mark.parametrize("sku", ["-wheel", "wheel 1", "wheel+1", "räder", "a" * 61])
def test_what_can_be_no_sku_is_refused_in_the_path(shop: Shop, sku: str) -> None:
    """Nothing could be kept there, and nothing is to be deleted there."""
    assert ["/sku"] == pointers(shop.put(f"parts/{sku}", WHEEL))
    assert 404 == shop.delete(f"parts/{sku}").status_code


def test_a_part_gives_no_skate_its_sku(shop: Shop) -> None:
    """It has to be deleted first, there where it is."""
    shop.put("parts/wheel-1", WHEEL)
    refused = shop.put("skates/wheel-1", {"kind": "skate"})
    elsewhere = shop.delete("skates/wheel-1")

    assert (409, "/v1/parts/wheel-1") == (refused.status_code, refused.get_json()["params"]["place"])
    assert (404, "/v1/parts/wheel-1") == (elsewhere.status_code, elsewhere.get_json()["params"]["place"])
    assert 200 == shop.client.get("/v1/parts/wheel-1").status_code


def test_the_skates_that_hold_a_part_are_named(shop: Shop) -> None:
    """Five at most, and how many there are."""
    shop.put("parts/wheel-1", WHEEL)
    for number in range(7):
        shop.put(f"skates/lantern-{number}", SKATE)
    refused = shop.delete("parts/wheel-1").get_json()

    assert ("part_held", 7) == (refused["code"], refused["params"]["count"])
    assert "lantern-0, lantern-1, lantern-2, lantern-3, lantern-4, …" == refused["params"]["skates"]


def test_what_is_deleted_is_gone_at_once(shop: Shop) -> None:
    """In this process; the answer has no body and tells the version."""
    shop.put("parts/wheel-1", WHEEL)
    shop.client.get("/v1/parts/wheel-1")
    deleted = shop.delete("parts/wheel-1")

    assert (204, b"") == (deleted.status_code, deleted.data)
    assert f"{shop.version()}-" in deleted.headers["Catalogue-Version"]
    assert 404 == shop.client.get("/v1/parts/wheel-1").status_code


def test_a_near_spelling_is_told_with_a_deletion(shop: Shop) -> None:
    """A slip of the pen deletes nothing."""
    shop.put("parts/wheel-1", WHEEL)

    assert "wheel-1" == shop.delete("parts/whee-1").get_json()["params"]["near"]


def test_another_article_does_not_change_what_was_seen(shop: Shop) -> None:
    """A tag stands for an article, not for the whole catalogue; a changed part is a change of its skate."""
    shop.put("parts/wheel-1", WHEEL)
    shop.put("skates/lantern", SKATE)
    tag = shop.tag("skates/lantern")
    shop.put("parts/wheel-2", WHEEL)
    unconcerned = shop.tag("skates/lantern")
    shop.put("parts/wheel-1", {**WHEEL, "name": "Ember"})

    assert tag == unconcerned
    assert 412 == shop.put("skates/lantern", {**SKATE, "stock": 1}, **{"If-Match": tag}).status_code


@pytest.mark.parametrize(
    ("header", "there", "gone"),
    [
        ({"If-Match": '"another"'}, 412, 412),
        ({"If-Match": "*"}, 200, 412),
        ({"If-Match": 'W/"another", "third"'}, 412, 412),
        ({"If-None-Match": "*"}, 412, 201),
        ({"If-None-Match": '"another"'}, 200, 201),
    ],
    ids=str,
)
def test_a_condition_is_held_against_what_is_there(shop: Shop, header: dict[str, str], there: int, gone: int) -> None:
    """RFC 9110, 13.1.1 and 13.1.2; one that does not hold keeps nothing."""
    assert gone == shop.put("parts/wheel-2", WHEEL, **header).status_code
    shop.put("parts/wheel-1", WHEEL)
    before = shop.version()

    assert there == shop.put("parts/wheel-1", {**WHEEL, "stock": 1}, **header).status_code
    assert (there == 200) == (shop.version() > before)


def test_a_weak_tag_is_no_proof_of_what_was_seen(shop: Shop) -> None:
    """If-Match compares strongly."""
    shop.put("parts/wheel-1", WHEEL)

    assert 412 == shop.put("parts/wheel-1", WHEEL, **{"If-Match": f"W/{shop.tag('parts/wheel-1')}"}).status_code


def test_what_was_not_seen_is_not_deleted(shop: Shop) -> None:
    """By its tag it goes, by another it stays."""
    shop.put("parts/wheel-1", WHEEL)
    tag = shop.tag("parts/wheel-1")

    assert 412 == shop.delete("parts/wheel-1", **{"If-Match": '"another"'}).status_code
    assert 204 == shop.delete("parts/wheel-1", **{"If-Match": tag}).status_code


def test_while_another_writes_for_long_a_write_is_put_off(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    """503 with when to come again, and nothing kept."""
    shop.workshop.engines.writes.dispose()
    monkeypatch.setattr("mountwright.catalogue.engines.PATIENCE_S", 0.1)
    with shop.workshop.engines.writing() as connection:
        connection.exec_driver_sql("UPDATE state SET version = version")
        refused = shop.put("parts/wheel-1", WHEEL)

    assert (503, "5") == (refused.status_code, refused.headers["Retry-After"])
    assert 404 == shop.client.get("/v1/parts/wheel-1").status_code
