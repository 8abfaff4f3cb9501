"""Outcomes over HTTP: told once, refused where they are wrong, and seen in the answers about just their pair."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from datetime import UTC, date, datetime, timedelta, timezone
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from flask.testing import FlaskClient
from jsonschema import Draft202012Validator
from referencing import Registry, Resource
from werkzeug.test import TestResponse

from mountwright.bootstrap import create_app
from mountwright.catalogue.engines import Engines
from mountwright.catalogue.importing import imported
from mountwright.catalogue.keys import created
from mountwright.settings import Settings
from mountwright.web.records import checks_of
from mountwright.web.schemas.days import latest_day
from mountwright.web.shelf import Shelf
from mountwright.web.workshop import EXTENSION, Workshop

Json = dict[str, Any]


def framed(sku: str, kind: str, standard: str, claimed_by: str = "maker") -> Json:
    """Give an article with one mount under the sole."""
    mount = {"position": "frame", "standard": standard, "claimed_by": claimed_by}
    return {"sku": sku, "kind": kind, "name": sku.title(), "mounts": [mount]}


#: Two skates with the same mounts, and frames that the geometry lets go on, refuses, and is in doubt about.
SKATES = ("heron-40", "heron-42")
GOES_ON, REFUSED, DOUBTFUL, TWIN = "frame-sure", "frame-flat", "frame-loose", "frame-twin"
FRAMES = (GOES_ON, REFUSED, DOUBTFUL, TWIN)
ARTICLES = (
    framed(GOES_ON, "frame", "two-bolt-165"),
    framed(TWIN, "frame", "two-bolt-165"),
    framed(REFUSED, "frame", "flat-167"),
    framed(DOUBTFUL, "frame", "two-bolt-165", "customer"),
    *(framed(sku, "skate", "two-bolt-165") for sku in SKATES),
)

FITTED: Json = {
    "outcome_id": "bench:2026.1",
    "skate": "heron-40",
    "part": GOES_ON,
    "outcome": "fitted",
    "told_by": "bench",
    "on": "2026-03-07",
}
RETURNED: Json = {**FITTED, "outcome": "came_back", "cause": "did_not_go_on", "used": False}


class Shop(NamedTuple):
    """A service with its catalogue, and a shop that holds a key to it."""

    client: FlaskClient
    workshop: Workshop
    key: str

    def tell(self, outcome: Any, key: str | None = None) -> TestResponse:
        """Tell the service what became of a pair."""
        headers = {"Authorization": f"Bearer {key or self.key}"}
        return self.client.post("/v1/outcomes", json=outcome, headers=headers)

    def told(self, *outcomes: Json) -> None:
        """Tell several outcomes, each under a number of its own."""
        for number, outcome in enumerate(outcomes):
            assert 201 == self.tell({**outcome, "outcome_id": f"{outcome['outcome_id']}-{number}"}).status_code

    def checked(self, *parts: str, skate: str = "heron-40") -> Json:
        """Ask whether parts go on a skate."""
        body = {"skate": {"sku": skate}, "parts": [{"sku": part} for part in parts]}
        found: Json = self.client.post("/v1/fit-checks", json=body).get_json()
        return found

    def part(self, part: str, skate: str = "heron-40") -> Json:
        """Ask whether one part goes on a skate."""
        found: Json = self.checked(part, skate=skate)["parts"][0]
        return found

    def every_part(self) -> dict[tuple[str, str], Json]:
        """Ask about every pair."""
        return {
            (skate, part["sku"]): {**part, "index": 0}
            for skate in SKATES
            for part in self.checked(*FRAMES, skate=skate)["parts"]
        }


def shop_at(database: str, folder: Path) -> Shop:
    """Open a shop with its articles."""
    client = create_app(Settings(database=database)).test_client()
    workshop = client.application.extensions[EXTENSION]
    file = folder / "articles.jsonl"
    file.write_text("".join(json.dumps(article) + "\n" for article in ARTICLES), encoding="utf-8")
    assert imported([file], workshop.engines, checks_of(workshop)).is_good
    return Shop(client, workshop, key_of(workshop.engines, "tidewheel"))


def key_of(engines: Engines, shop: str, scope: str = "write") -> str:
    """Hand out a key."""
    return created(engines, shop, [scope], None, datetime.now(UTC))


@pytest.fixture
def shop(database: str, tmp_path: Path) -> Iterator[Shop]:
    """Give a shop, on each of the two engines in turn."""
    found = shop_at(database, tmp_path)
    yield found
    found.workshop.engines.close()


@pytest.fixture
def small_shop(sqlite_database: str, tmp_path: Path) -> Iterator[Shop]:
    """Give a shop with a file for a catalogue."""
    found = shop_at(sqlite_database, tmp_path)
    yield found
    found.workshop.engines.close()


def faults(answer: TestResponse) -> list[tuple[str, str]]:
    """Give where each fault of a refusal lies, and its code."""
    assert "application/problem+json" == answer.content_type
    return [(each["pointer"], each["code"]) for each in answer.get_json()["errors"]]


class TestTelling:
    """An outcome that is told ..."""

    def test_is_kept_and_shown_as_it_is_kept(self, shop: Shop) -> None:
        """... is answered with what is kept of it, by whom it was told, and the version that holds it."""
        outcome = {**RETURNED, "with": [TWIN, DOUBTFUL]}
        answer = shop.tell(outcome)
        version = shop.checked(GOES_ON)["receipt"]["catalogue"]
        kept = {**outcome, "with": [DOUBTFUL, TWIN]}

        assert 201 == answer.status_code
        assert {"outcome": kept, "shop": "tidewheel", "noted": "new", "catalogue": version} == answer.get_json()

    def test_again_is_known_and_changes_nothing(self, shop: Shop) -> None:
        """... again is answered like the first time, and the catalogue stays at its version."""
        first, second = shop.tell(FITTED), shop.tell(FITTED)

        assert (200, {**first.get_json(), "noted": "again"}) == (second.status_code, second.get_json())

    def test_otherwise_is_refused_with_what_differs(self, shop: Shop) -> None:
        """... under the number of another is refused, with each difference and what is kept."""
        shop.tell(FITTED)
        before = shop.part(GOES_ON)
        answer = shop.tell({**RETURNED, "told_by": "shop"})

        assert (409, "told_otherwise") == (answer.status_code, answer.get_json()["code"])
        assert ["/cause", "/outcome", "/told_by", "/used"] == [pointer for pointer, _ in faults(answer)]
        assert {"found": "'shop'", "kept": "'bench'"} == answer.get_json()["errors"][2]["params"]
        assert before == shop.part(GOES_ON)

    def test_by_another_shop_is_another_one(self, shop: Shop) -> None:
        """... by another shop is another one, whose number may be the same."""
        shop.tell(FITTED)
        answer = shop.tell(FITTED, key_of(shop.workshop.engines, "lantern-street"))

        assert (201, "lantern-street") == (answer.status_code, answer.get_json()["shop"])
        assert 2 == shop.part(GOES_ON)["experience"]["successes"]["count"]

    def test_with_a_slip_in_its_sku_is_refused_with_the_near_one(self, shop: Shop) -> None:
        """... of what is not in the catalogue is refused: each SKU with its place, and the one most likely meant."""
        answer = shop.tell({**FITTED, "skate": "heron-42x", "part": "frame-sur", "with": [TWIN, "no-such"]})
        near = [each["params"].get("near") for each in answer.get_json()["errors"]]

        assert 422 == answer.status_code
        assert ["/skate", "/part", "/with/1"] == [pointer for pointer, _ in faults(answer)]
        assert ["'heron-42'", "'frame-sure'", None] == near

    def test_of_a_skate_for_a_part_is_refused(self, shop: Shop) -> None:
        """... of two articles the wrong way round is refused."""
        answer = shop.tell({**FITTED, "skate": GOES_ON, "part": "heron-40"})

        assert [("/skate", "request.not_a_skate"), ("/part", "request.not_a_part")] == faults(answer)

    def test_may_carry_the_receipt_of_the_answer_that_it_followed(self, small_shop: Shop) -> None:
        """... with the receipt just as it was given keeps it."""
        receipt = small_shop.checked(GOES_ON)["receipt"]

        assert receipt == small_shop.tell({**FITTED, "receipt": receipt}).get_json()["outcome"]["receipt"]

    def test_may_carry_the_receipt_of_an_answer_without_a_catalogue(self, small_shop: Shop) -> None:
        """... after an answer that named nothing of the catalogue keeps the rest of its receipt."""
        mounts = {key: ARTICLES[0][key] for key in ("kind", "mounts")}
        asked = {"skate": {"mounts": mounts["mounts"]}, "parts": [mounts]}
        receipt = small_shop.client.post("/v1/fit-checks", json=asked).get_json()["receipt"]
        kept = small_shop.tell({**FITTED, "receipt": receipt}).get_json()["outcome"]["receipt"]

        assert (None, kept) == (receipt["catalogue"], {name: receipt[name] for name in ("request", "rules")})

    @pytest.mark.parametrize(("scope", "status"), [("read", 403), (None, 401)])
    def test_needs_a_key_to_write(self, small_shop: Shop, scope: str | None, status: int) -> None:
        """... with another key or none is not taken."""
        key = key_of(small_shop.workshop.engines, "tidewheel", scope) if scope else "none"

        assert status == small_shop.tell(FITTED, key).status_code
        assert None is small_shop.part(GOES_ON)["experience"]

    def test_while_the_database_is_away_may_be_told_again_later(self, small_shop: Shop) -> None:
        """... while the database is away is refused cleanly, with when to try again."""
        assert 201 == small_shop.tell(FITTED).status_code
        file = Path(str(small_shop.workshop.engines.file))
        small_shop.workshop.engines.close()
        file.rename(file.with_suffix(".hidden"))
        answer = small_shop.tell({**FITTED, "outcome_id": "2"})

        assert (503, "5") == (answer.status_code, answer.headers.get("Retry-After"))


class TestBadInput:
    """An outcome is refused ..."""

    @pytest.mark.parametrize(
        ("change", "fault"),
        [
            ({"outcome_id": ""}, ("/outcome_id", "request.form")),
            ({"outcome_id": "a" * 81}, ("/outcome_id", "request.form")),
            ({"outcome_id": "ann@home"}, ("/outcome_id", "request.form")),
            ({"outcome_id": "1\n"}, ("/outcome_id", "request.form")),
            ({"outcome_id": 1}, ("/outcome_id", "request.not_text")),
            ({"skate": {"sku": "heron-40"}}, ("/skate", "request.not_text")),
            ({"part": "a b"}, ("/part", "request.form")),
            ({"part": None}, ("/part", "request.null")),
            ({"outcome": "fits"}, ("/outcome", "request.choice")),
            ({"told_by": "Ann"}, ("/told_by", "request.choice")),
            ({"cause": "faulty"}, ("/cause", "request.returns_only")),
            ({"used": False}, ("/used", "request.returns_only")),
            ({"outcome": "came_back"}, ("/cause", "request.required")),
            ({"outcome": "came_back", "cause": "dear"}, ("/cause", "request.choice")),
            ({"with": TWIN}, ("/with", "request.not_list")),
            ({"with": [TWIN] * 25}, ("/with", "request.size")),
            ({"with": ["a remark"]}, ("/with/0", "request.form")),
            ({"on": "07.03.2026"}, ("/on", "request.form")),
            ({"on": "2026-W10-6"}, ("/on", "request.form")),
            ({"on": "2026-02-30"}, ("/on", "request.form")),
            ({"on": "٢٠٢٦-03-07"}, ("/on", "request.form")),
            ({"on": "1949-12-31"}, ("/on", "request.bounds")),
            ({"on": "9999-12-31"}, ("/on", "request.bounds")),
            ({"on": 20260307}, ("/on", "request.not_text")),
            ({"shop": "lantern-street"}, ("/shop", "request.unknown_field")),
            ({"remark": "Ann says it rattles"}, ("/remark", "request.unknown_field")),
            ({"receipt": "sha256:0"}, ("/receipt", "request.not_object")),
            ({"receipt": {"request": "sha256:0", "rules": "0123456789abcdef"}}, ("/receipt/request", "request.form")),
        ],
        ids=lambda value: json.dumps(value)[:40] if isinstance(value, dict) else "",
    )
    def test_with_the_place_of_its_fault(self, small_shop: Shop, change: Json, fault: tuple[str, str]) -> None:
        """... with the place of its fault, and nothing is kept."""
        answer = small_shop.tell({**FITTED, **change})

        assert (422, [fault]) == (answer.status_code, faults(answer))
        assert None is small_shop.part(GOES_ON)["experience"]

    def test_with_all_of_its_faults_at_once(self, small_shop: Shop) -> None:
        """... with everything that is wrong or missing."""
        found = faults(small_shop.tell({"outcome": "came_back", "on": "today", "note": 1}))

        assert {"/outcome_id", "/skate", "/part", "/told_by", "/cause", "/on", "/note"} == {place for place, _ in found}

    @pytest.mark.parametrize("body", [[], [FITTED], "fitted", 1, True], ids=str)
    def test_that_is_no_object(self, small_shop: Shop, body: Any) -> None:
        """... whatever JSON there is in its stead."""
        assert 422 == small_shop.tell(body).status_code


class TestLatestDay:
    """The latest day ..."""

    def test_is_that_of_the_place_where_days_begin_first(self) -> None:
        """... begins fourteen hours before it begins at Greenwich."""
        noon = datetime(2026, 3, 7, 10, 0, tzinfo=UTC)

        assert [date(2026, 3, 7), date(2026, 3, 8)] == [latest_day(noon - timedelta(seconds=1)), latest_day(noon)]

    def test_is_the_same_in_whatever_zone_the_time_is_told(self) -> None:
        """... does not depend on where the service runs."""
        west = timezone(timedelta(hours=-10))

        assert date(2026, 3, 8) == latest_day(datetime(2026, 3, 7, 0, 0, tzinfo=west))


def moved(probability: float, *told: tuple[float, bool]) -> float:
    """Give a probability as reports move it, each by its weight and by whether it was a success."""
    successes = sum(weight for weight, success in told if success)
    return (50 * probability + successes) / (50 + sum(weight for weight, _ in told))


class TestExperience:
    """What is told ..."""

    @pytest.mark.parametrize(("told_by", "weight"), [("bench", 1.0), ("shop", 0.8), ("customer", 0.5)])
    @pytest.mark.parametrize(
        ("outcome", "success"), [(FITTED, True), ({**FITTED, "outcome": "did_not_go_on"}, False), (RETURNED, False)]
    )
    def test_moves_the_probability_as_the_formula_says(
        self, small_shop: Shop, outcome: Json, success: bool, told_by: str, weight: float
    ) -> None:
        """... moves both bounds by the weight of who tells it."""
        before = small_shop.part(GOES_ON)
        small_shop.told({**outcome, "told_by": told_by})
        after = small_shop.part(GOES_ON)

        for bound in ("probability", "probability_at_most"):
            assert after[bound] == pytest.approx(moved(before[bound], (weight, success)), abs=2e-6)

    def test_adds_up(self, shop: Shop) -> None:
        """... several times counts as often, whoever tells it."""
        before = shop.part(DOUBTFUL)["probability"]
        shop.told(
            *({**FITTED, "part": DOUBTFUL, "told_by": told_by} for told_by in ("bench", "shop", "customer")),
            {**RETURNED, "part": DOUBTFUL},
        )
        after = shop.part(DOUBTFUL)

        assert after["probability"] == pytest.approx(
            moved(before, (1.0, True), (0.8, True), (0.5, True), (1.0, False)), abs=2e-6
        )
        assert [3, 1] == [after["experience"][sort]["count"] for sort in ("successes", "failures")]

    def test_moves_just_the_pair_that_it_was_told_of(self, shop: Shop) -> None:
        """... of a pair leaves all others as they are, also those with the same mounts to the micrometre."""
        before = shop.every_part()
        shop.told(FITTED)
        after = shop.every_part()

        assert [("heron-40", GOES_ON)] == [pair for pair, part in after.items() if part != before[pair]]

    def test_once_against_a_clear_no_leaves_it_a_no_and_shows_the_conflict(self, shop: Shop) -> None:
        """... once against the geometry's clear no stays beside it, as a conflict."""
        before = shop.part(REFUSED)
        shop.told({**FITTED, "part": REFUSED})
        after = shop.part(REFUSED)

        assert ("does_not_fit", "does_not_fit", True) == (
            before["verdict"],
            after["verdict"],
            after["experience"]["conflict"],
        )
        assert before["probability_at_most"] < after["probability_at_most"] <= 0.05

    def test_about_a_changed_mind_moves_nothing(self, shop: Shop) -> None:
        """... because a mind was changed, however often, says nothing about the fit."""
        before = shop.every_part()
        shop.told(*[{**RETURNED, "cause": "changed_mind"}] * 9)

        assert before == shop.every_part()

    def test_again_moves_nothing(self, shop: Shop) -> None:
        """... again, by a caller that got no answer, changes no answer in any byte."""
        shop.tell(FITTED)
        before = shop.checked(GOES_ON)
        for _ in range(3):
            shop.tell(FITTED)

        assert before == shop.checked(GOES_ON)

    def test_is_seen_by_the_process_that_took_it_at_once(self, shop: Shop) -> None:
        """... is in the next answer, which carries the version that holds it."""
        shop.checked(GOES_ON)
        version = shop.tell(FITTED).get_json()["catalogue"]

        assert version == shop.checked(GOES_ON)["receipt"]["catalogue"]

    def test_is_seen_by_every_other_process_within_a_second(self, shop: Shop) -> None:
        """... is found by the others when they look next, a second after the last time."""
        seconds = [0.0]
        other = Shelf(shop.workshop.engines, shop.workshop.registry, clock=lambda: seconds[0])
        before = other.version().label
        version = shop.tell(FITTED).get_json()["catalogue"]
        seen = []
        for seconds[0] in (0.9, 1.0):
            seen.append(other.version().label)

        assert [before, version] == seen

    def test_can_be_told_by_an_answer_s_receipt(self, shop: Shop) -> None:
        """... raises the version: a receipt tells which of two answers knew of it."""
        before = shop.checked(GOES_ON)["receipt"]
        shop.tell(FITTED)
        after = shop.checked(GOES_ON)["receipt"]

        assert (before["request"], before["rules"]) == (after["request"], after["rules"])
        assert before["catalogue"] != after["catalogue"]


