"""The picture of an upgrade path: money along, relief up, told in words too."""

from __future__ import annotations

import dataclasses
import re
from itertools import pairwise
from xml.etree.ElementTree import Element, fromstring

import pytest

from mountwright.drawing.palette import Theme
from mountwright.drawing.path import path_svg
from mountwright.drawing.path_scene import OtherSkate, PathAlternative, PathPoint, PathScene, PathStage, PathStep
from mountwright.errors import InvalidQuantityError

SVG = "{http://www.w3.org/2000/svg}"

THREE = PathScene(
    (
        PathStep("Clean the bearings", 0, 0.08, 0),
        PathStep("Liner, heat-moulded", 3900, 0.42, 0),
        PathStep("Buckle", 5350, 0.5, 1),
        PathStep("Wheels", 9800, 0.75, 1),
    ),
    (PathStage("now", 5000), PathStage("March", 10000), PathStage("June", 15000)),
    "EUR",
    alternatives=(
        PathAlternative("insole first", (PathPoint(2600, 0.2), PathPoint(9100, 0.6))),
        PathAlternative("frame and wheels", (PathPoint(8900, 0.25),)),
    ),
    other_skate=OtherSkate("Wren 90", 20000),
    title="Heel lifts",
)
FREE = PathScene((PathStep("Shift the frame", 0, 0.2), PathStep("Lock-lace", 0, 0.45)), (PathStage("now", 0),), "EUR")
NOTHING = PathScene((), (PathStage("now", 5000),), "EUR")


def parsed(svg: str) -> Element:
    """Give a picture as a tree, which tells that it is well formed."""
    return fromstring(svg)  # noqa: S314  # drawn by this very process


def drawn(svg: str, kind: str) -> list[Element]:
    """Give the elements of a class, in their order."""
    return [each for each in parsed(svg).iter() if kind in each.get("class", "").split()]


def figures(element: Element, *names: str) -> tuple[float, ...]:
    """Give attributes as figures."""
    return tuple(float(element.attrib[name]) for name in names)


def places(element: Element) -> list[tuple[float, float]]:
    """Give the places that a line goes through."""
    pairs = (pair.split(",") for pair in element.attrib["points"].split())
    return [(float(x), float(y)) for x, y in pairs]


def written(svg: str) -> list[str]:
    """Give every line that is written in the picture."""
    return [text.text or "" for text in parsed(svg).iter(f"{SVG}text")]


def told(svg: str) -> str:
    """Give the long alternative text."""
    return parsed(svg).findtext(f"{SVG}desc") or ""


class Axes:
    """The scales of a picture, read from its axes and from the limit of its last stage."""

    def __init__(self, svg: str, budget_minor: int) -> None:
        _, upright = drawn(svg, "axis")[:2]
        self.left = figures(upright, "x1")[0]
        self.top, *_, self.bottom = (figures(each, "y1")[0] for each in drawn(svg, "grid"))
        # The last of the limits in the chart: the sample of the legend comes after it.
        self.minor = (figures(drawn(svg, "limit")[-2], "x1")[0] - self.left) / budget_minor

    def read(self, x: float, y: float) -> tuple[float, float]:
        """Give the sum and the relief at a place."""
        return (x - self.left) / self.minor, (self.bottom - y) / (self.bottom - self.top)


