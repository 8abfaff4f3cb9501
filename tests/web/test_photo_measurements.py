"""``POST /v1/photo-measurements``: what a request may say, what is refused, and what becomes of the answer."""

from __future__ import annotations

import copy
import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from mountwright.web.schemas.photo_measurements import PhotoAnswerSchema

Json = dict[str, Any]

README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")


def point(pixel: Any) -> Json:
    """Give a point as a request writes it, to a hundredth of a pixel."""
    return {"x_px": round(float(pixel[0]), 2), "y_px": round(float(pixel[1]), 2)}


@pytest.fixture
def clicks(scene: Any) -> Json:
    """Give a request: holes 165 mm apart on level platforms, three points on each edge of the card."""
    view = scene(tilt_deg=20, about_deg=40)
    return request(view, view.seen([(-82.5, 0), (82.5, 0)]), heel="level")


def request(view: Any, spots: Any, click_px: float = 1.5, **more: Any) -> Json:
    """Give a request about marks at pixels of a scene."""
    card = zip(("top", "right", "bottom", "left"), view.edges(), strict=True)
    return {
        "image": {"width_px": view.size_px[0], "height_px": view.size_px[1]},
        "focal_length_px": {"value": view.focal_px, "plus_minus": 60},
        "click_plus_minus_px": click_px,
        "card": {name: [point(pixel) for pixel in edge] for name, edge in card},
        "marks": [{"name": name, **point(spot)} for name, spot in zip(("rear", "front", "third"), spots, strict=False)],
        **more,
    }


def told(client: FlaskClient, body: Any, status: int = 200) -> Json:
    """Ask, and give the body of an answer with a status."""
    response = client.post("/v1/photo-measurements", json=body)
    assert status == response.status_code, response.get_data(as_text=True)
    answer: Json = response.json
    return answer


def faults(client: FlaskClient, path: str, body: Any) -> dict[str, str]:
    """Give the codes of the faults of a body that is refused, by place; each has a whole sentence."""
    response = client.post(path, json=body)
    assert 422 == response.status_code, response.get_data(as_text=True)
    found = response.json["errors"]
    assert all(fault["detail"] != fault["code"] and "(" not in fault["detail"] for fault in found), found
    return {fault["pointer"]: fault["code"] for fault in found}


def mount(figure: Any) -> Json:
    """Give the boot's side with a spacing."""
    return {"position": "frame", "dimensions": {"hole_spacing_mm": figure}}


def identified(client: FlaskClient, figure: Any) -> Json:
    """Give what a mount with this spacing is taken for."""
    found: Json = client.post("/v1/mount-identifications", json={"mount": mount(figure)}).json["identifications"][0]
    return found


def checked(client: FlaskClient, figure: Any, standard: str) -> Json:
    """Give what is said of a frame of a standard on a boot with this spacing, before anything is cut for it."""
    frame = {"kind": "frame", "mounts": [{"position": "frame", "standard": standard, "claimed_by": "maker"}]}
    body = {"skate": {"mounts": [mount(figure)]}, "parts": [frame]}
    found: Json = client.post("/v1/fit-checks", json=body).json["parts"][0]
    return found


