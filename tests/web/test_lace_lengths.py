"""``POST /v1/lace-lengths``: what a request may say, what is refused and where, and what is answered."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import event

from mountwright.bench.lace_length import lace_length
from mountwright.bench.lace_question import LaceQuestion
from mountwright.bench.lacing import Pattern
from mountwright.riding.band import around
from mountwright.web.schemas.lace_lengths import LaceLengthAnswerSchema
from mountwright.web.workshop import EXTENSION, Workshop

Json = dict[str, Any]
Keep = Callable[..., None]


def ruled(value: Any) -> Json:
    """Give a reading with a steel rule."""
    return {"value": value, "instrument": "steel_rule"}


def drawn(value: float) -> Json:
    """Give a figure of the maker's drawing, which is exact."""
    return {"value": value, "instrument": "maker_drawing"}


#: Rows 06-008 and 06-009 of the references.
KNOWN: Json = {
    "pairs": 6,
    "gap_mm": drawn(40),
    "pitch_mm": drawn(15),
    "bow_tail_mm": 300,
    "eyelet_thickness_mm": 3,
}

LEANING: Json = {"gap_top_mm": ruled(70), "gap_bottom_mm": ruled(45), "pitch_mm": ruled(25)}


def question(**more: Any) -> Json:
    """Give a question about a boot that was measured with a steel rule; None leaves a field out."""
    told = {"pairs": 8, "gap_mm": ruled(60), "pitch_mm": ruled(25), **more}
    return {name: value for name, value in told.items() if value is not None}


def told(client: FlaskClient, body: Any, status: int = 200) -> Json:
    """Ask, and give the body of an answer with a status."""
    response = client.post("/v1/lace-lengths", json=body)
    assert status == response.status_code, response.get_data(as_text=True)
    answer: Json = response.json
    return answer


def faults(client: FlaskClient, body: Any) -> dict[str, str]:
    """Give the codes of the faults of a body that is refused, by place; each has a sentence."""
    found = told(client, body, 422)["errors"]
    assert all(fault["detail"] != fault["code"] for fault in found), found
    return {fault["pointer"]: fault["code"] for fault in found}


