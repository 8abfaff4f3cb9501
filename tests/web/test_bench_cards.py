"""``/v1/bench-cards``: what a request may say, what is refused and where, and what is answered."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from mountwright.bootstrap import create_app
from mountwright.settings import Settings
from mountwright.web.rides.picture_link import packed_text
from mountwright.web.schemas.bench_card_answers import BenchCardAnswerSchema

Json = dict[str, Any]
Keep = Callable[..., None]

CARDS, HTML, PDF = "/v1/bench-cards", {"Accept": "text/html"}, {"Accept": "application/pdf"}

TEN: list[Json] = tomllib.loads(Path(__file__).with_name("bench_cards.toml").read_text(encoding="utf-8"))["cards"]

each_card = pytest.mark.parametrize("card", TEN, ids=[card["title"].replace(" ", "_") for card in TEN])

A4 = (210 / 25.4 * 72, 297 / 25.4 * 72)


def request_of(title: str) -> Json:
    """Give the request of one of the ten cards."""
    (found,) = [card["request"] for card in TEN if card["title"] == title]
    request: Json = found
    return request


SWAP, RIVETS, BUCKLES = (request_of(name) for name in ("Frame swap with eccentric axles", "Rivets to drill", "Buckles"))
FOREIGN = request_of("Greek, Czech and markup")

#: A place of a frame of which nobody says how it was measured.
BARE_PLACE = {"along_mm": 1, "across_mm": 1}


def card(*jobs: Any, **more: Any) -> Json:
    """Give a request for jobs by their keys, or as they stand in a request."""
    named = [job if isinstance(job, dict) else {"job": job} for job in jobs]
    return {"reference": "T-1", "skate": {"name": "Marrowby Lantern"}, "jobs": named, **more}


def told(client: FlaskClient, body: Any, status: int = 200) -> Json:
    """Ask, and give the body of an answer with a status."""
    response = client.post(CARDS, json=body)
    assert status == response.status_code, response.get_data(as_text=True)
    answer: Json = response.json
    return answer


def faults(client: FlaskClient, body: Any) -> dict[str, str]:
    """Give the codes of the faults of a body that is refused, by place; each has a sentence."""
    found = told(client, body, 422)["errors"]
    assert all(fault["detail"] != fault["code"] for fault in found), found
    return {fault["pointer"]: fault["code"] for fault in found}


def page(client: FlaskClient, body: Json) -> str:
    """Give a card as a page."""
    response = client.post(CARDS, json=body, headers=HTML)
    assert (200, "text/html") == (response.status_code, response.mimetype)
    return response.get_data(as_text=True)


class TestAnswer:
    """The answer about a bench card ..."""

    @each_card
    def test_is_as_the_contract_shows_it(self, client: FlaskClient, card: Json) -> None:
        """... has the form of the contract."""
        assert {} == BenchCardAnswerSchema().validate(told(client, card["request"]))

    def test_has_jobs_in_order_with_their_time(self, client: FlaskClient) -> None:
        """... numbers the jobs in their order and adds their times up."""
        found = told(client, SWAP)
        bounds = ("least", "usual", "most")

        assert list(range(1, 6)) == [job["number"] for job in found["jobs"]]
        assert ["take_wheels_off", "take_frame_off", "swap_frame"] == [job["job"] for job in found["jobs"][:3]]
        assert found["minutes"] == {name: sum(job["minutes"][name] for job in found["jobs"]) for name in bounds}

    def test_names_the_makers_torque_with_its_source_or_none(self, client: FlaskClient) -> None:
        """... has the maker's figure of the bolts that the job names, and the maker's sheet for the rest."""
        torques = {job["job"]: job["torques"] for job in told(client, SWAP)["jobs"]}

        assert ("card.torque", 7.5, 1) == tuple(
            torques["swap_frame"][0][name] for name in ("code", "torque_n_m", "part")
        )
        assert "M6 x 12" in torques["swap_frame"][0]["message"]
        assert ("card.torque_sheet", None) == tuple(
            torques["put_wheels_on"][0][name] for name in ("code", "torque_n_m")
        )

    def test_asks_for_consent_only_where_something_stays_for_good(self, client: FlaskClient) -> None:
        """... has a text to sign that names the work that cannot be undone, and none for other work."""
        asked, none = told(client, RIVETS), told(client, BUCKLES)

        assert (False, ["replace_rivet"]) == (asked["can_be_undone"], asked["consent"]["jobs"])
        assert "Have a rivet replaced" in asked["consent"]["message"]
        assert (True, None) == (none["can_be_undone"], none["consent"])

    def test_takes_the_jobs_from_the_parts(self, client: FlaskClient) -> None:
        """... has the job that puts each part on, where nobody names jobs, and says of which parts."""
        found = told(client, BUCKLES)

        assert ["fit_buckle"] == [job["job"] for job in found["jobs"]]
        assert [[0], [1]] == [target["parts"] for target in found["jobs"][0]["targets"]]
        assert ["cuff", "instep"] == [target["place"] for target in found["jobs"][0]["targets"]]
        assert [["fit_buckle"]] * 2 == [part["jobs"] for part in found["parts"]]

    def test_marks_where_the_frame_stood(self, client: FlaskClient) -> None:
        """... repeats where the frames stood, asks to mark it where nobody says, and is silent where they stay."""
        told_place, open_place = told(client, SWAP)["old_frame_place"], told(client, card("shift_frame"))

        assert {"along_mm": -2, "across_mm": 1.5, "plus_minus_mm": 0.75} == told_place["left"]
        assert (None, None) == (open_place["old_frame_place"]["left"], open_place["old_frame_place"]["right"])
        assert told(client, card("fit_strap"))["old_frame_place"] is None

    def test_says_what_is_known_of_moulding(self, client: FlaskClient) -> None:
        """... has the maker's figures of a liner that may be moulded, and names none on its own."""
        warm = {"mouldable": True, "moulding_temperature_c": 80, "moulding_time_min": 8}
        job = {"job": "heat_mould_liner", "parts": [0]}
        known, unknown = (
            told(client, card(job, parts=[{"kind": "liner", "specs": specs}]))["jobs"][0]["mouldings"][0]
            for specs in (warm, {})
        )

        assert (True, 80, 8, 0) == tuple(known[name] for name in ("may", "temperature_c", "time_min", "part"))
        assert (None, None, "moulding.mark_unknown") == tuple(unknown[n] for n in ("may", "temperature_c", "code"))

    def test_says_the_same_twice(self, client: FlaskClient) -> None:
        """... to the same question has the same bytes, in every form."""
        for headers in ({}, HTML, PDF):
            first, second = (client.post(CARDS, json=SWAP, headers=headers).data for _ in range(2))
            assert first == second

    def test_takes_skate_and_parts_from_the_catalogue(self, asking: FlaskClient, keep: Keep) -> None:
        """... knows the catalogue's names, mounts and torques, and its version stands in the receipt."""
        mount = {"position": "frame", "standard": "two-bolt-165", "claimed_by": "maker"}
        keep(
            {"sku": "lantern", "kind": "skate", "name": "Marrowby Lantern", "version": "2019", "mounts": [mount]},
            {"sku": "bolt-m6", "kind": "bolt", "name": "M6 x 12", "specs": {"torque_n_m": 7}},
        )
        job = {"job": "swap_frame_bolts", "parts": [0]}
        found = told(
            asking, {**card(job), "skate": {"sku": "lantern"}, "parts": [{"sku": "bolt-m6", "place": "front"}]}
        )

        assert {
            "sku": "lantern",
            "name": "Marrowby Lantern 2019",
            "eu_size": None,
            "mounts": [{"position": "frame", "standard": "two-bolt-165"}],
        } == found["skate"]
        assert ("bolt-m6", "M6 x 12", "front") == tuple(found["parts"][0][name] for name in ("sku", "name", "place"))
        assert 7 == found["jobs"][2]["torques"][0]["torque_n_m"]
        assert found["receipt"]["catalogue"] is not None

    def test_links_to_the_wheel_lines_picture(self, client: FlaskClient) -> None:
        """... leads to the picture that is on it, and to none where it has none."""
        picture = client.get(told(client, SWAP)["picture"])

        assert (200, "image/svg+xml") == (picture.status_code, picture.mimetype)
        assert told(client, RIVETS)["picture"] is None


