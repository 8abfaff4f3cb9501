"""What the demo's skates are sold with, each as one set-up that holds together, and what may take its place."""

from __future__ import annotations

import csv
import json
from importlib import resources
from itertools import pairwise
from typing import NamedTuple

import pytest

Row = dict[str, str]

#: What places to a tenth of a millimetre may be off by, mm.
ROUNDING = 0.05

#: What holds an axle, as a frame's figures say it and as one sees it.
FASTENINGS = {"tapped_frame": "threaded_frame", "nut": "nut", "two_piece": "two_piece"}


class Content(NamedTuple):
    """A part that a skate comes with, and how many pieces of it for the pair."""

    part: Row
    count: int


class SetUp(NamedTuple):
    """A skate and what it comes with, by kind."""

    skate: Row
    contents: dict[str, list[Content]]

    def parts(self, kind: str) -> list[Row]:
        """Give the parts of a kind."""
        return [content.part for content in self.contents.get(kind, ())]

    def pieces(self, kind: str) -> int:
        """Give how many pieces of a kind there are for the pair."""
        return sum(content.count for content in self.contents.get(kind, ()))


def rows(name: str, kind: str = "") -> dict[str, Row]:
    """Give the rows of a file by SKU, of all kinds or of one, empty cells left out."""
    text = resources.files("mountwright.demo").joinpath(name).read_text(encoding="utf-8")
    found = [{heading: cell for heading, cell in row.items() if cell} for row in csv.DictReader(text.splitlines())]
    return {row["sku"]: row for row in found if "sku" in row and kind in ("", row["kind"])}


def contents(skate: Row, parts: dict[str, Row]) -> dict[str, list[Content]]:
    """Give what a skate comes with."""
    found: dict[str, list[Content]] = {}
    for entry in skate["comes_with"].split():
        sku, _, count = entry.partition("*")
        found.setdefault(parts[sku]["kind"], []).append(Content(parts[sku], int(count)))
    return found


@pytest.fixture(scope="module")
def parts() -> dict[str, Row]:
    """Give the parts by SKU."""
    return rows("parts.csv")


@pytest.fixture(scope="module")
def frames() -> list[Row]:
    """Give the frames."""
    return list(rows("parts.csv", "frame").values())


@pytest.fixture(scope="module")
def skates() -> dict[str, Row]:
    """Give the skates by SKU."""
    return rows("skates.csv", "skate")


@pytest.fixture(scope="module")
def set_ups(skates: dict[str, Row], parts: dict[str, Row]) -> list[SetUp]:
    """Give every skate with what it comes with."""
    return [SetUp(skate, contents(skate, parts)) for skate in skates.values()]


