"""``GET /v1/standards/{key}/gauge``: printed, measured with and entered again, it names the standard it is for."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from mountwright.bench.gauges import gauge_of
from mountwright.bootstrap import create_app
from mountwright.mounts.discovery import discovered
from mountwright.mounts.standard import DrawnAs
from mountwright.settings import Reads, Settings

Json = dict[str, Any]
Reading = Callable[[bytes], list[Any]]

REGISTRY = discovered()
GAUGES = {key: found for key, each in REGISTRY.standards.items() if (found := gauge_of(each, REGISTRY)) is not None}
#: Every length that some gauge draws as holes or as a circle, with whose it is.
LENGTHS = [
    (key, scale.dimension.name, scale.drawn_as)
    for key, found in GAUGES.items()
    for scale in found.scales
    if scale.drawn_as is not DrawnAs.COMB
]
SVG, PDF = {"Accept": "image/svg+xml"}, {"Accept": "application/pdf"}


@pytest.fixture(scope="module")
def printed(app: Flask, read_pdf: Reading) -> Callable[[str], Any]:
    """Give a way to print gauges on A4, each once."""
    pages: dict[str, Any] = {}

    def page(key: str) -> Any:
        if key not in pages:
            pages[key] = page_of(app.test_client(), key, read_pdf)
        return pages[key]

    return page


def page_of(client: FlaskClient, key: str, read_pdf: Reading, paper: str = "a4") -> Any:
    """Give what an independent reader finds on the printed gauge of a standard."""
    response = client.get(f"/v1/standards/{key}/gauge?paper={paper}", headers=PDF)
    assert 200 == response.status_code, response.get_data(as_text=True)
    (page,) = read_pdf(response.data)
    return page


def drawn_lengths(page: Any, drawn_as: DrawnAs) -> list[float]:
    """Give the lengths on a page: of circles how wide they are, of holes how far above the first of their axis."""
    if drawn_as is DrawnAs.CIRCLE:
        return [2 * radius for _, _, radius in page.circles]
    lowest = max(y for _, y, _ in page.circles)
    return [lowest - y for _, y, _ in page.circles if y < lowest]


def bar_on(page: Any) -> float:
    """Give how long the check bar is: upright, from the line that the card's frame stands on, as high as the frame."""
    (_, top, _, height) = max(page.rectangles, key=lambda each: each[3])
    lengths = [abs(y2 - y1) for x1, y1, x2, y2 in page.lines if x1 == x2 and abs(max(y1, y2) - top - height) < 0.01]
    return max(length for length in lengths if length < 100)


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("key", [key for key, found in GAUGES.items() if found.scales[0].drawn_as is DrawnAs.HOLES])
def test_the_hole_centres_are_where_they_belong(client: FlaskClient, read_pdf: Reading, key: str, paper: str) -> None:
    """An independent reader finds every hole of the PDF within 0.05 mm of its place, on one axis, and the bar true."""
    page = page_of(client, key, read_pdf, paper)
    scale = GAUGES[key].scales[0]
    stated = sorted((each.nominal_um or 0) / 1000 for each in (scale, *scale.neighbours))

    assert [pytest.approx(each, abs=0.05) for each in stated] == sorted(drawn_lengths(page, DrawnAs.HOLES))
    assert 1 == len({round(x, 3) for x, _, _ in page.circles})
    assert pytest.approx(85.6, abs=0.01) == bar_on(page)


@pytest.mark.parametrize("scale", [0.97, 1.0, 1.03])
@pytest.mark.parametrize(("key", "dimension", "drawn_as"), LENGTHS)
class TestPrintedAndEntered:
    """A gauge that a printer scaled, with a mount of its standard laid on it ..."""

    def test_names_the_standard(
        self,
        client: FlaskClient,
        printed: Callable[[str], Any],
        key: str,
        dimension: str,
        drawn_as: DrawnAs,
        scale: float,
    ) -> None:
        """... gives a reading that, with the bar's measured length beside it, leads to the standard."""
        page, nominal = printed(key), REGISTRY.standards[key].nominals[dimension]
        stated, laid_on = nominal.stated / 1000, nominal.conforming.value / 1000
        came_out = scale * min(drawn_lengths(page, drawn_as), key=lambda length: abs(length - stated))
        # The line of the stated figure came out at the printed length; the mount is as long as ever.
        reading, bar = round(laid_on * stated / came_out, 2), round(scale * bar_on(page), 2)
        figure = {"value": reading, "instrument": "printed_gauge", "check_bar_mm": bar}

        found = identified(client, key, dimension, figure)

        assert key == found["candidates"][0]["standard"]
        # What no print tells apart, it does not pretend to: the sheet says so.
        certain = found["finding"] == "identified"
        assert certain or GAUGES[key].not_told_apart


