"""The contract: the committed file is what the code says, and every answer keeps to it."""

from __future__ import annotations

import copy
import json
import re
import tomllib
from importlib import resources
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from jsonschema import Draft202012Validator, ValidationError
from openapi_spec_validator import validate
from werkzeug.test import TestResponse

from mountwright.bootstrap import create_app
from mountwright.demo.loading import load_demo
from mountwright.settings import Settings
from mountwright.web.workshop import EXTENSION

Json = dict[str, Any]

COMMITTED = Path(__file__).parents[2] / "openapi" / "openapi.json"

FIT, IDENTIFY, ONE = "/v1/fit-checks", "/v1/mount-identifications", "/v1/standards/{key}"


def mount(position: str, standard: str, **more: Any) -> Json:
    """Give a mount as its maker claims it."""
    return {"position": position, "standard": standard, "claimed_by": "maker", **more}


def fit(skate: Json, part: Json, **more: Any) -> Json:
    """Give a fit check of one part at one mount."""
    return {"skate": {"mounts": [skate]}, "parts": [{"kind": "part", "mounts": [part]}], **more}


def placed(*holes: tuple[float, float], **more: Any) -> list[Json]:
    """Give holes by their places, along and across, millimetres."""
    return [
        {"name": f"hole {index}", "along_mm": along, "across_mm": across, "axis_deg": 1.0, **more}
        for index, (along, across) in enumerate(holes)
    ]


FLANK = placed((0, 0), (70, 8), (150, 3), diameter_mm=6, tapped=True)
PLATE = placed((0, 0), (70, 8), (150, 3), diameter_mm=6.6)
BOLTS = mount("frame", "two-bolt-165")
TWO_SETS = {
    "position": "frame",
    "patterns": [
        {"name": "sport", "standard": "two-bolt-165", "claimed_by": "bench"},
        {"name": "speed", "standard": "two-bolt-195", "claimed_by": "bench"},
    ],
}
PLATE_THAT_SLIDES = {"position": "frame", "dimensions": {"hole_spacing_mm": {"from": 150, "to": 200, "step": 5}}}

#: Fit checks that bring up every kind of thing an answer can hold.
FIT_CHECKS: dict[str, Json] = {
    "by name alone": fit(BOLTS, BOLTS),
    "a contradicted reading": fit({**BOLTS, "instrument": "caliper", "dimensions": {"hole_spacing_mm": 171.4}}, BOLTS),
    "a contradicted look": fit({**BOLTS, "seen": {"fastening": "rivets"}}, BOLTS),
    "an adapter": fit(mount("frame", "two-bolt-195"), BOLTS),
    "bench work": fit(mount("frame", "riveted"), BOLTS, stake="irreversible"),
    "two sets of holes": fit(TWO_SETS, mount("frame", "two-bolt-195")),
    "a plate that slides": fit({"position": "frame"}, PLATE_THAT_SLIDES, stake="counter"),
    "bolts with directions": fit(
        mount("frame", "side-bolts-measured", holes=FLANK, instrument="caliper"),
        mount("frame", "side-bolts-measured", holes=PLATE, instrument="caliper"),
    ),
    "damage": fit({**BOLTS, "damage": ["front hole worn"]}, BOLTS),
    "a skate without that mount": fit(mount("strap_cuff", "strap-pitch-15"), BOLTS),
    "a position without a standard": fit({"position": "liner"}, {"position": "liner"}),
}

IDENTIFICATIONS: dict[str, Json] = {
    f"{value} mm": {"mount": {"position": "frame", "dimensions": {"hole_spacing_mm": {"value": value, **doubt}}}}
    for value, doubt in (
        (163.7, {"instrument": "caliper"}),
        (165, {"instrument": "caliper"}),
        (166, {"instrument": "steel_rule"}),
        (166.9, {"instrument": "photo"}),
        (168.6, {"plus_minus": 0.2}),
        (181, {"instrument": "steel_rule"}),
    )
} | {"two sets of holes": {"mount": TWO_SETS}, "nothing known": {"mount": {"position": "axle"}}}


