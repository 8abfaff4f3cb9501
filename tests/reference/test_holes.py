"""Holes and bolts against ISO 273, the fastener formulas of ASME Y14.5 and the two-bolt mount."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise

import pytest

from mountwright.mounts.bolt_rule import BoltsPass
from mountwright.mounts.bolts import bolts_pass
from mountwright.mounts.check import Check
from mountwright.mounts.holes import Hole
from mountwright.mounts.joint import Joint, JointSide

Given = Mapping[str, float]
Pattern = tuple[Hole, ...]
Pair = tuple[float, float]

_SPACING_UM = 165_000


def _um(mm: float) -> int:
    return round(mm * 1000)


def _pattern(places_um: tuple[int, int], *holes: Pair, tapped: bool = False) -> Pattern:
    """Give a front and a rear hole: each a diameter and the length of a slot along the skate, 0 for a round hole."""
    named = zip(("front", "rear"), places_um, holes, strict=True)
    return tuple(
        Hole(name, place, 0, _um(diameter), slot_length_um=_um(slot), tapped=tapped)
        for name, place, (diameter, slot) in named
    )


def _check(boot: Pattern, part: Pattern, bolt_um: int) -> Check:
    rule = BoltsPass("bolts_pass", "hole_spacing_mm", bolt_um, {}, "")
    (check,) = rule(Joint("frame", JointSide("boot", {}, {}, boot), JointSide("frame", {}, {}, part)))
    return check


def _passes(boot: Pattern, part: Pattern, bolt_um: int) -> tuple[bool, bool]:
    """Give what the rule by spacing says and what the geometry says."""
    check = _check(boot, part, bolt_um)
    assert check.value is not None
    return check.limits.contain(check.value.value), bolts_pass(boot, part, bolt_um).passes


def _off(
    by_um: float, boot: tuple[float, float], part: tuple[float, float], *, tapped: bool
) -> tuple[Pattern, Pattern]:
    """Give two patterns of round holes, the boot's spaced that much wider than the part's; sizes are diameters."""
    shift = round(by_um)
    return (
        _pattern((0, _SPACING_UM + shift), *((size, 0) for size in boot), tapped=tapped),
        _pattern((0, _SPACING_UM), *((size, 0) for size in part)),
    )


@pytest.mark.published("holes", "clearance hole")
def test_a_clearance_hole_gives_a_tapped_mount_its_play(given: Given, value: float) -> None:
    """Two holes of ISO 273 over a tapped boot take a mismatch of hole less bolt and not a micrometre more."""
    bolt, play = given["bolt"], (value - given["bolt"]) * 1000
    assert (True, True) == _passes(*_off(play, (bolt, bolt), (value, value), tapped=True), _um(bolt))
    assert (False, False) == _passes(*_off(play + 1, (bolt, bolt), (value, value), tapped=True), _um(bolt))


@pytest.mark.published("holes", "clearance hole")
def test_clearance_holes_on_both_sides_give_twice_the_play(given: Given, value: float) -> None:
    """Holes of ISO 273 in both parts take twice hole less bolt and not a micrometre more."""
    bolt, play = given["bolt"], 2 * (value - given["bolt"]) * 1000
    assert (True, True) == _passes(*_off(play, (value, value), (value, value), tapped=False), _um(bolt))
    assert (False, False) == _passes(*_off(play + 1, (value, value), (value, value), tapped=False), _um(bolt))


def _worst_places(tolerance_mm: float) -> tuple[int, int]:
    """Give the places of two holes that stand as far apart as a position tolerance, a diameter, lets them."""
    return round(-tolerance_mm * 500), _SPACING_UM + round(tolerance_mm * 500)


@pytest.mark.published("holes", "floating fastener")
def test_a_floating_fastener_passes_at_its_position_tolerance(given: Given, value: float) -> None:
    """With every hole at the edge of the published zone a through bolt just passes; farther out it does not."""
    hole, bolt = (given["hole"], 0.0), _um(given["bolt"])
    boot, part = _pattern(_worst_places(value), hole, hole), _pattern(_worst_places(-value), hole, hole)
    assert (True, True) == _passes(boot, part, bolt)
    assert (False, False) == _passes(boot, _pattern(_worst_places(-value - 0.002), hole, hole), bolt)


@pytest.mark.published("holes", "fixed fastener")
def test_a_fixed_fastener_passes_at_its_position_tolerance(given: Given, value: float) -> None:
    """With every hole at the edge of the published zone a bolt in a thread just passes; farther out it does not."""
    hole, thread, bolt = (given["hole"], 0.0), (given["bolt"], 0.0), _um(given["bolt"])
    boot = _pattern(_worst_places(value), thread, thread, tapped=True)
    assert (True, True) == _passes(boot, _pattern(_worst_places(-value), hole, hole), bolt)
    assert (False, False) == _passes(boot, _pattern(_worst_places(-value - 0.002), hole, hole), bolt)


@pytest.mark.published("holes", "fixed fastener, unequal split")
def test_a_tolerance_may_be_split_unequally(given: Given, value: float) -> None:
    """The published hole lets a bolt pass when thread and hole use up their unequal shares; a finer one does not."""
    bolt = _um(given["bolt"])
    boot = _pattern(_worst_places(given["first"]), (given["bolt"], 0), (given["bolt"], 0), tapped=True)
    places = _worst_places(-given["second"])
    assert (True, True) == _passes(boot, _pattern(places, (value, 0), (value, 0)), bolt)
    assert (False, False) == _passes(boot, _pattern(places, (value - 0.002, 0), (value - 0.002, 0)), bolt)


def _mount(given: Given, mismatch_um: float) -> tuple[Pattern, Pattern]:
    boot = given.get("boot", given["bolt"])
    front, rear = (given["front"], given.get("front_slot", 0.0)), (given["rear"], given.get("rear_slot", 0.0))
    return (
        _pattern((0, _SPACING_UM), (boot, 0), (boot, 0), tapped="boot" not in given),
        _pattern((0, _SPACING_UM + round(mismatch_um)), front, rear),
    )


@pytest.mark.published("holes", "largest spacing mismatch")
def test_a_two_bolt_mount_takes_the_published_mismatch(given: Given, value: float) -> None:
    """A two-bolt mount takes just the published mismatch, longer or shorter, and not a micrometre more."""
    bolt = _um(given["bolt"])
    limit = value * 1000
    assert [(True, True)] * 2 == [_passes(*_mount(given, out), bolt) for out in (limit, -limit)]
    assert [(False, False)] * 2 == [_passes(*_mount(given, out), bolt) for out in (limit + 1, -limit - 1)]


@pytest.mark.published("holes", "largest spacing mismatch")
def test_the_limits_of_the_check_are_the_published_mismatch(given: Given, value: float) -> None:
    """The check states the published mismatch as its limit to either side."""
    limits = _check(*_mount(given, 0), _um(given["bolt"])).limits
    assert (-value * 1000, value * 1000) == pytest.approx((limits.low, limits.high))


def test_a_grade_coarser_takes_more(tables: dict[str, list[Mapping[str, str]]]) -> None:
    """Of each thread the medium hole is wider than the fine and the coarse wider than the medium (ISO 273)."""
    rows = [row for row in tables["holes"] if row["quantity"] == "clearance hole"]
    steps = [(a, b) for a, b in pairwise(rows) if a["inputs"] == b["inputs"]]
    assert [] == [a["id"] for a, b in steps if float(a["value"]) >= float(b["value"])]