@pytest.fixture
def contract(small_shop: Shop) -> Json:
    """Give the contract as the code has it."""
    found: Json = small_shop.client.get("/openapi.json").get_json()
    return found


def hold(contract: Json, schema: str, value: Mapping[str, Any]) -> None:
    """Raise unless a value keeps to a schema of the contract."""
    whole = Resource.opaque(contract)
    registry = Registry().with_resource("urn:contract", whole)
    Draft202012Validator({"$ref": f"urn:contract#/components/schemas/{schema}"}, registry=registry).validate(value)


@pytest.mark.parametrize("outcome", [FITTED, RETURNED, {**FITTED, "with": [TWIN]}], ids=["fitted", "returned", "with"])
def test_outcomes_and_their_answers_keep_to_the_contract(small_shop: Shop, contract: Json, outcome: Json) -> None:
    """What the contract promises is what is taken and given."""
    hold(contract, "Outcome", outcome)
    hold(contract, "OutcomeAnswer", small_shop.tell(outcome).get_json())
    hold(contract, "OutcomeAnswer", small_shop.tell(outcome).get_json())


def test_the_contract_says_which_answers_there_are(contract: Json) -> None:
    """Both successes and every refusal are documented, and that it needs a key to write."""
    told = contract["paths"]["/v1/outcomes"]["post"]

    assert {"200", "201", "400", "401", "403", "409", "413", "415", "422", "503"} == set(told["responses"])
    assert [{"key": ["write"]}] == told["security"]
