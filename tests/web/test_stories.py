"""Customers as they come in (``stories.toml``), asked of the demo's catalogue at ``POST /v1/upgrade-paths``."""

from __future__ import annotations

import csv
import re
import tomllib
from collections.abc import Callable, Iterator
from importlib import resources
from itertools import accumulate, pairwise
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from flask.testing import FlaskClient

from mountwright.bench.jobs import Where, bench_jobs
from mountwright.mounts.kinds import kinds
from mountwright.upgrading.complaints import Answer, Severity, complaints
from mountwright.upgrading.customer import KINDS

Json = dict[str, Any]
Asking = Callable[[Json], Json]

STORIES: list[Json] = tomllib.loads(Path(__file__).with_name("stories.toml").read_text(encoding="utf-8"))["stories"]

OUTCOMES = {"path", "free_work_only", "nothing_helps", "measure_first", "stop_using", "another_skate"}
WHY_NOT = "not_needed no_money locked nothing_goes_on no_candidates not_the_soft_link worse"
REASONS = {f"path.{reason}" for reason in WHY_NOT.split()}

#: Keys of every story, and those that it may have beside them.
WANTED = {"title", "met", "why", "said", "never", "stages", "spent_at_most_minor", "request"}
POSSIBLE = {
    *("first", "also", "before", "at_stage", "together", "relieved", "looked_at"),
    *("wheels_mm", "boot_takes", "another_skate", "next_step", "noted"),
}

each_story = pytest.mark.parametrize("story", STORIES, ids=[story["title"] for story in STORIES])


def rows(file: str) -> dict[str, dict[str, str]]:
    """Give the rows of a file of the invented shop by SKU."""
    text = resources.files("mountwright.demo").joinpath(file).read_text(encoding="utf-8")
    return {row["sku"]: row for row in csv.DictReader(text.splitlines()) if row["sku"]}


AT_HOME = {key for key, job in bench_jobs().items() if job.where is Where.HOME}

SKATES, PARTS = rows("skates.csv"), rows("parts.csv")


class Step(NamedTuple):
    """A step of a path, and what it may be called: its kind, its SKU and its jobs."""

    stage: int
    names: frozenset[str]
    told: Json


def steps(answer: Json) -> list[Step]:
    """Give the steps in the order in which they are done."""
    return [Step(stage["number"], names(step), step) for stage in answer["stages"] for step in stage["steps"]]


def names(step: Json) -> frozenset[str]:
    """Give what a step may be called."""
    job = step["position"].partition("job:")[2]
    return frozenset(name for name in (step["kind"], step["sku"], job, *step["jobs"]) if name)


def short(answer: Json) -> str:
    """Give what came, for whoever reads a failure."""
    done = [f"{step.stage}: {'+'.join(sorted(step.names))} {cost(step.told)}" for step in steps(answer)]
    dangers = [f"{each['complaint']} {each['severity']} {each['removed_at_stage']}" for each in answer["hazards"]]
    told = [f"{each['complaint']} {each['answer']} {each['relief']}" for each in answer["complaints"]]
    left_out = [f"{each['kind']} {each['code']}" for each in answer["not_chosen"]]
    rival = (answer["another_skate"] or {}).get("sku")
    return (
        f"came: {answer['outcome']} ({answer['code']}), steps {done}, spent {answer['spent_minor']}; "
        f"hazards {dangers}; complaints {told}; not chosen {left_out}; another skate {rival}"
    )


def cost(step: Json) -> int:
    """Give what a step costs."""
    found: int = step["parts_minor"] + step["labour_minor"] + step["consumables_minor"]
    return found


def instalments(story: Json) -> list[int]:
    """Give the money as it comes."""
    budget = story["request"]["budget"]
    return [each["amount_minor"] for each in budget.get("instalments", [budget])]


def hazards(story: Json) -> set[str]:
    """Give those of the complaints that can hurt somebody."""
    return {code for code in story["request"].get("complaints", ()) if complaints()[code].severity}


def said(entry: str) -> tuple[str, list[str]]:
    """Give of whom something has to be told, and the codes of which one will do."""
    thing, colon, choice = entry.rpartition(": ")
    return (thing if colon else "outcome"), choice.split(" or ")


def told_of(answer: Json, thing: str) -> set[str]:
    """Give the codes that an answer has for the outcome, a hazard, a complaint, a kind or a job."""
    if thing == "outcome":
        return {answer["outcome"]}
    found = {each["severity"] for each in answer["hazards"] if each["complaint"] == thing}
    found |= {each["answer"] for each in answer["complaints"] if each["complaint"] == thing}
    return found | {each["code"] for each in answer["not_chosen"] if each["kind"] == thing}


def allowed(story: Json) -> list[int]:
    """Give the counts of stages that will do."""
    stages = story["stages"]
    return stages if isinstance(stages, list) else [stages]


