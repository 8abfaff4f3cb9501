"""The client of the service: what it sends, what it makes of every fault, and a checkout that no fault holds up."""

from __future__ import annotations

import json
import logging
import subprocess
import sys
import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from mountwright import client as module
from mountwright.client import MOST_UNDER_WAY, Checkout, Client
from mountwright.errors import NoAnswer, ProblemPlace, ServiceProblem
from mountwright.serving import free_port

Json = dict[str, Any]

BASKET = {"skate": {"sku": "marrowby-lock-2"}, "lines": [{"sku": "bearing-bellrush-608-x8", "quantity": 2}]}

QUESTION = {"code": "ask.too_few", "params": {}, "message": "Eight are missing.", "line": 0, "skate": 0, "step": None}

CLEAR: Json = {"decision": "clear", "blocking": False, "code": "cart.fits", "message": "It goes on.", "question": None}
CONFIRM: Json = {**CLEAR, "decision": "confirm", "blocking": True, "code": "cart.too_few", "question": QUESTION}
LENIENT: Json = {**CONFIRM, "blocking": False}
STOP: Json = {**CLEAR, "decision": "stop", "blocking": True, "code": "cart.does_not_fit"}

FAULT = {"pointer": "/lines/0/quantity", "code": "request.bounds", "params": {}, "detail": "found 0, expected 1"}
PROBLEM = {"title": "Unprocessable Content", "status": 422, "code": "invalid", "params": {}, "detail": "One fault."}

#: Long enough for an answer on any machine, seconds; what is cut off gets SHORT_S.
LONG_S, SHORT_S = 60.0, 0.4


def whole(acts: Any, body: Any = CLEAR) -> bytes:
    """Give an answer as it goes over the wire."""
    found: bytes = acts.text(200, json.dumps(body))
    return found


def problem(acts: Any, status: int, **more: Any) -> Any:
    """Give the act that answers with a problem document."""
    return acts.says({**PROBLEM, "status": status, **more}, status, media_type="application/problem+json")


def left_behind() -> list[threading.Thread]:
    """Give the threads of calls that nobody waits for any more."""
    return [thread for thread in threading.enumerate() if thread.name == module.__name__]


