"""``POST /v1/size-conversions``: what a request may say, what is refused and where, and what is answered."""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy
from typing import Any

import pytest
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from mountwright.web.schemas.size_answers import SizeConversionAnswerSchema

Json = dict[str, Any]


def foot(length: float, breadth: float | None = None, instep: float | None = None) -> Json:
    """Give a foot that was measured with a steel rule."""
    figures = {"length_mm": length, "breadth_mm": breadth, "instep_height_mm": instep}
    return {name: {"value": value, "instrument": "steel_rule"} for name, value in figures.items() if value is not None}


def question(**more: Any) -> Json:
    """Give a question about feet of 270 and 264 mm."""
    return {"left": foot(270), "right": foot(264), **more}


WHOLE: Json = {
    "left": foot(270, 100, 65),
    "right": foot(264, 99, 66),
    "fit": "comfort",
    "survey_group": "male",
    "skates": [
        {"name": "short", "specs": {"shell_length_mm": 270}},
        {
            "name": "right",
            "specs": {"shell_length_mm": 200, "shell_breadth_mm": 109, "insole_room_mm": 7},
            "measured": {
                "shell_length_mm": {"value": 288, "instrument": "caliper"},
                "shell_instep_height_mm": {"value": 82, "plus_minus": 1},
            },
        },
        {"specs": {"shell": "soft"}},
    ],
    "liners": [
        {"specs": {"thickness_mm": 8, "insole_room_mm": 5}},
        {"measured": {"thickness_mm": {"value": 20, "instrument": "caliper"}}},
    ],
    "insoles": [{"specs": {"thickness_mm": 9}}, {"specs": {"thickness_mm": 4}}, {"specs": {}}],
    "old_insole_thickness_mm": 4,
}


def told(client: FlaskClient, body: Any, status: int = 200) -> Json:
    """Ask, and give the body of an answer with a status."""
    response = client.post("/v1/size-conversions", json=body)
    assert status == response.status_code, response.get_data(as_text=True)
    answer: Json = response.json
    return answer


def faults(client: FlaskClient, body: Any) -> dict[str, str]:
    """Give the codes of the faults of a body that is refused, by place; each has a sentence."""
    found = told(client, body, 422)["errors"]
    assert all(fault["detail"] != fault["code"] for fault in found), found
    return {fault["pointer"]: fault["code"] for fault in found}


def sentences(value: Any) -> list[str]:
    """Give every sentence of an answer."""
    if isinstance(value, list):
        return [each for entry in value for each in sentences(entry)]
    if not isinstance(value, dict):
        return []
    own = [value["message"]] if "message" in value else []
    return own + [each for entry in value.values() for each in sentences(entry)]


