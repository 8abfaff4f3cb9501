"""What goes on a skate: grouped by verdict and by what it takes, best first, a page at a time."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from mountwright.bootstrap import create_app
from mountwright.catalogue.noting import Noting
from mountwright.catalogue.writing import Writing
from mountwright.settings import Settings
from mountwright.web.records import mount_reader
from mountwright.web.workshop import EXTENSION, Workshop

Json = dict[str, Any]

RANKS = ["fits", "fits_with_parts", "fits_after_bench_work", "cannot_tell", "does_not_fit"]


def mount(standard: str, spacing_mm: float | None = None) -> Json:
    """Give a frame mount, perhaps measured."""
    claim: Json = {"position": "frame", "standard": standard, "claimed_by": "maker"}
    if spacing_mm is None:
        return claim
    return {**claim, "dimensions": {"hole_spacing_mm": {"value": spacing_mm, "instrument": "caliper"}}}


SKATES: list[Json] = [
    {"sku": sku, "kind": "skate", "name": sku, "mounts": [mount(standard)]}
    for sku, standard in (("reach", "two-bolt-195"), ("lantern", "two-bolt-165"), ("ledge", "flat-167"))
]
MOUNTS = (
    *(mount(standard) for standard in ("two-bolt-195", "two-bolt-165", "two-bolt-150", "flat-167", "riveted")),
    *(mount("two-bolt-195", spacing) for spacing in (194.0, 194.6, 195.1, 196.5, 199.0)),
    *(
        {"position": "frame", "dimensions": {"hole_spacing_mm": {"value": spacing, "instrument": "steel_rule"}}}
        for spacing in (150.0, 165.0, 167.0, 195.0, 210.0)
    ),
    {"position": "frame"},
    mount("bell-mount-9"),
)
FRAMES: list[Json] = [
    {"sku": f"frame-{number:02d}", "kind": "frame", "name": "Frame", "stock": number % 2, "mounts": [found]}
    for number, found in enumerate(MOUNTS * 2)
]


@pytest.fixture
def shop(database: str) -> Iterator[Flask]:
    """Give an app with one skate and two dozen frames, on each of the two engines in turn."""
    app = create_app(Settings(database=database))
    workshop: Workshop = app.extensions[EXTENSION]
    with workshop.engines.writing() as connection:
        writing = Writing(connection, mount_reader(workshop.registry), workshop.registry.rules_version)
        assert [] == writing.add_articles([*SKATES, *FRAMES])
        writing.finish()
    yield app
    workshop.engines.close()


@pytest.fixture
def listed(shop: Flask) -> Callable[..., list[tuple[str, str]]]:
    """Give a way to walk through all pages; gives verdict and SKU of each part in order."""
    client = shop.test_client()

    def walk(query: str, limit: int, skate: str = "reach") -> list[tuple[str, str]]:
        found, path = [], f"/v1/skates/{skate}/candidates?position=frame&limit={limit}{query}"
        while path:
            page = client.get(path).get_json()
            found += [(group["verdict"], part["sku"]) for group in page["groups"] for part in group["parts"]]
            path = page["next"]
        return found

    return walk


def judged(client: FlaskClient, skate: str) -> dict[str, str]:
    """Give the verdict on every frame by a fit check."""
    parts = [{"sku": frame["sku"]} for frame in FRAMES]
    answer = client.post("/v1/fit-checks", json={"skate": {"sku": skate}, "parts": parts}).get_json()
    return {part["sku"]: part["verdict"] for part in answer["parts"]}


@pytest.mark.parametrize("skate", [skate["sku"] for skate in SKATES])
def test_what_goes_on_is_all_listed_best_first(
    shop: Flask, listed: Callable[..., list[tuple[str, str]]], skate: str
) -> None:
    """What the index leaves out is what a fit check refuses, and nothing else is missing."""
    verdicts = judged(shop.test_client(), skate)
    found = listed("", 100, skate)

    assert {sku: verdict for sku, verdict in verdicts.items() if verdict != "does_not_fit"} == {
        sku: verdict for verdict, sku in found
    }
    assert sorted(RANKS.index(verdict) for verdict, _ in found) == [RANKS.index(verdict) for verdict, _ in found]


@pytest.mark.parametrize("limit", [1, 3, 7])
def test_pages_of_any_size_are_one_walk(listed: Callable[..., list[tuple[str, str]]], limit: int) -> None:
    """Every part once, in the same order."""
    assert listed("&near=true", 100) == listed("&near=true", limit)


def test_what_nearly_goes_on_says_why_not(shop: Flask) -> None:
    """On request, and after everything that goes on."""
    page = shop.test_client().get("/v1/skates/reach/candidates?position=frame&near=true&limit=100").get_json()
    refused = page["groups"][-1]

    assert "does_not_fit" == refused["verdict"]
    assert any("bolts do not go through" in why["message"] for part in refused["parts"] for why in part["why_not"])


def test_a_filter_leaves_out_what_it_does_not_want(listed: Callable[..., list[tuple[str, str]]]) -> None:
    """The search of parts works here, too."""
    stocked = {frame["sku"] for frame in FRAMES if frame["stock"]}

    assert {sku for _, sku in listed("&in_stock=true", 5)} == {sku for _, sku in listed("", 5)} & stocked


def test_a_part_that_was_told_of_stands_by_its_own_evidence(
    shop: Flask, listed: Callable[..., list[tuple[str, str]]]
) -> None:
    """Three reports take one frame out of the group of its equals, and no other."""
    before = {sku: verdict for verdict, sku in listed("", 4)}
    workshop: Workshop = shop.extensions[EXTENSION]
    with workshop.engines.writing() as connection:
        noting = Noting(connection, "shop")
        told = {"skate": "reach", "part": "frame-00", "outcome": "did_not_go_on", "told_by": "bench"}
        noting.note([{**told, "outcome_id": str(number), "on": "2026-01-02"} for number in range(3)])
        workshop.shelf.noted(noting.finish())
    after = {sku: verdict for verdict, sku in listed("", 4)}

    assert ("fits", "cannot_tell") == (before["frame-00"], after["frame-00"])
    assert {**before, "frame-00": "cannot_tell"} == after


@pytest.mark.parametrize(
    ("path", "status", "code"),
    [
        ("/v1/skates/reech/candidates?position=frame", 404, "no_such_article_near"),
        ("/v1/skates/frame-01/candidates?position=frame", 404, "article_elsewhere"),
        ("/v1/skates/reach/candidates", 422, "invalid"),
        ("/v1/skates/reach/candidates?position=frame&after=bm9uZQ", 422, "invalid"),
    ],
)
def test_what_cannot_be_listed_is_refused(shop: Flask, path: str, status: int, code: str) -> None:
    """With what was wrong."""
    answer = shop.test_client().get(path)

    assert (status, code) == (answer.status_code, answer.get_json()["code"])


def test_the_same_page_is_not_sent_twice(shop: Flask) -> None:
    """Whoever has it is told so."""
    client, path = shop.test_client(), "/v1/skates/reach/candidates?position=frame"
    tag = client.get(path).headers["ETag"]

    assert 304 == client.get(path, headers={"If-None-Match": tag}).status_code