class TestCheckout:
    """A checkout ..."""

    @pytest.mark.parametrize(
        ("answer", "decision", "hold", "question"),
        [
            (CLEAR, "clear", False, None),
            (CONFIRM, "confirm", True, "Eight are missing."),
            (LENIENT, "confirm", False, "Eight are missing."),
            (STOP, "stop", True, None),
        ],
    )
    def test_gives_what_the_answer_says(
        self, play: Any, acts: Any, answer: Json, decision: str, hold: bool, question: str | None
    ) -> None:
        """... gives the decision, whether the parcel waits and what to ask, beside the answer itself."""
        with Client(play(acts.says(answer)).address) as client:
            found = client.checkout(BASKET, LONG_S)
        assert Checkout(decision, hold, answer["code"], "It goes on.", question, answer) == found  # type: ignore[arg-type]

    def test_sends_the_basket_as_it_is(self, play: Any, acts: Any) -> None:
        """... posts the basket, and nothing else, as JSON."""
        stage = play(acts.says(CLEAR))
        with Client(stage.address + "/") as client:
            client.checkout(BASKET, LONG_S)
        head, _, body = stage.heard[0].partition("\n\n")
        assert head.startswith("POST /v1/cart-checks HTTP/1.1")
        assert "Content-Type: application/json" in head
        assert json.loads(body) == BASKET

    @pytest.mark.parametrize(
        "unusable",
        [
            pytest.param(lambda acts: acts.resets, id="reset"),
            pytest.param(lambda acts: acts.hangs_up, id="hung_up"),
            pytest.param(lambda acts: acts.sends(whole(acts)[:-9]), id="broken_off"),
            pytest.param(lambda acts: acts.sends(b"220 mail.example.com\r\n\r\n"), id="no_http"),
            pytest.param(lambda acts: problem(acts, 503, code="catalogue_away"), id="503"),
            pytest.param(lambda acts: problem(acts, 500), id="500"),
            pytest.param(lambda acts: problem(acts, 429), id="429"),
            pytest.param(lambda acts: acts.sends(acts.text(502, "<h1>Bad</h1>", "text/html")), id="502_html"),
            pytest.param(lambda acts: acts.sends(acts.text(404, "<h1>No</h1>", "text/html")), id="404_html"),
            pytest.param(lambda acts: acts.sends(acts.text(200, "<h1>Log in</h1>", "text/html")), id="200_html"),
            pytest.param(lambda acts: acts.says(CLEAR, 503), id="503_that_decides"),
            pytest.param(lambda acts: acts.sends(acts.text(200, "")), id="empty"),
            pytest.param(lambda acts: acts.sends(acts.text(200, "[" * 100_000)), id="too_deep"),
            pytest.param(lambda acts: acts.says([CLEAR]), id="no_object"),
            pytest.param(lambda acts: acts.says({}), id="no_decision"),
            pytest.param(lambda acts: acts.says({**CLEAR, "decision": "maybe"}), id="unknown_decision"),
            pytest.param(lambda acts: acts.says({**CLEAR, "decision": ["clear"]}), id="no_word"),
            pytest.param(lambda acts: acts.says({**CLEAR, "blocking": None}), id="no_blocking"),
        ],
    )
    def test_asks_and_holds_where_there_is_no_usable_answer(
        self, play: Any, acts: Any, unusable: Callable[[Any], Any]
    ) -> None:
        """... never says clear and never raises because the service is not there, fails or talks nonsense."""
        with Client(play(unusable(acts)).address) as client:
            found = client.checkout(BASKET, LONG_S)
        assert ("confirm", True, "client.no_answer", None) == (found.decision, found.hold, found.code, found.answer)
        assert found.reason

    @pytest.mark.parametrize(
        "late",
        [
            pytest.param(lambda acts: acts.silent, id="silent"),
            pytest.param(lambda acts: acts.slowly(whole(acts)), id="slow_head"),
            pytest.param(lambda acts: acts.slowly(whole(acts), whole(acts).index(b"{") + 5), id="slow_body"),
        ],
    )
    def test_does_not_wait_for_what_is_late(self, play: Any, acts: Any, late: Callable[[Any], Any]) -> None:
        """... gives up an answer that trickles in, which would say clear to who waits for its last byte."""
        with Client(play(late(acts)).address, timeout_s=LONG_S) as client:
            found = client.checkout(BASKET, SHORT_S)
        assert ("confirm", True, "client.no_answer", None) == (found.decision, found.hold, found.code, found.answer)

    def test_asks_and_holds_where_nobody_listens(self) -> None:
        """... takes a refused connection for no answer."""
        with Client(f"http://127.0.0.1:{free_port()}") as client:
            found = client.checkout(BASKET, LONG_S)
        assert ("confirm", True, "client.no_answer") == (found.decision, found.hold, found.code)

    @pytest.mark.parametrize(("address", "key"), [("fits.example.com", None), ("http://127.0.0.1:1", "mw_key\n")])
    def test_asks_and_holds_where_the_client_is_set_up_wrongly(self, address: str, key: str | None) -> None:
        """... loses no sale to an address without a scheme, or to the end of a line that was read with the key."""
        with Client(address, key) as client:
            found = client.checkout(BASKET, LONG_S)
        assert ("confirm", True, "client.no_answer") == (found.decision, found.hold, found.code)

    @pytest.mark.parametrize("status", [400, 401, 404, 413, 422])
    def test_asks_and_holds_where_the_basket_is_refused(
        self, play: Any, acts: Any, status: int, caplog: pytest.LogCaptureFixture
    ) -> None:
        """... loses no sale to a shop's own mistake, but gives the problem with its places and logs it as an error."""
        with Client(play(problem(acts, status, errors=[FAULT])).address) as client:
            found = client.checkout(BASKET, LONG_S)
        assert ("confirm", True, "client.bad_request", None) == (found.decision, found.hold, found.code, found.answer)
        assert found.problem is not None
        assert (status, (ProblemPlace("/lines/0/quantity", "request.bounds", "found 0, expected 1"),)) == (
            found.problem.status,
            found.problem.errors,
        )
        assert [logging.ERROR] == [record.levelno for record in caplog.records if record.name == module.__name__]
        assert "/lines/0/quantity: found 0, expected 1" in caplog.text

    def test_gives_the_problem_of_a_service_that_fails(self, play: Any, acts: Any) -> None:
        """... keeps what a failing service said, and asks it once only."""
        stage = play(problem(acts, 503, code="catalogue_away"), acts.says(CLEAR))
        with Client(stage.address) as client:
            found = client.checkout(BASKET, LONG_S)
        assert found.problem is not None
        assert (503, "catalogue_away", 1) == (found.problem.status, found.problem.code, len(stage.heard))

    @pytest.mark.parametrize("wrong", [Decimal("1"), float("nan"), {1}], ids=["decimal", "nan", "set"])
    def test_asks_and_holds_where_the_basket_is_no_json(self, play: Any, acts: Any, wrong: Any) -> None:
        """... sends nothing that no service could read."""
        stage = play(acts.says(CLEAR))
        with Client(stage.address) as client:
            found = client.checkout({**BASKET, "lines": [{"quantity": wrong}]}, LONG_S)
        assert ("confirm", True, "client.bad_request", []) == (found.decision, found.hold, found.code, stage.heard)

    def test_warns_of_an_answer_that_did_not_come(self, play: Any, acts: Any, caplog: pytest.LogCaptureFixture) -> None:
        """... leaves a warning, so that a shop can count them."""
        with Client(play(acts.hangs_up).address) as client:
            client.checkout(BASKET, LONG_S)
        assert [logging.WARNING] == [record.levelno for record in caplog.records if record.name == module.__name__]


