"""Bad input gets one clear answer with every fault and its place."""

from __future__ import annotations

import copy
import json
from typing import Any

import pytest
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

Json = dict[str, Any]

GOOD: Json = {
    "skate": {"mounts": [{"position": "frame", "standard": "two-bolt-165", "claimed_by": "maker"}]},
    "parts": [{"kind": "frame", "mounts": [{"position": "frame", "standard": "two-bolt-165", "claimed_by": "maker"}]}],
}


def changed(path: str, value: object) -> Json:
    """Give the good request with one place changed; a dash appends."""
    body = copy.deepcopy(GOOD)
    *way, last = path.strip("/").split("/")
    place: Any = body
    for step in way:
        place = place[int(step)] if isinstance(place, list) else place.setdefault(step, {})
    if isinstance(place, list):
        place.append(value) if last == "-" else place.__setitem__(int(last), value)
    else:
        place[last] = value
    return body


def refused(client: FlaskClient, body: object) -> dict[str, str]:
    """Post a body that must be refused with 422; give the faults by pointer."""
    response = client.post("/v1/fit-checks", json=body)
    assert response.status_code == 422, response.json
    assert response.content_type == "application/problem+json"
    faults = response.json["errors"]
    assert all(fault["code"].startswith("request.") and fault["detail"] != fault["code"] for fault in faults), faults
    return {fault["pointer"]: fault["detail"] for fault in faults}


M = "/skate/mounts/0"
CASES: list[tuple[str, object, str]] = [
    ("/extra", 1, "/extra"),
    ("/parts", [], "/parts"),
    ("/parts", [GOOD["parts"][0]] * 65, "/parts"),
    ("/stake", "house", "/stake"),
    ("/skate/mounts/-", {"position": "frame"}, "/skate/mounts/1/position"),
    (f"{M}/position", "fraem", f"{M}/position"),
    (f"{M}/side", "bootleg", f"{M}/side"),
    (f"{M}/standard", "two-bolt-166", f"{M}/standard"),
    (f"{M}/claimed_by", "a friend", f"{M}/claimed_by"),
    (f"{M}/instrument", "eye", f"{M}/instrument"),
    (f"{M}/dimensions/hole_spacing_mm", 165, f"{M}/dimensions/hole_spacing_mm"),
    (f"{M}/dimensions/hole_spacing_mm", {"value": 0, "instrument": "caliper"}, f"{M}/dimensions/hole_spacing_mm"),
    (f"{M}/dimensions/hole_spacing_mm", {"value": -165, "instrument": "caliper"}, f"{M}/dimensions/hole_spacing_mm"),
    (f"{M}/dimensions/hole_spacing_mm", {"value": 1650, "instrument": "caliper"}, f"{M}/dimensions/hole_spacing_mm"),
    (f"{M}/dimensions/hole_spacing_mm", {"value": "165"}, f"{M}/dimensions/hole_spacing_mm/value"),
    (f"{M}/dimensions/hole_spacing_mm", {"value": True}, f"{M}/dimensions/hole_spacing_mm/value"),
    (f"{M}/dimensions/hole_spacing_mm", {"value": None}, f"{M}/dimensions/hole_spacing_mm/value"),
    (f"{M}/dimensions/hole_spacing_mm", {"value": 165, "unit": "in"}, f"{M}/dimensions/hole_spacing_mm/unit"),
    (
        f"{M}/dimensions/hole_spacing_mm",
        {"value": 165, "plus_minus": 0},
        f"{M}/dimensions/hole_spacing_mm/plus_minus",
    ),
    (
        f"{M}/dimensions/hole_spacing_mm",
        {"value": 165, "plus_minus": 1e308},
        f"{M}/dimensions/hole_spacing_mm/plus_minus",
    ),
    (f"{M}/dimensions/hole_spacing_mm", None, f"{M}/dimensions/hole_spacing_mm"),
    (f"{M}/dimensions", None, f"{M}/dimensions"),
    (f"{M}/seen", {"heel": 3}, f"{M}/seen/heel/value"),
    (f"{M}/damage", "worn", f"{M}/damage"),
    (f"{M}/holes", [{"name": "f", "diameter_mm": 6.6, "tapped": "yes"}], f"{M}/holes/0/tapped"),
    (
        f"{M}/holes",
        [{"name": "f", "diameter_mm": 6, "slot_length_mm": 9, "tapped": True}],
        f"{M}/holes/0/slot_length_mm",
    ),
    (f"{M}/dimensions/hole_spacing_mm", {"from": 170, "to": 160}, f"{M}/dimensions/hole_spacing_mm"),
    (f"{M}/dimensions/hole_spacing_mm", {"from": 160, "to": 170, "step": -1}, f"{M}/dimensions/hole_spacing_mm/step"),
    (f"{M}/dimensions/hole_spacing_inch", 6.5, f"{M}/dimensions/hole_spacing_inch"),
    (f"{M}/dimensions/a~1b~0c", 6.5, f"{M}/dimensions/a~01b~00c"),
    (f"{M}/dimensions", [165], f"{M}/dimensions"),
    (f"{M}/seen/heel", "up", f"{M}/seen/heel"),
    (f"{M}/seen/heels", "raised", f"{M}/seen/heels"),
    (f"{M}/holes", [{"name": "front", "diameter_mm": 0}], f"{M}/holes/0/diameter_mm"),
    (f"{M}/holes", [{"name": "front", "diameter_mm": "6.6"}], f"{M}/holes/0/diameter_mm"),
    (f"{M}/holes", [{"diameter_mm": 6.6}], f"{M}/holes/0/name"),
    (f"{M}/holes", [{"name": "front", "diameter_mm": 6.6, "along_mm": 0}], f"{M}/holes/0/along_mm"),
    (f"{M}/holes", [{"name": "front", "diameter_mm": 6.6}] * 2, f"{M}/holes/1/name"),
    (f"{M}/holes", [{"name": "f", "diameter_mm": 6.6, "slot_length_mm": 5}], f"{M}/holes/0/slot_length_mm"),
    (f"{M}/patterns", [{"name": "a"}, {"name": "a"}], f"{M}/patterns/1/name"),
    (f"{M}/patterns", [{"name": "a", "standard": "no-such"}], f"{M}/patterns/0/standard"),
    ("/parts/0/mounts", {}, "/parts/0/mounts"),
    ("/parts/0", "frame-1180", "/parts/0"),
]