def identified(client: FlaskClient, key: str, dimension: str, figure: Json) -> Json:
    """Identify a mount of a standard by one figure."""
    family = REGISTRY.standards[key].family
    mount = {"position": family.positions[0], "side": family.dimensions[dimension].sides[0]}
    body = {"mount": {**mount, "dimensions": {dimension: figure}}}
    response = client.post("/v1/mount-identifications", json=body)
    assert 200 == response.status_code, response.get_data(as_text=True)
    found: Json = response.get_json()["identifications"][0]
    return found


@pytest.mark.parametrize("reading", [170.1, 160.2])
def test_a_print_out_of_scale_misleads_without_its_bar(client: FlaskClient, reading: float) -> None:
    """What is read off a print of 97 or 103 % is no 165 any more where nobody measured the bar."""
    uncorrected = {"value": reading, "instrument": "printed_gauge"}

    assert "identified" != identified(client, "two-bolt-165", "hole_spacing_mm", uncorrected)["finding"]


class TestCheckBar:
    """A check bar in a request ..."""

    @pytest.mark.parametrize(
        ("bar", "code"),
        [
            (77.0, "request.check_bar"),
            (94.2, "request.check_bar"),
            (0.001, "request.check_bar"),
            (1e300, "request.check_bar"),
            (0, "request.not_above_nothing"),
            (-85.6, "request.not_above_nothing"),
            ("85.6", "request.not_number"),
            (True, "request.not_number"),
            (None, "request.not_number"),
        ],
    )
    def test_that_no_printer_makes_is_refused(self, client: FlaskClient, bar: Any, code: str) -> None:
        """... is refused at its own place where it is no length that a printer makes of 85.6 mm."""
        figure = {"value": 165, "instrument": "printed_gauge", "check_bar_mm": bar}

        assert [("/mount/dimensions/hole_spacing_mm/check_bar_mm", code)] == faults(client, {"hole_spacing_mm": figure})

    def test_is_told_what_it_should_be(self, client: FlaskClient) -> None:
        """... that was another line is answered with the bounds, and with what to do."""
        figure = {"value": 165, "instrument": "printed_gauge", "check_bar_mm": 54}
        detail = refusal(client, {"hole_spacing_mm": figure})["errors"][0]["detail"]

        assert (
            "Found a check bar of 54 mm, expected 77.04 to 94.16 mm, for it is drawn 85.6 mm long: "
            "measure the bar again, or print the gauge again at 100 %." == detail
        )

    @pytest.mark.parametrize("figure", [{"instrument": "caliper"}, {"plus_minus": 0.3}])
    def test_belongs_to_a_printed_gauge(self, client: FlaskClient, figure: Json) -> None:
        """... is refused beside a reading that no gauge was used for."""
        given = {"value": 165, "check_bar_mm": 85.6, **figure}
        where = "/mount/dimensions/hole_spacing_mm/check_bar_mm"

        assert [(where, "request.bar_elsewhere")] == faults(client, {"hole_spacing_mm": given})

    def test_may_lean_on_the_mounts_instrument(self, client: FlaskClient) -> None:
        """... counts where the mount says for all of its figures that a gauge was used."""
        mount = {
            "position": "frame",
            "instrument": "printed_gauge",
            "dimensions": {"hole_spacing_mm": {"value": 170.1, "check_bar_mm": 83.03}},
        }
        answer = client.post("/v1/mount-identifications", json={"mount": mount}).get_json()
        (lead, *_) = answer["identifications"][0]["candidates"]

        assert ("two-bolt-165", pytest.approx(164.993)) == (lead["standard"], lead["distances"][0]["value"])

    def test_stands_beside_a_doubt_of_ones_own(self, client: FlaskClient) -> None:
        """... corrects a reading, too, of which the caller says how far it may be out."""
        figure = {"value": 170.1, "instrument": "printed_gauge", "plus_minus": 1.5, "check_bar_mm": 83.03}
        found = identified(client, "two-bolt-165", "hole_spacing_mm", figure)

        assert pytest.approx(164.993) == found["candidates"][0]["distances"][0]["value"]

    @pytest.mark.parametrize("value", [1e308, -1e308, 2**63, 0, -5])
    def test_of_a_reading_beyond_reason_is_an_ordinary_fault(self, client: FlaskClient, value: float) -> None:
        """... makes nothing worse of a reading that is none."""
        figure = {"value": value, "instrument": "printed_gauge", "check_bar_mm": 94}

        assert ["request.implausible"] == [code for _, code in faults(client, {"hole_spacing_mm": figure})]


