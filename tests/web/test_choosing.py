"""What goes on a skate, against full judgement of a random catalogue, and links that nobody was given."""

from __future__ import annotations

import base64
from collections.abc import Callable
from random import Random
from typing import Any

import orjson
import pytest
from flask import Flask
from flask.testing import FlaskClient

from mountwright.catalogue.noting import Noting
from mountwright.web.candidates import Place, place_of
from mountwright.web.workshop import EXTENSION, Workshop

Json = dict[str, Any]
Keep = Callable[..., None]

KEYS = ("two-bolt-165", "two-bolt-195", "two-bolt-150", "flat-167", "riveted", "bell-mount-9")
CLAIM: Json = {"position": "frame", "standard": "two-bolt-165", "claimed_by": "maker"}
LISTING = "/v1/skates/reach/candidates"
PLACE = Place(0, ("slotted-plate",), -0.5, "d1", "", "frame-01")


def seeded(seed: int) -> Random:
    """Give the same numbers every time."""
    return Random(seed)  # noqa: S311  # a draw of mounts, no secret


def drawn(random: Random) -> Json:
    """Give a frame mount that is claimed to follow something, or measured, or both, or neither."""
    found: Json = {"position": "frame"}
    if random.random() < 0.6:
        found |= {"standard": random.choice(KEYS), "claimed_by": random.choice(["maker", "seller", "customer"])}
    if random.random() < 0.6:
        spacing = random.choice([150.0, 165.0, 167.0, 195.0]) + random.gauss(0, 1.2)
        instrument = random.choice(["caliper", "steel_rule", "maker_drawing"])
        found["dimensions"] = {"hole_spacing_mm": {"value": round(spacing, 1), "instrument": instrument}}
    return found


def frames(random: Random, count: int) -> list[Json]:
    """Give frames with random mounts."""
    return [
        {"sku": f"frame-{number:02d}", "kind": "frame", "name": "Frame", "mounts": [drawn(random)]}
        for number in range(count)
    ]


def token(value: bytes) -> str:
    """Give JSON as a page's address would carry it."""
    return base64.urlsafe_b64encode(value).decode().rstrip("=")


def walked(client: FlaskClient, **query: Any) -> list[tuple[str, str]]:
    """Walk through all pages; give verdict and SKU of each part in order."""
    found: list[tuple[str, str]] = []
    answer = client.get(LISTING, query_string={"position": "frame", "limit": 100, **query}).get_json()
    while True:
        found += [(group["verdict"], part["sku"]) for group in answer["groups"] for part in group["parts"]]
        if answer["next"] is None:
            return found
        answer = client.get(answer["next"]).get_json()


@pytest.mark.parametrize("seed", range(4))
def test_only_what_full_judgement_refuses_is_left_out(keep: Keep, asking: FlaskClient, seed: int) -> None:
    """Of a random catalogue, for a random skate, the listing and fit checks of every part agree."""
    random = seeded(seed)
    parts = frames(random, 40)
    keep(*parts, {"sku": "reach", "kind": "skate", "name": "Reach", "mounts": [drawn(random)]})
    body = {"skate": {"sku": "reach"}, "parts": [{"sku": part["sku"]} for part in parts]}
    verdicts = {part["sku"]: part["verdict"] for part in asking.post("/v1/fit-checks", json=body).get_json()["parts"]}
    near = {sku: verdict for verdict, sku in walked(asking, near="true")}

    assert {sku for sku, verdict in verdicts.items() if verdict != "does_not_fit"} == {sku for _, sku in walked(asking)}
    assert near == {sku: verdicts[sku] for sku in near}


def test_groups_are_told_apart_by_the_work_they_take(keep: Keep, asking: FlaskClient) -> None:
    """No verdict with the same needs comes twice on a page."""
    keep(
        *frames(seeded(7), 40),
        {"sku": "reach", "kind": "skate", "name": "Reach", "mounts": [CLAIM]},
    )
    groups = asking.get(LISTING, query_string={"position": "frame", "near": "true", "limit": 100}).get_json()["groups"]
    takes = [(group["verdict"], tuple(need["key"] for need in group["needs"])) for group in groups]

    assert len(takes) == len(set(takes))
    assert len({verdict for verdict, _ in takes}) > 1