class TestAnswer:
    """The answer about a lace ..."""

    @pytest.mark.parametrize(
        "more",
        [
            {},
            {"lock_loop": True, "lace_length_mm": 1200, "in_stock": True},
            {"gap_mm": None, **LEANING},
            {"pairs": 20, "gap_mm": ruled(200)},
        ],
        ids=["plain", "all asked", "leaning", "none long enough"],
    )
    def test_is_as_the_contract_shows_it(self, client: FlaskClient, more: Json) -> None:
        """... has the form of the contract, whatever is asked."""
        assert {} == LaceLengthAnswerSchema().validate(told(client, question(**more)))

    def test_is_the_sum_of_what_is_known(self, client: FlaskClient) -> None:
        """... with nothing in doubt is the sum: 467.2 mm of way (06-009), twelve eyelets of 3 mm, 600 mm of tails."""
        found = told(client, KNOWN)

        assert {"low": 503.2, "likely": 503.2, "high": 503.2} == found["in_eyelets_mm"]
        assert (1103.2, 300) == (found["cut_length_mm"]["likely"], found["tail_wanted_mm"])
        assert ("lacing.take", 1200) == (found["code"], found["sold"]["length_mm"])
        assert pytest.approx(11.3633, rel=1e-5) == found["patterns"][0]["pull_sum"]

    def test_takes_everything_that_is_said(self, client: FlaskClient) -> None:
        """... is the domain's own answer to all that was said."""
        body = question(
            **{**LEANING, "pitch_mm": {"value": 25, "plus_minus": 0.5}, "gap_mm": None},
            pattern="european_straight",
            lock_loop=True,
            bow_tail_mm=220,
            eyelet_thickness_mm=4,
            lace_length_mm=1900,
        )
        bands = (around(70.0, 0.75), around(25.0, 0.5), around(45.0, 0.75))
        asked = LaceQuestion(8, *bands, Pattern.EUROPEAN_STRAIGHT, True, 220, 4, 1900)
        expected, found = lace_length(asked), told(client, body)

        assert expected.chosen.wish.in_eyelets_mm.high == pytest.approx(found["in_eyelets_mm"]["high"], rel=1e-5)
        assert expected.given
        assert expected.given.tails_mm.low == pytest.approx(found["given"]["tails_mm"]["low"], rel=1e-5)
        assert expected.strongest_rubbing.pattern == found["strongest_rubbing"]["pattern"]
        assert [each.ideal for each in expected.hold] == pytest.approx(
            [each["ideal"] for each in found["hold"]], rel=1e-5
        )
        assert expected.lock_loop_mm
        assert expected.lock_loop_mm.high == pytest.approx(found["lock_loop_mm"]["high"], rel=1e-5)

    def test_is_of_the_criss_cross_where_no_pattern_is_said(self, client: FlaskClient) -> None:
        """... is of the criss-cross where nobody says otherwise."""
        plain, said = (told(client, question(**more)) for more in ({}, {"pattern": "criss_cross"}))

        assert "criss_cross" == plain["pattern"]
        assert plain["hold"] == said["hold"]

    @pytest.mark.parametrize(
        ("length", "reach"),
        [(600, "too_short"), (920, "cannot_tell"), (1050, "short_tails"), (1150, "reaches"), (1600, "too_long")],
    )
    def test_says_what_becomes_of_a_lace_at_hand(self, client: FlaskClient, length: float, reach: str) -> None:
        """... says whether a lace at hand reaches, what its tails are, or how much is wanting."""
        found = told(client, {**KNOWN, "eyelet_thickness_mm": 3, "lace_length_mm": length})["given"]

        assert (reach, f"lacing.{reach}", length) == (found["reach"], found["code"], found["length_mm"])
        assert (length - 503.2) / 2 == pytest.approx(found["tails_mm"]["high"], abs=1e-3)
        assert "{" not in found["message"]

    def test_says_by_how_much_tails_shrink(self, client: FlaskClient) -> None:
        """... names the next shorter lace with the tails that it leaves, where they still tie a bow."""
        found = told(client, {**KNOWN, "pairs": 5})

        assert (1200, 1000) == (found["sold"]["length_mm"], found["shorter"]["length_mm"])
        assert 200 < found["shorter"]["tails_mm"]["low"] < 300
        assert "where 300 mm are wanted" in found["shorter"]["message"]

    def test_has_a_sentence_for_every_code(self, client: FlaskClient) -> None:
        """... says everything in words, with nothing left to fill in."""
        found = told(client, question(lock_loop=True, lace_length_mm=1500))
        for each in (found, found["sold"], found["given"], *found["notes"]):
            assert each["message"] != each["code"]
            assert "{" not in each["message"]

    def test_is_the_same_twice_and_asks_no_catalogue(self, app: Flask, client: FlaskClient) -> None:
        """... is the same bytes for the same request, and reads no catalogue unless stock is asked for."""
        workshop: Workshop = app.extensions[EXTENSION]
        asked: list[str] = []
        event.listen(workshop.engines.reads, "before_cursor_execute", lambda *about: asked.append(about[2]))
        first, second = (client.post("/v1/lace-lengths", json=question()) for _ in range(2))

        assert (first.data, None, None, []) == (
            second.data,
            first.json["receipt"]["catalogue"],
            first.json["stock"],
            asked,
        )


