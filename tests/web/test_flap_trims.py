"""``POST /v1/flap-trims``: what a request may say, what is refused and where, and what is answered."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from mountwright.web.schemas.flap_trims import FlapTrimAnswerSchema

Json = dict[str, Any]
Keep = Callable[..., None]


def within(value: float, half_width: float = 0.5) -> Json:
    """Give a length with its doubt."""
    return {"value": value, "plus_minus": half_width}


def flap(**more: Any) -> Json:
    """Give a cuff's flap of which everything is known."""
    plain = {
        "of": "cuff",
        "in_the_way_mm": within(12),
        "flap_length_mm": within(60),
        "least_length_mm": within(40),
        "overlap_mm": within(30),
        "overlap_wanted_mm": within(15),
    }
    return {**plain, **more}


def told(client: FlaskClient, body: Any) -> Json:
    """Ask, and give what is answered; it has the form of the contract and a sentence for everything."""
    response = client.post("/v1/flap-trims", json=body)
    assert 200 == response.status_code, response.get_data(as_text=True)
    found: Json = response.json
    assert {} == FlapTrimAnswerSchema().validate(found)
    said = [found, *found["why"], *found["next_steps"], *found["notes"]]
    assert all(each["message"] != each["code"] and "(" not in each["message"] for each in said)
    return found


def pointed_at(client: FlaskClient, body: Any) -> dict[str, str]:
    """Give the codes of the faults of a body that is refused, by place."""
    response = client.post("/v1/flap-trims", json=body)
    assert 422 == response.status_code, response.get_data(as_text=True)
    return {fault["pointer"]: fault["code"] for fault in response.json["errors"]}


class TestAnswer:
    """The answer about a flap ..."""

    def test_says_what_goes_and_what_stays(self, client: FlaskClient) -> None:
        """... says what goes first and at most, and what stays; whole millimetres are said without a point."""
        found = told(client, flap())

        assert ("trim", {"first_mm": 6, "most_mm": 12}) == (found["outcome"], found["params"])
        assert found["message"].startswith("Cut 6 mm off")
        assert {"low": 52.5, "likely": 54.0, "high": 55.5} == found["first"]["stays_mm"]
        assert [{"kept": "mark", "mm": 18.0}, {"kept": "overlap", "mm": 13.0}] == found["limits"]

    @pytest.mark.parametrize(("of", "job"), [("cuff", "trim_cuff_flap"), ("liner", "trim_liner_flap")])
    def test_gives_the_job_of_the_part(self, client: FlaskClient, of: str, job: str) -> None:
        """... gives the job of a cuff or a liner where it is cut, and none where it is not."""
        cut, left = told(client, flap(of=of)), told(client, flap(of=of, in_the_way_mm=within(0, 0.1)))

        assert (job, None) == (cut["job"]["job"], left["job"])
        assert (False, "do_not_cut") == (left["can_be_undone"], left["outcome"])

    def test_says_what_to_look_at(self, client: FlaskClient) -> None:
        """... says what to look at first where nothing is known."""
        assert ["flap_trim.mark_what_presses", "flap_trim.look_for_mark", "flap_trim.look_for_overlap"] == [
            each["code"] for each in told(client, {"of": "liner"})["next_steps"]
        ]

    def test_is_the_same_twice(self, client: FlaskClient) -> None:
        """... is the same bytes for the same request."""
        first, second = (client.post("/v1/flap-trims", json=flap()) for _ in range(2))

        assert first.data == second.data


class TestBySku:
    """A cuff of the catalogue ..."""

    def test_brings_its_length_if_it_was_never_cut(self, keep: Keep, asking: FlaskClient) -> None:
        """... brings the flap's length where it was never cut, and none where nobody knows."""
        keep({"sku": "collar", "kind": "cuff", "name": "Collar", "specs": {"flap_length_mm": 60}})
        body = flap(sku="collar")
        del body["flap_length_mm"]
        new, worn = told(asking, {**body, "never_cut": True}), told(asking, body)

        assert ({"kept": "mark", "mm": 16.5}, "cannot_tell") == (new["limits"][0], worn["outcome"])
        assert "flap_trim.as_catalogued" in {each["code"] for each in new["notes"]}

    def test_has_to_be_what_is_asked_about(self, keep: Keep, asking: FlaskClient) -> None:
        """... has to be there, and of the kind that is asked about."""
        keep({"sku": "collar", "kind": "cuff", "name": "Collar", "specs": {"flap_length_mm": 60}})

        assert {"/sku": "request.sku_of_other_kind"} == pointed_at(asking, {"of": "liner", "sku": "collar"})
        assert {"/sku": "request.unknown_sku_near"} == pointed_at(asking, {"of": "cuff", "sku": "colar"})


ANYTHING = st.none() | st.booleans() | st.integers(-300, 2**40) | st.floats(-1e3, 1e3) | st.text(max_size=4)
ANYTHING |= st.dictionaries(st.sampled_from(["value", "instrument", "plus_minus"]), st.floats(-1, 2000), max_size=3)


class TestRefusal:
    """A request ..."""

    @pytest.mark.parametrize(
        ("body", "expected"),
        [
            ([], {"": "request.not_object"}),
            ({}, {"/of": "request.required"}),
            (flap(of="boot"), {"/of": "request.choice"}),
            (flap(width_mm=3), {"/width_mm": "request.unknown_field"}),
            (flap(overlap_mm=30), {"/overlap_mm": "request.not_object"}),
            (flap(overlap_mm={"value": 30}), {"/overlap_mm/instrument": "request.no_doubt"}),
            (flap(in_the_way_mm=within(-1)), {"/in_the_way_mm/value": "request.bounds"}),
            (
                flap(has_mark=False, overlaps=False),
                {"/has_mark": "trim.no_mark_and_figures", "/overlaps": "trim.no_overlap_and_figures"},
            ),
        ],
        ids=lambda each: str(each)[-60:],
    )
    def test_with_a_fault_is_refused_with_its_place(self, client: FlaskClient, body: Any, expected: Json) -> None:
        """... with a fault is refused, and the fault is named by its place, with nothing else beside it."""
        assert expected == pointed_at(client, body)

    @settings(max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
    @given(st.data())
    def test_that_is_somehow_wrong_is_answered_or_refused(
        self, client: FlaskClient, all_finite: Callable[[Any], bool], data: st.DataObject
    ) -> None:
        """... with anything anywhere in it is answered in finite figures or refused, never worse."""
        body = flap()
        body[data.draw(st.sampled_from([*sorted(body), "has_mark", "overlaps", "sku", "never_cut"]))] = data.draw(
            ANYTHING
        )
        response = client.post("/v1/flap-trims", json=body)

        assert response.status_code in (200, 422), response.get_data(as_text=True)
        assert all_finite(response.json)