class TestAnswer:
    """The answer about a photo ..."""

    def test_is_as_the_contract_shows_it(self, client: FlaskClient, clicks: Json) -> None:
        """... has the form of the contract, measured and refused."""
        for more in ({}, {"heel": "raised"}, {"click_plus_minus_px": 12}):
            assert {} == PhotoAnswerSchema().validate(told(client, {**clicks, **more}))

    def test_is_a_length_with_its_doubt(self, client: FlaskClient, clicks: Json) -> None:
        """... is a length, its doubt, where that comes from, how the card lies and what is assumed."""
        answer = told(client, clicks)
        (length,) = answer["lengths"]

        assert ("measured", ["rear", "front"]) == (length["outcome"], length["between"])
        assert 165 == pytest.approx(length["length_mm"], abs=0.01)
        assert 1 == pytest.approx(sum(length["doubt_from"].values()), abs=1e-5)
        assert ("lengthwise", 400) == (answer["card"]["lies"], pytest.approx(answer["card"]["distance_mm"], rel=0.05))
        assert "photo.assumes_plane" == answer["assumes"][0]["code"]

    def test_has_a_sentence_for_every_code(self, client: FlaskClient, clicks: Json) -> None:
        """... says everything in words, with nothing left to fill in."""
        steep = {**clicks, "focal_length_px": {"value": 9000, "plus_minus": 10}}
        for body in (clicks, {**clicks, "heel": "raised"}, {**clicks, "click_plus_minus_px": 12}, steep):
            answer = told(client, body)
            steps = [length["next_step"] for length in answer["lengths"] if length["next_step"]]
            for each in (*answer["lengths"], *answer["assumes"], *steps):
                assert each["message"] != each["code"]
                assert not re.search(r"\([a-z_]+\)", each["message"])

    def test_refuses_a_raised_heel_without_heights(self, client: FlaskClient, clicks: Json) -> None:
        """... refuses the spacing of a raised heel until the heights are told."""
        body = {**clicks, "heel": "raised"}
        (refused,) = told(client, body)["lengths"]
        for mark in body["marks"]:
            mark["height_mm"] = {"value": 0, "plus_minus": 1}
        (measured,) = told(client, body)["lengths"]

        assert ("photo.heel_without_heights", None, None) == (
            refused["code"],
            refused["measurement"],
            refused["length_mm"],
        )
        assert "measured" == measured["outcome"]

    def test_refuses_what_is_in_too_much_doubt(self, client: FlaskClient, clicks: Json) -> None:
        """... refuses a length whose standard uncertainty is above 2 mm, says how large it is and what narrows it."""
        (length,) = told(client, {**clicks, "click_plus_minus_px": 9})["lengths"]

        assert ("photo.too_doubtful", None) == (length["code"], length["measurement"])
        assert length["standard_uncertainty_mm"] > 2
        assert "photo.step_card" == length["next_step"]["code"]

    def test_is_the_same_twice(self, client: FlaskClient, clicks: Json) -> None:
        """... is the same bytes for the same request."""
        first, second = (client.post("/v1/photo-measurements", json=clicks) for _ in range(2))

        assert first.data == second.data

    def test_of_the_readme_is_the_readmes(self, client: FlaskClient) -> None:
        """... to the README's request is the one that stands beside it."""
        found = re.search(r"```json title=my_photo.json\n(.*?)```\n.*?\"(rear to front: [^\"]*)\"", README, re.DOTALL)
        assert found is not None
        (length,) = told(client, json.loads(found[1]))["lengths"]

        assert found[2] == length["message"]


class TestMeasurement:
    """The measurement of an answer ..."""

    def test_goes_into_a_fit_check_and_an_identification(self, client: FlaskClient, clicks: Json) -> None:
        """... is taken as it is by a fit check and an identification, and tells 165 from 195."""
        figure = told(client, clicks)["lengths"][0]["measurement"]
        ranked = {each["standard"]: each["probability"] for each in identified(client, figure)["candidates"]}

        assert {"value", "plus_minus", "instrument"} == figure.keys()
        assert ranked["two-bolt-165"] > 0.6
        assert ranked["two-bolt-195"] < 0.001
        assert "cannot_tell" == checked(client, figure, "two-bolt-165")["verdict"]
        assert "does_not_fit" == checked(client, figure, "two-bolt-195")["verdict"]

    def test_carries_its_doubt(self, client: FlaskClient) -> None:
        """... brings its own doubt with it, not a usual one: the larger it is, the less is told."""
        leads = [
            identified(client, {"value": 165, "plus_minus": width, "instrument": "photo"})["candidates"][0]
            for width in (2.0, 2.5, 3.4)
        ]
        usual = identified(client, {"value": 165, "instrument": "photo"})["candidates"][0]

        assert [lead["probability"] for lead in leads] == sorted((lead["probability"] for lead in leads), reverse=True)
        assert leads[1] == usual

    @pytest.mark.parametrize("click_px", [0.05, 1.5, 4])
    @pytest.mark.parametrize("spacing", [164, 164.5, 165, 165.5, 166, 166.5, 167, 167.5, 168])
    def test_never_decides_between_165_and_167(
        self, client: FlaskClient, scene: Any, spacing: float, click_px: float
    ) -> None:
        """... of 164 to 168 mm never decides between 165 and 167, however finely somebody says that he clicked."""
        view = scene(focal_px=6000, size_px=(8000, 6000))
        spots = view.seen([(-spacing / 2, 0), (spacing / 2, 0)])
        figure = told(client, request(view, spots, click_px, heel="level"))["lengths"][0]["measurement"]

        assert figure["plus_minus"] >= 2.0
        assert identified(client, figure)["finding"] in {"leaning", "split"}
        assert {"cannot_tell"} == {
            checked(client, figure, standard)["verdict"] for standard in ("two-bolt-165", "flat-167")
        }

    @pytest.mark.parametrize("value", [value / 2 for value in range(310, 351)])
    @pytest.mark.parametrize("width", [2.0, 2.5, 3.46])
    def test_identifies_neither_of_them_at_any_reading(self, client: FlaskClient, value: float, width: float) -> None:
        """... of any length is no identification of either, and no fit of a frame of either."""
        figure = {"value": value, "plus_minus": width, "instrument": "photo"}

        assert "identified" != identified(client, figure)["finding"]
        assert "fits" not in {checked(client, figure, standard)["verdict"] for standard in ("two-bolt-165", "flat-167")}

    def test_is_settled_by_a_look_at_the_heel(self, client: FlaskClient) -> None:
        """... is settled by looking whether the heel is raised, which is what the identification asks for next."""
        figure = {"value": 165, "plus_minus": 2.0, "instrument": "photo"}
        asked = identified(client, figure)["next_step"]
        body = {"mount": {**mount(figure), "seen": {"heel": "raised"}}}
        found = client.post("/v1/mount-identifications", json=body).json["identifications"][0]

        assert "frame_spacing.look.heel" == asked["code"]
        assert ("identified", "two-bolt-165") == (found["finding"], found["candidates"][0]["standard"])


