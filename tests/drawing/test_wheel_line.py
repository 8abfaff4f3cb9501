"""The side view of a wheel line: to scale, told in words too, and legible whatever it shows."""

from __future__ import annotations

import dataclasses
import re
from math import hypot
from typing import Any
from xml.etree.ElementTree import Element, fromstring

import pytest

from mountwright.drawing.palette import Theme
from mountwright.drawing.scene import Against, Clash, DrawnDeck, DrawnWheel, WheelLineScene
from mountwright.drawing.telling import LoadsIn
from mountwright.drawing.wheel_line import wheel_line_picture
from mountwright.errors import InvalidQuantityError


def wheel_line_svg(scene: WheelLineScene, **how: Any) -> str:
    """Give the picture of a wheel line as SVG."""
    return wheel_line_picture(scene, **how).svg()


SVG = "{http://www.w3.org/2000/svg}"

SOLE = ((127.5, -12), (62.5, 0), (0, -18), (-60, -15), (-125, -20))
DECK = DrawnDeck(92, 82.5, -82.5, heel_step_mm=15, sole=SOLE)
FLAT = WheelLineScene(
    tuple(DrawnWheel(121.5 - 81 * place, 80, 0, load) for place, load in enumerate((190, 215, 230, 239))),
    DECK,
    load_along_mm=-6,
    load_n=874,
    effective_mm=(121.5, -121.5),
    rocker_mm=0,
)
ROCKERED = WheelLineScene(
    (DrawnWheel(120, 76, 2, 0), DrawnWheel(40, 80, 0, 437), DrawnWheel(-40, 80, 0, 437), DrawnWheel(-120, 76, 2, 0)),
    DECK,
    0,
    874,
    (40, -40),
    2,
    3601,
)
FIVE = WheelLineScene(
    tuple(DrawnWheel(168 - 84 * place, 80, float(place in (0, 4)), 200) for place in range(5)), DECK, 0, 600, (84, -84)
)
LARGE = WheelLineScene(tuple(DrawnWheel(122 - 122 * place, 110, 0, 291) for place in range(3)), DECK, 0, 874)
TIGHT = dataclasses.replace(
    FLAT,
    wheels=(DrawnWheel(121.5, 80), DrawnWheel(43.5, 80), DrawnWheel(-36.5, 80), DrawnWheel(-121.5, 80)),
    clashes=(Clash(Against.WHEEL, 0, -2, 1), Clash(Against.WHEEL, 1, 0, 2), Clash(Against.SOLE, 1, -3.5)),
)
ALONE = WheelLineScene((DrawnWheel(0, 40),))
CASES = {"flat": FLAT, "rockered": ROCKERED, "five": FIVE, "large": LARGE, "tight": TIGHT, "alone": ALONE}
EVERY_CASE = pytest.mark.parametrize("scene", CASES.values(), ids=CASES)


def parsed(svg: str) -> Element:
    """Give a picture as a tree, which tells that it is well formed."""
    return fromstring(svg)  # noqa: S314  # drawn by this very process


def drawn(svg: str, kind: str) -> list[Element]:
    """Give the elements of a class, from the front."""
    return [each for each in parsed(svg).iter() if kind in each.get("class", "").split()]


def figures(element: Element, *names: str) -> tuple[float, ...]:
    """Give attributes as figures."""
    return tuple(float(element.attrib[name]) for name in names)


def scale(svg: str) -> float:
    """Give how many units a millimetre has."""
    return float(parsed(svg).attrib["data-units-per-mm"])


def written(svg: str) -> str:
    """Give everything that is written in the picture."""
    return " | ".join(text.text or "" for text in parsed(svg).iter(f"{SVG}text"))


def told(svg: str) -> str:
    """Give the long alternative text."""
    return parsed(svg).findtext(f"{SVG}desc") or ""


