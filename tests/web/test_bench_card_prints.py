"""A bench card as it is printed: the page and the PDF say what the answer says, to the eye and to the ear."""

from __future__ import annotations

import io
import re
import tomllib
from html.parser import HTMLParser
from itertools import combinations, pairwise
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from flask.testing import FlaskClient
from pypdf import PdfReader
from reportlab.pdfbase.pdfmetrics import stringWidth

from mountwright.drawing.typeface import BOLD, REGULAR, faces

Json = dict[str, Any]

CARDS, HTML, PDF = "/v1/bench-cards", {"Accept": "text/html"}, {"Accept": "application/pdf"}

TEN: list[Json] = tomllib.loads(Path(__file__).with_name("bench_cards.toml").read_text(encoding="utf-8"))["cards"]

each_card = pytest.mark.parametrize("card", TEN, ids=[card["title"].replace(" ", "_") for card in TEN])

RIVETS, FOREIGN, LONG = (
    next(card["request"] for card in TEN if card["title"] == title)
    for title in ("Rivets to drill", "Greek, Czech and markup", "A long note and long words")
)
TRIM: Json = {**RIVETS, "jobs": [{"job": "shorten_strap"}, {"job": "fit_strap"}]}

A4 = (210 / 25.4 * 72, 297 / 25.4 * 72)


def told(client: FlaskClient, body: Json) -> Json:
    """Give the answer as JSON."""
    answer: Json = client.post(CARDS, json=body).json
    return answer


def page(client: FlaskClient, body: Json) -> str:
    """Give a card as a page."""
    response = client.post(CARDS, json=body, headers=HTML)
    assert (200, "text/html") == (response.status_code, response.mimetype)
    return response.get_data(as_text=True)


def sheet(client: FlaskClient, body: Json) -> bytes:
    """Give a card as a PDF."""
    response = client.post(CARDS, json=body, headers=PDF)
    assert (200, "application/pdf") == (response.status_code, response.mimetype)
    return response.data


def words(text: str) -> str:
    """Give text without the places where lines were broken, which may lie within a long word."""
    return re.sub(r"\s+", "", text)


class Tags(HTMLParser):
    """The tags of a page in their order, with their attributes, and the text of each heading and label."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.text = ""
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Keep it."""
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        """Keep it."""
        self.text += data

    def all(self, *names: str) -> list[dict[str, str | None]]:
        """Give the attributes of each tag of these names."""
        return [attributes for tag, attributes in self.tags if tag in names]