class TestASecondTry:
    """A connection fault ..."""

    @pytest.mark.parametrize("fault", ["resets", "hangs_up"])
    def test_costs_a_question_nothing(self, play: Any, acts: Any, fault: str) -> None:
        """... before an answer is tried once more, of a GET as of a question that is posted."""
        ask: list[Callable[[Client], Json]] = [
            lambda client: client.get("/v1/standards"),
            lambda client: client.check_cart(BASKET),
            lambda client: client.check_fit({}, []),
            lambda client: client.identify({}),
            lambda client: client.upgrade_path({}, [], {}),
            lambda client: client.bearing_care({}),
            lambda client: client.strap_trim({}),
            lambda client: client.flap_trim({}),
            lambda client: client.lace_length({}),
            lambda client: client.measure_photo({}),
            lambda client: client.match_colours({}),
            lambda client: client.bench_card({}),
        ]
        for each in ask:
            stage = play(getattr(acts, fault), acts.says(CLEAR))
            with Client(stage.address) as client:
                assert (CLEAR, 2) == (each(client), len(stage.heard))

    def test_is_tried_once_more_only(self, play: Any, acts: Any) -> None:
        """... that comes again is told."""
        stage = play(acts.resets, acts.resets, acts.says(CLEAR))
        with Client(stage.address) as client, pytest.raises(NoAnswer):
            client.check_cart(BASKET)
        assert 2 == len(stage.heard)

    @pytest.mark.parametrize("fault", ["resets", "hangs_up"])
    def test_ends_a_write(self, play: Any, acts: Any, fault: str) -> None:
        """... leaves open whether a write arrived, so that it is not sent again."""
        stage = play(getattr(acts, fault), acts.says({}))
        with Client(stage.address) as client, pytest.raises(NoAnswer):
            client.post("/v1/outcomes", {})
        assert 1 == len(stage.heard)

    def test_within_an_answer_ends_the_call(self, play: Any, acts: Any) -> None:
        """... after the answer began is no reason to ask again."""
        stage = play(acts.sends(whole(acts)[:-9]), acts.says(CLEAR))
        with Client(stage.address) as client, pytest.raises(NoAnswer):
            client.check_cart(BASKET)
        assert 1 == len(stage.heard)

    @pytest.mark.parametrize("begun", [0, 60, -5], ids=["silent", "in_the_head", "in_the_body"])
    def test_is_not_what_a_late_answer_is(self, play: Any, acts: Any, begun: int) -> None:
        """... is tried again, a wait that ended is not, wherever in the answer it began."""
        stage = play(acts.stalls(whole(acts)[:begun]))
        with Client(stage.address, timeout_s=SHORT_S) as client, pytest.raises(NoAnswer):
            client.check_cart(BASKET)
        for thread in left_behind():
            thread.join(LONG_S)
        stage.acts = (acts.says({}),)
        with Client(stage.address) as client:  # by its answer, whatever was sent before has been heard
            client.standards()
        assert 2 == len(stage.heard)


