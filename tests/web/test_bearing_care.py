"""``POST /v1/bearing-care``: what a request may say, what is refused and where, and what is answered."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import event

from mountwright.bench.bearing_care import CareQuestion, bearing_care
from mountwright.riding.band import Band, exactly
from mountwright.web.schemas.bearing_care import BearingCareAnswerSchema
from mountwright.web.workshop import EXTENSION, Workshop

Json = dict[str, Any]

#: Nothing in doubt: an hour and 3 EUR to clean, half an hour to replace, half as long, four of five times.
KNOWN: Json = {
    name: {"low": value, "high": value}
    for name, value in {
        "km_a_month": 200,
        "cleaning_minutes": 60,
        "replacing_minutes": 30,
        "fluids_minor": 300,
        "success": 0.8,
        "new_set_riding_days": 150,
        "cleaned_life_share": 0.5,
    }.items()
}


def question(**more: Any) -> Json:
    """Give a question about a set of simple bearings, a shop's hour and a daily rider."""
    plain = {"set_price_minor": 1600, "labour_minor_per_hour": 4000, "currency": "EUR", "riding_days_a_month": 30}
    return {**plain, **more}


def told(client: FlaskClient, body: Any, status: int = 200) -> Json:
    """Ask, and give the body of an answer with a status."""
    response = client.post("/v1/bearing-care", json=body)
    assert status == response.status_code, response.get_data(as_text=True)
    answer: Json = response.json
    return answer


def faults(client: FlaskClient, body: Any) -> dict[str, str]:
    """Give the codes of the faults of a body that is refused, by place; each has a sentence."""
    found = told(client, body, 422)["errors"]
    assert all(fault["detail"] != fault["code"] for fault in found), found
    return {fault["pointer"]: fault["code"] for fault in found}


