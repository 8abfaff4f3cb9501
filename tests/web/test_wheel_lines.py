"""``POST /v1/wheel-lines``: what a request may say, what is refused and where, and what is answered and drawn."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any
from xml.etree import ElementTree as ET

import pytest
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from mountwright.web.rides.picture_link import LONGEST, packed_text, unpacked_text
from mountwright.web.schemas.wheel_line_answers import WheelLineAnswerSchema

Json = dict[str, Any]

SVG = {"Accept": "image/svg+xml"}

#: Four axles 81 mm apart, as a fitter would write them down.
FRAME = {
    "kind": "frame",
    "specs": {"axle_places": [{"along_mm": along, "down_mm": 46} for along in (121.5, 40.5, -40.5, -121.5)]},
}
#: Two eccentric axles at the ends, up to 1 mm up or down.
ECCENTRIC = {
    "kind": "frame",
    "specs": {
        "axle_places": [
            {"along_mm": along, "down_mm": 46, **({"down_settings_mm": [-1, 0, 1]} if abs(along) > 100 else {})}
            for along in (121.5, 40.5, -40.5, -121.5)
        ]
    },
}


def wheel(diameter: float = 80, **more: Any) -> Json:
    """Give a wheel by its figures."""
    specs = {"diameter_mm": diameter, "hardness_shore_a": 85, "profile_radius_mm": 12, "rebound_percent": 62}
    return {"kind": "wheel", "specs": specs, **more}


def question(*parts: Json, load: Json | None = None, **more: Any) -> Json:
    """Give a question about these parts on the plain frame."""
    named = [*parts] if any(part.get("kind") == "frame" or "sku" in part for part in parts) else [FRAME, *parts]
    return {"set_up": {"parts": named}, "load": load or {"mass_kg": 80}, **more}


def told(client: FlaskClient, body: Any, status: int = 200) -> Json:
    """Ask, and give the body of an answer with a status."""
    response = client.post("/v1/wheel-lines", json=body)
    assert status == response.status_code, response.get_data(as_text=True)
    answer: Json = response.json
    return answer


def faults(client: FlaskClient, body: Any) -> dict[str, str]:
    """Give the codes of what is refused, by place."""
    return {each["pointer"]: each["code"] for each in told(client, body, 422)["errors"]}


class TestAnswer:
    """The answer about a wheel line ..."""

    def test_is_as_the_contract_shows_it(self, client: FlaskClient) -> None:
        """... has the form of the contract, with options, a set-up before and everything else that may be asked for."""
        body = question(
            wheel(), wheel(76, axles=[0, 3]), options={"sizes_mm": [72, 76, 80]}, before={"parts": [FRAME, wheel()]}
        )

        assert {} == WheelLineAnswerSchema().validate(told(client, body))

    def test_says_the_same_twice(self, client: FlaskClient) -> None:
        """... to the same question has the same bytes."""
        first, second = (client.post("/v1/wheel-lines", json=question(wheel())).data for _ in range(2))

        assert first == second

    def test_has_the_rocker_of_smaller_outer_wheels(self, client: FlaskClient) -> None:
        """... tells 2 mm of 76-80-80-76, which turns on its two inner wheels (trade case)."""
        answer = told(client, question(wheel(), wheel(76, axles=[0, 3])))

        assert (2.0, 81.0, 243.0) == tuple(
            answer[name] for name in ("rocker_mm", "effective_wheelbase_mm", "wheelbase_mm")
        )
        assert [2.0, 0.0, 0.0, 2.0] == [each["gap_mm"] for each in answer["wheels"]]

    def test_has_all_wheels_of_a_flat_skate_on_the_ground(self, client: FlaskClient) -> None:
        """... has a flat skate stand on all of its wheels, its load shared by them."""
        answer = told(client, question(wheel()))

        assert (0.0, 243.0) == (answer["rocker_mm"], answer["effective_wheelbase_mm"])
        assert 80 * 9.80665 == pytest.approx(sum(each["load_n"] for each in answer["wheels"]), rel=1e-5)

    def test_turns_an_eccentric_axle_where_it_is_told_to(self, client: FlaskClient) -> None:
        """... has eccentric outer axles lifted by 1 mm make a rocker of 1 mm."""
        body = question(ECCENTRIC, wheel())
        body["set_up"]["settings_mm"] = [-1, 0, 0, -1]

        assert 1.0 == told(client, body)["rocker_mm"]

    def test_says_that_it_tips_with_the_margin(self, client: FlaskClient) -> None:
        """... with the load beyond the front axle says that it tips, by how much, and no loads."""
        answer = told(client, question(wheel(), load={"mass_kg": 80, "along_mm": 151.5}))

        assert ("tips", -30.0, None) == (answer["outcome"], answer["margin_mm"], answer["wheels"][0]["load_n"])

    def test_says_of_a_single_wheel_that_it_tips(self, client: FlaskClient) -> None:
        """... of a skate with one wheel says that it tips."""
        frame = {"kind": "frame", "specs": {"axle_places": [{"along_mm": 0, "down_mm": 46}]}}

        assert "tips" == told(client, question(frame, wheel()))["outcome"]

    def test_stands_on_two_wheels(self, client: FlaskClient) -> None:
        """... of a skate with two wheels shares the load between them by the lever."""
        places = [{"along_mm": 100, "down_mm": 46}, {"along_mm": -100, "down_mm": 46}]
        frame = {"kind": "frame", "specs": {"axle_places": places}}
        answer = told(client, question(frame, wheel(), load={"mass_kg": 80, "along_mm": 50}))

        assert [0.75, 0.25] == pytest.approx([each["share"] for each in answer["wheels"]], rel=1e-5)

    def test_names_wheels_that_overlap(self, client: FlaskClient) -> None:
        """... names the wheels that overlap, and by how much."""
        clearances = told(client, question(wheel(84)))["room"]["clearances"]
        found = [(each["wheel"], each["other"], each["gap_mm"]) for each in clearances if each["outcome"] == "fail"]

        assert [(0, 1, -3.0), (1, 2, -3.0), (2, 3, -3.0)] == found

    def test_knows_the_room_of_the_catalogues_frame(self, demo: FlaskClient) -> None:
        """... names a wheel that is larger than the catalogue's frame takes."""
        set_up = {"parts": [{"sku": "frame-quillfen-4x80-black"}, {"sku": "wheel-thrapley-slackwater-84-85a-black"}]}
        clearances = told(demo, {"set_up": set_up, "load": {"mass_kg": 80}})["room"]["clearances"]

        assert "room.wheel_to_frame_fail" in {each["code"] for each in clearances}

    def test_names_a_bolt_that_a_wheel_would_touch(self, client: FlaskClient) -> None:
        """... names a frame bolt that reaches down into a wheel."""
        body = question(wheel())
        body["set_up"]["bolt_tips"] = [{"along_mm": 40.5, "down_mm": 10}, {"along_mm": 0, "down_mm": 2}]
        found = [
            each for each in told(client, body)["room"]["clearances"] if each["code"] == "room.wheel_to_bolt_tip_fail"
        ]

        assert [(1, 0, -4.0)] == [(each["wheel"], each["other"], each["gap_mm"]) for each in found]

    def test_takes_what_the_skate_comes_with(self, demo: FlaskClient) -> None:
        """... takes frame and wheels that the skate comes with, and the SKU's wheels for the axles that are named."""
        skate = {"sku": "marrowby-lock-2", "eu_size": 42}
        parts = [{"sku": "wheel-bellrush-peal-76-85a-white", "axles": [0, 3]}]
        answer = told(demo, {"set_up": {"skate": skate, "parts": parts}, "load": {"mass_kg": 95}})
        outer, inner = "wheel-bellrush-peal-76-85a-white", "wheel-bellrush-peal-80-85a-white"

        assert [outer, inner, inner, outer] == [each["sku"] for each in answer["wheels"]]
        assert answer["receipt"]["catalogue"] is not None

    def test_keeps_a_measured_wheel_apart_from_a_marked_one(self, client: FlaskClient) -> None:
        """... goes by a reading where there is one: by caliper a quarter is a rocker, by mark nobody can be sure."""
        outer = {"measured_mm": {"value": 79.5, "instrument": "caliper"}, "axles": [0, 3]}
        inner = {"measured_mm": {"value": 80.0, "instrument": "caliper"}}
        measured = told(client, question(wheel(**inner), wheel(**outer)))
        marked = told(client, question(wheel(), wheel(79.5, axles=[0, 3])))

        assert measured["doubt"]["rocker_probability"] > 0.95 > marked["doubt"]["rocker_probability"]
        assert "wheels.rocker_unsure" in {note["code"] for note in marked["notes"]}

    def test_says_what_was_taken_for_want_of_a_figure(self, client: FlaskClient) -> None:
        """... says of a wheel of which only the diameter is known what was taken for the rest."""
        bare = {"kind": "wheel", "specs": {"diameter_mm": 80}}
        codes = {note["code"] for note in told(client, question(bare))["notes"]}

        assert {"ride.hardness_taken", "ride.profile_taken", "ride.rebound_taken"} <= codes

    def test_has_the_heights_before_and_after(self, client: FlaskClient) -> None:
        """... has the brake's pad 2 mm lower after wheels that are 4 mm smaller."""
        brake = {"kind": "brake", "specs": {"ground_clearance_mm": 12}}
        body = question(wheel(76), before={"parts": [FRAME, wheel(80), brake]})
        answer = told(client, body)

        assert (12.0, 10.0) == (answer["before"]["posture"]["brake_pad_mm"], answer["posture"]["brake_pad_mm"])

    def test_tells_the_soles_pitch_where_the_bolts_are_known(self, client: FlaskClient) -> None:
        """... tells the sole's pitch from heel step and bolts: atan(10 / 165), and none without the bolts."""
        stepped = {**FRAME, "specs": {**FRAME["specs"], "front_deck_height_mm": 46, "rear_deck_height_mm": 56}}
        body = question(stepped, wheel())
        without = told(client, body)["posture"]["sole_pitch_deg"]
        body["set_up"]["bolt_spacing_mm"] = 165

        assert (None, pytest.approx(math.degrees(math.atan(10 / 165)), rel=1e-5)) == (
            without,
            told(client, body)["posture"]["sole_pitch_deg"],
        )

    def test_takes_a_used_wheel_for_anything_down_to_worn_out(self, client: FlaskClient) -> None:
        """... is less sure of used wheels that nobody measured, and says so."""
        new = told(client, question(wheel(), wheel(76, axles=[0, 3])))
        used = told(client, question(wheel(used=True), wheel(76, axles=[0, 3])))

        assert used["doubt"]["rocker_probability"] < new["doubt"]["rocker_probability"]
        assert "ride.used_not_measured" in {note["code"] for note in used["notes"]}

    def test_ranks_rockers_by_where_the_load_stands(self, client: FlaskClient) -> None:
        """... has a smaller front wheel shorten the wheelbase of a load ahead of the middle, and lower its deck."""
        body = question(wheel(), options={"sizes_mm": [76], "asymmetric": True})
        body["load"]["along_mm"] = 60
        (front,) = [
            each for each in told(client, body)["options"]["listed"] if [76, 80, 80, 80] == each["diameters_mm"]
        ]

        assert 81.0 == front["effective_wheelbase_mm"]
        assert front["deck_change_mm"] < 0

    def test_leaves_the_sole_out_where_the_size_is_open(self, demo: FlaskClient) -> None:
        """... judges no room to the sole while it is open which size is worn, and says which there are."""
        body = {"set_up": {"skate": {"sku": "marrowby-lock-2"}}, "load": {"mass_kg": 80}}
        without = told(demo, body)
        body["set_up"]["skate"]["eu_size"] = 42

        assert "ride.sole_size_unknown" in {note["code"] for note in without["notes"]}
        assert (None, True) == (without["overhang"], told(demo, body)["overhang"] is not None)

    def test_lists_the_rockers_that_an_eccentric_frame_offers(self, client: FlaskClient) -> None:
        """... lists flat, 1 mm and 2 mm of a frame whose outer axles go 1 mm up or down, largest rocker first."""
        body = question(ECCENTRIC, wheel(), options={"rank_by": "quicker_turning"})
        options = told(client, body)["options"]
        flat, lifted = options["listed"][-1], options["listed"][0]

        assert (False, True) == (options["is_capped"], flat["is_now"])
        assert (1.0, [-1.0, 0.0, 0.0, -1.0]) == (lifted["rocker_mm"], lifted["settings_mm"])
        assert ["bench.turn_eccentric_axles"] == [job["code"] for job in lifted["jobs"]]

    def test_tells_how_far_slots_let_the_frame_be_shifted(self, client: FlaskClient) -> None:
        """... tells the shift that a slot allows: 11 mm long for an M6 bolt lets it go 2.5 mm either way."""
        tapped = [{"name": name, "along_mm": at, "diameter_mm": 6, "tapped": True} for name, at in BOLTS]
        slots = [
            {"name": name, "along_mm": at, "diameter_mm": 6, "slot_length_mm": 11, "slot_direction_deg": 90}
            for name, at in BOLTS
        ]
        body = question({**FRAME, "mounts": [{**MOUNT, "holes": slots}]}, wheel())
        body["set_up"]["skate"] = {"mounts": [{**MOUNT, "holes": tapped}]}

        assert ([0.0, 0.0], [-2.5, 2.5]) == (
            told(client, body)["shift"]["along_mm"],
            told(client, body)["shift"]["across_mm"],
        )

    @pytest.mark.parametrize("mass_kg", [10, 250])
    @pytest.mark.parametrize("along_mm", [-121.499, -60, 0, 121.499])
    def test_is_finite_at_the_ends_of_what_may_be_asked(
        self, client: FlaskClient, all_finite: Callable[[Any], bool], mass_kg: float, along_mm: float
    ) -> None:
        """... has finite figures and no load below nothing at the ends of what a request may say."""
        answer = told(client, question(wheel(), load={"mass_kg": mass_kg, "along_mm": along_mm, "skates": 2}))

        assert all_finite(answer)
        assert all(each["load_n"] >= 0 for each in answer["wheels"])