class TestACall:
    """A call ..."""

    def test_tells_a_problem_with_all_its_places(self, play: Any, acts: Any) -> None:
        """... that is refused raises what the problem document says."""
        stage = play(problem(acts, 422, errors=[FAULT, FAULT]))
        with Client(stage.address) as client, pytest.raises(ServiceProblem) as caught:
            client.check_cart(BASKET)
        found, place = caught.value, ProblemPlace("/lines/0/quantity", "request.bounds", "found 0, expected 1")
        assert (422, "invalid", "Unprocessable Content", "One fault.") == (
            found.status,
            found.code,
            found.title,
            found.detail,
        )
        assert (place, place) == found.errors
        assert str(found).startswith("422 invalid: One fault.; /lines/0/quantity: found 0, expected 1")

    @pytest.mark.parametrize("errors", [None, 3, "all", [3], [{}]])
    def test_takes_a_problem_of_any_shape(self, play: Any, acts: Any, errors: Any) -> None:
        """... raises the problem also where its list of faults is none."""
        with Client(play(problem(acts, 400, errors=errors)).address) as client, pytest.raises(ServiceProblem):
            client.get("/v1/skates")

    @pytest.mark.parametrize("late", ["silent", "slow"])
    def test_ends_within_its_time(self, play: Any, acts: Any, late: str) -> None:
        """... of any kind ends with its time, also where the answer trickles in."""
        stage = play(acts.silent if late == "silent" else acts.slowly(whole(acts)))
        with Client(stage.address, timeout_s=SHORT_S) as client, pytest.raises(NoAnswer):
            client.standards()

    def test_is_not_sent_elsewhere(self, play: Any, acts: Any) -> None:
        """... follows no redirect, which would make a GET of what is posted."""
        stage = play(acts.says({}, 302, Location="/elsewhere"), acts.says(CLEAR))
        with Client(stage.address) as client, pytest.raises(NoAnswer, match="status 302"):
            client.check_cart(BASKET)
        assert 1 == len(stage.heard)

    def test_brings_its_key(self, play: Any, acts: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        """... sends the key, whatever a .netrc of the machine has for the same host."""
        (tmp_path / "netrc").write_text("machine 127.0.0.1 login kestrel password lock\n")
        monkeypatch.setenv("NETRC", str(tmp_path / "netrc"))
        stage = play(acts.says({}))
        with Client(stage.address, key="mw_k3y") as client:
            client.standards()
        assert "\r\nAuthorization: Bearer mw_k3y\r\n" in stage.heard[0]

    def test_writes_its_query(self, play: Any, acts: Any) -> None:
        """... leaves out what is not said, writes flags as words, and escapes what stands in the path."""
        stage = play(acts.says({}))
        with Client(stage.address) as client:
            client.candidates("lock/2", "frame", near=True, colour=None, limit=3)
        assert stage.heard[0].startswith("GET /v1/skates/lock%2F2/candidates?position=frame&near=true&limit=3 HTTP/1.1")

    def test_gets_no_answer_where_too_many_are_under_way(self, play: Any, acts: Any) -> None:
        """... does not add to a heap that a silent service has made, and is made again when the heap is gone."""
        stage = play(acts.silent)
        with Client(stage.address, timeout_s=LONG_S) as client, ThreadPoolExecutor(MOST_UNDER_WAY) as many:
            found = [many.submit(client.checkout, BASKET, LONG_S) for _ in range(MOST_UNDER_WAY)]
            while len(stage.heard) < MOST_UNDER_WAY:
                threading.Event().wait(0.01)
            with pytest.raises(NoAnswer, match=f"{MOST_UNDER_WAY} calls are under way"):
                client.standards()
            stage.over.set()
            assert {"client.no_answer"} == {each.result().code for each in found}
            stage.acts = (acts.says({}),)
            assert {} == client.standards()

    def test_does_not_hold_up_the_end_of_a_program(self, play: Any, acts: Any) -> None:
        """... that nobody waits for any more lets the program end, though its answer goes on for hours."""
        stage = play(acts.slowly(acts.text(200, " " * 500_000)))
        program = f"from mountwright.client import Client; print(Client('{stage.address}').checkout({{}}, 1).code)"
        done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, timeout=60, check=True)
        assert "client.no_answer\n" == done.stdout


