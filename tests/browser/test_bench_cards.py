"""Ten bench cards in a real browser: on a phone and on A4 nothing overlaps and nothing is cut."""

from __future__ import annotations

import html
import json
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from pypdf import PdfReader

Json = dict[str, Any]
Browse = Callable[..., str]

CARDS: list[Json] = tomllib.loads((Path(__file__).parents[1] / "web" / "bench_cards.toml").read_text(encoding="utf-8"))[
    "cards"
]

each_card = pytest.mark.parametrize("title", [card["title"] for card in CARDS])

#: A phone, and a sheet of A4 between margins of 10 mm, CSS pixels (96 an inch).
PHONE, SHEET = "phone", "sheet"
WIDE = {PHONE: 360, SHEET: round(190 / 25.4 * 96)}

A4 = (210 / 25.4 * 72, 297 / 25.4 * 72)


@pytest.fixture(scope="module")
def pages(app: Flask) -> dict[str, str]:
    """Give the page of each card, held by its own policy as if it came over HTTP."""
    found = {}
    for card in CARDS:
        answer = app.test_client().post("/v1/bench-cards", json=card["request"], headers={"Accept": "text/html"})
        policy = html.escape(answer.headers["Content-Security-Policy"])
        held = f'<head><meta http-equiv="Content-Security-Policy" content="{policy}">'
        found[card["title"]] = answer.get_data(as_text=True).replace("<head>", held, 1)
    return found


@pytest.fixture(scope="module")
def layouts(pages: dict[str, str], browse: Browse, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Json]:
    """Give of each card, on a phone and laid out as for printing, where everything stands."""
    frames = [_frame(title, medium, page) for title, page in pages.items() for medium in WIDE]
    script = Path(__file__).with_name("measure.js").read_text(encoding="utf-8")
    file = tmp_path_factory.mktemp("layouts") / "cards.html"
    file.write_text(f"<!DOCTYPE html><script>{script}</script>{''.join(frames)}", encoding="utf-8")
    written = browse(file, "--dump-dom").partition("<pre>")[2].partition("</pre>")[0]
    return {each["name"]: each for each in json.loads(html.unescape(written))}


def _frame(title: str, medium: str, page: str) -> str:
    """Give a frame with a card in it; what is for paper is laid out as if the sheet were a screen."""
    shown = html.escape(page if medium == PHONE else page.replace("@media print", "@media all"))
    style = f"border: 0; height: 1000px; width: {WIDE[medium]}px"
    return f'<iframe title="{medium} {title}" style="{style}" srcdoc="{shown}"></iframe>'


@pytest.fixture(scope="module")
def printed(
    pages: dict[str, str], browse: Browse, tmp_path_factory: pytest.TempPathFactory
) -> Callable[[str], PdfReader]:
    """Give a way to print a card."""
    place = tmp_path_factory.mktemp("printed")

    def on_paper(title: str) -> PdfReader:
        source, target = place / "card.html", place / f"{title}.pdf"
        if not target.exists():
            source.write_text(pages[title], encoding="utf-8")
            browse(source, "--no-pdf-header-footer", f"--print-to-pdf={target}")
        return PdfReader(target)

    return on_paper


@pytest.mark.parametrize("medium", WIDE)
@each_card
def test_nothing_is_cut_and_nothing_overlaps(layouts: dict[str, Json], medium: str, title: str) -> None:
    """Every text, box and picture stands within the width, and none lies over another."""
    found = layouts[f"{medium} {title}"]

    assert WIDE[medium] == found["wide"]
    assert found["count"] > 20
    assert found["scroll"] <= found["wide"]
    assert [] == found["outside"]
    assert [] == found["over"]


@each_card
def test_a_card_prints_on_the_sheets_that_it_may_take(printed: Callable[[str], PdfReader], title: str) -> None:
    """A page prints on upright A4, on one sheet where it is a usual card, its reference in the foot of each."""
    (card,) = [each for each in CARDS if each["title"] == title]
    reader = printed(title)

    assert card["pages"] == len(reader.pages)
    assert all(pytest.approx(A4, abs=1) == tuple(map(float, each.mediabox[2:])) for each in reader.pages)
    reference = "".join(card["request"]["reference"].split())
    assert all(reference in "".join(each.extract_text().split()) for each in reader.pages)


def test_a_picture_prints_under_the_pages_own_policy(printed: Callable[[str], PdfReader]) -> None:
    """Nothing of the drawing is held back by the policy that holds scripts back."""
    assert "effective wheelbase 81 mm" in printed("Frame swap with eccentric axles").pages[0].extract_text()


def test_markup_in_a_card_runs_nothing(layouts: dict[str, Json], printed: Callable[[str], PdfReader]) -> None:
    """What a customer is called, or writes into a note, stands there as it was written."""
    text = printed("Greek, Czech and markup").pages[0].extract_text()

    assert "<script>alert('x')</script> & \"quotes\" {{ 7 * 7 }} {% raw %}" in text
    assert layouts["phone Greek, Czech and markup"]["count"] > 20
