"""Printed gauges as sheets: true to scale, within what a printer reaches, and nothing over anything else."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import NamedTuple
from xml.etree.ElementTree import Element

import pytest

from mountwright.bench.gauges import Gauge, gauge_of
from mountwright.drawing.gauge import gauge_sheet, laid_out
from mountwright.drawing.gauge_card import card_scale_height
from mountwright.drawing.lettering import width
from mountwright.drawing.sheet import Paper
from mountwright.errors import InvalidQuantityError
from mountwright.messages import catalogue
from mountwright.mounts.discovery import discovered
from mountwright.mounts.registry import Registry, assembled
from mountwright.mounts.toml_file import read_standards

INSTALLED = discovered()
MESSAGES = catalogue(INSTALLED.messages)

FILE = """
requires_api = "1.0"
family = "brackets"
positions = ["lamp"]
sides = ["cuff", "lamp"]

[dimensions.bolt_gap_mm]
plausible = [1, 900]
measure = "Middle to middle, and so on and on, for whoever wrote this has a lot to say about it and does not stop here."

[dimensions.rise_mm]
plausible = [-90, 90]
measure = "How far it rises."

[dimensions.pin_mm]
plausible = [1, 900]
measure = "Across."
drawn_as = "circle"

[dimensions.eye_mm]
plausible = [1, 900]
measure = "Across."
drawn_as = "circle"

[[rules]]
kind = "bolts_pass"
code = "bolts_pass"
spacing = "bolt_gap_mm"
bolt_mm = {bolt}
source = "invented"

[[rules]]
kind = "plane_match"
code = "plane"
height = "rise_mm"
within_mm = 1
source = "invented"
"""


def brackets(*each: dict[str, float], bolt: float = 5) -> Registry:
    """Give a registry with standards of a stranger, bracket-0 and so on, who writes at length."""
    text = FILE.format(bolt=bolt)
    for number, stated in enumerate(each):
        text += f'[[standards]]\nkey = "bracket-{number}-with-a-key-that-goes-on-and-on"\nsource = "invented"\n'
        text += f'title = "{"A bracket of many words " * 9}"\nmark = "{"It looks like nothing else. " * 30}"\n'
        for name, value in stated.items():
            text += f"[standards.dimensions.{name}_mm]\nnominal = {value}\nconforming = 0.1\nsource = 'invented'\n"
    return assembled([read_standards(text, "brackets.toml")])


def gauge(registry: Registry, key: str = "bracket-0-with-a-key-that-goes-on-and-on") -> Gauge:
    """Give the gauge of a standard that has one."""
    found = gauge_of(registry.standards[key], registry)
    assert found is not None
    return found


DRAWN = {key: found for key, each in INSTALLED.standards.items() if (found := gauge_of(each, INSTALLED)) is not None}
CROWD = {"bolt_gap": 60.0, "rise": 9.0, "pin": 20.0, "eye": 11.0}
STRANGE = {
    "crowded": brackets(CROWD, *({name: value + step for name, value in CROWD.items()} for step in (0, 0.1, 0.2))),
    "longest": brackets({"bolt_gap": 230}, {"bolt_gap": 400}, {"bolt_gap": 231}),
    "shortest": brackets({"bolt_gap": 1, "pin": 1}, {"bolt_gap": 1.5, "pin": 1.2}, {"bolt_gap": 1.6}),
    "thick bolts": brackets({"bolt_gap": 90}, {"bolt_gap": 96}, bolt=40),
    "high": brackets({"rise": 35}, {"rise": 36}),
    "below": brackets({"rise": -3}, {"rise": 2}),
}
GAUGES = {**DRAWN, **{name: gauge(registry) for name, registry in STRANGE.items()}}


class Box(NamedTuple):
    """What an element takes up, mm."""

    left: float
    top: float
    right: float
    bottom: float
    what: str

    def meets(self, other: Box) -> bool:
        """Tell whether two overlap."""
        apart = self.right <= other.left or other.right <= self.left
        return not (apart or self.bottom <= other.top or other.bottom <= self.top)


def boxes(body: Element) -> Iterator[Box]:
    """Give what each element of a sheet takes up; texts as wide as the widest face makes them."""
    for each in body:
        have = {
            name: float(value) for name, value in each.attrib.items() if name not in ("class", "text-anchor", "points")
        }
        if each.tag == "text":
            across = width(each.text or "", have["font-size"], is_bold=each.get("class") == "strong")
            left = have["x"] - (across / 2 if each.get("text-anchor") == "middle" else 0)
            high = have["font-size"] * 0.72
            yield Box(left, have["y"] - high, left + across, have["y"] + have["font-size"] * 0.2, each.text or "")
        elif each.tag == "circle":
            x, y, r = have["cx"], have["cy"], have["r"]
            yield Box(x - r, y - r, x + r, y + r, "circle")
        elif each.tag == "rect":
            yield Box(have["x"], have["y"], have["x"] + have["width"], have["y"] + have["height"], "rect")
        elif each.tag == "line":
            (left, right), (top, bottom) = sorted((have["x1"], have["x2"])), sorted((have["y1"], have["y2"]))
            yield Box(left, top, right, bottom, "line")
        else:
            places = [tuple(map(float, place.split(","))) for place in each.attrib["points"].split()]
            across, down = [x for x, _ in places], [y for _, y in places]
            yield Box(min(across), min(down), max(across), max(down), "comb")


@pytest.mark.parametrize("paper", Paper)
@pytest.mark.parametrize("name", GAUGES)
class TestSheet:
    """A gauge, of a standard in the box or of a stranger's ..."""

    def test_stays_where_printers_reach(self, name: str, paper: Paper) -> None:
        """... keeps 10 mm from every edge, whatever the standard is called and however much is said of it."""
        edge_x, edge_y = paper.size.width_mm - 10, paper.size.height_mm - 10
        found = boxes(gauge_sheet(GAUGES[name], paper, MESSAGES).body)

        out = [
            each
            for each in found
            if each.left < 9.99 or each.top < 9.99 or each.right > edge_x + 0.01 or each.bottom > edge_y + 0.01
        ]
        assert [] == out

    def test_writes_nothing_over_anything(self, name: str, paper: Paper) -> None:
        """... has no text upon another, nor upon a bolt's hole or a circle."""
        found = list(boxes(gauge_sheet(GAUGES[name], paper, MESSAGES).body))
        texts = [each for each in found if each.what not in ("circle", "rect", "line", "comb")]
        rings = [each for each in found if each.what == "circle"]

        assert [] == [pair for pair in combinations(texts, 2) if pair[0].meets(pair[1])]
        assert [] == [(ring, each) for ring in rings for each in texts if ring.meets(each)]

    def test_is_drawn_finely_and_written_large_enough(self, name: str, paper: Paper) -> None:
        """... has lines of 0.2 mm at most and letters of 2.5 mm at least."""
        elements = list(gauge_sheet(GAUGES[name], paper, MESSAGES).body)

        assert 0.2 >= max(float(each.get("stroke-width", 0)) for each in elements)
        assert 2.5 <= min(float(each.get("font-size", 99)) for each in elements)

    def test_has_the_bar_and_the_card(self, name: str, paper: Paper) -> None:
        """... has a frame of 85.60 by 53.98 mm and, upright beside it, a bar of 85.60 mm."""
        found = list(boxes(gauge_sheet(GAUGES[name], paper, MESSAGES).body))
        card = next(each for each in found if each.what == "rect")
        ends = pytest.approx((card.top, card.bottom), abs=0.002)
        bars = [each for each in found if each.what == "line" and (each.top, each.bottom) == ends]

        assert pytest.approx((53.98, 85.6), abs=0.002) == (card.right - card.left, card.bottom - card.top)
        assert 1 == len(bars)