@pytest.mark.parametrize(("path", "value", "pointer"), CASES, ids=[f"{path}={value}"[:60] for path, value, _ in CASES])
def test_a_fault_is_named_by_its_place(client: FlaskClient, path: str, value: object, pointer: str) -> None:
    """Each fault has one JSON pointer that leads to it and a sentence."""
    faults = refused(client, changed(path, value))

    assert [pointer] == list(faults)
    assert faults[pointer].strip()


def test_every_fault_is_named_at_once(client: FlaskClient) -> None:
    """A caller mends a request in one go: form and meaning are judged together, in one mount and in several."""
    body = changed("/extra", 1)
    body["skate"]["mounts"].append({"position": "frame"})
    body["parts"][0]["mounts"][0] |= {
        "standard": "two-bolt-166",
        "dimensions": {"hole_spacing_mm": {"value": 17, "instrument": "caliper"}, "heel_step_mm": {"value": "10"}},
        "seen": {"heel": "up"},
    }
    front = "/parts/0/mounts/0"

    assert {
        "/extra",
        "/skate/mounts/1/position",
        f"{front}/standard",
        f"{front}/dimensions/hole_spacing_mm",
        f"{front}/dimensions/heel_step_mm/value",
        f"{front}/seen/heel",
    } == set(refused(client, body))


def test_an_absurd_value_is_told_the_plausible_range(client: FlaskClient) -> None:
    """The sentence says which range was expected."""
    body = changed(f"{M}/dimensions/hole_spacing_mm", {"value": 16.5, "instrument": "caliper"})

    assert "120 to 220" in refused(client, body)[f"{M}/dimensions/hole_spacing_mm"]