#: Places of two bolts, and a mount that holds them.
BOLTS = (("front", 82.5), ("rear", -82.5))
MOUNT = {"position": "frame", "standard": "two-bolt-165", "claimed_by": "maker", "instrument": "maker_drawing"}

#: Where the first wheel stands in a question.
AT = "/set_up/parts/1"


def bare(**specs: float) -> Json:
    """Give a wheel of 80 mm of which nothing else is known."""
    return {"kind": "wheel", "specs": {"diameter_mm": 80, **specs}}


#: What is wrong in the body, and where that is said.
REFUSED = [
    (question(), {"/set_up/parts": "ride.no_wheels"}),
    ({"set_up": {"parts": [wheel()]}, "load": {"mass_kg": 80}}, {"/set_up/parts": "ride.no_frame"}),
    (question({"kind": "frame", "specs": {}}, wheel()), {"/set_up/parts/0": "ride.no_axle_places"}),
    (question(wheel(), load={"mass_kg": 0}), {"/load/mass_kg": "request.bounds"}),
    (question(wheel(), load={"mass_kg": 400}), {"/load/mass_kg": "request.bounds"}),
    ({**question(wheel()), "load": {}}, {"/load/mass_kg": "request.required"}),
    (question(wheel(), wheel(76, axles=[4])), {"/set_up/parts/2": "ride.no_such_axle"}),
    (question(wheel(), wheel(76, axles=[1]), wheel(72, axles=[1])), {"/set_up/parts/3": "ride.axle_taken"}),
    (question(wheel(axles=[0, 3])), {"/set_up/parts": "ride.axle_without_wheel"}),
    (question(wheel(), wheel(76)), {"/set_up/parts": "ride.which_wheel_where"}),
    (question({**wheel(), "specs": {}}), {"/set_up/parts": "ride.no_diameter"}),
    (question({**FRAME, "used": True}, wheel()), {"/set_up/parts/0/used": "ride.wheels_only"}),
    (question(wheel(bounce={"drop_mm": 500, "return_mm": 500})), {f"{AT}/bounce/return_mm": "ride.bounces_too_high"}),
    (question(wheel(measured_mm={"value": 79})), {f"{AT}/measured_mm/instrument": "request.no_doubt"}),
    (question(wheel(), options={"rank_by": "rocker_radius"}), {"/options/rocker_radius_mm": "request.required"}),
    (question(wheel(), picture={"gap_factor": 0}), {"/picture/gap_factor": "request.bounds"}),
    (question(wheel(), wish="soft"), {"/wish": "request.unknown_field"}),
    (question(bare(hardness_shore_a=99)), {"/set_up/parts": "ride.too_hard"}),
    (question(bare(rebound_percent=100)), {f"{AT}/specs/rebound_percent": "request.bounds"}),
    (question(bare(diameter_mm=500)), {f"{AT}/specs/diameter_mm": "request.bounds"}),
]