class TestPage:
    """The page of a card ..."""

    @each_card
    def test_runs_nothing_and_fetches_nothing(self, client: FlaskClient, card: Json) -> None:
        """... has no script, no handler, nothing from outside, and a policy that holds it to that."""
        answer = client.post(CARDS, json=card["request"], headers=HTML)
        tags = Tags(answer.get_data(as_text=True))
        policy = "default-src 'none'; style-src 'unsafe-inline'; img-src data:"

        assert policy == answer.headers["Content-Security-Policy"]
        assert [] == tags.all("script", "link", "iframe", "object", "embed", "form", "base")
        assert all(not name.startswith("on") for _, attributes in tags.tags for name in attributes)
        assert all((each["src"] or "").startswith("data:image/svg+xml") for each in tags.all("img"))
        assert "url(" not in answer.get_data(as_text=True)

    @each_card
    def test_is_right_to_who_listens(self, client: FlaskClient, card: Json) -> None:
        """... names its language, has one title and headings in order, and names every box, table head and picture."""
        tags = Tags(page(client, card["request"]))
        headings = [int(tag[1]) for tag, _ in tags.tags if re.fullmatch("h[1-6]", tag)]
        boxes = {each["id"] for each in tags.all("input")}

        assert "en" == tags.all("html")[0]["lang"]
        assert (1, 1) == (headings[0], headings.count(1))
        assert all(later <= earlier + 1 for earlier, later in pairwise(headings))
        assert boxes == {each["for"] for each in tags.all("label")}
        assert all(each.get("scope") in ("col", "row") for each in tags.all("th"))
        assert all(each.get("alt") for each in tags.all("img"))
        assert all(("img", True) == (each.get("role"), "aria-labelledby" in each) for each in tags.all("svg"))
        ids = [each["id"] for _, each in tags.tags if "id" in each]
        assert len(ids) == len(set(ids))
        named = {name for _, each in tags.tags for name in (each.get("aria-labelledby") or "").split()}
        assert named <= set(ids)

    def test_shows_markup_as_it_was_written(self, client: FlaskClient) -> None:
        """... shows what looks like markup, or like a template, as the text that it is."""
        html = page(client, FOREIGN)
        tags = Tags(html)

        assert [] == tags.all("script", "b")
        for text in (
            "<b>&amp; Σάββατο",
            "<script>alert('x')</script> & \"quotes\" {{ 7 * 7 }} {% raw %}",
            "<img src=x",
        ):
            assert text in tags.text
        assert "</label><script>" in tags.text

    @pytest.mark.parametrize("text", ["</style><b>", '"; } * { display: none; } @page { content: "', "\\", "a\\62"])
    def test_keeps_the_reference_in_its_foot(self, client: FlaskClient, text: str) -> None:
        """... has the reference in its style sheet as numbers of letters, out of which nothing can break."""
        html = page(client, {**RIVETS, "reference": text})
        style = html.split("<style>")[1].split("</style>")[0]
        (content,) = re.findall(r'@bottom-left \{ content: "([^"]*)"', style)

        assert text == "".join(chr(int(each, 16)) for each in content.split("\\")[1:])
        assert Tags(html).all("b") == []

    @each_card
    def test_says_what_the_answer_says(self, client: FlaskClient, card: Json) -> None:
        """... has every step, caution, torque, check, part and note of the answer, and where consent is signed."""
        found, text = told(client, card["request"]), words(Tags(page(client, card["request"])).text)

        assert [] == [said for said in said_in(found) if words(said) not in text]

    def test_has_the_caution_before_the_step(self, client: FlaskClient) -> None:
        """... warns of what cannot be undone at the job, before its steps."""
        html = page(client, TRIM)
        job = html.split("Shorten a strap</label>")[1]

        assert job.index("This work cannot be undone") < job.index("Close the boot as tight")
        assert 1 == html.count("This work cannot be undone")

    def test_speaks_the_callers_language(self, client: FlaskClient) -> None:
        """... is written in the language that the caller reads, and says which that is; so is the PDF."""
        asked = {"Accept-Language": "de"}
        html = client.post(CARDS, json=TRIM, headers={**HTML, **asked}).get_data(as_text=True)
        reader = PdfReader(io.BytesIO(client.post(CARDS, json=TRIM, headers={**PDF, **asked}).data))

        assert "de" == Tags(html).all("html")[0]["lang"] == reader.trailer["/Root"]["/Lang"]
        for text in (Tags(html).text, reader.pages[0].extract_text()):
            assert "Werkstattkarte" in text
            assert "Diese Arbeit lässt sich nicht rückgängig machen" in text
            assert "Caution" not in text

    def test_has_a_short_note_before_the_jobs_and_a_long_one_behind(self, client: FlaskClient) -> None:
        """... has a short note where it is read in time, and a long one where it pushes nothing away."""
        short, long = page(client, RIVETS), page(client, LONG)

        assert short.index('id="notes"') < short.index('id="jobs"')
        assert long.index('id="jobs"') < long.index('id="notes"')


def said_in(found: Json) -> list[str]:
    """Give every sentence of an answer that has to be printed."""
    of_jobs = [
        text
        for job in found["jobs"]
        for text in (
            job["title"],
            *job["steps"],
            *job["cautions"],
            *(each["message"] for each in (*job["torques"], *job["mouldings"])),
            *(target["place"] or "" for target in job["targets"]),
        )
    ]
    of_parts = [
        text for part in found["parts"] for text in (part["name"] or "", part["sku"] or "", part["place"] or "")
    ]
    tools = [each["tool"] for each in found["tools"]]
    rest = [each["message"] for each in (*found["remarks"], *found["cautions"], found["consent"]) if each]
    return [
        found["reference"],
        found["message"],
        found["skate"]["name"],
        found["receipt"]["request"],
        found["notes"],
        *of_jobs,
        *of_parts,
        *tools,
        *rest,
        *found["after_checks"],
    ]


class Run(NamedTuple):
    """A text that stands in a line of a PDF, points."""

    page: int
    text: str
    left: float
    right: float
    base: float
    size: float

    def meets(self, other: Run) -> bool:
        """Tell whether both are printed over each other, small letters counted."""
        aside = self.right <= other.left + 0.5 or other.right <= self.left + 0.5
        return self.page == other.page and not aside and abs(self.base - other.base) < 0.5 * min(self.size, other.size)


