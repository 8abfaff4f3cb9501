"""``POST /v1/colour-matches``: what is found near a colour, how colours go together, and what is refused."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from mountwright.bench.colours import differences_from, lab_of, likeness_of, shown
from mountwright.catalogue.noting import Noting
from mountwright.web.colours import matching
from mountwright.web.schemas.colour_matches import ColourMatchesAnswerSchema
from mountwright.web.workshop import EXTENSION, Workshop

Json = dict[str, Any]
Keep = Callable[..., None]

TEAL = "#1a8a86"
SKATE: Json = {"sku": "lantern"}


def mounted(standard: str, spacing_mm: float | None = None) -> list[Json]:
    """Give a frame mount, perhaps measured."""
    claim: Json = {"position": "frame", "standard": standard, "claimed_by": "maker"}
    if spacing_mm is not None:
        claim["dimensions"] = {"hole_spacing_mm": {"value": spacing_mm, "instrument": "caliper"}}
    return [claim]


def frame(sku: str, colour: str | None, standard: str = "two-bolt-165", **more: Any) -> Json:
    """Give a frame of a colour."""
    coloured = {} if colour is None else {"colour_srgb": colour}
    return {"sku": sku, "kind": "frame", "name": sku, "mounts": mounted(standard), **coloured, **more}


def lace(sku: str, colour: str) -> Json:
    """Give a lace of a colour, which has no mount that anybody described."""
    return {"sku": sku, "kind": "lace", "name": sku, "colour_srgb": colour}


LANTERN: Json = {
    "sku": "lantern",
    "kind": "skate",
    "name": "Marrowby Lantern",
    "colour_srgb": TEAL,
    "mounts": mounted("two-bolt-165"),
}
LATER: Json = {**LANTERN, "sku": "lantern-later", "mark": "black screws", "mounts": mounted("two-bolt-195")}

FRAMES = [
    frame("f-same", "#1c8c88", price_minor=900, currency="EUR", stock=2),
    frame("f-same-2", "#1c8c88", price_minor=1900, currency="EUR", stock=0),
    frame("f-other-mount", TEAL, "two-bolt-195"),
    frame("f-close", "#2a9490"),
    frame("f-similar", "#309c98"),
    frame("f-rust", "#a2472b"),
    frame("f-none", None),
]


def told(client: FlaskClient, body: Any, status: int = 200) -> Json:
    """Ask, and give the body of an answer with a status."""
    response = client.post("/v1/colour-matches", json=body)
    assert status == response.status_code, response.get_data(as_text=True)
    answer: Json = response.json
    return answer


def near(**more: Any) -> Json:
    """Give a question about teal parts for a skate."""
    return {"skate": SKATE, "wanted": {"srgb": TEAL}, **more}


def skus(answer: Json) -> list[str]:
    """Give the SKUs of the parts that were found."""
    return [part["sku"] for part in answer["parts"]]


def faults(client: FlaskClient, body: Any) -> dict[str, str]:
    """Give the codes of the faults of a body that is refused, by place; each has a sentence."""
    found = told(client, body, 422)["errors"]
    assert all(fault["detail"] != fault["code"] for fault in found), found
    return {fault["pointer"]: fault["code"] for fault in found}


class TestSearch:
    """A search for a colour ..."""

    def test_is_answered_as_the_contract_shows_it(self, asking: FlaskClient, keep: Keep) -> None:
        """... has the form of the contract, with everything in words and a receipt."""
        keep(LANTERN, *FRAMES, lace("l-1", TEAL))
        found = told(asking, near(together=[{"srgb": TEAL}, {"like": {"sku": "f-none"}}]))

        assert {} == ColourMatchesAnswerSchema().validate(found)
        assert found["receipt"]["catalogue"].startswith("1-")
        assert all(each["message"] != each["code"] for each in (*found["parts"], *found["notes"], found["together"]))

    def test_finds_what_goes_on_nearest_first(self, asking: FlaskClient, keep: Keep) -> None:
        """... gives parts that go on, by difference and then by SKU; a frame of another spacing is not among them."""
        keep(LANTERN, *FRAMES)
        found = told(asking, near())

        assert ["f-same", "f-same-2", "f-close", "f-similar"] == skus(found)
        assert ["same", "same", "close", "similar"] == [part["band"] for part in found["parts"]]
        assert {"fits"} == {part["verdict"] for part in found["parts"]}
        assert (1, False, True) == (found["without_colour"], found["more"], found["complete"])

    def test_marks_what_nobody_can_tell(self, asking: FlaskClient, keep: Keep) -> None:
        """... gives what may go on as such, with the next step, and says how many there are."""
        keep(LANTERN, lace("l-1", TEAL), frame("f-1", TEAL))
        found = told(asking, near())

        assert [("f-1", "fits"), ("l-1", "cannot_tell")] == [(part["sku"], part["verdict"]) for part in found["parts"]]
        assert "step.describe_part" == found["parts"][1]["next_step"]["code"]
        assert {"code": "colours.fit_unknown", "params": {"count": 1}}.items() <= next(
            note for note in found["notes"] if note["code"] == "colours.fit_unknown"
        ).items()

    @pytest.mark.parametrize(
        ("more", "expected"),
        [
            ({"kinds": ["lace"]}, ["l-1"]),
            ({"kinds": ["lace", "frame", "lace"], "limit": 2}, ["l-1", "f-same"]),
            ({"in_stock": True}, ["f-same"]),
            ({"in_stock": False}, ["f-same-2"]),
            ({"price_to_minor": 900, "currency": "EUR"}, ["f-same"]),
            ({"price_from_minor": 901, "currency": "EUR"}, ["f-same-2"]),
            ({"within": 0}, ["l-1"]),
            ({"within": 3}, ["l-1", "f-same", "f-same-2"]),
        ],
    )
    def test_keeps_to_what_else_is_asked(
        self, asking: FlaskClient, keep: Keep, more: Json, expected: list[str]
    ) -> None:
        """... keeps to kinds, stock, price, the greatest difference, and the number of parts."""
        keep(LANTERN, *FRAMES, lace("l-1", TEAL))

        assert expected == skus(told(asking, near(**more)))

    @pytest.mark.parametrize("limit", range(1, 8))
    def test_tells_whether_there_is_more(self, asking: FlaskClient, keep: Keep, limit: int) -> None:
        """... gives the first of them, however many are asked for, and says whether there are more."""
        keep(LANTERN, *FRAMES, lace("l-1", TEAL), lace("l-0", "#1c8c88"))
        whole, some = told(asking, near()), told(asking, near(limit=limit))

        assert skus(whole)[:limit] == skus(some)
        assert (limit < len(whole["parts"])) == some["more"]

    @pytest.mark.parametrize("sku", ["lantern", "f-same"])
    def test_may_be_for_the_colour_of_an_article(self, asking: FlaskClient, keep: Keep, sku: str) -> None:
        """... takes the colour of a skate or of a part as well as one that is spelt out."""
        keep(LANTERN, *FRAMES)
        srgb = TEAL if sku == "lantern" else "#1c8c88"
        liked, spelt = (told(asking, near(wanted=each)) for each in ({"like": {"sku": sku}}, {"srgb": srgb}))

        assert (spelt["parts"], sku, srgb) == (liked["parts"], liked["wanted"]["sku"], liked["wanted"]["srgb"])

    def test_may_be_for_figures(self, asking: FlaskClient, keep: Keep) -> None:
        """... takes a colour as L*, a* and b*."""
        keep(LANTERN, *FRAMES)
        lab = lab_of(TEAL)
        found = told(asking, near(wanted={"lab": {"lightness": lab.lightness, "a": lab.a, "b": lab.b}}))

        assert told(asking, near())["parts"] == found["parts"]

    def test_says_that_nothing_is_near(self, asking: FlaskClient, keep: Keep) -> None:
        """... says so where nothing is near, even around a colour that no screen shows."""
        keep(LANTERN, *FRAMES)
        found = told(asking, near(wanted={"lab": {"lightness": 50, "a": 128, "b": 128}}))

        assert ([], True) == (skus(found), "colours.nothing_near" in {note["code"] for note in found["notes"]})

    def test_takes_a_skate_that_is_described(self, asking: FlaskClient, keep: Keep) -> None:
        """... takes a skate by its mounts, and by a model's name: where versions differ, nobody can tell."""
        keep(LANTERN, LATER, *FRAMES)
        described = told(asking, near(skate={"mounts": mounted("two-bolt-195")}))
        model = told(asking, near(skate={"model": {"name": "Marrowby Lantern"}}))
        verdicts = {part["sku"]: part["verdict"] for part in model["parts"]}

        assert "f-other-mount" in skus(described)
        assert {"cannot_tell"} == {verdicts["f-same"], verdicts["f-other-mount"]}
        assert {"step.which_version"} == {part["next_step"]["code"] for part in model["parts"]}

    def test_heeds_what_was_told(self, shop: Flask, asking: FlaskClient, keep: Keep) -> None:
        """... answers of a part that somebody told of by that evidence, and of no other."""
        keep(LANTERN, *FRAMES)
        workshop: Workshop = shop.extensions[EXTENSION]
        with workshop.engines.writing() as connection:
            noting = Noting(connection, "shop")
            outcome = {"skate": "lantern", "part": "f-same", "outcome": "did_not_go_on", "told_by": "bench"}
            noting.note([{**outcome, "outcome_id": str(number), "on": "2026-01-02"} for number in range(3)])
            workshop.shelf.noted(noting.finish())
        verdicts = {part["sku"]: part["verdict"] for part in told(asking, near())["parts"]}

        assert ("cannot_tell", "fits") == (verdicts["f-same"], verdicts["f-same-2"])
        assert 4 == len(verdicts)

    def test_agrees_with_the_fit_check(self, demo: FlaskClient) -> None:
        """... gives of the demo's parts just those that the fit check does not refuse and that are near enough."""
        parts = all_parts(demo)
        coloured = [part for part in parts if part["colour_srgb"]]
        skate = {"sku": "marrowby-lock-2"}
        for srgb in ("#101010", "#f5f5f5", TEAL):
            question = {"skate": skate, "wanted": {"srgb": srgb}, "limit": 100}
            found = told(demo, question)
            expected = expected_of(demo, skate, srgb, coloured)
            assert expected[:100] == [(part["difference"], part["sku"], part["verdict"]) for part in found["parts"]]
            assert len(parts) - len(coloured) == found["without_colour"]
            assert (len(expected) > 100) == found["more"]

    def test_is_the_same_every_time(self, asking: FlaskClient, keep: Keep) -> None:
        """... gives the same bytes for the same question."""
        keep(LANTERN, *FRAMES)
        one, other = (asking.post("/v1/colour-matches", json=near()).get_data() for _ in range(2))

        assert one == other

    def test_says_where_it_stopped_judging(
        self, asking: FlaskClient, keep: Keep, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """... judges so many sets of mounts and no more, and says so."""
        monkeypatch.setattr(matching, "MOST_JUDGED", 3)
        measured = [
            {
                **frame(f"m-{number}", f"#1a8a{0x80 + number:02x}"),
                "mounts": mounted("two-bolt-165", 164.9 + number / 50),
            }
            for number in range(6)
        ]
        keep(LANTERN, *measured)
        found = told(asking, near())

        assert (3, 3, False) == (found["judged"], len(found["parts"]), found["complete"])
        assert "colours.not_all_judged" in {note["code"] for note in found["notes"]}


def all_parts(client: FlaskClient) -> list[Json]:
    """Give every part of the catalogue."""
    found, path = [], "/v1/parts?limit=100"
    while path:
        page = client.get(path).get_json()
        found += page["parts"]
        path = page["next"]
    return [{**part, "colour_srgb": part.get("colour_srgb")} for part in found]


def expected_of(client: FlaskClient, skate: Json, srgb: str, parts: list[Json]) -> list[tuple[float, str, str]]:
    """Give what has to be found, by looking at every part."""
    differences = differences_from(lab_of(srgb), [lab_of(part["colour_srgb"]) for part in parts])
    close = [(shown(each), part["sku"]) for each, part in zip(differences, parts, strict=True) if shown(each) <= 10]
    verdicts: dict[str, str] = {}
    for start in range(0, len(close), 64):
        batch = [{"sku": sku} for _, sku in close[start : start + 64]]
        answer = client.post("/v1/fit-checks", json={"skate": skate, "parts": batch}).get_json()
        verdicts |= {part["sku"]: part["verdict"] for part in answer["parts"]}
    return sorted((each, sku, verdicts[sku]) for each, sku in close if verdicts[sku] != "does_not_fit")


class TestTogether:
    """Colours beside each other ..."""

    def test_are_judged_pair_by_pair(self, client: FlaskClient) -> None:
        """... need no catalogue: each pair has its difference, and the farthest is named in words."""
        colours = ["#101010", "#111111", "#a2472b"]
        found = told(client, {"together": [{"srgb": each} for each in colours]})
        (expected,) = differences_from(lab_of("#101010"), [lab_of("#a2472b")])

        assert {} == ColourMatchesAnswerSchema().validate(found)
        assert ("other", [(0, 1), (0, 2), (1, 2)]) == (
            found["together"]["band"],
            [(pair["one"], pair["other"]) for pair in found["together"]["pairs"]],
        )
        assert shown(expected) == found["together"]["pairs"][1]["difference"]
        assert "#101010 and #a2472b" in found["together"]["message"]
        assert (None, []) == (found["receipt"]["catalogue"], found["parts"])

    def test_are_those_of_articles(self, asking: FlaskClient, keep: Keep) -> None:
        """... may be those of a skate and of parts; one without a colour leaves the answer open."""
        keep(LANTERN, *FRAMES)
        liked = [{"like": {"sku": sku}} for sku in ("lantern", "f-same", "f-none")]
        whole, known = (told(asking, {"together": each})["together"] for each in (liked, liked[:2]))

        assert (None, [2], "colours.together_unknown") == (whole["band"], whole["without_colour"], whole["code"])
        assert ("same", [], "colours.together_same") == (known["band"], known["without_colour"], known["code"])

    @given(st.lists(st.integers(0, 2**24 - 1), min_size=2, max_size=6))
    @settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=40)
    def test_are_as_alike_as_the_farthest_pair(self, client: FlaskClient, colours: list[int]) -> None:
        """... have the band of the greatest difference among all pairs."""
        found = told(client, {"together": [{"srgb": f"#{each:06x}"} for each in colours]})["together"]

        assert likeness_of(max(pair["difference"] for pair in found["pairs"])) == found["band"]
        assert len(colours) * (len(colours) - 1) // 2 == len(found["pairs"])