def test_a_near_miss_is_offered(client: FlaskClient) -> None:
    """A slip of the pen costs no search."""
    assert "'two-bolt-165'" in refused(client, changed(f"{M}/standard", "two-bolt-16"))[f"{M}/standard"]


def test_a_name_that_the_trade_uses_leads_to_the_key(client: FlaskClient) -> None:
    """An open system's usual name is understood, though the key says what it is by dimension."""
    assert "Did you mean 'flat-167'?" in refused(client, changed(f"{M}/standard", "UFS"))[f"{M}/standard"]


@pytest.mark.parametrize(
    ("body", "status", "code"),
    [
        (b"{", 400, "bad_json"),
        (b"", 400, "bad_json"),
        (b'{"skate": NaN}', 400, "bad_json"),
        (b'{"skate": Infinity}', 400, "bad_json"),
        (b"\xff\xfe", 400, "bad_json"),
        (b"[" * 100_000, 400, "bad_json"),
        (b"[" * 300 + b"]" * 300, 400, "too_deep"),
        (b'{"skate":' + b"[" * 1000 + b"]" * 1000 + b"}", 400, "too_deep"),
        (b"[" * 240 + b"]" * 240, 422, "invalid"),
        (b"[]", 422, "invalid"),
        (b"null", 422, "invalid"),
        (b'"' + b"x" * 300_000 + b'"', 413, "too_large"),
    ],
)
def test_what_is_no_request_is_refused_as_a_problem(client: FlaskClient, body: bytes, status: int, code: str) -> None:
    """Broken JSON, numbers that JSON has not, infinite nesting and too much of anything."""
    response = client.post("/v1/fit-checks", data=body, content_type="application/json")

    assert (status, code) == (response.status_code, response.json["code"])
    assert response.content_type == "application/problem+json"


def test_another_media_type_is_refused(client: FlaskClient) -> None:
    """Only JSON is read."""
    response = client.post("/v1/fit-checks", data="skate=1", content_type="application/x-www-form-urlencoded")

    assert (415, "not_json") == (response.status_code, response.json["code"])


def test_a_wrong_method_is_told_the_right_ones(client: FlaskClient) -> None:
    """405 carries Allow (RFC 9110, 15.5.6)."""
    response = client.get("/v1/fit-checks")

    assert 405 == response.status_code
    assert "POST" in response.headers["Allow"]
    assert response.content_type == "application/problem+json"


@pytest.mark.parametrize("path", ["/nowhere", "/v1/standards/none", "/v1/"])
def test_what_is_not_there_is_a_problem(client: FlaskClient, path: str) -> None:
    """404 has the same body as every failure, and its status is the real one (RFC 9457, 3.1.2)."""
    response = client.get(path)

    assert response.content_type == "application/problem+json"
    assert (404, 404) == (response.status_code, response.json["status"])


def test_a_failure_of_our_own_says_nothing_of_the_inside(
    client: FlaskClient, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    """500 is a problem too; the stack trace goes to the log."""
    monkeypatch.delitem(client.application.extensions, "mountwright")
    response = client.post("/v1/fit-checks", json=GOOD)

    assert (500, "internal") == (response.status_code, response.json["code"])
    assert "KeyError" not in response.text
    assert "KeyError" in caplog.text


_JSON = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**53), 2**53)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(),
    lambda below: st.lists(below, max_size=4) | st.dictionaries(st.text(max_size=8), below, max_size=4),
    max_leaves=12,
)
_PLACES = st.sampled_from([path for path, _, _ in CASES if "~" not in path and not path.endswith("-")])


@given(path=_PLACES, value=_JSON)
@settings(deadline=None, max_examples=300, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_whatever_stands_in_a_request_is_answered(client: FlaskClient, path: str, value: object) -> None:
    """No JSON value at any place brings the service down: it is answered or refused, always with a body."""
    body = json.dumps(changed(path, value))
    response = client.post("/v1/fit-checks", data=body, content_type="application/json")

    assert response.status_code in (200, 422)
    assert response.json