class TestPicture:
    """A picture ..."""

    @EVERY_CASE
    @pytest.mark.parametrize("gap_factor", [1.0, 5.0])
    def test_is_to_scale(self, scene: WheelLineScene, gap_factor: float) -> None:
        """... has axles as far apart and wheels as large as they are, and lifts those that hang by their gap."""
        svg = wheel_line_svg(scene, gap_factor=gap_factor)
        axles = [figures(each, "cx", "cy") for each in drawn(svg, "axle")]
        (ground,) = {figures(each, "y1", "y2") for each in drawn(svg, "ground")}

        assert len(scene.wheels) == len(axles)
        for wheel, (x, y), rim in zip(scene.wheels, axles, drawn(svg, "rim"), strict=True):
            behind = scene.wheels[0].along_mm - wheel.along_mm
            lifted = wheel.diameter_mm / 2 + wheel.gap_mm * gap_factor
            assert pytest.approx(behind, abs=0.01) == (x - axles[0][0]) / scale(svg)
            assert pytest.approx(lifted, abs=0.01) == (ground[0] - y) / scale(svg)
            assert pytest.approx(wheel.diameter_mm / 2, abs=0.01) == float(rim.attrib["r"]) / scale(svg)

    def test_is_to_scale_above_the_wheels(self) -> None:
        """... has deck, step, blocks and sole at their heights, turned as the skate is pitched."""
        deck = DECK._replace(front_block_mm=10, rear_block_mm=14, pitch_deg=2)
        svg = wheel_line_svg(dataclasses.replace(FLAT, deck=deck))
        level = wheel_line_svg(FLAT)
        ground = float(drawn(level, "ground")[0].attrib["y1"])
        heights = [(ground - float(each.split(",")[1])) / scale(level) for each in _places(level, "deck")]

        assert pytest.approx([92, 92, 107, 107], abs=0.01) == heights
        assert ([], 2) == (drawn(level, "block"), len(drawn(svg, "block")))
        assert len(SOLE) == len(_places(svg, "sole"))
        toe, heel = (float(_places(svg, "sole")[end].split(",")[1]) for end in (0, -1))
        # The sole's toe stands 8 mm lower than its heel and 252.5 mm ahead: 2 degrees lift it by 252.5 tan 2.
        assert pytest.approx(252.5 * 0.034921 - 8, abs=0.01) == (heel - toe) / scale(svg)

    @EVERY_CASE
    def test_marks_each_contact(self, scene: WheelLineScene) -> None:
        """... has one mark for each wheel that touches, on the ground under its axle, and a line under each other."""
        svg = wheel_line_svg(scene, gap_factor=3)
        touching = [index for index, wheel in enumerate(scene.wheels) if wheel.gap_mm == 0]
        axles = [figures(each, "cx")[0] for each in drawn(svg, "axle")]
        ground = figures(drawn(svg, "ground")[0], "y1")[0]

        assert [(axles[index], ground) for index in touching] == [figures(e, "cx", "cy") for e in drawn(svg, "contact")]
        assert len(scene.wheels) - len(touching) == len(drawn(svg, "gap")) == len(drawn(svg, "lifted"))

    def test_tells_a_contact_that_carries_nothing(self) -> None:
        """... has a hollow mark under a wheel that touches and carries nothing."""
        wheels = (*FLAT.wheels[:3], FLAT.wheels[3]._replace(load_n=0.0))
        svg = wheel_line_svg(dataclasses.replace(FLAT, wheels=wheels))

        assert ["contact"] * 3 + ["contact idle"] == [each.attrib["class"] for each in drawn(svg, "contact")]

    def test_has_arrows_as_long_as_loads_are_large(self) -> None:
        """... has load arrows in proportion, head and shaft together, and none for nothing."""
        loads = (100.0, 50.0, 25.0, 0.0)
        wheels = tuple(wheel._replace(load_n=load) for wheel, load in zip(FLAT.wheels, loads, strict=True))
        svg = wheel_line_svg(dataclasses.replace(FLAT, wheels=wheels, load_along_mm=None))
        tips = [float(each.attrib["points"].split()[0].split(",")[1]) for each in drawn(svg, "arrow")]
        tails = [figures(each, "y1")[0] for each in drawn(svg, "shaft")]
        lengths = [tail - tip for tip, tail in zip(tips, tails, strict=True)]

        assert pytest.approx([1, 0.5, 0.25], abs=1e-3) == [length / lengths[0] for length in lengths]

    def test_shows_where_the_load_stands(self) -> None:
        """... has an arrow from above onto the deck, and its plumb line to the ground."""
        svg = wheel_line_svg(FLAT)
        (plumb,) = drawn(svg, "plumb")
        axles = [figures(each, "cx")[0] for each in drawn(svg, "axle")]
        x, top, bottom = figures(plumb, "x1", "y1", "y2")

        assert pytest.approx(127.5, abs=0.01) == (x - axles[0]) / scale(svg)
        # Half-way up the step of 15 is at the middle, and 6 mm further back of 105 mm it is 15 * 6 / 115.5 higher.
        deck = 92 + 7.5 + 15 * 6 / (165 - 2 * 30)
        assert pytest.approx(deck, abs=0.01) == (bottom - top) / scale(svg)
        assert "load 874 N" in written(svg)

    @pytest.mark.parametrize("along_mm", [600.0, -600.0])
    def test_shows_a_load_beside_the_skate(self, along_mm: float) -> None:
        """... shows a load far ahead or behind, where it tips the skate."""
        svg = wheel_line_svg(dataclasses.replace(FLAT, load_along_mm=along_mm))
        (plumb,) = drawn(svg, "plumb")

        assert pytest.approx(abs(along_mm - 121.5), abs=0.1) == abs(
            figures(plumb, "x1")[0] - figures(drawn(svg, "axle")[0], "cx")[0]
        ) / scale(svg)
        assert 0 < figures(plumb, "x1")[0] < 360

    def test_gives_loads_as_asked(self) -> None:
        """... gives loads in newtons, or as shares of all of them."""
        percent = written(wheel_line_svg(LARGE, loads_in="percent"))

        assert "190 N | 215 N | 230 N | 239 N" in written(wheel_line_svg(FLAT))
        assert "33.3 % | 33.3 % | 33.3 %" in percent
        assert "load 874 N" in percent

    def test_says_when_gaps_are_stretched(self) -> None:
        """... says by how much gaps are stretched, in the picture and in words, and else says nothing of it."""
        stretched, true = wheel_line_svg(ROCKERED, gap_factor=2.5), wheel_line_svg(ROCKERED)

        assert "Gaps are drawn 2.5 times as large as they are" in written(stretched)
        assert "Gaps are drawn 2.5 times as large as they are." in told(stretched)
        assert "times" not in written(true) + told(true)
        assert "gap 2 mm" in written(stretched)

    def test_never_calls_a_gap_nothing(self) -> None:
        """... gives the least gap that it has a figure for where there is less."""
        wheels = (DrawnWheel(50, 80), DrawnWheel(-50, 80, 0.0004))

        assert "gap 0.01 mm" in written(wheel_line_svg(WheelLineScene(wheels)))

    def test_measures_both_wheelbases(self) -> None:
        """... has a line as long as the wheelbase and one as long as what is effective of it, with their figures."""
        svg = wheel_line_svg(ROCKERED)
        lines = [figures(each, "x1", "x2") for each in drawn(svg, "length")]
        spans = [(right - left) / scale(svg) for left, right in lines if left != right]

        assert pytest.approx([240, 80], abs=0.01) == spans
        assert "wheelbase 240 mm | effective wheelbase 80 mm" in written(svg)

    @pytest.mark.parametrize(
        ("rocker_mm", "radius_mm", "expected"),
        [
            (2.0, 3601.0, "Rocker 2 mm, like an arc of 3.6 m radius"),
            (0.25, None, "Rocker 0.25 mm"),
            (0.006, 1e9, "Rocker 0.01 mm"),
            (0.0, None, "No rocker: flat"),
            (-1.0, None, "Hollow: the inner wheels hang by 1 mm"),
        ],
    )
    def test_tells_the_rocker(self, rocker_mm: float, radius_mm: float | None, expected: str) -> None:
        """... tells the rocker, with the arc that it makes, and a hollow line by its name."""
        svg = wheel_line_svg(dataclasses.replace(FLAT, rocker_mm=rocker_mm, rocker_radius_mm=radius_mm))

        assert expected in written(svg).split(" | ")
        assert f"{expected}." in told(svg)

    def test_says_nothing_of_a_rocker_that_nobody_asked_for(self) -> None:
        """... has no word on rocker where it is not given."""
        assert "ocker" not in written(wheel_line_svg(LARGE))

    def test_marks_what_has_no_room_by_shape(self) -> None:
        """... has a crossed badge and a heavier rim for each clash, and says which wheels it is."""
        svg, clear = wheel_line_svg(TIGHT), wheel_line_svg(FLAT)
        rims = [figures(each, "stroke-width")[0] for each in drawn(svg, "rim")]

        assert (3, 6, 0) == (len(drawn(svg, "badge")), len(drawn(svg, "cross")), len(drawn(clear, "badge")))
        assert [True, True, True, False] == [rim > 2 for rim in rims]
        for sentence in ("Wheels 1 and 2 overlap by 2 mm", "Wheels 2 and 3 touch", "Wheel 2 stands 3.5 mm in the sole"):
            assert sentence in written(svg)
            assert sentence in told(svg)

    def test_marks_a_clash_where_it_is(self) -> None:
        """... has the badge of two wheels midway between their rims, and that of the sole on top of its wheel."""
        svg = wheel_line_svg(TIGHT)
        axles, badges = ([figures(e, "cx", "cy") for e in drawn(svg, kind)] for kind in ("axle", "badge"))

        assert pytest.approx(39, abs=0.01) == (badges[0][0] - axles[0][0]) / scale(svg)
        assert pytest.approx((0, 40), abs=0.01) == tuple(
            (a - b) / scale(svg) for a, b in zip(axles[1], badges[2], strict=True)
        )

    def test_marks_a_clash_of_unlike_wheels_where_it_is(self) -> None:
        """... has the badge of a large and a small wheel as far within one rim as within the other."""
        wheels = (DrawnWheel(60, 110), DrawnWheel(-20, 60))
        svg = wheel_line_svg(WheelLineScene(wheels, clashes=(Clash(Against.WHEEL, 0, -5.0, 1),)))
        x, y = figures(drawn(svg, "badge")[0], "cx", "cy")
        within = [r - hypot(x - cx, y - cy) for cx, cy, r in (figures(e, "cx", "cy", "r") for e in drawn(svg, "rim"))]

        assert pytest.approx(within[0], abs=0.01) == within[1]
        assert within[0] > 0

    def test_cuts_what_goes_on_and_on(self) -> None:
        """... gives a note three lines, and the whole of it in words."""
        note = "A note that goes on " * 30
        svg = wheel_line_svg(dataclasses.replace(ALONE, notes=(note,)))

        assert 3 == len(drawn(svg, "caption"))
        assert "…" == written(svg)[-1]
        assert note.strip() in told(svg)

    def test_says_in_words_what_it_shows(self) -> None:
        """... has a role, a title and a description with wheels, contacts, loads and lengths."""
        root = parsed(wheel_line_svg(dataclasses.replace(ROCKERED, name="Wren 80"), prefix="left"))
        names = {each.get("id"): each.text for each in root if each.get("id")}

        assert ("img", "left-title left-description") == (root.get("role"), root.get("aria-labelledby"))
        assert "Wren 80" == names["left-title"]
        assert names["left-description"] == (
            "Side view to scale, front on the left. Wheel 1 of 76 mm hangs 2 mm above the ground. "
            "Wheel 2 of 80 mm touches the ground and carries 437 N. "
            "Wheel 3 of 80 mm touches the ground and carries 437 N. Wheel 4 of 76 mm hangs 2 mm above the ground. "
            "The load of 874 N stands 120 mm behind the front axle. The heel stands 15 mm higher than the toe. "
            "Wheelbase 240 mm. Effective wheelbase 80 mm. Rocker 2 mm, like an arc of 3.6 m radius."
        )

    def test_speaks_as_it_is_told(self) -> None:
        """... takes words from the caller, and English for the rest."""
        svg = wheel_line_svg(ROCKERED, words={"gap": "Spalt {gap_mm} mm", "name": "Rollenreihe"})

        assert "Spalt 2 mm" in written(svg)
        assert "wheelbase 240 mm" in written(svg)
        assert "Rollenreihe" == parsed(svg).findtext(f"{SVG}title")

    def test_holds_any_text(self) -> None:
        """... shows what others have written as text, and nothing of it as markup."""
        hostile = "</text><script>alert(1)</script><!-- ]]> &amp; \"'\x00\x1b\ud800\ufffe"
        svg = wheel_line_svg(dataclasses.replace(FLAT, name=hostile, notes=(hostile,)))
        shown = "</text><script>alert(1)</script><!-- ]]> &amp; \"'"

        assert shown == parsed(svg).findtext(f"{SVG}title")
        assert {"svg", "title", "desc", "style", "rect", "g", "text", "circle", "line", "polyline", "polygon"} == {
            each.tag.removeprefix(SVG) for each in parsed(svg).iter()
        }
        assert "<script" not in svg

    def test_asks_for_nothing_from_outside(self) -> None:
        """... names no address but that of its own language, no script and no face of letters."""
        svg = wheel_line_svg(TIGHT)

        assert ["http://www.w3.org/2000/svg"] == re.findall(r"\w+://[^\"' ]*", svg)
        assert not re.search(r"href|url\(|@import|@font-face|\bon\w+=", svg)
        assert {"sans-serif"} == set(re.findall(r"font-family: ([^ }]*)", svg))

    def test_shares_a_page(self) -> None:
        """... has no id that another one with another prefix has."""
        ids = [re.findall(r'\bid="([^"]*)"', wheel_line_svg(FLAT, prefix=prefix)) for prefix in ("before", "after")]

        assert (3, 3) == (len(set(ids[0])), len(set(ids[1])))
        assert not set(ids[0]) & set(ids[1])

    @pytest.mark.parametrize(
        ("theme", "gap_factor", "prefix", "loads_in", "expected"),
        [
            ("sepia", 1.0, "a", "newton", "one of the themes"),
            ("auto", 0.5, "a", "newton", "a factor within 1 and 20"),
            ("auto", 21.0, "a", "newton", "a factor within 1 and 20"),
            ("auto", float("nan"), "a", "newton", "a factor within 1 and 20"),
            ("auto", 1.0, "", "newton", "a letter, then"),
            ("auto", 1.0, "a{}*", "newton", "a letter, then"),
            ("auto", 1.0, "a\n", "newton", "a letter, then"),
            ("auto", 1.0, "a", "stone", "one of"),
        ],
    )
    def test_is_refused(self, theme: Theme, gap_factor: float, prefix: str, loads_in: LoadsIn, expected: str) -> None:
        """... is not drawn for a theme, a factor, a prefix or a kind of load that there is not."""
        with pytest.raises(InvalidQuantityError, match=expected):
            wheel_line_svg(FLAT, theme=theme, gap_factor=gap_factor, prefix=prefix, loads_in=loads_in)


def _places(svg: str, kind: str) -> list[str]:
    return drawn(svg, kind)[0].attrib["points"].split()