class TestSetUps:
    """The skates as they are sold ..."""

    def test_roll_on_what_they_come_with(self, set_ups: list[SetUp]) -> None:
        """... have, for the pair, two bearings, an axle and a spacer a wheel, or sleeves in the spacers' stead."""
        for each in set_ups:
            wheels = each.pieces("wheel")
            assert wheels in (6, 8)
            assert (2, 1) == tuple(each.pieces(kind) / wheels for kind in ("bearing", "axle"))
            assert each.pieces("spacer") == wheels or (each.pieces("spacer"), each.pieces("adapter")) == (0, 2 * wheels)

    def test_have_wheels_that_their_frame_takes(self, set_ups: list[SetUp]) -> None:
        """... have no larger wheel than their frame takes, and as many as it has places."""
        for each in set_ups:
            largest = max(float(wheel["diameter_mm"]) for wheel in each.parts("wheel"))
            for frame, count in each.contents.get("frame", ()):
                assert largest <= float(frame["largest_wheel_mm"])
                assert each.pieces("wheel") == 2 * int(frame["wheel_count"])
                assert count == (1 if "side" in frame else 2)

    def test_have_wheels_that_clear_each_other(self, set_ups: list[SetUp]) -> None:
        """... have a millimetre between a wheel and the next one, even where the two largest meet."""
        for each in set_ups:
            largest = max(float(wheel["diameter_mm"]) for wheel in each.parts("wheel"))
            for frame in each.parts("frame"):
                places = [place["along_mm"] for place in json.loads(frame["axle_places"])]
                assert min(front - rear for front, rear in pairwise(places)) - largest >= 1 - ROUNDING

    def test_have_axles_that_their_frame_takes(self, set_ups: list[SetUp]) -> None:
        """... have axles of the frame's size and fastening that end at most 1 mm before its far face."""
        for each in set_ups:
            for place in each.parts("frame") or [each.skate]:
                for axle in each.parts("axle"):
                    for name in ("standard", "seen.fastening"):
                        assert place[f"axle_place.{name}"] == axle[f"axle_place.{name}"]
                    assert float(axle["under_head_length_mm"]) >= float(place["axle_place.outside_width_mm"]) - 1

    def test_say_where_their_axles_go_only_where_no_frame_does(self, set_ups: list[SetUp]) -> None:
        """... have a place for axles of their own if and only if they come without a frame that has it."""
        for each in set_ups:
            assert ("axle_place.standard" in each.skate) != bool(each.parts("frame"))

    def test_have_sleeves_where_the_axle_is_thinner_than_the_bore(self, set_ups: list[SetUp]) -> None:
        """... have a sleeve a bearing if and only if the bearings are wider than the axles."""
        for each in set_ups:
            (bearing,), (axle,) = each.parts("bearing"), each.parts("axle")
            is_loose = float(bearing["bore_mm"]) > float(axle["diameter_mm"])
            assert each.pieces("adapter") == (each.pieces("bearing") if is_loose else 0)

    def test_have_brakes_that_their_frame_and_wheels_take(self, set_ups: list[SetUp]) -> None:
        """... have a brake only on a frame that carries one, and for wheels of their size."""
        braked = [each for each in set_ups if each.parts("brake")]

        assert len(braked) == 4
        for each in braked:
            assert {"true"} >= {frame["takes_brake"] for frame in each.parts("frame")}
            (wheel,) = each.parts("wheel")
            for brake in each.parts("brake"):
                smallest, largest = (float(brake[f"{end}_wheel_mm"]) for end in ("smallest", "largest"))
                assert smallest <= float(wheel["diameter_mm"]) <= largest


class TestFrames:
    """The frames ..."""

    def test_have_places_for_axles(self, frames: list[Row]) -> None:
        """... say what axle goes in, and what holds it, the same in both ways of saying it."""
        assert {"axle-place-8", "axle-place-6"} == {frame["axle_place.standard"] for frame in frames}
        for frame in frames:
            assert FASTENINGS[frame["axle_fastening"]] == frame["axle_place.seen.fastening"]

    def test_say_whether_they_carry_a_brake(self, frames: list[Row]) -> None:
        """... say of a brake yes or no; frames for racing and flat ones say no."""
        carry = {frame["sku"]: frame["takes_brake"] for frame in frames}

        assert {"true", "false"} == set(carry.values())
        assert {"false"} == {told for sku, told in carry.items() if "-beam-" in sku or "-flat-" in sku}


class TestAwkwardCases:
    """Among what may take the place of a skate's parts there is ..."""

    def test_a_bolt_that_is_too_long(self, skates: dict[str, Row], parts: dict[str, Row]) -> None:
        """... a bolt that holds a frame on a boot, and a longer one that bottoms in its thread before it clamps."""
        deepest = float(skates["marrowby-lock-2"]["frame.thread_depth_mm"])
        clamped = float(parts["frame-quillfen-4x80-black"]["frame.clamped_thickness_mm"])
        bolts = [float(parts[f"bolt-quillfen-m6x{length}"]["under_head_length_mm"]) for length in (16, 20)]

        assert [True, False] == [length <= deepest + clamped for length in bolts]

    def test_an_insole_that_is_too_thick(self, skates: dict[str, Row], parts: dict[str, Row]) -> None:
        """... an insole that is too thick for one boot and goes into another."""
        little, enough = (float(skates[sku]["insole_room_mm"]) for sku in ("hollin-reach", "marrowby-lock-2"))

        assert little < float(parts["insole-osmerfield-arch-42-43"]["thickness_mm"]) <= enough