@pytest.fixture(scope="module")
def contract(app: Flask) -> Json:
    """Give the contract as the code has it."""
    found: Json = app.test_client().get("/openapi.json").get_json()
    return found


def resolved(node: Any, contract: Json) -> Any:
    """Give a piece of the contract with every reference put in, and every object closed to unknown fields."""
    if isinstance(node, list):
        return [resolved(each, contract) for each in node]
    if not isinstance(node, dict):
        return node
    if "$ref" in node:
        found: Any = contract
        for step in node["$ref"].removeprefix("#/").split("/"):
            found = found[step]
        return resolved(found, contract)
    whole = {name: resolved(each, contract) for name, each in node.items()}
    return {**whole, "additionalProperties": False} if "properties" in node else whole


def documented(contract: Json, path: str, method: str, status: int) -> Json:
    """Give what the contract says of one answer, by media type."""
    found: Json = resolved(contract["paths"][path][method]["responses"][str(status)], contract)["content"]
    return found


def hold_to_contract(contract: Json, path: str, method: str, answer: TestResponse) -> None:
    """Raise unless an answer has a documented status and media type, and the schema that goes with them."""
    content = documented(contract, path, method, answer.status_code)
    assert answer.content_type in content
    Draft202012Validator(content[answer.content_type]["schema"]).validate(json.loads(answer.data))


def test_the_committed_file_is_the_contract_of_the_code(contract: Json) -> None:
    """After a change: ``mountwright openapi > openapi/openapi.json``."""
    remedy = "regenerate it: mountwright openapi > openapi/openapi.json"
    assert COMMITTED.is_file(), remedy
    assert json.loads(COMMITTED.read_text(encoding="utf-8")) == contract, remedy


def test_the_contract_is_a_valid_openapi_document(contract: Json) -> None:
    """Any tool that reads OpenAPI 3.1 can read it."""
    assert "3.1.0" == contract["openapi"]
    validate(contract)


@pytest.mark.parametrize("sample", FIT_CHECKS)
def test_an_answer_to_a_fit_check_keeps_to_the_contract(client: FlaskClient, contract: Json, sample: str) -> None:
    """No field is missing, and none is there that the contract does not know."""
    answer = client.post(FIT, json=FIT_CHECKS[sample])
    assert 200 == answer.status_code
    hold_to_contract(contract, FIT, "post", answer)


@pytest.mark.parametrize("sample", IDENTIFICATIONS)
def test_an_identification_keeps_to_the_contract(client: FlaskClient, contract: Json, sample: str) -> None:
    """No field is missing, and none is there that the contract does not know."""
    answer = client.post(IDENTIFY, json=IDENTIFICATIONS[sample])
    assert 200 == answer.status_code
    hold_to_contract(contract, IDENTIFY, "post", answer)


def test_the_demos_questions_and_their_answers_keep_to_the_contract(contract: Json, sqlite_database: str) -> None:
    """What the demo shows off is what the contract promises."""
    app = create_app(Settings(database=sqlite_database))
    catalogue, told = load_demo(app.extensions[EXTENSION])
    assert (catalogue.is_good, told.is_good) == (True, True)
    text = resources.files("mountwright.demo").joinpath("questions.json").read_text(encoding="utf-8")
    for question in json.loads(text)["questions"]:
        method = "post" if "body" in question else "get"
        answer = app.test_client().open(question["path"], method=method, json=question.get("body"))
        path = re.sub("^/v1/skates/[^/]+/", "/v1/skates/{sku}/", question["path"].partition("?")[0])
        hold_to_contract(contract, path, method, answer)