def named(story: Json) -> Iterator[str]:
    """Give every job, kind and SKU by which steps are told."""
    yield from (*story["never"], *story.get("also", ()), *story.get("together", ()), *story.get("at_stage", ()))
    yield from (name for pair in story.get("before", ()) for name in pair)


def messages(found: Any) -> Iterator[str]:
    """Give every message in an answer."""
    if isinstance(found, list):
        for each in found:
            yield from messages(each)
    elif isinstance(found, dict):
        for name, each in found.items():
            if name == "message" and each is not None:
                yield each
            else:
                yield from messages(each)


def is_sentence(text: str) -> bool:
    """Tell whether a text is for people: it begins like a sentence, ends like one, and nothing is left to fill in."""
    return re.fullmatch(r"[A-Z0-9\"'][^{}]* [^{}]*[.?!]", text, re.DOTALL) is not None


@pytest.fixture(scope="module")
def ask(demo: FlaskClient) -> Asking:
    """Give a way to ask a story, once for all tests."""
    known: dict[str, Json] = {}

    def asked(story: Json) -> Json:
        if story["title"] not in known:
            response = demo.post("/v1/upgrade-paths", json=story["request"])
            assert 200 == response.status_code, response.get_data(as_text=True)
            known[story["title"]] = response.json
        return known[story["title"]]

    return asked


class TestTheFileOfStories:
    """The file of stories ..."""

    def test_covers_what_shops_meet(self) -> None:
        """... holds two dozen at least, and every outcome that there is."""
        outcomes = {code for story in STORIES for entry in story["said"] for code in said(entry)[1]}

        assert 24 <= len({story["title"] for story in STORIES}) == len(STORIES)
        assert OUTCOMES == outcomes & OUTCOMES

    @each_story
    def test_tells_a_story_whole(self, story: Json) -> None:
        """... says who comes in and why, what comes first wherever something is done, and nothing that nobody reads."""
        assert WANTED <= story.keys() <= WANTED | POSSIBLE
        assert is_sentence(story["met"])
        assert is_sentence(story["why"])
        assert ("first" in story) == any(allowed(story))
        assert not {*story.get("first", ()), *story.get("also", ())} & {*story["never"]}
        assert max(story.get("at_stage", {"": 0}).values()) <= max(allowed(story)) <= len(instalments(story))

    @each_story
    def test_names_only_what_there_is(self, story: Json) -> None:
        """... names jobs, kinds and SKUs of the shop, and those hazards only that the rider complains of."""
        known = {*bench_jobs(), *kinds(), *PARTS}
        entries = [story["request"]["skate"], *story["request"]["skate"].get("fitted", ())]
        skus = [entry["sku"] for entry in entries if "sku" in entry]

        assert set() == {*named(story)} - known
        assert set() == {*story.get("first", ())} - known - hazards(story)
        assert set() == {*skus} - {*SKATES, *PARTS}
        assert set() == {*story["request"].get("stays", ())} - {*KINDS}
        assert set() == {*story["request"].get("at_home", ())} - AT_HOME

    @each_story
    def test_names_complaints_and_causes_that_there_are(self, story: Json) -> None:
        """... names complaints of the rider, and their causes in the order in which these are looked at."""
        asked = story["request"].get("complaints", [])

        assert set() == {*asked} - {*complaints()}
        assert set() == {*story.get("relieved", ()), *story.get("looked_at", ())} - {*asked}
        assert all(0 < bound < 1 for bound in story.get("relieved", {}).values())
        for code, causes in story.get("looked_at", {}).items():
            assert causes == [cause.key for cause in complaints()[code].causes if cause.key in causes]

    @each_story
    def test_asks_for_codes_that_there_are(self, story: Json) -> None:
        """... asks for outcomes, severities, answers and reasons of the contract, each of what can have it."""
        for thing, codes in map(said, story["said"]):
            if thing == "outcome":
                assert set() == {*codes} - OUTCOMES
            elif thing in story["request"].get("complaints", ()):
                assert set() == {*codes} - {*Severity} - {*Answer}
            else:
                assert thing in {*kinds(), *bench_jobs()}
                assert set() == {*codes} - REASONS

    @each_story
    def test_spends_no_more_than_there_is(self, story: Json) -> None:
        """... leaves the budget whole, and lets instalments come day after day."""
        days = [each["on"] for each in story["request"]["budget"].get("instalments", ())]

        assert 0 <= story["spent_at_most_minor"] <= sum(instalments(story))
        assert all(earlier < later for earlier, later in pairwise(days))