class TestTheService:
    """The real service ..."""

    def test_gives_its_standards_and_its_catalogue(self, shop: str) -> None:
        """... is read by name."""
        with Client(shop) as client:
            assert "two-bolt-165" in {standard["key"] for standard in client.standards()["standards"]}
            assert "Marrowby Lock 2" == client.skate("marrowby-lock-2")["record"]["name"]
            assert "frame" == client.part("frame-quillfen-4x80-black")["record"]["kind"]
            assert 1 == len(client.get("/v1/parts", kind="frame", in_stock=True, limit=1)["parts"])
            assert "fits" == client.candidates("marrowby-lock-2", "frame", limit=5)["groups"][0]["verdict"]

    def test_answers_questions(self, shop: str) -> None:
        """... is asked whether a part goes on, and what a mount is."""
        bolts = {"position": "frame", "dimensions": {"hole_spacing_mm": {"value": 165.0, "instrument": "caliper"}}}
        with Client(shop) as client:
            fit = client.check_fit({"sku": "marrowby-lock-2"}, [{"sku": "frame-quillfen-4x80-black"}], stake="counter")
            found = client.identify(bolts)
        assert "fits" == fit["verdict"]
        assert "two-bolt-165" == found["identifications"][0]["candidates"][0]["standard"]

    def test_tells_what_a_set_up_will_be_like(self, shop: str) -> None:
        """... is asked how a skate stands on its wheels, and how two set-ups roll."""
        lock = {"skate": {"sku": "marrowby-lock-2"}}
        fast = {**lock, "parts": [{"sku": "wheel-yarrowick-freshet-80-87a-violet"}]}
        with Client(shop) as client:
            line = client.wheel_line(lock, 80, options={"most": 1})
            first, second = client.compare_rides([lock, fast], {"mass_kg": 80})["set_ups"]
        assert ("stands", 1) == (line["outcome"], len(line["options"]["listed"]))
        assert (None, True) == (first["against_first"], second["against_first"]["ratio"]["likely"] < 1)

    def test_tells_how_to_spend_a_customers_money(self, shop: str) -> None:
        """... is asked for an upgrade path, and whether bearings are better cleaned or replaced."""
        lock, purse = {"sku": "marrowby-lock-2", "eu_size": 42}, {"currency": "EUR", "amount_minor": 15000}
        with Client(shop) as client:
            path = client.upgrade_path(lock, ["heel_lift"], purse, labour_minor_per_hour=4800)
            care = client.bearing_care({"set_price_minor": 900, "currency": "EUR", "riding_days_a_month": 12})
        assert ("path", True) == (path["outcome"], path["complaints"][0]["relief"] > 0)
        assert 0 <= care["clean_probability"] <= 1

    def test_tells_what_may_be_cut_off(self, shop: str) -> None:
        """... is asked how much of a strap and of a flap may go."""
        with Client(shop) as client:
            strap, flap = client.strap_trim({}), client.flap_trim({"of": "cuff"})
        assert ("cannot_tell", "cannot_tell") == (strap["outcome"], flap["outcome"])

    def test_tells_which_lace_to_take(self, shop: str) -> None:
        """... is asked how long a lace a boot takes, and which in stock reaches."""
        pitch, gap = {"value": 15, "instrument": "steel_rule"}, {"value": 40, "instrument": "steel_rule"}
        with Client(shop) as client:
            found = client.lace_length({"pairs": 6, "gap_mm": gap, "pitch_mm": pitch, "in_stock": True})
        assert found["sold"]["length_mm"] == found["stock"][0]["length_mm"] == 1200

    def test_tells_what_clicks_on_a_photo_lack(self, shop: str) -> None:
        """... is asked for lengths on a photo, and says what the clicks lack."""
        with Client(shop) as client, pytest.raises(ServiceProblem) as refused:
            client.measure_photo({"image": {"width_px": 4000, "height_px": 3000}})
        assert {"/card", "/marks"} < {place.pointer for place in refused.value.errors}

    def test_tells_sizes(self, shop: str) -> None:
        """... is asked for the sizes of two feet, and which of the shop's skates they go in."""
        foot = {"length_mm": {"value": 270, "instrument": "steel_rule"}}
        with Client(shop) as client:
            found = client.size_conversion(foot, foot, skates=[{"sku": "marrowby-lock-2"}])
        assert ("converted", "marrowby-lock-2") == (found["outcome"], found["skates"][0]["sku"])

    def test_finds_parts_of_a_colour(self, shop: str) -> None:
        """... is asked for parts near a colour, and for colours beside each other."""
        teal = {"srgb": "#1a8a86"}
        with Client(shop) as client:
            found = client.match_colours(
                {"skate": {"sku": "marrowby-lock-2"}, "wanted": teal, "together": [teal, teal]}
            )
        assert ("same", "same") == (found["parts"][0]["band"], found["together"]["band"])

    def test_writes_a_bench_card(self, shop: str) -> None:
        """... is asked for the card that goes to the bench with a skate of the catalogue."""
        with Client(shop) as client:
            card = client.bench_card(
                {"reference": "T-1", "skate": {"sku": "marrowby-lock-2"}, "jobs": [{"job": "swap_bearings"}]}
            )
        assert ("T-1", 3) == (card["reference"], len(card["jobs"]))

    def test_says_what_is_wrong(self, shop: str) -> None:
        """... names the place of every fault, and what it does not have."""
        with Client(shop) as client:
            with pytest.raises(ServiceProblem) as refused:
                client.check_fit({"sku": "marrowby-lock-2"}, [{"sku": "no-such-part"}, {"kind": "frame", "colour": 1}])
            with pytest.raises(ServiceProblem) as missing:
                client.skate("no-such-skate")
        assert {"/parts/0/sku", "/parts/1/colour"} <= {place.pointer for place in refused.value.errors}
        assert (422, 404) == (refused.value.status, missing.value.status)