class TestAnswer:
    """The answer about feet ..."""

    @pytest.mark.parametrize("body", [question(), WHOLE, {"left": foot(180), "right": foot(181)}])
    def test_is_as_the_contract_shows_it(self, client: FlaskClient, body: Json) -> None:
        """... has the form of the contract, with nothing, with everything, and for a child."""
        assert {} == SizeConversionAnswerSchema().validate(told(client, body))

    def test_is_a_band_with_half_a_size_of_doubt(self, client: FlaskClient) -> None:
        """... for 270 mm is Mondopoint 270 and EU 42.5 to 43.5, the longer foot deciding."""
        found = told(client, question())

        assert "converted" == found["outcome"]
        assert [42.5, 43, 43.5] == found["sizes"]["eu_size"]["marked"]
        assert 270 == found["sizes"]["mondopoint_mm"]["try_first"]
        assert ("length", "left") == (found["feet"][0]["measure"], found["feet"][0]["side"])
        assert "EU 42.5 to 43.5" in found["message"]

    def test_tells_what_is_from_memory(self, client: FlaskClient) -> None:
        """... says of each scale whether it is a standard's or from memory."""
        sizes = told(client, question())["sizes"]

        assert ["standard", "standard", "from memory", "from memory", "from memory"] == [
            each["standing"] for each in sizes.values()
        ]

    def test_of_a_childs_foot_has_no_other_size(self, client: FlaskClient) -> None:
        """... about a child's feet has Mondopoint and nothing for the rest."""
        found = told(client, {"left": foot(180), "right": foot(181)})
        sizes = found["sizes"]

        assert ("too_short", "sizes.too_short") == (found["outcome"], found["code"])
        assert [True, False, False, False, False] == [each is not None for each in sizes.values()]

    def test_ranks_what_is_offered(self, client: FlaskClient) -> None:
        """... ranks shells, liners and insoles with a reason for each, and tells the order of the work."""
        found = told(client, WHOLE)

        assert [1, 2, 0] == [each["index"] for each in found["skates"]]
        assert ("right", "fits", "sizes.heel_gap_right") == tuple(
            found["skates"][0][name] for name in ("name", "fit", "code")
        )
        assert [0, 1] == [each["index"] for each in found["liners"]]
        assert [1, 2, 0] == [each["index"] for each in found["insoles"]]
        assert "sizes.step_old_insole_out" in [step["code"] for step in found["steps"]]
        assert 5 == found["insoles"][0]["room_mm"]

    def test_takes_what_was_measured_before_what_is_catalogued(self, client: FlaskClient) -> None:
        """... goes by what was measured on the shell in hand."""
        best = told(client, WHOLE)["skates"][0]["checks"][0]["room_mm"]

        assert (18, 24) == (best["left"]["likely"], best["right"]["likely"])

    def test_takes_the_gap_that_was_measured_in_the_shell(self, client: FlaskClient) -> None:
        """... goes by the gap behind the heel, where a foot stood in the empty shell, and fills it with a liner."""
        measured = {"heel_gap_mm": {"value": 15, "instrument": "steel_rule"}}
        found = told(client, question(skates=[{"measured": measured}], liners=[{"specs": {"thickness_mm": 7}}]))
        heel = found["skates"][0]["checks"][0]

        assert (15, "fits") == (heel["room_mm"]["left"]["likely"], heel["fit"])
        assert "sizes.liner_right" == found["liners"][0]["code"]

    def test_has_a_sentence_for_every_code(self, client: FlaskClient) -> None:
        """... says everything in words, with nothing left to fill in."""
        odd = {"left": foot(270, 110, 60), "right": foot(255, 99, 66), "skates": [{"specs": {"shell_length_mm": 300}}]}
        for body in (question(), WHOLE, odd, {"left": foot(180), "right": foot(180)}):
            said = sentences(told(client, body))
            assert len(said) > 4
            assert all(" " in each and "(" not in each and "{" not in each for each in said), said

    def test_pads_the_shorter_foot(self, client: FlaskClient) -> None:
        """... pads the shorter foot behind the heel."""
        [padding] = told(client, question())["padding"]

        assert ("right", "pad", "behind_heel") == (padding["side"], padding["need"], padding["place"])
        assert padding["thickness_mm"]["low"] < 6 < padding["thickness_mm"]["high"]

    def test_is_the_same_each_time(self, client: FlaskClient) -> None:
        """... has the same bytes for the same request."""
        first, second = (client.post("/v1/size-conversions", json=WHOLE).data for _ in range(2))

        assert first == second

    def test_has_no_more_than_six_digits(self, client: FlaskClient) -> None:
        """... has shares and probabilities to six significant digits."""
        share = told(client, WHOLE)["shares"][0]

        assert share["such_foot_share"] == float(f"{share['such_foot_share']:.6g}")
        assert ["male"] == [each["group"] for each in told(client, WHOLE)["shares"]]