class TestRefusal:
    """A request is refused ..."""

    @pytest.mark.parametrize(
        ("body", "expected"),
        [
            ([], {"": "request.not_object"}),
            ({}, {"/skate": "request.required", "/wanted": "request.required"}),
            ({"wanted": {"srgb": TEAL}}, {"/skate": "request.required"}),
            (near(wanted=None), {"/wanted": "request.null"}),
            (near(wanted="teal"), {"/wanted": "request.not_object"}),
            (near(wanted={}), {"/wanted": "colours.one_way"}),
            (near(wanted={"srgb": TEAL, "lab": {"lightness": 1, "a": 1, "b": 1}}), {"/wanted": "colours.one_way"}),
            (near(wanted={"lab": {"lightness": 101, "a": 0}}), {
                "/wanted/lab/lightness": "request.bounds",
                "/wanted/lab/b": "request.required",
            }),
            (near(wanted={"lab": {"lightness": "50", "a": True, "b": None}}), {
                "/wanted/lab/lightness": "request.not_number",
                "/wanted/lab/a": "request.not_number",
                "/wanted/lab/b": "request.null",
            }),
            (near(wanted={"like": {"sku": "nobody"}}), {"/wanted/like/sku": "request.unknown_sku"}),
            (near(wanted={"like": {"sku": "f-none"}}), {"/wanted/like/sku": "colours.none_catalogued"}),
            (near(wanted={"like": {"sku": "\x00"}}), {"/wanted/like/sku": "request.unknown_sku"}),
            (near(skate={"sku": "f-same"}), {"/skate/sku": "request.not_a_skate"}),
            (near(kinds=["skate"]), {"/kinds/0": "request.choice"}),
            (near(kinds=[]), {"/kinds": "request.size"}),
            (near(within=10.1, limit=101, in_stock="yes"), {
                "/within": "request.bounds",
                "/limit": "request.bounds",
                "/in_stock": "request.not_flag",
            }),
            (near(price_to_minor=5), {"/currency": "request.no_currency"}),
            (near(price_from_minor=6, price_to_minor=5, currency="EUR"), {
                "/price_from_minor": "request.setting_order",
            }),
            (near(currency="EURO"), {"/currency": "request.currency"}),
            (near(colour="red"), {"/colour": "request.unknown_field"}),
            ({"together": [{"srgb": TEAL}]}, {"/together": "request.size"}),
            ({"together": [{"srgb": TEAL}] * 21}, {"/together": "request.size"}),
            ({"together": [{"srgb": TEAL}, {"srgb": 7}]}, {"/together/1/srgb": "request.not_text"}),
            ({"together": "all", "limit": 1.5}, {"/together": "request.not_list", "/limit": "request.not_whole"}),
        ],
    )  # fmt: skip
    def test_with_every_fault_at_its_place(
        self, asking: FlaskClient, keep: Keep, body: Any, expected: dict[str, str]
    ) -> None:
        """... with each fault, its place and a sentence, and nothing is looked for."""
        keep(LANTERN, *FRAMES)
        assert expected == faults(asking, body)

    @pytest.mark.parametrize(
        "text",
        [
            "",
            "teal",
            "1a8a86",
            "#1A8A86",
            "#1a8a8",
            "#1a8a866",
            "#1a8a8g",
            " #1a8a86",
            "#1a8a86\n",
            "#١٢٣٤٥٦",
            "x" * 10_000,
        ],
    )
    def test_for_a_colour_that_is_none(self, client: FlaskClient, text: str) -> None:
        """... for a text that is no colour, at its place, saying what one looks like."""
        found = told(client, {"together": [{"srgb": TEAL}, {"srgb": text}]}, 422)["errors"]

        assert [("/together/1/srgb", "request.form")] == [(fault["pointer"], fault["code"]) for fault in found]
        assert "# and six lower-case hexadecimal digits" in found[0]["detail"]
        assert len(found[0]["detail"]) < 300
