"""The picture of an upgrade path: drawn for who accepts it and behind an address, and true to the answer in JSON."""

from __future__ import annotations

import base64
import hashlib
import re
import tomllib
from collections.abc import Callable
from pathlib import Path
from statistics import fmean
from typing import Any
from xml.etree.ElementTree import Element, fromstring

import pytest
from flask.testing import FlaskClient

from mountwright.web.rides.picture_link import packed_text

Json = dict[str, Any]
Asking = Callable[[Json], tuple[Json, Element]]

PATHS, PICTURE = "/v1/upgrade-paths", "/v1/upgrade-paths/picture"
SVG = {"Accept": "image/svg+xml"}
NAMESPACE = "{http://www.w3.org/2000/svg}"

STORIES: dict[str, Json] = {
    story["title"]: story["request"]
    for story in tomllib.loads(Path(__file__).with_name("stories.toml").read_text(encoding="utf-8"))["stories"]
}

HEEL = STORIES["150 euros and a heel that lifts"]
NO_MONEY = STORIES["No money at all"]
INSTALMENTS = STORIES["Three complaints and the money in three parts"]
NO_COMPLAINT = STORIES["110 mm wheels on a boot for 165"]
NOTHING = STORIES["A good skate, no complaint and 300 euros"]
CRACK = STORIES["A crack in the shell"]
CANNOT_TELL = STORIES["A boot that cannot tell its mounts"]
DOLLARS = STORIES["Dollars in a shop with prices in euros"]

each_kind = pytest.mark.parametrize(
    "body",
    [HEEL, NO_MONEY, INSTALMENTS, NO_COMPLAINT, NOTHING, CRACK, CANNOT_TELL, DOLLARS],
    ids=["heel", "no_money", "instalments", "no_complaint", "nothing", "crack", "cannot_tell", "dollars"],
)


def drawn(picture: Element, kind: str) -> list[Element]:
    """Give the elements of a class, in their order."""
    return [each for each in picture.iter() if kind in each.get("class", "").split()]


def description(picture: Element) -> str:
    """Give the long alternative text."""
    return picture.findtext(f"{NAMESPACE}desc") or ""


def steps(answer: Json) -> list[Json]:
    """Give the steps of an answer in their order."""
    return [step for stage in answer["stages"] for step in stage["steps"]]


def costs(step: Json) -> int:
    """Give what a step costs."""
    found: int = step["parts_minor"] + step["labour_minor"] + step["consumables_minor"]
    return found


def long(body: Json) -> Json:
    """Give a question in which so many things stand on the skate, with such names, that it cannot be packed small."""
    digests = (hashlib.sha512(bytes([number])).digest() + bytes(8) for number in range(40))
    fitted = [{"kind": "other", "name": base64.b64encode(digest).decode()} for digest in digests]
    return {**body, "skate": {**body["skate"], "fitted": fitted}}


@pytest.fixture(scope="module")
def ask(demo: FlaskClient) -> Asking:
    """Give a way to ask for an answer and its picture, each once for all tests."""
    known: dict[str, tuple[Json, Element]] = {}

    def asked(body: Json) -> tuple[Json, Element]:
        if str(body) not in known:
            answers = [demo.post(PATHS, json=body, headers=headers) for headers in ({}, SVG)]
            assert [200, 200] == [each.status_code for each in answers], answers[0].get_data(as_text=True)
            known[str(body)] = answers[0].json, fromstring(answers[1].data)  # noqa: S314  # our own picture
        return known[str(body)]

    return asked