class TestToldDoubt:
    """A half-width beside an instrument ..."""

    @pytest.mark.parametrize("width", [0.1, 1.999])
    def test_is_refused_where_no_photo_is_as_close(self, client: FlaskClient, width: float) -> None:
        """... of a photo is refused below what a photo reads, wherever a reading is taken."""
        figure = {"value": 165, "plus_minus": width, "instrument": "photo"}
        place = "/dimensions/hole_spacing_mm"
        frame = {"kind": "frame", "mounts": [mount({"value": 165, "instrument": "caliper"})]}
        fit = {"skate": {"mounts": [mount(figure)]}, "parts": [frame]}
        wheel = {"kind": "wheel", "measured_mm": {**figure, "value": 80}, "specs": {"diameter_mm": 80}}
        line = {"set_up": {"parts": [wheel]}, "load": {"mass_kg": 80}}
        expected = "request.closer_than_instrument"

        assert {f"/skate/mounts/0{place}": expected} == faults(client, "/v1/fit-checks", fit)
        assert {f"/mount{place}": expected} == faults(client, "/v1/mount-identifications", {"mount": mount(figure)})
        assert {"/set_up/parts/0/measured_mm/plus_minus": expected} == faults(client, "/v1/wheel-lines", line)

    def test_is_refused_where_the_mount_names_the_photo(self, client: FlaskClient) -> None:
        """... is refused as well where the photo is named once, for every figure of the mount."""
        told = {**mount({"value": 165, "plus_minus": 0.1}), "instrument": "photo"}
        wide = {**mount({"value": 165, "plus_minus": 2.5}), "instrument": "photo"}
        frame = {"kind": "frame", "mounts": [mount({"value": 165, "instrument": "caliper"})]}
        place, expected = "dimensions/hole_spacing_mm", "request.closer_than_instrument"

        fit = {"skate": {"mounts": [told]}, "parts": [frame]}
        assert {f"/skate/mounts/0/{place}": expected} == faults(client, "/v1/fit-checks", fit)
        assert {f"/mount/{place}": expected} == faults(client, "/v1/mount-identifications", {"mount": told})
        assert 200 == client.post("/v1/mount-identifications", json={"mount": wide}).status_code

    def test_stands_in_place_of_the_instruments_own(self, client: FlaskClient) -> None:
        """... of any other instrument stands in place of what that usually reads."""
        plain, named = (
            identified(client, {"value": 165, "plus_minus": 0.1, **more}) for more in ({}, {"instrument": "caliper"})
        )

        assert plain["candidates"] == named["candidates"]