class TestStock:
    """Laces in stock ..."""

    def test_are_those_that_reach(self, asking: FlaskClient, keep: Keep) -> None:
        """... are those that reach in the worst case, the shortest first, with their tails; of one catalogue."""
        lengths = {"long": 1400, "short": 1100, "right": 1150}
        keep(
            *(
                {"sku": sku, "kind": "lace", "name": "Lace", "stock": 2, "specs": {"length_mm": length}}
                for sku, length in lengths.items()
            )
        )
        found = told(asking, {**KNOWN, "in_stock": True})

        assert ["right", "long"] == [each["sku"] for each in found["stock"]]
        assert found["stock"][0]["tails_mm"]["low"] >= 300
        assert (None, None, 2) == tuple(found["stock"][0][name] for name in ("price_minor", "currency", "stock"))
        assert found["receipt"]["catalogue"]
        assert LaceLengthAnswerSchema().validate(found) == {}

    def test_change_with_the_catalogue(self, asking: FlaskClient, keep: Keep) -> None:
        """... are looked for anew where the catalogue has changed."""
        before = told(asking, {**KNOWN, "in_stock": True})
        keep({"sku": "new", "kind": "lace", "name": "Lace", "stock": 1, "specs": {"length_mm": 1200}})
        after = told(asking, {**KNOWN, "in_stock": True})

        assert ([], ["new"]) == (before["stock"], [each["sku"] for each in after["stock"]])
        assert before["receipt"]["catalogue"] != after["receipt"]["catalogue"]

    def test_of_the_demo_are_found(self, demo: FlaskClient) -> None:
        """... of the invented shop are found, whatever their colour."""
        found = told(demo, {**KNOWN, "in_stock": True})["stock"]

        assert [1200, 1200, 1500] == [each["length_mm"] for each in found[:3]]
        assert 12 == len(found)


REFUSED: list[tuple[Any, Json]] = [
    ([], {"": "request.not_object"}),
    ({}, dict.fromkeys(("/pairs", "/gap_mm", "/pitch_mm"), "request.required")),
    (question(extra=1), {"/extra": "request.unknown_field"}),
    (question(pairs=0), {"/pairs": "request.bounds"}),
    (question(pairs=1), {"/pairs": "request.bounds"}),
    (question(pairs=100), {"/pairs": "request.bounds"}),
    (question(pairs=7.5), {"/pairs": "request.not_whole"}),
    (question(gap_mm=ruled(0)), {"/gap_mm/value": "request.bounds"}),
    (question(gap_mm=ruled(-40)), {"/gap_mm/value": "request.bounds"}),
    (question(gap_mm=60), {"/gap_mm": "request.not_object"}),
    (question(gap_mm={"value": 60}), {"/gap_mm/instrument": "request.no_doubt"}),
    (question(gap_mm={"value": 60, "instrument": "eye"}), {"/gap_mm/instrument": "request.choice"}),
    (question(gap_mm={"value": 6, "plus_minus": 3}), {"/gap_mm/plus_minus": "lacing.doubt_too_wide"}),
    (question(pitch_mm={"value": 5, "instrument": "photo"}), {"/pitch_mm/instrument": "lacing.doubt_too_wide"}),
    (question(pitch_mm=ruled(0)), {"/pitch_mm/value": "request.bounds"}),
    (question(pitch_mm=ruled("15")), {"/pitch_mm/value": "request.not_number"}),
    (question(gap_mm=None), {"/gap_mm": "request.required"}),
    (question(gap_mm=None, gap_top_mm=ruled(60)), {"/gap_bottom_mm": "request.required"}),
    (question(gap_mm=None, gap_bottom_mm=ruled(60)), {"/gap_top_mm": "request.required"}),
    (question(gap_top_mm=ruled(60)), {"/gap_mm": "lacing.gap_twice"}),
    (
        question(pairs=2, gap_mm=None, gap_top_mm=ruled(100), gap_bottom_mm=ruled(40)),
        {"/gap_bottom_mm": "lacing.rows_lean_too_far"},
    ),
    (question(pattern="ladder"), {"/pattern": "request.choice"}),
    (question(lock_loop="no"), {"/lock_loop": "request.not_flag"}),
    (question(lock_loop=1), {"/lock_loop": "request.not_flag"}),
    (question(in_stock="yes"), {"/in_stock": "request.not_flag"}),
    (question(bow_tail_mm=-1), {"/bow_tail_mm": "request.bounds"}),
    (question(eyelet_thickness_mm=21), {"/eyelet_thickness_mm": "request.bounds"}),
    (question(lace_length_mm=0), {"/lace_length_mm": "request.bounds"}),
    (question(lace_length_mm=1e300), {"/lace_length_mm": "request.bounds"}),
    (question(pattern="x" * 10_000), {"/pattern": "request.choice"}),
]