def refusal(client: FlaskClient, dimensions: Json) -> Json:
    """Give the problem that a mount with these dimensions is refused with."""
    response = client.post("/v1/mount-identifications", json={"mount": {"position": "frame", "dimensions": dimensions}})
    assert 422 == response.status_code, response.get_data(as_text=True)
    found: Json = response.get_json()
    return found


def faults(client: FlaskClient, dimensions: Json) -> list[tuple[str, str]]:
    """Give pointer and code of every fault."""
    return [(each["pointer"], each["code"]) for each in refusal(client, dimensions)["errors"]]


class TestAnswer:
    """A gauge over HTTP ..."""

    @pytest.mark.parametrize(
        ("accept", "media_type"),
        [
            ("application/pdf", "application/pdf"),
            ("*/*", "application/pdf"),
            ("text/html,application/xhtml+xml,*/*;q=0.8", "application/pdf"),
            ("image/svg+xml", "image/svg+xml"),
            ("image/avif,image/webp,image/svg+xml,image/*,*/*;q=0.8", "image/svg+xml"),
        ],
    )
    def test_comes_as_the_caller_accepts(self, client: FlaskClient, accept: str, media_type: str) -> None:
        """... is a page to print, and a picture where one is wanted."""
        response = client.get("/v1/standards/two-bolt-165/gauge", headers={"Accept": accept})

        assert (200, media_type, True) == (response.status_code, response.mimetype, "Accept" in response.vary)

    def test_is_shown_under_a_name(self, client: FlaskClient) -> None:
        """... opens in the browser, and is saved under a name that tells standard and paper."""
        response = client.get("/v1/standards/two-bolt-165/gauge?paper=letter", headers=PDF)

        assert 'inline; filename="gauge-two-bolt-165-letter.pdf"' == response.headers["Content-Disposition"]

    def test_runs_nothing_as_a_picture(self, client: FlaskClient) -> None:
        """... as SVG may run and fetch nothing."""
        response = client.get("/v1/standards/two-bolt-165/gauge", headers=SVG)

        assert response.headers["Content-Security-Policy"].startswith("default-src 'none'")

    @pytest.mark.parametrize("accepted", [SVG, PDF])
    def test_is_kept_and_asked_for_again(self, client: FlaskClient, accepted: dict[str, str]) -> None:
        """... has the same bytes and tag each time, and no body for who has it already."""
        first, second = (client.get("/v1/standards/hub-608/gauge", headers=accepted) for _ in range(2))
        again = client.get("/v1/standards/hub-608/gauge", headers={**accepted, "If-None-Match": first.headers["ETag"]})

        assert (first.data, first.headers["ETag"]) == (second.data, second.headers["ETag"])
        assert (304, b"") == (again.status_code, again.data)
        assert "public, max-age=30" == first.headers["Cache-Control"]

    def test_is_another_for_each_paper_and_form(self, client: FlaskClient) -> None:
        """... has a tag of its own for each paper and each form."""
        tags = {
            client.get(f"/v1/standards/hub-608/gauge?paper={paper}", headers=accepted).headers["ETag"]
            for paper in ("a4", "letter")
            for accepted in (SVG, PDF)
        }

        assert 4 == len(tags)

    def test_is_kept_by_no_shared_cache_where_reads_are_keyed(self, tmp_path: Any) -> None:
        """... needs a key where all reads do, before anything is drawn."""
        closed = create_app(Settings(database=f"sqlite:///{tmp_path / 'catalogue.db'}", reads=Reads.KEYED))

        assert 401 == closed.test_client().get("/v1/standards/hub-608/gauge").status_code