@pytest.mark.parametrize(
    ("file", "path"),
    [
        ("baskets.toml", "/v1/cart-checks"),
        ("stories.toml", "/v1/upgrade-paths"),
        ("bench_cards.toml", "/v1/bench-cards"),
    ],
)
def test_what_shops_ask_is_answered_as_the_contract_says(
    demo: FlaskClient, contract: Json, file: str, path: str
) -> None:
    """Every basket, story and bench card, with all that its answer holds: sizes and angles among the figures."""
    [asked] = tomllib.loads(Path(__file__).with_name(file).read_text(encoding="utf-8")).values()
    for each in asked:
        answer = demo.post(path, json=each["request"])
        assert 200 == answer.status_code, each["title"]
        hold_to_contract(contract, path, "post", answer)


@pytest.mark.parametrize(
    ("path", "body"), [(FIT, body) for body in FIT_CHECKS.values()] + [(IDENTIFY, b) for b in IDENTIFICATIONS.values()]
)
def test_a_request_that_is_answered_is_one_that_the_contract_allows(contract: Json, path: str, body: Json) -> None:
    """Whoever builds requests from the contract can ask all that the service answers."""
    schema = contract["paths"][path]["post"]["requestBody"]["content"]["application/json"]["schema"]
    Draft202012Validator(resolved(schema, contract)).validate(body)


@pytest.mark.parametrize("path", ["/v1/standards", "/healthz", "/readyz"])
def test_what_can_be_looked_up_keeps_to_the_contract(client: FlaskClient, contract: Json, path: str) -> None:
    """No field is missing, and none is there that the contract does not know."""
    hold_to_contract(contract, path, "get", client.get(path))


def test_every_installed_standard_keeps_to_the_contract(client: FlaskClient, contract: Json) -> None:
    """Each is shown in full."""
    keys = [standard["key"] for standard in client.get("/v1/standards").get_json()["standards"]]
    assert "two-bolt-165" in keys
    for key in keys:
        hold_to_contract(contract, ONE, "get", client.get(f"/v1/standards/{key}"))


@pytest.mark.parametrize("path", [FIT, IDENTIFY])
@pytest.mark.parametrize(
    ("status", "body", "media_type"),
    [
        (400, b"{", "application/json"),
        (413, b" " * (256 * 1024 + 1), "application/json"),
        (415, b"{}", "text/plain"),
        (422, b'{"wheel": 1}', "application/json"),
    ],
)
def test_a_refusal_keeps_to_the_contract(
    client: FlaskClient, contract: Json, path: str, status: int, body: bytes, media_type: str
) -> None:
    """Each is a problem document, and documented as one."""
    answer = client.post(path, data=body, content_type=media_type)
    assert status == answer.status_code
    hold_to_contract(contract, path, "post", answer)


def test_a_standard_that_is_not_installed_is_refused_by_the_contract(client: FlaskClient, contract: Json) -> None:
    """It is a problem document, and documented as one."""
    answer = client.get("/v1/standards/two-bolt-166")
    assert 404 == answer.status_code
    hold_to_contract(contract, ONE, "get", answer)


def test_the_samples_bring_up_every_verdict_and_every_finding(client: FlaskClient, contract: Json) -> None:
    """What no sample brings up would not have been held to the contract."""
    verdicts = {client.post(FIT, json=body).get_json()["verdict"] for body in FIT_CHECKS.values()}
    found = [client.post(IDENTIFY, json=body).get_json()["identifications"] for body in IDENTIFICATIONS.values()]
    schemas = contract["components"]["schemas"]
    assert set(schemas["FitAnswer"]["properties"]["verdict"]["enum"]) == verdicts
    assert set(schemas["Identification"]["properties"]["finding"]["enum"]) == {e["finding"] for f in found for e in f}


def test_a_field_that_the_contract_does_not_know_is_noticed(client: FlaskClient, contract: Json) -> None:
    """The tests above would see a field that somebody adds without documenting it, however deep."""
    answer = client.post(FIT, json=FIT_CHECKS["an adapter"]).get_json()
    schema = documented(contract, FIT, "post", 200)["application/json"]["schema"]
    swollen = copy.deepcopy(answer)
    swollen["parts"][0]["needs"][0]["price"] = 12
    with pytest.raises(ValidationError, match="'price' was unexpected"):
        Draft202012Validator(schema).validate(swollen)