class TestPicture:
    """A picture ..."""

    def test_has_each_step_in_its_place(self) -> None:
        """... has a mark where each step leads, after that of the skate as it is."""
        svg = path_svg(THREE)
        axes = Axes(svg, 15000)
        start, *steps = [
            axes.read(*figures(each, "cx", "cy")) for each in (drawn(svg, "start")[0], *drawn(svg, "step"))
        ]

        assert pytest.approx((0, 0), abs=1e-3) == start
        for step, (money, relief) in zip(THREE.steps, steps, strict=False):
            assert pytest.approx(step.money_minor, abs=1) == money
            assert pytest.approx(step.relief, abs=1e-4) == relief

    def test_pays_before_it_relieves(self) -> None:
        """... has a path that goes along by what a step costs, and then up by what it relieves."""
        svg = path_svg(dataclasses.replace(THREE, steps=THREE.steps[1:3]))
        axes = Axes(svg, 15000)
        corners = [axes.read(*place) for place in places(drawn(svg, "route")[0])]

        assert [0, 3900, 3900, 5350, 5350] == [round(money) for money, _ in corners]
        assert pytest.approx([0, 0, 0.42, 0.42, 0.5], abs=1e-4) == [relief for _, relief in corners]

    def test_says_above_the_chart_what_it_cannot_show(self) -> None:
        """... has its notes between the name and the chart, whole even where they are long, and no empty ones."""
        note = "Do not skate before this is done. " * 6
        svg = path_svg(dataclasses.replace(THREE, notes=("Look at the heel.", " ", note)))
        name, first, *rest = written(svg)

        assert ("Heel lifts", "Look at the heel.") == (name, first)
        assert note.strip() == " ".join(rest[: rest.index("↑ relieved")])
        assert told(svg).startswith(f"Look at the heel. {note}")

    def test_tells_an_alternative_whole(self) -> None:
        """... has a whole sentence beside the line of an alternative."""
        label = "Without the liner that can be moulded, nothing else that there is to be had against a heel that lifts."
        svg = path_svg(dataclasses.replace(THREE, alternatives=(PathAlternative(label, (PathPoint(2600, 0.2),)),)))

        assert f"X: {label}" in " ".join(written(svg))

    def test_marks_the_stages(self) -> None:
        """... has an upright line with a letter where the money of each stage ends."""
        svg = path_svg(THREE)
        axes = Axes(svg, 15000)
        ends = [figures(each, "x1", "x2") for each in drawn(svg, "limit")[:-1]]
        letters = {text.text: figures(text, "x")[0] for text in drawn(svg, "label") if text.text in ("A", "B", "C")}

        assert [5000, 10000, 15000] == [round(axes.read(left, 0)[0]) for left, _ in ends]
        assert all(left == right for left, right in ends)
        assert [left for left, _ in ends] == list(letters.values())

    def test_marks_stages_that_bring_nothing(self) -> None:
        """... has one line and one label for stages of which the money ends in the same place."""
        svg = path_svg(dataclasses.replace(THREE, stages=(*THREE.stages[:2], PathStage("May", 10000), THREE.stages[2])))

        assert 3 + 1 == len(drawn(svg, "limit"))
        assert "B\N{EN DASH}C" in written(svg)
        assert "up to 100.00 EUR in all, no step" in written(svg)

    def test_has_alternatives_in_their_place(self) -> None:
        """... has a thin line for each alternative, and one to its letter from where it ends."""
        svg = path_svg(THREE)
        axes = Axes(svg, 15000)
        lines = [[axes.read(*place) for place in places(each)] for each in drawn(svg, "way")[:4]]
        widths = [figures(each, "stroke-width")[0] for each in drawn(svg, "way")]

        assert [(0, 0), (26, 0), (26, 20), (91, 20), (91, 60)] == [_hundredths(*place) for place in lines[0]]
        assert [(0, 0), (89, 0), (89, 25)] == [_hundredths(*place) for place in lines[2]]
        assert [(91, 60), (89, 25)] == [_hundredths(*line[0]) for line in (lines[1], lines[3])]
        assert max(widths) < figures(drawn(svg, "route")[0], "stroke-width")[0]

    def test_keeps_letters_apart(self) -> None:
        """... has the letters of alternatives that lead to the same relief below each other, above the axis."""
        ways = tuple(PathAlternative(label, (PathPoint(1000, 0.0),)) for label in "abc")
        svg = path_svg(dataclasses.replace(THREE, alternatives=ways))
        heights = [figures(text, "y")[0] for text in drawn(svg, "label") if text.text in ("X", "Y", "Z")]

        assert pytest.approx([13, 13]) == [low - high for high, low in pairwise(heights)]
        assert heights[-1] < figures(drawn(svg, "axis")[0], "y1")[0]

    def test_tells_ways_apart_without_colour(self) -> None:
        """... has other dashes for each alternative, none for the path, and other marks for start, step and skate."""
        svg = path_svg(THREE)
        dashes = re.findall(r"#path \.way-[xyz] \{ stroke-dasharray: ([\d ]+) \}", svg)
        kinds = [each.attrib["class"] for each in drawn(svg, "way") if " " in each.attrib["class"]]

        assert 3 == len(set(dashes))
        assert ["way way-x", "way way-y"] * 2 == kinds
        assert not re.search(r"\.route[^{]*\{[^}]*dash", svg)
        assert {"circle"} == {each.tag.removeprefix(SVG) for each in drawn(svg, "step") + drawn(svg, "start")}
        assert {"polygon"} == {each.tag.removeprefix(SVG) for each in drawn(svg, "other")}

    def test_marks_another_skate(self) -> None:
        """... has a mark at the sum from which another skate wins, and none where there is no such skate."""
        svg = path_svg(dataclasses.replace(THREE, other_skate=OtherSkate("Wren 90", 12000)))
        axes = Axes(svg, 15000)
        across = [x for x, _ in places(drawn(svg, "other")[0])]

        assert 12000 == round(axes.read((min(across) + max(across)) / 2, 0)[0])
        assert 12000 == round(axes.read(figures(drawn(svg, "other-line")[0], "x1")[0], 0)[0])
        assert "wins from 120.00 EUR: Wren 90" in written(svg)
        assert "Wins from 120.00 EUR: Wren 90." in told(svg)
        assert not drawn(path_svg(FREE), "other")

    def test_points_to_a_skate_further_along(self) -> None:
        """... points beyond its edge to a skate that costs far more than the rest, and says so."""
        near, far = (
            path_svg(dataclasses.replace(THREE, other_skate=OtherSkate("Wren 90", price))) for price in (22500, 22501)
        )

        assert (2, 3) == (len(drawn(near, "other")), len(drawn(far, "other")))
        assert "further" not in told(near)
        assert "wins from 225.01 EUR, further along: Wren 90" in written(far)
        assert figures(drawn(far, "limit")[-2], "x1")[0] == figures(drawn(far, "grid")[0], "x2")[0]

    def test_takes_another_skate_for_scale_where_nothing_is_spent(self) -> None:
        """... reaches to another skate where the path is free."""
        svg = path_svg(dataclasses.replace(FREE, other_skate=OtherSkate("Wren 90", 20000)))

        assert "further" not in told(svg)
        assert {"0", "50", "100", "150", "200"} <= set(written(svg))

    @pytest.mark.parametrize(
        ("budget_minor", "decimals", "expected"),
        [
            (15000, 2, ["0", "50", "100", "150"]),
            (150, 2, ["0.00", "0.50", "1.00", "1.50"]),
            (3, 2, ["0.00", "0.01", "0.02", "0.03"]),
            (15000, 0, ["0", "5000", "10000", "15000"]),
            (15000, 3, ["0", "5", "10", "15"]),
            (10**12, 2, ["0", "5000000000", "10000000000"]),
            (0, 2, ["0"]),
        ],
    )
    def test_has_round_sums_along(self, budget_minor: int, decimals: int, expected: list[str]) -> None:
        """... writes round sums under the axis, in major units, as many as have room."""
        svg = path_svg(PathScene((), (PathStage("now", budget_minor),), "EUR", decimals))

        assert expected == [text for text in written(svg) if re.fullmatch(r"[\d.]+", text)]

    def test_says_that_nothing_is_spent(self) -> None:
        """... says at the axis what money is spent, or that none is."""
        assert "no money is spent" in written(path_svg(FREE))
        assert "money spent, EUR →" in written(path_svg(NOTHING))

    def test_numbers_steps_in_one_place_together(self) -> None:
        """... has one label for steps of which the marks lie over each other."""
        same = (PathStep("a", 0, 0.3), PathStep("b", 0, 0.3), PathStep("c", 0, 0.31), PathStep("d", 0, 0.6))
        svg = path_svg(dataclasses.replace(FREE, steps=same))

        assert ["1\N{EN DASH}3", "4"] == [text for text in written(svg) if re.match(r"\d\N{EN DASH}|4$", text)][:2]
        assert 4 + 1 == len(drawn(svg, "step"))

    @pytest.mark.parametrize("relief", [0.0, 0.5])
    def test_keeps_numbers_within_its_axes(self, relief: float) -> None:
        """... writes no number below the axis of money, and none beyond its end, however close the steps are."""
        steps = tuple(PathStep("a", 15000 - 600 * left, relief, 2) for left in range(12, -1, -1))
        svg = path_svg(dataclasses.replace(THREE, steps=steps, other_skate=None))
        level = drawn(svg, "axis")[0]
        patches = [place for each in drawn(svg, "paper")[1:] for place in places(each)]

        assert max(x for x, _ in patches) <= figures(level, "x2")[0]
        assert max(y for _, y in patches) <= figures(level, "y1")[0]

    def test_lists_every_step(self) -> None:
        """... names the steps of each stage under the chart, with what they cost and relieve."""
        lines = written(path_svg(THREE))

        assert [
            "A: now",
            "up to 50.00 EUR in all",
            "1",
            "Clean the bearings",
            "free, 0.00 EUR so far, 8 % relieved",
            "2",
            "Liner, heat-moulded",
            "+39.00, 39.00 EUR so far, 42 % relieved",
            "B: March",
            "up to 100.00 EUR in all",
            "3",
            "Buckle",
            "+14.50, 53.50 EUR so far, 50 % relieved",
            "4",
            "Wheels",
            "+44.50, 98.00 EUR so far, 75 % relieved",
            "C: June",
            "up to 150.00 EUR in all, no step",
        ] == lines[lines.index("A: now") :]

    def test_explains_its_signs(self) -> None:
        """... has a legend of what it shows, and of nothing else."""
        assert [
            "the skate as it is",
            "the path: a mark for each step, by number",
            "where the money of a stage ends, by letter",
            "X: insole first",
            "Y: frame and wheels",
            "wins from 200.00 EUR: Wren 90",
        ] == _legend(path_svg(THREE))
        assert ["the skate as it is", "where the money of a stage ends, by letter"] == _legend(path_svg(NOTHING))

    @pytest.mark.parametrize(
        ("relief", "expected"), [(0.0, "0 %"), (0.001, "1 %"), (0.125, "12 %"), (0.996, "99 %"), (1.0, "100 %")]
    )
    def test_never_rounds_to_nothing_or_to_all(self, relief: float, expected: str) -> None:
        """... says that all is relieved where all is, and that nothing is where nothing is."""
        svg = path_svg(dataclasses.replace(FREE, steps=(PathStep("a", 0, relief),)))

        assert f"free, 0.00 EUR so far, {expected} relieved" in written(svg)

    def test_says_in_words_what_it_shows(self) -> None:
        """... has a role, a title and a description with every step, stage and alternative."""
        root = parsed(path_svg(THREE, prefix="left"))
        names = {each.get("id"): each.text for each in root if each.get("id")}

        assert ("img", "left-title left-description") == (root.get("role"), root.get("aria-labelledby"))
        assert "Heel lifts" == names["left-title"]
        assert names["left-description"] == (
            "Money spent so far runs along, what it relieves runs up. "
            "Stage A, now, up to 50.00 EUR in all: "
            "step 1, Clean the bearings (free, 0.00 EUR so far, 8 % relieved); "
            "step 2, Liner, heat-moulded (+39.00, 39.00 EUR so far, 42 % relieved). "
            "Stage B, March, up to 100.00 EUR in all: "
            "step 3, Buckle (+14.50, 53.50 EUR so far, 50 % relieved); "
            "step 4, Wheels (+44.50, 98.00 EUR so far, 75 % relieved). "
            "Stage C, June, up to 150.00 EUR in all: no step. "
            "Alternative X, insole first: 26.00 EUR for 20 %; 91.00 EUR for 60 %. "
            "Alternative Y, frame and wheels: 89.00 EUR for 25 %. "
            "Wins from 200.00 EUR: Wren 90."
        )

    def test_tells_all_of_what_it_cuts(self) -> None:
        """... gives a name two lines, and the whole of it in words."""
        name = "A name that goes on " * 30
        svg = path_svg(dataclasses.replace(NOTHING, steps=(PathStep(name, 0, 0.5),)))
        lines = [line for line in written(svg) if "goes on" in line]

        assert (2, "…") == (len(lines), lines[-1][-1])
        assert name.strip() in told(svg)

    def test_shows_forty_steps(self) -> None:
        """... lists as many steps as there may be."""
        steps = tuple(PathStep(f"step no. {index}", 100 * index, index / 40) for index in range(40))
        svg = path_svg(dataclasses.replace(NOTHING, steps=steps))

        assert [step.name for step in steps] == [line for line in written(svg) if line.startswith("step no.")]

    def test_names_what_has_no_name(self) -> None:
        """... says what a thing is where nobody named it."""
        scene = PathScene(
            (PathStep("", 0, 0.5),),
            (PathStage("\x00", 0),),
            "EUR",
            alternatives=(PathAlternative(" ", (PathPoint(0, 0.1),)),),
            other_skate=OtherSkate("", 100),
        )
        svg = path_svg(scene)

        assert {"A: a stage", "a step", "X: another way", "wins from 1.00 EUR: another skate"} <= set(written(svg))
        assert "Upgrade path" == parsed(svg).findtext(f"{SVG}title")

    def test_speaks_as_it_is_told(self) -> None:
        """... takes words from the caller, and English for the rest."""
        own = {"path_money": "€ {amount}", "decimal_mark": ",", "path_free": "gratis", "path": "Ausbauplan"}
        svg = path_svg(dataclasses.replace(THREE, title=""), words=own)

        assert "gratis, € 0,00 so far, 8 % relieved" in written(svg)
        assert "up to € 50,00 in all" in written(svg)
        assert "Ausbauplan" == parsed(svg).findtext(f"{SVG}title")

    def test_holds_any_text(self) -> None:
        """... shows what others have written as text, and nothing of it as markup or as a template."""
        hostile = "</text><script>alert(1)</script><!-- ]]> {0} &amp; \"'\x00\x1b\ud800\ufffe\u202e"
        shown = "</text><script>alert(1)</script><!-- ]]> {0} &amp; \"'"
        svg = path_svg(
            PathScene(
                (PathStep(hostile, 0, 0.5),),
                (PathStage(hostile, 0),),
                "EUR",
                2,
                (PathAlternative(hostile, (PathPoint(0, 0.1),)),),
                OtherSkate(hostile, 100),
                hostile,
            )
        )

        assert shown == parsed(svg).findtext(f"{SVG}title")
        assert 4 == told(svg).count(shown)
        assert {"svg", "title", "desc", "style", "rect", "g", "text", "circle", "line", "polyline", "polygon"} == {
            each.tag.removeprefix(SVG) for each in parsed(svg).iter()
        }
        assert "<script" not in svg

    def test_asks_for_nothing_from_outside(self) -> None:
        """... names no address but that of its own language, no script and no face of letters."""
        svg = path_svg(THREE)

        assert ["http://www.w3.org/2000/svg"] == re.findall(r"\w+://[^\"' ]*", svg)
        assert not re.search(r"href|url\(|@import|@font-face|\bon\w+=", svg)

    def test_shares_a_page(self) -> None:
        """... has no id that another one with another prefix has."""
        ids = [re.findall(r'\bid="([^"]*)"', path_svg(THREE, prefix=prefix)) for prefix in ("before", "after")]

        assert (3, 3) == (len(set(ids[0])), len(set(ids[1])))
        assert not set(ids[0]) & set(ids[1])

    @pytest.mark.parametrize(
        ("theme", "prefix", "expected"),
        [("sepia", "a", "one of the themes"), ("auto", "", "a letter, then"), ("auto", "a{}*", "a letter, then")],
    )
    def test_is_refused(self, theme: Theme, prefix: str, expected: str) -> None:
        """... is not drawn for a theme or a prefix that there is not."""
        with pytest.raises(InvalidQuantityError, match=expected):
            path_svg(THREE, theme=theme, prefix=prefix)


def _legend(svg: str) -> list[str]:
    """Give what is written between the axis and the first stage."""
    lines = written(svg)
    return lines[lines.index("money spent, EUR →") + 1 : lines.index("A: now")]


def _hundredths(money_minor: float, relief: float) -> tuple[int, int]:
    return round(money_minor / 100), round(relief * 100)