@each_story
class TestAStory:
    """A path for a customer as told ..."""

    def test_says_what_has_to_be_said(self, ask: Asking, story: Json) -> None:
        """... says what has to be said."""
        answer = ask(story)

        for thing, codes in map(said, story["said"]):
            assert {*codes} & told_of(answer, thing), f"{thing}: {' or '.join(codes)}; {short(answer)}"
        assert not story.get("noted") or answer["notes"], f"nothing is noted; {short(answer)}"

    def test_begins_with_what_comes_first(self, ask: Asking, story: Json) -> None:
        """... begins with what comes first."""
        answer = ask(story)

        done = steps(answer)
        assert len({step.stage for step in done}) in allowed(story), f"at {allowed(story)} stages; {short(answer)}"
        if done and "first" in story:
            begins = done[0].names | {*done[0].told["hazards"]}
            assert begins & {*story["first"]}, f"first {story['first']}; {short(answer)}"

    def test_does_what_is_due_and_nothing_else(self, ask: Asking, story: Json) -> None:
        """... does what is due, at its stage and for no more than its price, and leaves alone what is not."""
        answer = ask(story)

        stages: dict[str, int] = {name: step.stage for step in reversed(steps(answer)) for name in step.names}
        done = {*stages, *(each["job"] for each in answer["bench"]["jobs"])}
        assert set() == {*story["never"]} & done, short(answer)
        assert set() == {*story.get("also", ())} - done, short(answer)
        due = story.get("at_stage", {})
        assert due == {name: stages.get(name) for name in due}, short(answer)
        assert len({stages.get(name) for name in story.get("together", ())}) <= 1, short(answer)
        assert answer["spent_minor"] <= story["spent_at_most_minor"], short(answer)

    def test_keeps_the_order_of_what_depends(self, ask: Asking, story: Json) -> None:
        """... does the one before the other where both are due."""
        answer = ask(story)

        order = [step.names for step in steps(answer)]
        for earlier, later in story.get("before", ()):
            places = [[place for place, found in enumerate(order) if name in found] for name in (earlier, later)]
            assert max(places[0], default=-1) <= min(places[1], default=len(order)), short(answer)

    def test_relieves_what_bothers(self, ask: Asking, story: Json) -> None:
        """... relieves what bothers, and looks before anything is sold."""
        answer = ask(story)

        found = {each["complaint"]: each for each in answer["complaints"]}
        for code, bound in story.get("relieved", {}).items():
            assert bound <= found[code]["relief"], short(answer)
        for code, causes in story.get("looked_at", {}).items():
            looks = [look["cause"] for look in found[code]["first_look"]]
            assert causes == [cause for cause in looks if cause in causes], f"looked at {looks}; {short(answer)}"

    def test_sells_what_goes_on(self, ask: Asking, story: Json) -> None:
        """... sells wheels of the due size, and a frame for the boot or with the plate that carries it."""
        answer = ask(story)

        sold = [PARTS[step.told["sku"]] for step in steps(answer) if step.told["sku"]]
        least, most = story.get("wheels_mm", (0, 1000))
        sizes = [float(part["diameter_mm"]) for part in sold if part["kind"] == "wheel"]
        assert all(least <= size <= most for size in sizes), f"wheels of {least} to {most} mm; {short(answer)}"
        if boot := story.get("boot_takes"):
            plates = {part["converts_to"] for part in sold if part["converts_from"] == boot}
            frames = {part["frame.standard"] or boot for part in sold if part["kind"] == "frame"}
            assert set() == frames - plates - {boot}, short(answer)

    def test_names_another_way_where_there_is_one(self, ask: Asking, story: Json) -> None:
        """... names another skate and from which sum on it wins, or what to measure next."""
        answer = ask(story)

        rival = answer["another_skate"]
        assert not story.get("another_skate") or rival is not None, f"another skate is named; {short(answer)}"
        assert not story.get("next_step") or answer["next_step"] is not None, f"a next step; {short(answer)}"
        if rival is not None:
            told = [rival[name] for name in ("price_minor", "trade_in_minor", "wins_from_minor")]
            assert int(SKATES[rival["sku"]]["price_minor"]) == rival["price_minor"]
            assert all(sum_minor is None or 0 <= sum_minor for sum_minor in told), told


