"""``POST /v1/strap-trims``: what a request may say, what is refused and where, and what is answered."""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy
from typing import Any

import pytest
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from mountwright.web.schemas.strap_trims import StrapTrimAnswerSchema

Json = dict[str, Any]
Keep = Callable[..., None]

#: A ladder of 200 mm with a tooth every 3 mm, of which 124 mm have to stay.
LADDER: Json = {
    "sku": "ladder-200",
    "kind": "strap",
    "name": "Ladder 200",
    "specs": {"closure": "ratchet", "length_mm": 200, "tooth_pitch_mm": 3, "tooth_count": 43, "cut_limit_mm": 124},
}


def rule(value: float) -> Json:
    """Give a length that was read from a steel rule."""
    return {"value": value, "instrument": "steel_rule"}


def counted(**more: Any) -> Json:
    """Give a strap of which 14 teeth have passed the pawl over the thickest sock, and 9 stand out."""
    plain = {
        "thickest_sock": {"teeth_engaged": 14, "teeth_standing_out": 9},
        "usual_sock": {"teeth_engaged": 18, "teeth_standing_out": 13},
        "reserve_teeth": 4,
        "tail_teeth": 2,
        "teeth_to_mark": 20,
    }
    return {**plain, **more}


#: Everything that may be said.
WHOLE = counted(
    never_cut=False,
    teeth_in_the_way=6,
    has_mark=True,
    length_mm=rule(200),
    cut_limit_mm=rule(134),
    tip_mm=rule(5),
    tooth_pitch={"span_mm": {"value": 30, "plus_minus": 0.2}, "teeth": 10},
)


def told(client: FlaskClient, body: Any) -> Json:
    """Give what is answered, with status 200 and in the form of the contract."""
    response = client.post("/v1/strap-trims", json=body)
    found: Json = response.json
    assert (200, {}) == (response.status_code, StrapTrimAnswerSchema().validate(found))
    return found


def faults(client: FlaskClient, body: Any) -> dict[str, str]:
    """Give the codes of the faults of a body that is refused, by place; each has a sentence."""
    refused = client.post("/v1/strap-trims", json=body).json
    assert 422 == refused["status"]
    assert all("request." not in each["detail"] and "trim." not in each["detail"] for each in refused["errors"])
    return {each["pointer"]: each["code"] for each in refused["errors"]}


class TestAnswer:
    """The answer about a strap ..."""

    @pytest.mark.parametrize(
        "body",
        [
            {},
            counted(),
            WHOLE,
            counted(teeth_to_mark=1),
            counted(usual_sock={"teeth_engaged": 9, "teeth_standing_out": 4}),
        ],
        ids=["nothing known", "counted", "whole", "refused", "contradicted"],
    )
    def test_is_as_the_contract_shows_it(self, client: FlaskClient, body: Json) -> None:
        """... has the form of the contract, and a sentence for everything that it says."""
        found = told(client, body)
        said = [found, *found["why"], *found["next_steps"], *found["notes"]]
        assert all(each["message"] != each["code"] and "(" not in each["message"] for each in said)

    def test_says_what_goes_and_what_closes_then(self, client: FlaskClient) -> None:
        """... says how many teeth go first and at most, what stays in millimetres, and what closes with either sock."""
        found = told(client, WHOLE)

        assert ("trim", 6, 7) == (found["outcome"], found["first"]["teeth"], found["at_most"]["teeth"])
        assert {"low": 21.13, "likely": 23.0, "high": 24.87} == found["first"]["goes_mm"]
        assert 177.0 == found["first"]["stays_mm"]["likely"]
        assert {"teeth_engaged": 7, "teeth_standing_out": 3} == found["first"]["thickest_sock"]
        assert {"teeth_engaged": 11, "teeth_standing_out": 7} == found["first"]["usual_sock"]

    def test_gives_the_job_only_where_it_is_cut(self, client: FlaskClient) -> None:
        """... gives the steps of the bench's own job where it is cut, and says always that it cannot be undone."""
        cut, left = told(client, counted()), told(client, counted(teeth_to_mark=1))

        assert ("shorten_strap", None) == (cut["job"]["job"], left["job"])
        assert any("bevel" in step for step in cut["job"]["steps"])
        assert (False, False) == (cut["can_be_undone"], left["can_be_undone"])

    def test_says_why_not_and_what_to_count(self, client: FlaskClient) -> None:
        """... gives reasons where it is not cut and steps where nobody can tell, apart from the cautions."""
        short, open_still = told(client, counted(teeth_to_mark=1)), told(client, {})

        assert ["strap_trim.mark_reached"] == [each["code"] for each in short["why"]]
        assert ["strap_trim.close_on_thickest", "strap_trim.look_for_mark"] == [
            each["code"] for each in open_still["next_steps"]
        ]
        assert "strap_trim.holds_the_foot" == short["notes"][0]["code"]

    def test_is_the_same_twice(self, client: FlaskClient) -> None:
        """... is the same bytes for the same request, and names no catalogue where none was read."""
        first, second = (client.post("/v1/strap-trims", json=WHOLE) for _ in range(2))

        assert (first.data, None) == (second.data, first.json["receipt"]["catalogue"])