def runs(reader: PdfReader) -> list[Run]:
    """Give the texts of a PDF, each with the room that its letters take."""
    faces()
    found: list[Run] = []
    for number, each in enumerate(reader.pages):

        def seen(text: str, cm: Any, tm: Any, font: Any, size: Any, number: int = number) -> None:
            if text.strip() and font is not None:
                scale = abs(tm[3] * cm[3])
                left, base = tm[4] * cm[0] + cm[4], tm[5] * cm[3] + cm[5]
                face = BOLD if "Bold" in font["/BaseFont"] else REGULAR
                wide = stringWidth(text.rstrip("\n"), face, size * scale)
                run = Run(number, text, left, left + wide, base, size * scale)
                if found and (number, left, base) == (found[-1].page, found[-1].left, found[-1].base):
                    # What goes on in the line in another face is said to begin where the line does.
                    run = run._replace(text=found[-1].text + text, right=found[-1].right + wide)
                    found.pop()
                found.append(run)

        each.extract_text(visitor_text=seen)
    return found


class TestSheet:
    """The PDF of a card ..."""

    @each_card
    def test_is_a4_on_as_many_pages_as_it_needs(self, client: FlaskClient, card: Json) -> None:
        """... is upright A4 (ISO 216), on no more pages than such a card may take."""
        reader = PdfReader(io.BytesIO(sheet(client, card["request"])))

        assert all(pytest.approx(A4, abs=0.01) == tuple(map(float, each.mediabox[2:])) for each in reader.pages)
        assert card["pages"] == len(reader.pages)
        assert [f"{number} / {card['pages']}" for number in range(1, card["pages"] + 1)] == [
            next(line for line in each.extract_text().splitlines() if re.fullmatch(r"\d+ / \d+", line))
            for each in reader.pages
        ]

    @each_card
    def test_carries_its_typeface(self, client: FlaskClient, card: Json) -> None:
        """... holds every letter that it prints, and knows its title and language."""
        reader = PdfReader(io.BytesIO(sheet(client, card["request"])))
        fonts = [font.get_object() for each in reader.pages for font in each["/Resources"]["/Font"].values()]

        assert all("SourceSansPro" in font["/BaseFont"] for font in fonts)
        assert all("/FontFile2" in font["/FontDescriptor"].get_object() for font in fonts)
        assert "en" == reader.trailer["/Root"]["/Lang"]
        assert reader.metadata is not None
        assert f"Bench card {card['request']['reference']}" == reader.metadata.title

    @each_card
    def test_says_what_the_answer_says(self, client: FlaskClient, card: Json) -> None:
        """... has every step, caution, torque, check, part and note of the answer, each letter of it."""
        found = told(client, card["request"])
        reader = PdfReader(io.BytesIO(sheet(client, card["request"])))
        # What flows on into the next column is broken by the foot of the page at most.
        text = words("".join(each.extract_text() for each in reader.pages))

        missing = [said for said in said_in(found) if said != found["notes"] and words(said) not in text]
        assert [] == missing
        assert [] == [line for line in found["notes"].splitlines() if words(line)[:40] not in text]

    @each_card
    def test_has_nothing_over_each_other_and_nothing_cut(self, client: FlaskClient, card: Json) -> None:
        """... keeps its texts apart from each other and within the margins."""
        found = runs(PdfReader(io.BytesIO(sheet(client, card["request"]))))
        margin = 9.9 / 25.4 * 72

        assert [] == [run for run in found if run.left < margin or A4[0] - margin < run.right]
        assert [] == [run for run in found if run.base < 7.9 / 25.4 * 72 or A4[1] - margin < run.base]
        assert [] == [(one, other) for one, other in combinations(found, 2) if one.meets(other)]

    def test_takes_a_long_note_to_another_page(self, client: FlaskClient) -> None:
        """... has all of a note of 10,000 letters, whose end stands on another page."""
        reader = PdfReader(io.BytesIO(sheet(client, LONG)))
        printed = words("".join(each.extract_text() for each in reader.pages))

        assert 10_000 == len(LONG["notes"])
        assert words(LONG["notes"].splitlines()[-1]) in printed
        assert words(LONG["notes"].splitlines()[-1]) in words(reader.pages[-1].extract_text())

    @pytest.mark.parametrize("note", ["W" * 10_000, "W W" * 3333, "\n" * 198 + "end"], ids=["a word", "words", "lines"])
    def test_breaks_on_no_note(self, client: FlaskClient, note: str) -> None:
        """... is written for a note of one word, of many, and of empty lines."""
        assert 1 <= len(PdfReader(io.BytesIO(sheet(client, {**RIVETS, "notes": note}))).pages)

    def test_is_shown_under_a_name(self, client: FlaskClient) -> None:
        """... is shown rather than saved, and saved under a name that says what it is."""
        answer = client.post(CARDS, json=RIVETS, headers=PDF)

        assert 'inline; filename="bench-card.pdf"' == answer.headers["Content-Disposition"]