class TestBySku:
    """By SKU ..."""

    @pytest.fixture(autouse=True)
    def _catalogue(self, keep: Callable[..., None]) -> None:
        keep(
            {"sku": "hollow-9", "kind": "skate", "name": "Hollow 9", "specs": {"shell_length_mm": 285}},
            {"sku": "hollow-10", "kind": "skate", "specs": {"shell_length_mm": 310}},
            {"sku": "snug", "kind": "liner", "specs": {"thickness_mm": 7, "insole_room_mm": 5}},
            {"sku": "flat", "kind": "insole", "specs": {"thickness_mm": 4}},
        )

    def test_the_catalogues_figures_are_taken(self, asking: FlaskClient) -> None:
        """... the catalogue's figures are taken, and the receipt names its version."""
        body = question(
            skates=[{"sku": "hollow-10"}, {"sku": "hollow-9"}], liners=[{"sku": "snug"}], insoles=[{"sku": "flat"}]
        )
        found = told(asking, body)

        assert ["hollow-9", "hollow-10"] == [each["sku"] for each in found["skates"]]
        assert ("Hollow 9", None) == (found["skates"][0]["name"], found["skates"][1]["name"])
        assert ("likely_fits", "fits") == (found["liners"][0]["fit"], found["insoles"][0]["fit"])
        assert found["receipt"]["catalogue"]

    def test_what_was_measured_is_laid_over(self, asking: FlaskClient) -> None:
        """... what was measured on the one in hand, or is told otherwise, counts before the catalogue."""
        measured = {"shell_length_mm": {"value": 290, "instrument": "caliper"}}
        body = question(
            skates=[{"sku": "hollow-9", "measured": measured}], insoles=[{"sku": "flat", "specs": {"thickness_mm": 9}}]
        )
        found = told(asking, body)

        assert 20 == found["skates"][0]["checks"][0]["room_mm"]["left"]["likely"]
        assert "sizes.insole_unknown" == found["insoles"][0]["code"]

    def test_what_is_made_for_other_sizes_is_told(self, asking: FlaskClient, keep: Callable[..., None]) -> None:
        """... what is made for other sizes does not fit, and the sentence says so."""
        sizes = {"eu_size_from": 36, "eu_size_to": 37}
        keep({"sku": "tiny", "kind": "insole", "specs": {"thickness_mm": 4}, **sizes})
        body = question(skates=[{"specs": {}, **sizes}], liners=[{"specs": {}, **sizes}], insoles=[{"sku": "tiny"}])
        found = told(asking, body)

        for name in ("skates", "liners", "insoles"):
            assert ("does_not_fit", "sizes.other_size") == (found[name][0]["fit"], found[name][0]["code"])
        assert "It is made for EU 36-37, and these feet take EU 42.4 to 43.6." == found["insoles"][0]["message"]

    def test_every_one_that_is_not_there_is_told(self, asking: FlaskClient) -> None:
        """... every one that is not there, or is of another kind, is told with its place."""
        body = question(
            skates=[{"sku": "hollow-9"}, {"sku": "snug"}], liners=[{"sku": "flat"}], insoles=[{"sku": "nowhere"}]
        )

        assert {
            "/skates/1/sku": "request.not_a_skate",
            "/liners/0/sku": "request.sku_of_other_kind",
            "/insoles/0/sku": "request.unknown_sku",
        } == faults(asking, body)