class TestBySku:
    """A strap of the catalogue ..."""

    def test_brings_its_pitch_and_mark(self, keep: Keep, asking: FlaskClient) -> None:
        """... brings pitch and mark, but no length: it may have been cut before."""
        keep(LADDER)
        body = counted(sku="ladder-200")
        del body["teeth_to_mark"]
        found = told(asking, body)

        assert ["strap_trim.count_to_mark"] == [each["code"] for each in found["next_steps"]]
        assert "strap_trim.as_catalogued" in {each["code"] for each in found["notes"]}

    def test_that_was_never_cut_brings_its_length(self, keep: Keep, asking: FlaskClient) -> None:
        """... that was never cut brings its length, too: (200 - 2 - 124 - 2 - 20 - 1) / 3.2 are 15 whole teeth."""
        keep(LADDER)
        body = counted(sku="ladder-200", never_cut=True)
        del body["teeth_to_mark"]
        found = told(asking, body)

        assert {"kept": "mark", "teeth": 15} == found["limits"][2]
        assert found["receipt"]["catalogue"]

    def test_gives_way_to_what_was_measured(self, keep: Keep, asking: FlaskClient) -> None:
        """... gives way to what was measured on the one in hand."""
        keep(LADDER)
        body = counted(sku="ladder-200", never_cut=True, length_mm=rule(150), tip_mm=rule(5))
        del body["teeth_to_mark"]

        assert {"kept": "mark", "teeth": 5} == told(asking, body)["limits"][2]

    def test_keeps_its_makers_limit_where_no_mark_is_seen(self, keep: Keep, asking: FlaskClient) -> None:
        """... keeps the maker's limit where somebody sees no mark on it."""
        keep(LADDER)
        body = counted(sku="ladder-200", has_mark=False)
        del body["teeth_to_mark"]

        assert "cannot_tell" == told(asking, body)["outcome"]

    def test_without_teeth_is_left_alone(self, keep: Keep, asking: FlaskClient) -> None:
        """... that closes without teeth is left alone."""
        keep({"sku": "hook", "kind": "strap", "specs": {"closure": "hook_and_loop", "length_mm": 260}})

        assert ["strap_trim.no_teeth"] == [each["code"] for each in told(asking, {"sku": "hook"})["why"]]

    def test_has_to_be_one(self, keep: Keep, asking: FlaskClient) -> None:
        """... has to be there, and a strap: neither a wheel nor a skate."""
        keep(
            LADDER,
            {"sku": "roller", "kind": "wheel", "name": "Roller"},
            {"sku": "boot", "kind": "skate", "name": "Boot"},
        )

        found = [faults(asking, {"sku": sku})["/sku"] for sku in ("ladder-20", "roller", "boot", "a\0b", "✂" * 60)]
        assert [
            "request.unknown_sku_near",
            "request.sku_of_other_kind",
            "request.sku_of_other_kind",
            "request.unknown_sku",
            "request.unknown_sku",
        ] == found


REFUSED: list[tuple[Any, Json]] = [
    ([], {"": "request.not_object"}),
    ({"teeth": 3}, {"/teeth": "request.unknown_field"}),
    ({"sku": "x" * 10_000}, {"/sku": "request.size"}),
    ({"sku": 5}, {"/sku": "request.not_text"}),
    ({"thickest_sock": {"teeth_engaged": 3}}, {"/thickest_sock/teeth_standing_out": "request.required"}),
    (
        {"thickest_sock": {"teeth_engaged": 3, "teeth_standing_out": 3}},
        {"/thickest_sock/teeth_standing_out": "request.bounds"},
    ),
    (
        {"usual_sock": {"teeth_engaged": 0, "teeth_standing_out": 1}},
        {"/usual_sock/teeth_standing_out": "request.bounds"},
    ),
    (
        {"usual_sock": {"teeth_engaged": 2.5, "teeth_standing_out": 1}},
        {"/usual_sock/teeth_engaged": "request.not_whole"},
    ),
    ({"reserve_teeth": 0}, {"/reserve_teeth": "request.bounds"}),
    ({"tail_teeth": -1}, {"/tail_teeth": "request.bounds"}),
    ({"teeth_in_the_way": "many"}, {"/teeth_in_the_way": "request.not_whole"}),
    ({"length_mm": 200}, {"/length_mm": "request.not_object"}),
    ({"length_mm": {"value": 200}}, {"/length_mm/instrument": "request.no_doubt"}),
    ({"length_mm": {"value": 2000, "instrument": "caliper"}}, {"/length_mm/value": "request.bounds"}),
    ({"length_mm": {"value": 200, "instrument": "protractor"}}, {"/length_mm/instrument": "request.choice"}),
    ({"tooth_pitch": {"span_mm": rule(30)}}, {"/tooth_pitch/teeth": "request.required"}),
    ({"tooth_pitch": {"span_mm": rule(30), "teeth": 0}}, {"/tooth_pitch/teeth": "request.bounds"}),
    ({"tooth_pitch": {"span_mm": rule(0), "teeth": 1}}, {"/tooth_pitch/span_mm": "request.impossible"}),
    (
        {"tooth_pitch": {"span_mm": {"value": 3, "plus_minus": 3}, "teeth": 1}},
        {"/tooth_pitch/span_mm": "request.impossible"},
    ),
    ({"has_mark": False, "teeth_to_mark": 4}, {"/has_mark": "trim.no_mark_and_figures"}),
    ({"has_mark": False, "cut_limit_mm": rule(100)}, {"/has_mark": "trim.no_mark_and_figures"}),
]

