"""``POST /v1/ride-estimates``: what a request may say, what is refused and where, and what is answered."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from flask.testing import FlaskClient

from mountwright.web.schemas.ride_answers import RideAnswerSchema

Json = dict[str, Any]
Keep = Callable[..., None]

FLAT = [{"along_mm": along, "down_mm": 46} for along in (121.5, 40.5, -40.5, -121.5)]
THREE = [{"along_mm": along, "down_mm": 61} for along in (121.5, 0, -121.5)]


def frame(places: list[Json]) -> Json:
    """Give a frame by its axles."""
    return {"kind": "frame", "specs": {"axle_places": places}}


def wheel(diameter: float = 80, rebound: float | None = 62, **more: Any) -> Json:
    """Give a wheel by its figures."""
    specs = {"diameter_mm": diameter, "hardness_shore_a": 85, "profile_radius_mm": 12}
    return {"kind": "wheel", "specs": specs if rebound is None else {**specs, "rebound_percent": rebound}, **more}


PLAIN = {"parts": [frame(FLAT), wheel()]}


def question(*set_ups: Json, **more: Any) -> Json:
    """Give a question about set-ups under a rider of 80 kg."""
    return {"set_ups": list(set_ups), "rider": {"mass_kg": 80, "speed_m_s": 6}, **more}


def told(client: FlaskClient, body: Any, status: int = 200) -> Json:
    """Ask, and give the body of an answer with a status."""
    response = client.post("/v1/ride-estimates", json=body)
    assert status == response.status_code, response.get_data(as_text=True)
    answer: Json = response.json
    return answer


def against(client: FlaskClient, other: Json, first: Json = PLAIN, **more: Any) -> Json:
    """Give how a set-up rolls against another one."""
    found: Json = told(client, question(first, other, **more))["set_ups"][1]["against_first"]
    return found


#: Of a cheap, a middling and a dear skate, euro cents.
PRICES = (7_900, 20_000, 39_900)


class TestAnswer:
    """The comparison of rides ..."""

    def test_is_as_the_contract_shows_it(self, demo: FlaskClient) -> None:
        """... has the form of the contract, with a skate of the catalogue, a chain and coast-downs."""
        lock = {"skate": {"sku": "marrowby-lock-2"}}
        wider = {**lock, "parts": [{"sku": "wheel-yarrowick-freshet-80-87a-violet"}]}
        runs = [{"start_speed_m_s": 5, "distance_m": 80, "time_s": 35}]

        assert {} == RideAnswerSchema().validate(told(demo, question(lock, wider, coast_downs=runs)))

    def test_says_that_a_set_up_rolls_like_itself(self, client: FlaskClient) -> None:
        """... of a set-up with itself has a ratio of exactly 1, without a doubt."""
        found = against(client, PLAIN)

        assert ("same", {"low": 1.0, "likely": 1.0, "high": 1.0}) == (found["outcome"], found["ratio"])

    def test_has_three_large_wheels_roll_easier_than_four_small_ones(self, client: FlaskClient) -> None:
        """... has three wheels of 110 lose less than four of 80 of the same rubber (trade case)."""
        found = against(client, {"parts": [frame(THREE), wheel(110)]})

        assert (True, True) == (found["ratio"]["likely"] < 0.95, found["easier_probability"] > 0.6)

    def test_has_dead_rubber_feel_like_a_hill(self, client: FlaskClient) -> None:
        """... has wheels that hardly bounce feel as if the road rose more: cheap wheels feel like skating uphill."""
        found = against(client, {"parts": [frame(FLAT), wheel(rebound=30)]})

        assert (True, True) == (found["ratio"]["low"] > 1, found["felt_slope_percent"]["low"] > 0)
        assert "harder" == found["outcome"]

    def test_gives_the_ratio_closer_than_the_watts(self, client: FlaskClient) -> None:
        """... knows the ratio more closely than the watts, for what all set-ups share cancels in it."""
        answer = told(client, question(PLAIN, {"parts": [frame(FLAT), wheel(rebound=55)]}))
        ratio, loss = answer["set_ups"][1]["against_first"]["ratio"], answer["set_ups"][1]["rolling_coefficient"]

        assert ratio["high"] / ratio["low"] < loss["high"] / loss["low"]

    def test_says_what_measuring_the_bounce_would_tell(self, client: FlaskClient) -> None:
        """... of a wheel whose rebound nobody knows says which to drop, and how much narrower the ratio gets."""
        found = against(client, {"parts": [frame(FLAT), wheel(rebound=None)]})["measurements"][0]

        assert (1, [0, 1, 2, 3]) == (found["set_up"], found["axles"])
        assert found["expected_half_width"] < found["half_width"]

    def test_narrows_with_the_bounce_measured(self, client: FlaskClient) -> None:
        """... is closer with the bounce of an unknown wheel measured."""
        unknown = against(client, {"parts": [frame(FLAT), wheel(rebound=None)]})["ratio"]
        bounced = wheel(rebound=None, bounce={"drop_mm": 500, "return_mm": 290})
        known = against(client, {"parts": [frame(FLAT), bounced]})["ratio"]

        assert known["high"] - known["low"] < unknown["high"] - unknown["low"]

    def test_goes_by_where_an_unknown_wheel_comes_from(self, client: FlaskClient) -> None:
        """... has a wheel that came with a cheap skate likely roll harder than one that is sold alone."""
        cheap, alone = (
            {"parts": [frame(FLAT), wheel(rebound=None, origin=origin)]} for origin in ("stock_cheap", "sold_alone")
        )

        assert against(client, cheap, alone)["ratio"]["likely"] > 1

    def test_goes_by_the_price_of_the_skate_that_a_wheel_came_with(self, asking: FlaskClient, keep: Keep) -> None:
        """... takes less of wheels that came with a cheap skate than of the same ones from a dear one."""
        unknown = wheel(rebound=None)
        parts = [{"sku": "f", **frame(FLAT)}, *({"sku": f"w{price}", **unknown} for price in PRICES)]
        skates = [
            {"sku": f"s{price}", "kind": "skate", "price_minor": price, "currency": "EUR", "comes_with": comes}
            for price in PRICES
            for comes in [[{"sku": "f", "count": 2}, {"sku": f"w{price}", "count": 8}]]
        ]
        keep(*parts)
        keep(*skates)
        cheap, middle, dear = ({"skate": {"sku": each["sku"]}} for each in skates)
        alone = against(asking, {"parts": [frame(FLAT), {"sku": f"w{PRICES[0]}"}]}, {"parts": [frame(FLAT), unknown]})

        assert against(asking, cheap, middle)["ratio"]["likely"] > 1.05
        assert against(asking, middle, dear)["ratio"]["likely"] > 1.05
        assert alone["ratio"]["likely"] < 1

    def test_counts_what_the_wheels_spin(self, client: FlaskClient) -> None:
        """... counts that wheels of known mass spin while they slow down, and says where it cannot."""
        heavy = wheel()
        heavy["specs"] = {**heavy["specs"], "mass_g": 120}
        run = {"start_speed_m_s": 5, "distance_m": 100}
        bare, known = (
            told(client, question({"parts": [frame(FLAT), each]}, coast_downs=[run]))["coast_down"]
            for each in (wheel(), heavy)
        )

        assert "ride.spinning_left_out" in {note["code"] for note in bare["notes"]}
        assert "ride.spinning_left_out" not in {note["code"] for note in known["notes"]}
        assert known["rolling_coefficient"]["likely"] > bare["rolling_coefficient"]["likely"]

    def test_knows_one_article_in_both_set_ups(self, demo: FlaskClient) -> None:
        """... knows that wheels of one SKU are the same wheels, whether the skate came with them or not."""
        heron = {"skate": {"sku": "marrowby-heron"}}
        named = {**heron, "parts": [{"sku": "wheel-marrowby-heron-72-78a-grey"}]}

        assert "same" == against(demo, named, heron)["outcome"]

    def test_says_which_set_up_tips(self, client: FlaskClient) -> None:
        """... says of a set-up whose load stands beyond its wheels that it tips, and compares the others."""
        short = {"parts": [frame(FLAT[1:]), wheel()]}
        body = question(PLAIN, short, PLAIN)
        body["rider"]["load_along_mm"] = 60
        tips, stands = told(client, body)["set_ups"][1:]

        assert ("tips", None, None) == (tips["outcome"], tips["against_first"], tips["power_w"])
        assert ("rolls", "same") == (stands["outcome"], stands["against_first"]["outcome"])

    def test_takes_the_riders_own_coefficient(self, client: FlaskClient) -> None:
        """... with a coast-down goes by the rider's own coefficient: 131.782 m from 5 m/s is about 0.006 (02-063)."""
        run = {"start_speed_m_s": 5, "distance_m": 131.782, "time_s": 62.0939, "head_wind_m_s": 0}
        body = question(PLAIN, coast_downs=[run, {**run, "back": True}])
        body["rider"] |= {"drag_area_m2": 0.45, "air_density_kg_m3": 1.2}
        answer = told(client, body)

        assert 0.006 == pytest.approx(answer["coast_down"]["rolling_coefficient"]["likely"], rel=0.25)
        assert answer["coast_down"]["rolling_coefficient"]["likely"] == pytest.approx(
            answer["set_ups"][0]["rolling_coefficient"]["likely"], rel=0.05
        )

    def test_says_that_runs_contradict_each_other(self, client: FlaskClient) -> None:
        """... of runs that cannot be of one rider says so and does not average them."""
        runs = [{"start_speed_m_s": 5, "distance_m": each, "slope_percent": 0} for each in (130, 45)]
        answer = told(client, question(PLAIN, coast_downs=runs))

        assert answer["coast_down"]["is_contradictory"]
        assert "ride.runs_contradict" in {note["code"] for note in answer["coast_down"]["notes"]}

    def test_ranks_the_links_from_foot_to_ground(self, client: FlaskClient) -> None:
        """... ranks what gives between foot and ground, moves the shares with one part, and warns of stiffness."""
        soft, hard = ({"kind": "liner", "specs": {"stiffness_n_per_mm": each}} for each in (100, 400))
        one, other = ({"parts": [*PLAIN["parts"], liner]} for liner in (soft, hard))
        first, second = (each["chain"] for each in told(client, question(one, other))["set_ups"])
        moved = {link["name"]: link["share_moved"]["likely"] for link in second["links"]}

        assert "liner" == first["links"][0]["name"]
        assert moved["liner"] < 0 < moved["wheels"]
        assert "chain.stiffer_is_not_always_better" in {note["code"] for note in first["notes"]}

    def test_takes_a_bench_test_before_a_thumb(self, client: FlaskClient) -> None:
        """... goes by a bench test where there is one."""
        liner = {"kind": "liner", "specs": {"thumb_grade": 5}, "bench_test": {"load_n": 500, "gives_mm": 5}}
        (answer,) = told(client, question({"parts": [*PLAIN["parts"], liner]}))["set_ups"]

        assert ["bench_test"] == [link["how"] for link in answer["chain"]["links"] if link["name"] == "liner"]

    @pytest.mark.parametrize(
        "rider",
        [
            {"mass_kg": 10, "speed_m_s": 0.5, "wind_m_s": 40},
            {"mass_kg": 250, "speed_m_s": 25, "slope_percent": 25, "posture": "semi_squat"},
            {"mass_kg": 80, "speed_m_s": 2, "wind_m_s": -40, "slope_percent": -25, "skates": 2},
        ],
    )
    def test_is_finite_in_a_gale(self, client: FlaskClient, rider: Json, all_finite: Callable[[Any], bool]) -> None:
        """... has finite figures against a gale, before one, and down a slope."""
        answer = told(client, {"set_ups": [PLAIN, {"parts": [frame(THREE), wheel(110)]}], "rider": rider})

        assert all_finite(answer)

    def test_says_the_same_twice(self, client: FlaskClient) -> None:
        """... to the same question has the same bytes."""
        body = question(PLAIN, {"parts": [frame(THREE), wheel(110)]})
        first, second = (client.post("/v1/ride-estimates", json=body).data for _ in range(2))

        assert first == second