class TestRefusal:
    """A question about a wheel line ..."""

    @pytest.mark.parametrize(("body", "expected"), REFUSED)
    def test_is_refused_with_what_is_wrong_and_where(
        self, client: FlaskClient, body: Json, expected: dict[str, str]
    ) -> None:
        """... that cannot be answered is refused with each fault at its place."""
        assert expected == faults(client, body)

    def test_is_refused_for_two_axles_at_one_place(self, client: FlaskClient) -> None:
        """... about a frame with two axles at one place is refused."""
        places = [{"along_mm": 0, "down_mm": 46}, {"along_mm": 0, "down_mm": 50}]
        body = question({"kind": "frame", "specs": {"axle_places": places}}, wheel())

        assert {"/set_up/parts/0": "ride.axles_at_one_place"} == faults(client, body)

    def test_is_refused_for_a_setting_that_the_axle_does_not_have(self, client: FlaskClient) -> None:
        """... with a setting that an axle does not have names that axle."""
        body = question(ECCENTRIC, wheel())
        body["set_up"]["settings_mm"] = [-1, 0, 2, -1]

        assert {"/set_up/settings_mm/2": "request.choice"} == faults(client, body)

    def test_names_an_unknown_sku(self, demo: FlaskClient) -> None:
        """... with an SKU that is not there names it, and the nearest that is."""
        body = {"set_up": {"skate": {"sku": "marrowby-lock-9"}}, "load": {"mass_kg": 80}}

        assert {"/set_up/skate/sku": "request.unknown_sku_near"} == faults(demo, body)

    def test_names_every_fault_at_once(self, client: FlaskClient) -> None:
        """... with several faults names them all."""
        body = question(wheel(used="yes", axles=[]), load={"mass_kg": 0}, picture={"theme": "blue"})

        assert {"/set_up/parts/1/used", "/set_up/parts/1/axles", "/load/mass_kg", "/picture/theme"} == set(
            faults(client, body)
        )

    @settings(max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
    @given(st.data())
    def test_that_is_somehow_wrong_is_answered_or_refused(
        self, client: FlaskClient, all_finite: Callable[[Any], bool], data: st.DataObject
    ) -> None:
        """... with anything anywhere in it is answered in finite figures or refused, never worse."""
        anything = st.none() | st.booleans() | st.integers(-300, 300) | st.floats(-1e3, 1e3) | st.text(max_size=4)
        anything |= st.lists(st.integers(-2, 9), max_size=5) | st.dictionaries(
            st.text(max_size=4), st.none(), max_size=2
        )
        body = question(wheel(), wheel(76, axles=[0, 3]), options={"sizes_mm": [76, 80]}, picture={"gap_factor": 2})
        place: Any = body
        for _ in range(data.draw(st.integers(1, 6))):
            keys = list(place) if isinstance(place, dict) else list(range(len(place)))
            if not keys:
                break
            key = data.draw(st.sampled_from(keys))
            if not isinstance(place[key], dict | list) or data.draw(st.booleans()):
                place[key] = data.draw(anything)
                break
            place[key] = dict(place[key]) if isinstance(place[key], dict) else list(place[key])
            place = place[key]
        response = client.post("/v1/wheel-lines", json=body)

        assert response.status_code in (200, 422), response.get_data(as_text=True)
        assert all_finite(response.json)


class TestPicture:
    """The picture of a wheel line ..."""

    def test_is_given_to_who_accepts_it(self, client: FlaskClient) -> None:
        """... is given to a caller who accepts SVG rather than JSON, and caches are told so."""
        response = client.post("/v1/wheel-lines", json=question(wheel()), headers=SVG)

        assert ("image/svg+xml", "Accept, Accept-Language") == (response.mimetype, response.headers["Vary"])
        assert "svg" in ET.fromstring(response.data).tag  # noqa: S314  # our own picture

    def test_stands_behind_the_address_in_the_answer(self, client: FlaskClient) -> None:
        """... behind the address in the answer is the same, byte for byte."""
        body = question(wheel(), wheel(76, axles=[0, 3]), picture={"gap_factor": 5, "theme": "dark"})
        drawn = client.post("/v1/wheel-lines", json=body, headers=SVG)
        linked = client.get(told(client, body)["picture"])

        assert (200, drawn.data) == (linked.status_code, linked.data)
        assert b"5 times" in drawn.data

    def test_has_no_address_where_the_question_is_too_long(self, demo: FlaskClient) -> None:
        """... of a question that no address holds has none."""
        skus = [f"{number:x}" * 6 for number in range(0x1000000, 0x1000000 + 20)]
        sizes = [40 + number * 7.123456789012 for number in range(12)]
        parts = [FRAME, wheel(name="x" * 100), *({"kind": "other", "name": sku + "".join(skus)[:60]} for sku in skus)]
        body = {"set_up": {"parts": parts[:24]}, "load": {"mass_kg": 80}, "options": {"sizes_mm": sizes}}
        answer = told(demo, body)

        assert answer["picture"] is None or len(answer["picture"]) < LONGEST + 40

    @pytest.mark.parametrize("of", ["x", "%%%", packed_text(b"[1, 2") or "", (packed_text(b"{}") or "")[:-3]])
    def test_behind_an_address_that_nobody_gave_is_refused(self, client: FlaskClient, of: str) -> None:
        """... behind an address that the service never gave is a problem, not a fault."""
        assert 400 == client.get("/v1/wheel-lines/picture", query_string={"of": of}).status_code

    def test_behind_an_address_with_a_bad_question_is_refused(self, client: FlaskClient) -> None:
        """... behind an address with a question that would be refused is refused alike."""
        of = packed_text(b'{"set_up":{}}')

        assert 422 == client.get("/v1/wheel-lines/picture", query_string={"of": of}).status_code

    def test_behind_an_address_that_swells_is_refused(self, client: FlaskClient) -> None:
        """... behind a short address that unpacks to very much is refused before it takes memory."""
        of = packed_text(b" " * 1_000_000)

        assert 400 == client.get("/v1/wheel-lines/picture", query_string={"of": of}).status_code

    @given(st.binary(max_size=300))
    def test_address_carries_any_question(self, text: bytes) -> None:
        """... has an address that gives the question back."""
        assert text == unpacked_text(packed_text(text) or "")