class TestAnswer:
    """The answer about bearings ..."""

    @pytest.mark.parametrize("more", [{}, {"can_be_opened": False}, KNOWN], ids=["plain", "closed", "all told"])
    def test_is_as_the_contract_shows_it(self, client: FlaskClient, more: Json) -> None:
        """... has the form of the contract, whether they can be cleaned or not."""
        assert {} == BearingCareAnswerSchema().validate(told(client, question(**more)))

    def test_is_to_replace_cheap_ones(self, client: FlaskClient) -> None:
        """... is to replace cheap bearings where work is paid (trade case), and the sum shows it."""
        found = told(client, question())

        assert ("replace", "bearing_care.replace") == (found["outcome"], found["code"])
        assert found["replacing"]["a_month_minor"]["usual"] < found["cleaning"]["a_month_minor"]["usual"]
        assert 1600 < found["break_even_minor"]["least"] <= found["break_even_minor"]["usual"]

    def test_is_to_clean_dear_ones_at_home(self, client: FlaskClient) -> None:
        """... is to clean dear bearings where nobody counts the time, and says that it is not counted."""
        found = told(client, question(set_price_minor=20_000, labour_minor_per_hour=0, dirt="dull"))

        assert "clean" == found["outcome"]
        assert "bearing_care.labour_not_counted" in {note["code"] for note in found["notes"]}
        assert found == told(client, {**question(set_price_minor=20_000, dirt="dull"), "labour_minor_per_hour": 0})

    def test_is_the_sum_of_what_is_known(self, client: FlaskClient) -> None:
        """... with nothing in doubt is the sum: 4000 + 300 against 1600 + 2000, and equal at 4300 / 0.4 - 2000."""
        found = told(client, question(**KNOWN))
        once = [found[way]["once_minor"]["usual"] for way in ("cleaning", "replacing")]

        assert ([4300, 3600], {"least": 8750, "usual": 8750, "most": 8750}) == (once, found["break_even_minor"])
        assert (5.0, 2.5) == (found["replacing"]["lasts_months"]["likely"], found["cleaning"]["lasts_months"]["likely"])
        assert 720 / 200 == pytest.approx(found["replacing"]["a_km_minor"]["likely"])

    def test_takes_everything_that_is_said(self, client: FlaskClient) -> None:
        """... is the domain's own answer to all that was said."""
        body = question(**KNOWN, dirt="gritty", first_time=True)
        body["success"] = {"low": 0.2, "likely": 0.3, "high": 0.9}
        bands = {name: exactly(float(each["low"])) for name, each in KNOWN.items()}
        asked = CareQuestion(1600, 4000, "EUR", 30, is_first_time=True, **{**bands, "success": Band(0.2, 0.3, 0.9)})
        found = told(client, body)

        assert bearing_care(asked).clean_probability == pytest.approx(found["clean_probability"], rel=1e-5)
        assert "bearing_care.grit_drags" in {note["code"] for note in found["notes"]}

    def test_gives_the_first_time_an_hour_more(self, client: FlaskClient) -> None:
        """... has whoever cleans for the first time take an hour longer (common practice)."""
        usual, first = (told(client, question(first_time=first))["cleaning"]["minutes"] for first in (False, True))

        assert 60 == first["likely"] - usual["likely"]

    def test_takes_the_middle_where_no_likely_value_is_told(self, client: FlaskClient) -> None:
        """... takes the middle of two bounds for the likely value."""
        within, likely = ({"low": 20, "high": 60}, {"low": 20, "likely": 40, "high": 60})
        found, expected = (told(client, question(cleaning_minutes=each))["cleaning"] for each in (within, likely))

        assert expected == found

    def test_says_what_cannot_be_opened(self, client: FlaskClient) -> None:
        """... about bearings whose shields do not come off is to replace, with no cost of cleaning."""
        found = told(client, question(can_be_opened=False))

        assert ("bearing_care.cannot_be_opened", 0, None, None) == (
            found["code"],
            found["clean_probability"],
            found["cleaning"],
            found["break_even_minor"],
        )

    def test_has_a_sentence_for_every_code(self, client: FlaskClient) -> None:
        """... says everything in words, with nothing left to fill in."""
        for more in ({}, {"dirt": "rusty", "first_time": True}, {"can_be_opened": False}, {"set_price_minor": 9000}):
            found = told(client, question(**more))
            for each in (found, *found["notes"]):
                assert each["message"] != each["code"]
                assert "(" not in each["message"] or "{" not in each["message"]

    def test_ends_with_the_cautions(self, client: FlaskClient) -> None:
        """... ends with what can hurt somebody, and leaves the last word to the maker."""
        codes = [note["code"] for note in told(client, question())["notes"]]

        assert ["caution.bearing_cleaner", "caution.bearing_air"] == codes[-4:-2]
        assert "caution.follow_maker" == codes[-1]

    def test_is_the_same_twice_and_asks_no_catalogue(self, app: Flask, client: FlaskClient) -> None:
        """... is the same bytes for the same request, and names no catalogue: none was read."""
        workshop: Workshop = app.extensions[EXTENSION]
        asked: list[str] = []
        event.listen(workshop.engines.reads, "before_cursor_execute", lambda *about: asked.append(about[2]))
        first, second = (client.post("/v1/bearing-care", json=question()) for _ in range(2))

        assert (first.data, None, []) == (second.data, first.json["receipt"]["catalogue"], asked)


REFUSED: list[tuple[Any, Json]] = [
    ([], {"": "request.not_object"}),
    (
        {},
        dict.fromkeys(("/set_price_minor", "/currency", "/riding_days_a_month"), "request.required"),
    ),
    (question(extra=1), {"/extra": "request.unknown_field"}),
    (question(set_price_minor=-1), {"/set_price_minor": "request.bounds"}),
    (question(set_price_minor=12.5), {"/set_price_minor": "request.not_whole"}),
    (question(labour_minor_per_hour=-1), {"/labour_minor_per_hour": "request.bounds"}),
    (question(currency="EURO"), {"/currency": "request.currency"}),
    (question(currency="SEK"), {"/fluids_minor": "bearing_care.fluids_currency"}),
    (question(riding_days_a_month=0), {"/riding_days_a_month": "request.bounds"}),
    (question(riding_days_a_month=32), {"/riding_days_a_month": "request.bounds"}),
    (question(dirt="muddy"), {"/dirt": "request.choice"}),
    (question(first_time="yes"), {"/first_time": "request.not_flag"}),
    (question(success={"low": 0, "high": 1}), {"/success/low": "request.bounds"}),
    (question(success={"low": 0.5, "high": 1.1}), {"/success/high": "request.bounds"}),
    (question(success=0.5), {"/success": "request.not_object"}),
    (question(cleaning_minutes={"low": 30}), {"/cleaning_minutes/high": "request.required"}),
    (question(cleaning_minutes={"low": 60, "high": 30}), {"/cleaning_minutes/low": "request.setting_order"}),
    (
        question(cleaning_minutes={"low": 30, "likely": 70, "high": 60}),
        {"/cleaning_minutes/likely": "request.bounds"},
    ),
    (question(km_a_month={"low": 0, "high": 10}), {"/km_a_month/low": "request.bounds"}),
    (question(new_set_riding_days={"low": 0, "high": 10}), {"/new_set_riding_days/low": "request.bounds"}),
]