@each_story
class TestEveryPath:
    """A path, whatever it is for, ..."""

    def test_leaves_a_skate_that_goes_together(self, ask: Asking, story: Json) -> None:
        """... leaves at every stage a set-up that the cart rules clear, and changes a place and a kind once."""
        answer = ask(story)

        done = steps(answer)
        places = [step.told["position"] for step in done]
        at = {(step.told["kind"], step.stage) for step in done if step.told["kind"]}
        assert ["clear"] * len(answer["stages"]) == [stage["decision"] for stage in answer["stages"]], short(answer)
        assert len(places) == len({*places}), short(answer)
        assert len(at) == len({kind for kind, _ in at}), short(answer)
        assert set() == {*story["request"].get("stays", ())} & {kind for kind, _ in at}, short(answer)

    def test_stays_within_the_money_of_its_day(self, ask: Asking, story: Json) -> None:
        """... spends no more by any stage than has come by then, and its steps add up to what it says."""
        answer = ask(story)

        has_come = list(accumulate(instalments(story)))
        done = steps(answer)
        for stage in answer["stages"]:
            number, spent = stage["number"], stage["spent_minor"]
            assert has_come[number - 1] == stage["budget_minor"]
            assert spent == sum(cost(step.told) for step in done if step.stage <= number), short(answer)
            assert spent <= stage["budget_minor"], short(answer)
        assert answer["spent_minor"] == sum(cost(step.told) for step in done), short(answer)
        assert has_come[-1] - answer["spent_minor"] == answer["left_minor"]
        assert story["request"]["budget"]["currency"] == answer["currency"]
        assert all(each["spent_minor"] <= has_come[-1] for each in answer["alternatives"]), answer["alternatives"]

    def test_prices_parts_and_work_as_they_are(self, ask: Asking, story: Json) -> None:
        """... charges the shop's price for each pack, no wage for what is done at home, and one for what is not."""
        answer = ask(story)

        at_home = {*story["request"].get("at_home", ())}
        for step in (each.told for each in steps(answer)):
            packs = step["packs"] * int(PARTS[step["sku"]]["price_minor"]) if step["sku"] else 0
            assert packs == step["parts_minor"], short(answer)
            assert (0 < step["labour_minor"]) == bool({*step["jobs"]} - at_home), (step["jobs"], short(answer))
            assert 0 <= step["minutes"]["least"] <= step["minutes"]["usual"] <= step["minutes"]["most"]

    def test_relieves_within_bounds(self, ask: Asking, story: Json) -> None:
        """... answers every complaint once, gives every relief as a share, and no less for more money."""
        answer = ask(story)

        bands = [served["relief"] for step in steps(answer) for served in step.told["serves"]]
        front = [(each["budget_minor"], each["relief"]) for each in answer["front"]]
        shares = [each["relief"] for each in answer["complaints"]] + [relief for _, relief in front]
        answered = [each["complaint"] for each in answer["complaints"]]
        assert sorted(story["request"].get("complaints", [])) == sorted(answered)
        assert all(0 <= share <= 1 for share in shares), shares
        assert all(0 <= band["low"] <= band["likely"] <= band["high"] <= 1 for band in bands), bands
        assert all(less[0] <= more[0] and less[1] <= more[1] for less, more in pairwise(front)), front

    def test_sells_no_wheels_that_roll_worse_to_whom_it_rolls_too_slowly(self, ask: Asking, story: Json) -> None:
        """... sells no wheels that roll worse to whom it rolls too slowly."""
        answer = ask(story)

        for step in (each.told for each in steps(answer) if "wheel" == each.told["kind"]):
            served = {each["complaint"] for each in step["serves"]}
            gain = step["rolling_gain_percent"]
            assert "rolls_slowly" not in served or gain is None or 0 < gain, (step["sku"], gain)

    def test_speaks_in_sentences(self, ask: Asking, story: Json) -> None:
        """... speaks in sentences and not in codes, and has one for every step, hazard and reason."""
        answer = ask(story)

        told = [answer, *(step.told for step in steps(answer)), *answer["hazards"], *answer["not_chosen"]]
        assert [] == [each for each in told if not each["message"]]
        assert [] == [text for text in messages(answer) if not is_sentence(text)]

    def test_takes_hazards_away_first(self, ask: Asking, story: Json) -> None:
        """... takes hazards away before all else and at the first stage, or says of each that it stays."""
        answer = ask(story)

        done = steps(answer)
        assert hazards(story) == {each["complaint"] for each in answer["hazards"]}, short(answer)
        for hazard in answer["hazards"]:
            by = [step.stage for step in done if hazard["complaint"] in step.told["hazards"]]
            assert hazard["removed_at_stage"] == min(by, default=None), short(answer)
            assert hazard["removed_at_stage"] == 1 or is_sentence(hazard["message"])
        for earlier, later in pairwise(done):
            assert earlier.told["hazards"] or not later.told["hazards"] or earlier.stage < later.stage, short(answer)

    def test_puts_its_work_on_the_bench(self, ask: Asking, story: Json) -> None:
        """... puts every job of its steps on the bench at the step's stage, and leaves the workshop's work to it."""
        answer = ask(story)

        on_bench = {(each["job"], each["stage"]) for each in answer["bench"]["jobs"]}
        assert set() == {(job, step.stage) for step in steps(answer) for job in step.told["jobs"]} - on_bench
        assert set() == {job for job, _ in on_bench} - {*bench_jobs()}
        assert set() == {each["job"] for each in answer["bench"]["jobs"] if each["where"] == "home"} - AT_HOME