@pytest.mark.parametrize("limit", [1, 2, 5])
def test_parts_that_were_told_of_have_one_place_in_the_walk(
    shop: Flask, keep: Keep, asking: FlaskClient, limit: int
) -> None:
    """Between pages they are neither lost nor given again beside their equals."""
    parts = [{**frame, "mounts": [CLAIM]} for frame in frames(seeded(0), 9)]
    keep(*parts, {"sku": "reach", "kind": "skate", "name": "Reach", "mounts": [CLAIM]})
    workshop: Workshop = shop.extensions[EXTENSION]
    told = {"skate": "reach", "outcome": "fitted", "told_by": "bench", "on": "2026-01-02"}
    with workshop.engines.writing() as connection:
        noting = Noting(connection, "shop")
        noting.note([{**told, "outcome_id": sku, "part": sku} for sku in ("frame-03", "frame-07")])
        workshop.shelf.noted(noting.finish())
    found = walked(asking, limit=limit)

    assert found == walked(asking)
    assert {part["sku"] for part in parts} == {sku for _, sku in found}
    assert len(parts) == len(found)


def test_an_article_elsewhere_and_one_misspelt_are_pointed_at(keep: Keep, asking: FlaskClient) -> None:
    """The refusal says where the part is, and which skate was likely meant."""
    keep(*frames(seeded(0), 1), {"sku": "reach", "kind": "skate", "name": "Reach", "mounts": []})
    part = asking.get("/v1/skates/frame-00/candidates?position=frame")
    misspelt = asking.get("/v1/skates/raech/candidates?position=frame")

    assert (404, 404) == (part.status_code, misspelt.status_code)
    assert "/v1/parts/frame-00" in part.get_json()["detail"]
    assert "reach" in misspelt.get_json()["detail"]


def test_a_token_is_the_place_that_it_was_made_of() -> None:
    """Every place survives its page's address."""
    assert place_of(PLACE.token) == PLACE


@pytest.mark.parametrize(
    "value",
    [
        b"no JSON",
        b"\xff",
        b"[]",
        b"7",
        b'[0, [], -0.5, "d1", "", "frame-01"]',
        b'["0",[],-0.5,"d1","","frame-01"]',
        b'[0,"ab",-0.5,"d1","","frame-01"]',
        b'[1e30,[],-0.5,"d1","","frame-01"]',
        b'[99999999999999999999,[],-0.5,"d1","","frame-01"]',
        b'[0,[],-0.5,"d1","",""]',
        b'[0,[],-0.5,"d1","","a\\u0000"]',
    ],
)
def test_what_is_no_place_is_no_token(asking: FlaskClient, value: bytes) -> None:
    """Whatever somebody makes up is refused as a fault of the request, with its place."""
    refused = asking.get(LISTING, query_string={"position": "frame", "after": token(value)})

    assert 422 == refused.status_code
    assert [("/query/after", "request.page_token")] == [(f["pointer"], f["code"]) for f in refused.get_json()["errors"]]


def test_a_made_up_sku_in_a_real_token_does_no_harm(keep: Keep, asking: FlaskClient) -> None:
    """A NUL character, which PostgreSQL takes in no text, never comes to the database."""
    keep(
        *({**frame, "mounts": [CLAIM]} for frame in frames(seeded(0), 3)),
        {"sku": "reach", "kind": "skate", "name": "Reach", "mounts": [CLAIM]},
    )
    following = asking.get(LISTING, query_string={"position": "frame", "limit": 1}).get_json()["next"]
    place = place_of(following.rpartition("after=")[2])
    assert place is not None
    forged = token(orjson.dumps(list(place._replace(sku="\0"))))

    assert 422 == asking.get(LISTING, query_string={"position": "frame", "after": forged}).status_code