class TestDrawn:
    """What is drawn ..."""

    def test_leaves_neighbours_out_that_do_not_go_on(self) -> None:
        """... leaves out a neighbour that is longer than the paper, and keeps the one that is not."""
        (scale,) = laid_out(GAUGES["longest"], Paper.LETTER).scales

        assert [231_000] == [each.nominal_um for each in scale.neighbours]

    @pytest.mark.parametrize("paper", Paper)
    def test_says_what_does_not_go_on(self, paper: Paper) -> None:
        """... leaves out the length that is longer than the paper, and says how to take it."""
        found = gauge(brackets({"bolt_gap": 300, "pin": 20}))
        texts = " ".join(each.text or "" for each in gauge_sheet(found, paper, MESSAGES).body.iter("text"))

        assert ["bolt_gap_mm"] == [scale.dimension.name for scale in laid_out(found, paper).left_out]
        assert "bolt_gap_mm is not drawn, for 300 mm do not go on this paper. Middle to middle" in texts

    @pytest.mark.parametrize("stated", [{"bolt_gap": 300}, {"pin": 80}, {"rise": 50}])
    def test_is_nothing_where_nothing_goes_on(self, stated: dict[str, float]) -> None:
        """... is nothing where no length of the standard goes on the paper, and no sheet is made of it."""
        found = gauge(brackets(stated))

        assert laid_out(found, Paper.A4).is_empty
        with pytest.raises(InvalidQuantityError):
            gauge_sheet(found, Paper.A4, MESSAGES)

    def test_has_stairs_of_whole_millimetres(self) -> None:
        """... has a comb whose stairs rise by a millimetre each, to above what any standard states."""
        (comb,) = [
            each for each in gauge_sheet(DRAWN["two-bolt-165"], Paper.A4, MESSAGES).body if each.tag == "polyline"
        ]
        places = [tuple(map(float, place.split(","))) for place in comb.attrib["points"].split()]
        base = max(y for _, y in places)

        assert list(range(16)) == sorted({round(base - y, 6) for _, y in places})

    def test_is_told_in_words(self) -> None:
        """... is described to who does not see it: the length, its neighbours, the comb, the bar."""
        svg = gauge_sheet(DRAWN["two-bolt-165"], Paper.A4, MESSAGES).svg()

        for told in (
            "hole_spacing_mm: two holes 165 mm apart",
            "167 flat-167, 150 two-bolt-150, 195 two-bolt-195",
            "heel_step_mm: a comb of stairs from 1 to 15 mm.",
            "A check bar of 85.60 mm",
        ):
            assert told in svg


class TestCardScale:
    """The card's scale ..."""

    @pytest.mark.parametrize("scale", [0.95, 0.97, 1.0, 1.03, 1.05])
    def test_shows_what_the_bar_measures(self, scale: float) -> None:
        """... has the mark of a bar's length where, on a print of that scale, the edge of a card of 85.60 mm lies."""
        assert pytest.approx(85.6) == scale * card_scale_height(85.6, scale * 85.6)