class TestRequest:
    """A request ..."""

    @pytest.mark.parametrize(
        ("body", "expected"),
        [
            ({}, {"/left": "request.required", "/right": "request.required"}),
            (question(left=foot(79)), {"/left/length_mm/value": "request.bounds"}),
            (question(left=foot(401)), {"/left/length_mm/value": "request.bounds"}),
            (question(left={"length_mm": 270}), {"/left/length_mm": "request.not_object"}),
            (question(left={"length_mm": {"value": 270}}), {"/left/length_mm/instrument": "request.no_doubt"}),
            (question(left=foot(270, 100)), {"/right/breadth_mm": "sizes.both_feet"}),
            (
                {"left": foot(150, 160), "right": foot(150, 160)},
                {
                    "/left/breadth_mm/value": "sizes.broader_than_long",
                    "/right/breadth_mm/value": "sizes.broader_than_long",
                },
            ),
            (question(fit="loose"), {"/fit": "request.choice"}),
            (question(survey_group="giants"), {"/survey_group": "request.choice"}),
            (question(more=1), {"/more": "request.unknown_field"}),
            (question(skates=[]), {"/skates": "request.size"}),
            (question(skates=[{}]), {"/skates/0/specs": "request.required"}),
            (
                question(skates=[{"specs": {"shell_length_mm": 900}}]),
                {"/skates/0/specs/shell_length_mm": "request.bounds"},
            ),
            (
                question(liners=[{"specs": {"shell_length_mm": 280}}]),
                {"/liners/0/specs/shell_length_mm": "request.unknown_spec"},
            ),
            (
                question(insoles=[{"specs": {}, "eu_size_from": 44, "eu_size_to": 43}]),
                {"/insoles/0/eu_size_from": "request.setting_order"},
            ),
            (question(old_insole_thickness_mm="thick"), {"/old_insole_thickness_mm": "request.not_number"}),
            (question(skates=[{"name": "x" * 10_000, "specs": {}}]), {"/skates/0/name": "request.size"}),
        ],
    )
    def test_that_is_wrong_is_refused(self, client: FlaskClient, body: Json, expected: dict[str, str]) -> None:
        """... that is wrong is refused, with every fault at its place."""
        assert expected == faults(client, body)

    def test_names_every_fault_at_once(self, client: FlaskClient) -> None:
        """... with several faults names them all."""
        body = question(left=foot(500, 90), fit=3, liners=[{"specs": {"thickness_mm": -1}}])

        assert {"/left/length_mm/value", "/right/breadth_mm", "/fit", "/liners/0/specs/thickness_mm"} == set(
            faults(client, body)
        )

    def test_in_any_script_is_answered(self, client: FlaskClient) -> None:
        """... with a name in any script is answered with that name."""
        found = told(client, question(skates=[{"name": "скейт 靴 🛼", "specs": {"shell_length_mm": 285}}]))

        assert "скейт 靴 🛼" == found["skates"][0]["name"]

    @settings(max_examples=200, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
    @given(st.data())
    def test_that_is_somehow_wrong_is_answered_or_refused(
        self, client: FlaskClient, all_finite: Callable[[Any], bool], data: st.DataObject
    ) -> None:
        """... with anything anywhere in it is answered in finite figures or refused, never worse."""
        body: Any = deepcopy(WHOLE)
        place, key = body, data.draw(st.sampled_from(sorted(body)))
        while data.draw(st.booleans()) and isinstance(place[key], dict | list) and place[key]:
            place = place[key]
            key = data.draw(st.sampled_from(sorted(place) if isinstance(place, dict) else range(len(place))))
        place[key] = data.draw(ANYTHING)
        response = client.post("/v1/size-conversions", json=body)

        assert response.status_code in (200, 422), response.get_data(as_text=True)
        assert all_finite(response.json)

    @settings(max_examples=100, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
    @given(st.floats(80, 400), st.floats(80, 400), st.floats(0.001, 50), st.floats(120, 380), st.floats(0.2, 60))
    def test_within_its_bounds_is_answered(
        self,
        client: FlaskClient,
        all_finite: Callable[[Any], bool],
        left: float,
        right: float,
        doubt: float,
        inside: float,
        wall: float,
    ) -> None:
        """... within its bounds has an answer of the contract's form."""
        lengths = [{"length_mm": {"value": each, "plus_minus": doubt}} for each in (left, right)]
        body = {
            "left": lengths[0],
            "right": lengths[1],
            "skates": [{"specs": {"shell_length_mm": inside}}],
            "liners": [{"specs": {"thickness_mm": wall}}],
        }
        found = told(client, body)

        assert {} == SizeConversionAnswerSchema().validate(found)
        assert all_finite(found)


ANYTHING = st.none() | st.booleans() | st.integers(-300, 2**40) | st.floats(-1e3, 1e3) | st.text(max_size=4)
ANYTHING |= st.sampled_from(["caliper", "comfort", "soft"]) | st.lists(st.integers(-2, 9), max_size=3)
ANYTHING |= st.dictionaries(st.sampled_from(["value", "sku", "specs", "x"]), st.floats(-1, 200), max_size=3)