class TestAskingForIt:
    """The picture of an upgrade path ..."""

    def test_is_given_to_who_accepts_it(self, demo: FlaskClient) -> None:
        """... is given to a caller who accepts SVG rather than JSON, runs nothing, and caches are told so."""
        told, picture = (demo.post(PATHS, json=NO_MONEY, headers=headers) for headers in ({}, SVG))

        assert ("application/json", "image/svg+xml") == (told.mimetype, picture.mimetype)
        assert ("Accept, Accept-Language", "Accept, Accept-Language") == (told.headers["Vary"], picture.headers["Vary"])
        assert "default-src 'none'" in picture.headers["Content-Security-Policy"]
        assert f"{NAMESPACE}svg" == fromstring(picture.data).tag  # noqa: S314  # our own picture

    def test_stands_behind_the_address_in_the_answer(self, demo: FlaskClient) -> None:
        """... behind the address in the answer is the same, byte for byte."""
        picture = demo.post(PATHS, json=HEEL, headers=SVG)
        linked = demo.get(demo.post(PATHS, json=HEEL).json["picture"])

        assert (200, "image/svg+xml", picture.data) == (linked.status_code, linked.mimetype, linked.data)

    def test_has_no_address_where_the_question_is_too_long(self, demo: FlaskClient) -> None:
        """... of a question that no address holds has none, and is drawn for who accepts it all the same."""
        answer, picture = (demo.post(PATHS, json=long(NO_MONEY), headers=headers) for headers in ({}, SVG))

        assert (200, 200) == (answer.status_code, picture.status_code), answer.get_data(as_text=True)
        assert answer.json["picture"] is None
        assert "image/svg+xml" == picture.mimetype

    @pytest.mark.parametrize(
        ("of", "status"),
        [("x", 400), ("%%%", 400), (packed_text(b"[1, 2"), 400), (packed_text(b"{}"), 422), ("", 422)],
    )
    def test_behind_an_address_that_nobody_gave_is_refused(self, demo: FlaskClient, of: str, status: int) -> None:
        """... behind an address that the service never gave is a problem, not a fault."""
        refused = demo.get(PICTURE, query_string={"of": of})

        assert (status, "application/problem+json") == (refused.status_code, refused.mimetype)

    def test_of_a_bad_question_is_refused_in_json(self, demo: FlaskClient) -> None:
        """... of a question that would be refused is refused alike, whatever the caller accepts."""
        refused = [demo.post(PATHS, json={**HEEL, "budget": {}}, headers=headers) for headers in ({}, SVG)]

        assert [422, 422] == [each.status_code for each in refused]
        assert refused[0].json["errors"] == refused[1].json["errors"]


@each_kind
class TestWhatItShows:
    """A picture, whatever the path comes to, ..."""

    def test_has_every_step(self, ask: Asking, body: Json) -> None:
        """... has a mark for each step, and each with its name and the sum so far in words."""
        answer, picture = ask(body)

        # The legend has a sample of the line, with a mark on it.
        assert len(steps(answer)) + bool(steps(answer)) == len(drawn(picture, "step"))
        spent_minor = 0
        for number, step in enumerate(steps(answer), 1):
            spent_minor += costs(step)
            told = re.escape(f"step {number}, {step['name']} (")
            assert re.search(rf"{told}[^)]*\b{spent_minor / 100:.2f} {answer['currency']} so far", description(picture))

    def test_relieves_as_much_as_the_answer(self, ask: Asking, body: Json) -> None:
        """... relieves in the end the mean of what the answer has for each complaint, and nothing without one."""
        answer, picture = ask(body)
        reliefs = re.findall(r"(\d+) % relieved", description(picture))
        mean = fmean([each["relief"] for each in answer["complaints"]] or [0.0])

        assert len(steps(answer)) == len(reliefs)
        assert [f"{100 * mean:.0f}"] == (reliefs[-1:] or [f"{100 * mean:.0f}"])
        assert sorted(reliefs, key=int) == reliefs

    def test_has_every_stage(self, ask: Asking, body: Json) -> None:
        """... has each instalment with its day and what there is by then."""
        answer, picture = ask(body)

        told = re.findall(r"Stage ([A-H]), .*?, up to ([0-9.]+) [A-Z]{3} in all: (no step)?", description(picture))
        assert [(f"{stage['budget_minor'] / 100:.2f}", not stage["steps"]) for stage in answer["stages"]] == [
            (budget, bool(is_empty)) for _, budget, is_empty in told
        ]

    def test_says_what_the_answer_says(self, ask: Asking, body: Json) -> None:
        """... says in the answer's own words what it comes to, what is dangerous, what to look at, and what else."""
        answer, picture = ask(body)
        wanted = [answer, *answer["hazards"], *answer["alternatives"]]
        wanted += [answer["next_step"]] if answer["next_step"] else []

        for message in (each["message"] for each in wanted):
            assert message in description(picture)