RUN = {"start_speed_m_s": 5, "distance_m": 80}

#: What is wrong in the body, and where that is said.
REFUSED = [
    ({"set_ups": [], "rider": {"mass_kg": 80}}, {"/set_ups": "request.size"}),
    ({"set_ups": [PLAIN] * 13, "rider": {"mass_kg": 80}}, {"/set_ups": "request.size"}),
    ({"set_ups": [PLAIN], "rider": {"mass_kg": 0}}, {"/rider/mass_kg": "request.bounds"}),
    ({"set_ups": [PLAIN], "rider": {"mass_kg": 400}}, {"/rider/mass_kg": "request.bounds"}),
    ({"set_ups": [PLAIN], "rider": {"mass_kg": 80, "wind_m_s": 90}}, {"/rider/wind_m_s": "request.bounds"}),
    ({"set_ups": [PLAIN], "rider": {"mass_kg": 80, "posture": "lying"}}, {"/rider/posture": "request.choice"}),
    (question(PLAIN, {"parts": [wheel()]}), {"/set_ups/1/parts": "ride.no_frame"}),
    (question(PLAIN, coast_downs=[{"start_speed_m_s": 5}]), {"/coast_downs/0/distance_m": "request.required"}),
    (question(PLAIN, coast_downs=[{**RUN, "end_speed_m_s": 6}]), {"/coast_downs/0": "request.impossible"}),
    (
        question(PLAIN, coast_downs=[{**RUN, "distance_m": 4000, "slope_percent": 0}]),
        {"/coast_downs": "request.impossible"},
    ),
    (question(PLAIN, coast_downs=[{**RUN, "time_s": 1}]), {"/coast_downs/0": "request.impossible"}),
]


@pytest.mark.parametrize(("body", "expected"), REFUSED)
def test_a_question_that_cannot_be_answered_is_refused(client: FlaskClient, body: Json, expected: Json) -> None:
    """It is refused with each fault at its place."""
    errors = told(client, body, 422)["errors"]

    assert expected == {each["pointer"]: each["code"] for each in errors}