class TestRefusal:
    """A request ..."""

    @pytest.mark.parametrize(("body", "expected"), REFUSED, ids=[str(expected)[:60] for _, expected in REFUSED])
    def test_with_a_fault_is_refused_with_its_place(self, client: FlaskClient, body: Any, expected: Json) -> None:
        """... with a fault is refused, and the fault is named by its place, with nothing else beside it."""
        assert expected == faults(client, body)

    def test_names_every_fault_at_once(self, client: FlaskClient) -> None:
        """... with several faults names them all."""
        body = {"pairs": 0, "gap_top_mm": ruled(0), "pitch_mm": ruled(-5), "pattern": 3, "lock_loop": "no", "x": 1}

        places = {"/pairs", "/gap_top_mm/value", "/gap_bottom_mm", "/pitch_mm/value", "/pattern", "/lock_loop", "/x"}
        assert places == set(faults(client, body))

    @settings(max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
    @given(st.data())
    def test_that_is_somehow_wrong_is_answered_or_refused(
        self, client: FlaskClient, all_finite: Callable[[Any], bool], data: st.DataObject
    ) -> None:
        """... with anything anywhere in it is answered in finite figures or refused, never worse."""
        body: Any = question(gap_mm=None, **{name: dict(each) for name, each in LEANING.items()}, lace_length_mm=1500)
        place, key = body, data.draw(st.sampled_from([*sorted(body), "gap_mm", "pattern", "bow_tail_mm"]))
        if isinstance(body.get(key), dict) and data.draw(st.booleans()):
            place, key = body[key], data.draw(st.sampled_from(["value", "instrument", "plus_minus", "more"]))
        place[key] = data.draw(ANYTHING)
        response = client.post("/v1/lace-lengths", json=body)

        assert response.status_code in (200, 422), response.get_data(as_text=True)
        assert all_finite(response.json)

    @settings(max_examples=100, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
    @given(st.data())
    def test_within_its_bounds_is_answered(
        self, client: FlaskClient, all_finite: Callable[[Any], bool], data: st.DataObject
    ) -> None:
        """... at the ends of what it may say, or anywhere between, has an answer of the contract's form."""
        body = {"pairs": data.draw(st.integers(2, 20)), "pattern": data.draw(st.sampled_from(Pattern))}
        for name, (low, high) in ENDS.items():
            value = data.draw(st.sampled_from([low, high]) | st.floats(low, high))
            if name in ("gap_mm", "pitch_mm"):
                body[name] = ruled(value)
            elif data.draw(st.booleans()):
                body[name] = value
        found = told(client, {**body, "lock_loop": data.draw(st.booleans())})

        assert {} == LaceLengthAnswerSchema().validate(found)
        assert all_finite(found)

    @settings(max_examples=100, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
    @given(st.floats(5, 200), st.floats(5, 200), st.floats(5, 80), st.integers(2, 20))
    def test_with_gaps_that_differ_is_answered_unless_its_rows_lean_too_far(
        self, client: FlaskClient, top: float, bottom: float, pitch: float, pairs: int
    ) -> None:
        """... with gaps that differ is answered, or refused where no such rows can be."""
        body = {"pairs": pairs, "gap_top_mm": drawn(top), "gap_bottom_mm": drawn(bottom), "pitch_mm": drawn(pitch)}
        response = client.post("/v1/lace-lengths", json=body)

        lean = abs(round(top, 3) - round(bottom, 3)) / 2 / (pairs - 1)
        if abs(lean - round(pitch, 3)) > 0.002:
            assert (200 if lean < pitch else 422) == response.status_code


ENDS = {
    "gap_mm": (5, 200),
    "pitch_mm": (5, 80),
    "bow_tail_mm": (20, 1000),
    "eyelet_thickness_mm": (0, 20),
    "lace_length_mm": (100, 5000),
}

ANYTHING = st.none() | st.booleans() | st.integers(-300, 2**40) | st.floats(-1e3, 1e3) | st.text(max_size=4)
ANYTHING |= st.sampled_from(["caliper", "photo", "bow_tie"]) | st.lists(st.integers(-2, 9), max_size=3)
ANYTHING |= st.dictionaries(st.sampled_from(["value", "instrument", "plus_minus"]), st.floats(-1, 200), max_size=3)