class TestRefusal:
    """A request ..."""

    @pytest.mark.parametrize(("body", "expected"), REFUSED, ids=[str(expected)[:60] for _, expected in REFUSED])
    def test_with_a_fault_is_refused_with_its_place(self, client: FlaskClient, body: Any, expected: Json) -> None:
        """... with a fault is refused, and the fault is named by its place, with nothing else beside it."""
        assert expected == faults(client, body)

    def test_names_every_fault_at_once(self, client: FlaskClient) -> None:
        """... with several faults names them all."""
        body = question(set_price_minor="16", currency="SEK", success={"low": 2, "high": 1}, dirt=3)

        assert {"/set_price_minor", "/fluids_minor", "/success/low", "/dirt"} == set(faults(client, body))

    def test_in_another_currency_needs_what_fluids_cost(self, client: FlaskClient) -> None:
        """... in another currency is answered in it, with what fluids cost there: nobody makes up a rate."""
        found = told(client, question(currency="SEK", fluids_minor={"low": 4000, "high": 6000}))

        assert "SEK" == found["currency"]

    @settings(max_examples=200, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
    @given(st.data())
    def test_that_is_somehow_wrong_is_answered_or_refused(
        self, client: FlaskClient, all_finite: Callable[[Any], bool], data: st.DataObject
    ) -> None:
        """... with anything anywhere in it is answered in finite figures or refused, never worse."""
        body: Any = question(**{name: dict(each) for name, each in KNOWN.items()}, dirt="dull", first_time=False)
        place, key = body, data.draw(st.sampled_from(sorted(body)))
        if isinstance(body[key], dict) and data.draw(st.booleans()):
            place, key = body[key], data.draw(st.sampled_from(["low", "likely", "high", "more"]))
        place[key] = data.draw(ANYTHING)
        response = client.post("/v1/bearing-care", json=body)

        assert response.status_code in (200, 422), response.get_data(as_text=True)
        assert all_finite(response.json)

    @settings(max_examples=100, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
    @given(st.data())
    def test_within_its_bounds_is_answered(
        self, client: FlaskClient, all_finite: Callable[[Any], bool], data: st.DataObject
    ) -> None:
        """... at the ends of what it may say, or anywhere between, has an answer of the contract's form."""
        body = question(
            set_price_minor=data.draw(st.sampled_from([0, 1, 10**9])),
            labour_minor_per_hour=data.draw(st.sampled_from([0, 1, 10**8])),
            riding_days_a_month=data.draw(st.sampled_from([0.1, 31])),
        )
        for name, (low, high) in ENDS.items():
            if data.draw(st.booleans()):
                ends = sorted(data.draw(st.tuples(*[st.sampled_from([low, high]) | st.floats(low, high)] * 2)))
                body[name] = {"low": ends[0], "high": ends[1]}
        found = told(client, body)

        assert {} == BearingCareAnswerSchema().validate(found)
        assert all_finite(found)


ENDS = {
    "km_a_month": (0.1, 10_000),
    "cleaning_minutes": (0, 1440),
    "replacing_minutes": (0, 1440),
    "fluids_minor": (0, 10**9),
    "success": (0.01, 1),
    "new_set_riding_days": (0.5, 10_000),
    "cleaned_life_share": (0.01, 1),
}

ANYTHING = st.none() | st.booleans() | st.integers(-300, 2**40) | st.floats(-1e3, 1e3) | st.text(max_size=4)
ANYTHING |= st.sampled_from(["EUR", "SEK", "rusty"]) | st.lists(st.integers(-2, 9), max_size=3)
ANYTHING |= st.dictionaries(st.sampled_from(["low", "likely", "high", "x"]), st.floats(-1, 200), max_size=3)