class TestRefusal:
    """A request ..."""

    def test_that_lacks_everything_names_it(self, client: FlaskClient) -> None:
        """... that says nothing is told all that is missing."""
        wanted = ("image", "focal_length_px", "click_plus_minus_px", "card", "marks")

        assert dict.fromkeys((f"/{name}" for name in wanted), "request.required") == asked(client, {})
        assert {"": "request.not_object"} == asked(client, [])

    @pytest.mark.parametrize(
        ("more", "expected"),
        [
            ({"extra": 1}, {"/extra": "request.unknown_field"}),
            ({"picture": "data:image/jpeg;base64,"}, {"/picture": "request.unknown_field"}),
            (
                {"image": {"width_px": 0, "height_px": 3000.5}},
                {"/image/width_px": "request.bounds", "/image/height_px": "request.not_whole"},
            ),
            ({"focal_length_px": {"value": 3000}}, {"/focal_length_px/plus_minus": "request.required"}),
            ({"focal_length_px": 3000}, {"/focal_length_px": "request.not_object"}),
            (
                {"focal_length_px": {"value": 3000, "plus_minus": 1501}},
                {"/focal_length_px/plus_minus": "photo.focal_length_unknown"},
            ),
            ({"click_plus_minus_px": 0}, {"/click_plus_minus_px": "request.bounds"}),
            ({"click_plus_minus_px": "1"}, {"/click_plus_minus_px": "request.not_number"}),
            ({"heel": "high"}, {"/heel": "request.choice"}),
            ({"marks": []}, {"/marks": "request.size"}),
            ({"pairs": []}, {"/pairs": "request.size"}),
            ({"pairs": [["rear"]]}, {"/pairs/0": "request.size"}),
            ({"pairs": [["rear", "rear"]]}, {"/pairs/0": "photo.pair_of_one"}),
            ({"pairs": [["rear", "heel"]]}, {"/pairs/0/1": "request.choice"}),
            ({"pairs": [["rear", "front"], ["front", "rear"]]}, {"/pairs/1": "photo.pair_twice"}),
            ({"pairs": [["rear", 3]]}, {"/pairs/0/1": "request.not_text"}),
        ],
        ids=str,
    )
    def test_with_a_fault_is_refused_with_its_place(
        self, client: FlaskClient, clicks: Json, more: Json, expected: Json
    ) -> None:
        """... with a fault is refused, and the fault is named by its place, with nothing else beside it."""
        assert expected == asked(client, {**clicks, **more})

    @pytest.mark.parametrize(
        ("mark", "expected"),
        [
            ({"x_px": -1}, {"/marks/1/x_px": "request.bounds"}),
            ({"x_px": 4000.5}, {"/marks/1/x_px": "photo.outside"}),
            ({"name": "rear"}, {"/marks/1/name": "request.given_again"}),
            ({"name": ""}, {"/marks/1/name": "request.size"}),
            ({"height_mm": 10}, {"/marks/1/height_mm": "request.not_object"}),
            ({"height_mm": {"value": 10}}, {"/marks/1/height_mm/plus_minus": "request.required"}),
            (
                {"height_mm": {"value": 101, "plus_minus": -1}},
                {"/marks/1/height_mm/value": "request.bounds", "/marks/1/height_mm/plus_minus": "request.bounds"},
            ),
            ({"plus_minus_px": 0}, {"/marks/1/plus_minus_px": "request.bounds"}),
        ],
        ids=str,
    )
    def test_with_a_fault_in_a_mark_is_refused(
        self, client: FlaskClient, clicks: Json, mark: Json, expected: Json
    ) -> None:
        """... with a fault in a mark is told which mark, and what."""
        clicks["marks"][1] |= mark

        assert expected == asked(client, clicks)

    def test_with_faults_in_the_card_is_refused(self, client: FlaskClient, clicks: Json) -> None:
        """... with a bent edge, one whose points are together, and edges out of order is told each by its edge."""
        bent, together, mixed, short = (copy.deepcopy(clicks) for _ in range(4))
        bent["card"]["top"][1]["y_px"] += 30
        together["card"]["left"] = [{"x_px": 900, "y_px": 900}] * 2
        mixed["card"]["top"], mixed["card"]["right"] = mixed["card"]["right"], mixed["card"]["top"]
        short["card"]["left"] = short["card"]["left"][:1]

        assert {"/card/top": "photo.points_off_line"} == asked(client, bent)
        assert {"/card/left": "photo.points_together"} == asked(client, together)
        assert {"/card"} >= {pointer[:5] for pointer in asked(client, mixed)}
        assert {"/card/left": "request.size"} == asked(client, short)

    def test_names_every_fault_at_once(self, client: FlaskClient, clicks: Json) -> None:
        """... with faults of form, of names and of clicks is told all of them together."""
        clicks["card"]["top"][1]["y_px"] += 30
        clicks["marks"][0]["x_px"] = 4001
        clicks |= {"heel": "high", "pairs": [["rear", "heel"]]}

        assert {"/heel", "/pairs/0/1", "/card/top", "/marks/0/x_px"} == set(asked(client, clicks))

    def test_files_no_fault_under_another_mark(self, client: FlaskClient, clicks: Json) -> None:
        """... with an ill-formed mark before one outside the picture is told of the first, at its own place."""
        clicks["marks"] = [{"name": "rear"}, *clicks["marks"][1:], {"name": "out", "x_px": 5000, "y_px": 1}]

        assert {"/marks/0/x_px", "/marks/0/y_px"} == set(asked(client, clicks))

    @pytest.mark.parametrize("edges", ["one line", "one spot", "a fan"])
    def test_with_a_card_that_is_none_is_refused(self, client: FlaskClient, clicks: Json, edges: str) -> None:
        """... whose edges are one line, one spot, or meet in one point is refused, never divided by nothing."""
        line = [{"x_px": 100 * n, "y_px": 100 * n} for n in (1, 5, 9)]
        fan = [
            [{"x_px": 2000, "y_px": 1500}, {"x_px": x, "y_px": y}]
            for x, y in ((0, 0), (4000, 0), (4000, 3000), (0, 3000))
        ]
        sides = {"one line": [line] * 4, "one spot": [line[:1] * 2] * 4, "a fan": fan}[edges]
        clicks["card"] = dict(zip(("top", "right", "bottom", "left"), sides, strict=True))

        assert all(pointer.startswith("/card") for pointer in asked(client, clicks))

    @settings(max_examples=200, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
    @given(st.data())
    def test_that_is_somehow_wrong_is_answered_or_refused(
        self, client: FlaskClient, clicks: Json, all_finite: Callable[[Any], bool], data: st.DataObject
    ) -> None:
        """... with anything anywhere in it is answered in finite figures or refused, never worse."""
        body = copy.deepcopy(clicks)
        place: Any = body
        while True:
            keys = sorted(place) if isinstance(place, dict) else list(range(len(place)))
            key = data.draw(st.sampled_from(keys))
            if not place[key] or not isinstance(place[key], dict | list) or data.draw(st.booleans()):
                break
            place = place[key]
        place[key] = data.draw(ANYTHING)
        response = client.post("/v1/photo-measurements", json=body)

        assert response.status_code in (200, 422), response.get_data(as_text=True)
        assert all_finite(response.json)

    @settings(max_examples=100, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
    @given(st.data())
    def test_with_any_clicks_is_answered_or_refused(
        self, client: FlaskClient, clicks: Json, all_finite: Callable[[Any], bool], data: st.DataObject
    ) -> None:
        """... with clicks anywhere in a picture of any size is answered in finite figures or refused."""
        spots = st.fixed_dictionaries({"x_px": COORDINATES, "y_px": COORDINATES})
        body = {
            **clicks,
            "image": {"width_px": 100_000, "height_px": 100_000},
            "focal_length_px": {"value": data.draw(st.sampled_from([10, 3000, 1_000_000])), "plus_minus": 5},
            "click_plus_minus_px": data.draw(st.sampled_from([0.05, 1, 200])),
            "card": {
                edge: data.draw(st.lists(spots, min_size=2, max_size=3)) for edge in ("top", "right", "bottom", "left")
            },
            "marks": [{"name": name, **data.draw(spots)} for name in ("rear", "front")],
        }
        response = client.post("/v1/photo-measurements", json=body)

        assert response.status_code in (200, 422), response.get_data(as_text=True)
        assert all_finite(response.json)

    def test_takes_names_of_any_script(self, client: FlaskClient, clicks: Json) -> None:
        """... may name its marks in any script, and is refused beyond 60 letters."""
        clicks["marks"][0]["name"] = "후 ◦ {mark} %s"
        assert "후 ◦ {mark} %s to front" in told(client, clicks)["lengths"][0]["message"]

        clicks["marks"][0]["name"] = "x" * 10_000
        assert {"/marks/0/name": "request.size"} == asked(client, clicks)


def asked(client: FlaskClient, body: Any) -> dict[str, str]:
    """Give the faults of a request."""
    return faults(client, "/v1/photo-measurements", body)


COORDINATES = st.sampled_from([0, 100_000, 50_000, 1500, 2000]) | st.floats(0, 100_000) | st.floats(1000, 1500)

ANYTHING = st.none() | st.booleans() | st.integers(-300, 2**40) | st.floats(-1e5, 1e5) | st.text(max_size=4)
ANYTHING |= st.lists(st.integers(-2, 9), max_size=3) | st.dictionaries(
    st.sampled_from(["x_px", "name"]), st.floats(-1, 9)
)