ANYTHING = st.none() | st.booleans() | st.integers(-300, 2**40) | st.floats(-1e3, 1e3) | st.text(max_size=4)
ANYTHING |= st.lists(st.integers(-2, 9), max_size=3)
ANYTHING |= st.dictionaries(
    st.sampled_from(["value", "instrument", "plus_minus", "teeth", "teeth_engaged"]), st.floats(-1, 2000), max_size=3
)

OFTEN = settings(max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)

#: Everywhere in a request: its fields, and those of the objects in it.
PLACES = [
    *((name,) for name in WHOLE),
    *((name, field) for name, each in WHOLE.items() if isinstance(each, dict) for field in (*each, "more")),
]


class TestRefusal:
    """A request ..."""

    @pytest.mark.parametrize(("body", "expected"), REFUSED, ids=[str(body)[:70] for body, _ in REFUSED])
    def test_with_a_fault_is_refused_with_its_place(self, client: FlaskClient, body: Any, expected: Json) -> None:
        """... with a fault is refused, and the fault is named by its place, with nothing else beside it."""
        assert expected == faults(client, body)

    def test_names_every_fault_at_once(self, client: FlaskClient) -> None:
        """... with several faults names them all."""
        body = {"has_mark": False, "teeth_to_mark": 4, "length_mm": {"value": -1}, "reserve_teeth": 0, "tip_mm": None}

        assert {"/has_mark", "/length_mm/value", "/reserve_teeth", "/tip_mm"} <= set(faults(client, body))

    @OFTEN
    @given(place=st.sampled_from(PLACES), value=ANYTHING)
    def test_that_is_somehow_wrong_is_answered_or_refused(
        self, client: FlaskClient, all_finite: Callable[[Any], bool], place: tuple[str, ...], value: Any
    ) -> None:
        """... with anything anywhere in it is answered in finite figures or refused, never worse."""
        body = deepcopy(WHOLE)
        entry = body[place[0]] if len(place) > 1 else body
        entry[place[-1]] = value
        answer = client.post("/v1/strap-trims", json=body)
        assert 200 == answer.status_code or 422 == answer.json["status"]
        assert all_finite(answer.json)

    @OFTEN
    @given(st.data())
    def test_within_its_bounds_is_answered(
        self, client: FlaskClient, all_finite: Callable[[Any], bool], data: st.DataObject
    ) -> None:
        """... at the ends of what it may say, or anywhere between, has an answer of the contract's form."""
        length = st.sampled_from([0, 0.001, 1000]) | st.floats(0, 1000)
        doubt = st.sampled_from([0.001, 1000]) | st.floats(0.001, 20)
        body: Json = {
            name: {"value": data.draw(length), "plus_minus": data.draw(doubt)}
            for name in ("length_mm", "cut_limit_mm", "tip_mm")
            if data.draw(st.booleans())
        }
        body |= {
            name: data.draw(st.sampled_from([1, 100]) | st.integers(1, 100))
            for name in ("reserve_teeth", "tail_teeth", "teeth_in_the_way", "teeth_to_mark")
            if data.draw(st.booleans())
        }
        for name in ("thickest_sock", "usual_sock"):
            if data.draw(st.booleans()):
                engaged = data.draw(st.integers(1, 100))
                out = data.draw(st.integers(0, engaged - 1))
                body[name] = {"teeth_engaged": engaged, "teeth_standing_out": out}
        if data.draw(st.booleans()):
            body["tooth_pitch"] = {
                "span_mm": rule(data.draw(st.floats(1, 1000))),
                "teeth": data.draw(st.integers(1, 100)),
            }

        assert all_finite(told(client, body))