class TestHardCases:
    """A picture of ..."""

    def test_no_money_goes_straight_up(self, ask: Asking) -> None:
        """... free work alone has all of its marks at no money."""
        answer, picture = ask(NO_MONEY)
        # The last mark is the legend's.
        places = {each.get("cx") for each in drawn(picture, "step")[:-1]}

        assert "free_work_only" == answer["outcome"]
        assert 1 == len(places) < len(steps(answer))

    def test_another_skate_has_the_sum_from_which_it_wins(self, ask: Asking) -> None:
        """... a path beside another skate marks from which sum on that is the better buy."""
        answer, picture = ask(HEEL)
        rival = answer["another_skate"]

        assert f"Wins from {rival['wins_from_minor'] / 100:.2f} EUR" in description(picture)
        assert rival["name"] in description(picture)

    def test_other_ways_parts_from_the_path_where_they_do(self, ask: Asking) -> None:
        """... another way does first what both do, in the same order, and ends with its own sum."""
        answer, picture = ask(HEEL)
        other = answer["alternatives"][0]
        shared = {(each["position"], each["sku"]) for each in other["steps"]}
        first = steps(answer)[0]
        told = description(picture).partition("Alternative X, ")[2]
        sums = re.findall(r"([0-9.]+) EUR for \d+ %", told.partition("Alternative Y")[0])

        assert (first["position"], first["sku"]) in shared
        assert (f"{costs(first) / 100:.2f}", f"{other['spent_minor'] / 100:.2f}") == (sums[0], sums[-1])
        assert len(other["steps"]) == len(sums)

    def test_more_other_ways_than_can_be_told_apart_has_three(self, ask: Asking) -> None:
        """... many other ways shows the best three at most, without a fault."""
        answer, picture = ask({**INSTALMENTS, "most_alternatives": 4})
        letters = set(re.findall(r"Alternative ([A-Z]),", description(picture)))

        assert min(3, len([each for each in answer["alternatives"] if each["steps"]])) == len(letters)

    def test_another_currency_says_that_there_is_no_rate(self, ask: Asking) -> None:
        """... a budget in which nothing is priced says so."""
        answer, picture = ask(DOLLARS)
        (note,) = [each["message"] for each in answer["notes"] if each["code"] == "path.other_currencies"]

        assert [] == steps(answer)
        assert note in description(picture)

    @pytest.mark.parametrize(
        ("currency", "written"), [("JPY", "15000 JPY"), ("KWD", "15.000 KWD"), ("XAU", "15000 XAU")]
    )
    def test_any_currency_has_its_own_minor_unit(self, ask: Asking, currency: str, written: str) -> None:
        """... money of any currency has as many decimals as that has, a metal none."""
        _, picture = ask({**NO_COMPLAINT, "budget": {"currency": currency, "amount_minor": 15000}})

        assert f"up to {written} in all" in description(picture)

    def test_words_of_others_stay_words(self, demo: FlaskClient) -> None:
        """... a skate whose name has signs of markup in it shows them as they are."""
        name = "<script>alert(1)</script> & 'co'"
        body = {**CANNOT_TELL, "skate": {**CANNOT_TELL["skate"], "name": name}}
        picture = demo.post(PATHS, json=body, headers=SVG)
        tree = fromstring(picture.data)  # noqa: S314  # our own picture

        assert name == tree.findtext(f"{NAMESPACE}title")
        assert [] == list(tree.iter(f"{NAMESPACE}script"))