class TestAddress:
    """The address of a card ..."""

    @pytest.mark.parametrize("body", [SWAP, RIVETS, FOREIGN], ids=["swap", "rivets", "foreign"])
    def test_gives_the_same_card(self, client: FlaskClient, body: Json) -> None:
        """... gives the same JSON, page and PDF as the request, byte for byte."""
        links = told(client, body)["links"]

        assert client.post(CARDS, json=body).data == client.get(links["card"]).data
        for form, headers in (("html", HTML), ("pdf", PDF)):
            posted = client.post(CARDS, json=body, headers=headers)
            by_accept, by_word = client.get(links["card"], headers=headers), client.get(links[form])
            assert (posted.data, posted.mimetype) == (by_accept.data, by_accept.mimetype)
            assert (posted.data, posted.mimetype) == (by_word.data, by_word.mimetype)

    def test_gives_a_browser_the_page(self, client: FlaskClient) -> None:
        """... scanned with a telephone, whose browser accepts pages before all else, is the page."""
        accept = "text/html,application/xhtml+xml,application/xml;q=0.9,image/avif,*/*;q=0.8"
        answer = client.get(told(client, RIVETS)["links"]["card"], headers={"Accept": accept})

        assert ("text/html", "no-store") == (answer.mimetype, answer.headers["Cache-Control"])
        assert "Accept" in answer.vary

    def test_stands_in_the_code_as_the_service_is_reached(self, client: FlaskClient) -> None:
        """... in the code begins with what the request came to."""
        link = told(client, RIVETS)["links"]["card"]

        assert f'href="http://localhost{link}"' in page(client, RIVETS).replace("&amp;", "&")

    def test_stands_in_the_code_as_the_shop_says(self, sqlite_database: str) -> None:
        """... in the code begins with the address that the shop set."""
        app = create_app(Settings(database=sqlite_database, address="https://fits.example.com"))
        with app.test_client() as client:
            assert 'href="https://fits.example.com/v1/bench-cards?q=' in page(client, RIVETS)

    def test_is_left_out_where_it_is_too_long(self, client: FlaskClient) -> None:
        """... of a request that no address holds, or no code, is left out, and the card says so."""
        many = [{"kind": "other", "name": f"{number:x}" * 9} for number in range(10**15, 10**15 + 24 * 10**13, 10**13)]
        full = {**RIVETS, "parts": many, "notes": " ".join(str(number**5) for number in range(1000, 1400))}
        answer = told(client, full)

        assert {"card": None, "html": None, "pdf": None} == answer["links"]
        for body in (full, request_of("Everything")):
            assert "<figure" not in page(client, body)
            assert "No QR code" in page(client, body)

    @pytest.mark.parametrize(
        ("q", "status"),
        [("x", 400), ("%%%", 400), (packed_text(b"[1, 2"), 400), (packed_text(b"{}"), 422), ("", 422)],
    )
    def test_that_the_service_never_gave_is_refused(self, client: FlaskClient, q: str, status: int) -> None:
        """... that is none is refused, and so is one that carries no card."""
        assert status == client.get(CARDS, query_string={"q": q}).status_code

    def test_takes_no_other_form(self, client: FlaskClient) -> None:
        """... names one of the forms that there are, or none."""
        answer = client.get(f"{told(client, RIVETS)['links']['card']}&as=svg")

        assert ("/query/as", 422) == (answer.json["errors"][0]["pointer"], answer.status_code)