class TestRefusal:
    """A gauge that cannot be had ..."""

    def test_says_what_to_measure_instead(self, client: FlaskClient) -> None:
        """... is answered with what to measure on such a mount, and how."""
        response = client.get("/v1/standards/side-bolts-measured/gauge")
        problem = response.get_json()

        assert (404, "no_gauge") == (response.status_code, problem["code"])
        assert "Measure instead: holes: the place of every hole" in problem["detail"]
        assert "axis_deg: Direction of the bolts" in problem["detail"]

    def test_leaves_out_what_such_a_mount_has_not(self, client: FlaskClient) -> None:
        """... does not send anybody to measure a spacing that a riveted mount has not."""
        detail = client.get("/v1/standards/riveted/gauge").get_json()["detail"]

        assert ("heel_step_mm: " in detail, "hole_spacing_mm" in detail) == (True, False)

    def test_of_no_standard_names_those_there_are(self, client: FlaskClient) -> None:
        """... of a standard that is not installed names the installed ones."""
        response = client.get("/v1/standards/two-bolt-166/gauge")

        assert (404, "no_such_standard") == (response.status_code, response.get_json()["code"])

    @pytest.mark.parametrize(
        ("query", "pointer"),
        [
            ("paper=a3", "/query/paper"),
            ("paper=", "/query/paper"),
            ("size=a4", "/query/size"),
            ("paper=a4&paper=a4", "/query/paper"),
        ],
    )
    def test_on_no_such_paper_is_a_fault_of_the_query(self, client: FlaskClient, query: str, pointer: str) -> None:
        """... on a paper that there is not is refused by its place in the query."""
        response = client.get(f"/v1/standards/two-bolt-165/gauge?{query}")

        assert (422, [pointer]) == (response.status_code, [each["pointer"] for each in response.get_json()["errors"]])


STRANGER = """
requires_api = "1.0"
family = "brackets"
positions = ["lamp"]
sides = ["cuff", "lamp"]

[dimensions.pin_mm]
plausible = [1, 900]
measure = "Across the pin."
drawn_as = "circle"

[[rules]]
kind = "within"
code = "pin"
terms = [{ of = "cuff.pin_mm" }, { of = "lamp.pin_mm", times = -1 }]
at_least_mm = 0
source = "invented"
"""
PIN = """
[[standards]]
key = "pin-{value}"
title = "{title}"
mark = "A pin."
source = "invented"

[standards.dimensions.pin_mm]
nominal = {value}
conforming = 0.1
source = "invented"
"""


@pytest.fixture
def foreign(tmp_path: Any) -> FlaskClient:
    """Give a client of a service with a stranger's file of pins."""
    pins = (PIN.format(value=value, title=title) for value, title in ((12, "Pin"), (300, "Pin"), (13, "輪のピン")))
    (tmp_path / "pins.toml").write_text(STRANGER + "".join(pins), encoding="utf-8")
    app: Flask = create_app(Settings(database=f"sqlite:///{tmp_path / 'catalogue.db'}", standards_dir=tmp_path))
    return app.test_client()


class TestForeign:
    """A stranger's file ..."""

    def test_is_drawn_from_alone(self, foreign: FlaskClient, read_pdf: Reading) -> None:
        """... is enough for a gauge, with its neighbours of the same file."""
        page = page_of(foreign, "pin-12", read_pdf)

        assert [pytest.approx(each, abs=0.05) for each in (12, 13)] == drawn_lengths(page, DrawnAs.CIRCLE)

    def test_is_told_where_its_gauge_is(self, foreign: FlaskClient) -> None:
        """... has the address of its gauge in the answer about the standard, and none where there is none."""
        assert "/v1/standards/pin-12/gauge" == foreign.get("/v1/standards/pin-12").get_json()["gauge"]
        assert foreign.get("/v1/standards/riveted").get_json()["gauge"] is None

    def test_is_told_that_the_paper_is_too_small(self, foreign: FlaskClient) -> None:
        """... with a length beyond any paper is answered with how to measure it."""
        response = foreign.get("/v1/standards/pin-300/gauge")

        assert (422, "gauge_beyond_paper") == (response.status_code, response.get_json()["code"])
        assert "pin_mm: Across the pin." in response.get_json()["detail"]

    def test_is_told_which_letters_a_pdf_cannot_show(self, foreign: FlaskClient) -> None:
        """... in a script that the typeface lacks is refused as PDF, never printed in boxes, and drawn as SVG."""
        refused, drawn = (foreign.get("/v1/standards/pin-13/gauge", headers=each) for each in (PDF, SVG))

        assert (422, "輪 の ピ ン") == (refused.status_code, refused.get_json()["params"]["letters"])
        assert (200, True) == (drawn.status_code, "輪のピン" in drawn.get_data(as_text=True))