class TestRefusal:
    """A card ..."""

    def test_without_a_job_is_refused(self, client: FlaskClient) -> None:
        """... without a job is none: with none named, with an empty list, and with parts that take none."""
        bare = {"reference": "T-1", "skate": {"name": "Marrowby Lantern"}}

        for body in (bare, {**bare, "jobs": []}, {**bare, "parts": [{"kind": "other"}]}, {**bare, "parts": []}):
            assert {"/jobs": "card.no_jobs"} == faults(client, body)

    @pytest.mark.parametrize(
        ("wrong", "expected"),
        [
            ({"reference": ""}, {"/reference": "request.size"}),
            ({"reference": "  \n "}, {"/reference": "request.size"}),
            ({"reference": "x" * 61}, {"/reference": "request.size"}),
            ({"reference": 7}, {"/reference": "request.not_text"}),
            ({"reference": None}, {"/reference": "request.null"}),
            ({"skate": {}}, {"/skate/name": "request.required"}),
            ({"skate": {"name": "x", "wheels": 4}}, {"/skate/wheels": "request.unknown_field"}),
            ({"skate": {"name": "x", "eu_size": 400}}, {"/skate/eu_size": "request.bounds"}),
            ({"skate": {"sku": "no-such"}}, {"/skate/sku": "request.unknown_sku"}),
            ({"parts": [{"name": "x"}]}, {"/parts/0/kind": "request.required"}),
            ({"parts": [{"kind": "bell"}]}, {"/parts/0/kind": "request.choice"}),
            ({"parts": [{"kind": "bolt", "pieces": 0}]}, {"/parts/0/pieces": "request.bounds"}),
            ({"parts": [{"kind": "bolt", "specs": {"mass_g": 0}}]}, {"/parts/0/specs/mass_g": "request.bounds"}),
            ({"parts": [{"sku": "no-such"}]}, {"/parts/0/sku": "request.unknown_sku"}),
            ({"jobs": [{"job": "swap_frme"}]}, {"/jobs/0/job": "card.unknown_job_near"}),
            ({"jobs": [{"job": "Q" * 60}]}, {"/jobs/0/job": "card.unknown_job"}),
            ({"jobs": [{"job": "fit_strap", "parts": [0]}]}, {"/jobs/0/parts/0": "card.no_such_part"}),
            ({"jobs": [{"job": "fit_strap", "parts": [-1]}]}, {"/jobs/0/parts/0": "request.bounds"}),
            ({"jobs": [{"job": "fit_strap", "side": "both sides"}]}, {"/jobs/0/side": "request.choice"}),
            ({"jobs": [{"job": "fit_strap"}] * 49}, {"/jobs": "request.size"}),
            ({"notes": "x" * 10_001}, {"/notes": "request.size"}),
            ({"notes": "x\n" * 201}, {"/notes": "card.lines"}),
            ({"old_frame_place": {"left": BARE_PLACE}}, {"/old_frame_place/left/instrument": "request.no_doubt"}),
            ({"wheel_line": {"set_up": {}, "load": {"mass_kg": 80}}}, {"/wheel_line/set_up/parts": "ride.no_frame"}),
            ({"language": "en"}, {"/language": "request.unknown_field"}),
        ],
    )  # fmt: skip
    def test_is_refused_at_the_place_of_the_fault(self, client: FlaskClient, wrong: Json, expected: Json) -> None:
        """... with a fault is refused, and the place is named."""
        assert expected == faults(client, {**card("fit_strap"), **wrong})

    def test_is_refused_with_all_faults_at_once(self, client: FlaskClient) -> None:
        """... with several faults is refused once, with all of them."""
        jobs = [{"job": "swap_frme", "parts": [3]}, {"job": "fit_strap"}, {"job": "no"}]

        assert {
            "/jobs/0/job": "card.unknown_job_near",
            "/jobs/0/parts/0": "card.no_such_part",
            "/jobs/2/job": "card.unknown_job",
        } == faults(client, card(*jobs))

    def test_that_leaves_the_job_open_is_refused(self, client: FlaskClient) -> None:
        """... with a part that several jobs may put on asks which of them is meant."""
        bare = {"reference": "T-1", "skate": {"name": "x"}, "parts": [{"kind": "lace"}, {"kind": "bolt"}]}
        answer = told(client, bare, 422)["errors"]

        assert [("/parts/1/kind", "card.which_job")] == [(fault["pointer"], fault["code"]) for fault in answer]
        assert "swap_frame_bolts, swap_cuff_bolt" in answer[0]["detail"]

    @pytest.mark.parametrize(
        ("part", "code"),
        [
            ({"kind": "liner", "specs": {"mouldable": False}}, "moulding.not_mouldable"),
            ({"kind": "frame"}, "moulding.not_this_kind"),
        ],
    )
    def test_sends_nothing_into_the_oven_that_does_not_belong_there(
        self, client: FlaskClient, part: Json, code: str
    ) -> None:
        """... that would mould what is not mouldable is refused."""
        body = card({"job": "heat_mould_liner", "parts": [0]}, parts=[part])

        assert {"/jobs/0/parts/0": code} == faults(client, body)

    @pytest.mark.parametrize(
        ("wrong", "place"),
        [
            ({"reference": "客户 7"}, "/reference"),
            ({"skate": {"name": "סקייט"}}, "/skate/name"),
            ({"parts": [{"kind": "lace", "name": "紐"}]}, "/parts/0/name"),
            ({"parts": [{"kind": "lace", "place": "左"}]}, "/parts/0/place"),
            ({"jobs": [{"job": "fit_strap", "place": "\u202egnorw"}]}, "/jobs/0/place"),
            ({"notes": "fine\n\U0001f6fc"}, "/notes"),
            ({"notes": "a\0b"}, "/notes"),
        ],
    )
    @pytest.mark.parametrize("headers", [{}, HTML, PDF], ids=["json", "html", "pdf"])
    def test_in_letters_that_its_typeface_lacks_is_refused(
        self, client: FlaskClient, wrong: Json, place: str, headers: Json
    ) -> None:
        """... in letters that the PDF's typeface lacks is refused in every form, never printed as boxes."""
        answer = client.post(CARDS, json={**card("fit_strap"), **wrong}, headers=headers)

        assert (422, [(place, "card.letters")]) == (
            answer.status_code,
            [(fault["pointer"], fault["code"]) for fault in answer.json["errors"]],
        )

    def test_with_a_foreign_name_from_the_catalogue_is_refused(self, asking: FlaskClient, keep: Keep) -> None:
        """... of an article whose name cannot be printed is refused at its SKU."""
        keep({"sku": "lantern", "kind": "skate", "name": "滑"}, {"sku": "lace", "kind": "lace", "name": "紐"})
        body = {**card("fit_strap"), "skate": {"sku": "lantern"}, "parts": [{"sku": "lace"}]}

        assert {"/skate/sku": "card.letters", "/parts/0/sku": "card.letters"} == faults(asking, body)

    def test_with_a_foreign_name_in_its_picture_is_refused(self, client: FlaskClient) -> None:
        """... whose picture would carry letters that cannot be printed is refused there."""
        line = {**SWAP["wheel_line"], "set_up": {**SWAP["wheel_line"]["set_up"], "name": "冬"}}

        assert {"/wheel_line/set_up/name": "card.letters"} == faults(client, {**SWAP, "wheel_line": line})

    def test_takes_accents_apart_from_their_letters(self, client: FlaskClient) -> None:
        """... whose accents were typed apart from their letters has them put together."""
        assert (
            "Žluťoučký"
            == told(client, {**card("fit_strap"), "reference": "Z\u030clut\u030couc\u030cky\u0301"})["reference"]
        )

    @settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
    @given(
        reference=st.text(max_size=70),
        note=st.text(max_size=400),
        more=st.dictionaries(st.sampled_from(["parts", "jobs", "skate", "wheel_line", "old_frame_place"]), st.recursive(
            st.none() | st.booleans() | st.floats() | st.text(max_size=8),
            lambda below: st.lists(below, max_size=3) | st.dictionaries(st.text(max_size=6), below, max_size=3),
            max_leaves=6,
        )),
    )  # fmt: skip
    def test_is_written_or_refused_whatever_is_asked(
        self, client: FlaskClient, reference: str, note: str, more: Json
    ) -> None:
        """... of any request whatever is written or refused, never a failure."""
        body = {**card("fit_strap"), "reference": reference, "notes": note, **more}
        try:
            answer = client.post(CARDS, json=body, headers=PDF)
        except ValueError:  # NaN is no JSON, and no half of a character is written
            return

        assert answer.status_code in (200, 400, 422), answer.get_data(as_text=True)
