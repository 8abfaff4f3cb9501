"""What the doubt of hole places leaves of a margin."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace

import pytest

from mountwright.measure.conformity import conformance_probability
from mountwright.measure.quantity import Estimate, Limits
from mountwright.measure.uncertainty import rectangular
from mountwright.mounts.bolt_doubt import margin_in_doubt
from mountwright.mounts.bolts import bolts_pass
from mountwright.mounts.holes import Hole

M6 = 6000
CALIPER_UM = rectangular(200)
PLACES = {"front": (0, 0), "middle": (40_000, 0), "rear": (20_000, 50_000)}
PASSES = Limits(0, None)


def holes(diameter_um: int, doubt_um: float, tapped: bool = False, off_um: int = 0) -> list[Hole]:
    """Give three holes, the rear one off its place along the skate."""
    return [
        Hole(name, x + (off_um if name == "rear" else 0), y, diameter_um, 0, 0.0, tapped, doubt_um)
        for name, (x, y) in PLACES.items()
    ]


def doubted(boot: Sequence[Hole], part: Sequence[Hole]) -> Estimate:
    """Give the margin in doubt."""
    return margin_in_doubt(boot, part, M6, bolts_pass(boot, part, M6))


def simulated(boot: Sequence[Hole], part: Sequence[Hole], draws: int = 500) -> float:
    """Give how often the bolts pass when every hole is drawn about its place and the best shift and turn are sought."""
    source = random.Random(5)  # noqa: S311  # draws of a distribution, no secret

    def drawn(hole: Hole) -> Hole:
        along = round((hole.along_um or 0) + source.gauss(0, hole.standard_uncertainty_um))
        return replace(hole, along_um=along, across_um=round(hole.across_um + source.gauss(0, CALIPER_UM)))

    passed = [bolts_pass(list(map(drawn, boot)), list(map(drawn, part)), M6).passes for _ in range(draws)]
    return sum(passed) / draws


def test_exact_places_leave_the_whole_margin() -> None:
    """A drawing has no doubt, and its margin none either."""
    boot, part = holes(M6, 0, tapped=True), holes(6600, 0, off_um=200)

    assert Estimate(bolts_pass(boot, part, M6).margin_um, 0) == doubted(boot, part)


@pytest.mark.parametrize("off_um", [0, 200, 400, 600])
def test_measured_places_pass_as_often_as_a_simulation_says(off_um: int) -> None:
    """JCGM 101: propagation by drawing, here against a simulation that seeks the best turn for every draw."""
    boot, part = holes(M6, CALIPER_UM, tapped=True), holes(6600, CALIPER_UM, off_um=off_um)
    expected = simulated(boot, part)

    assert expected == pytest.approx(conformance_probability(doubted(boot, part), PASSES), abs=0.03)


def test_doubt_costs_margin_and_not_only_certainty() -> None:
    """The least of three margins is drawn down by doubt: first order alone would promise the margin as read."""
    boot, part = holes(M6, CALIPER_UM, tapped=True), holes(6600, CALIPER_UM)

    assert doubted(boot, part).value < bolts_pass(boot, part, M6).margin_um


@pytest.mark.parametrize(("off_um", "expected"), [(5000, 0.0), (0, 1.0)], ids=["far out", "wide holes"])
def test_a_plain_case_is_plain(off_um: int, expected: float) -> None:
    """Where doubt cannot turn the outcome it does not: far too far out, or far more room than doubt."""
    diameter = 6600 if off_um else 9000
    boot, part = holes(M6, CALIPER_UM, tapped=True), holes(diameter, CALIPER_UM, off_um=off_um)

    assert expected == pytest.approx(conformance_probability(doubted(boot, part), PASSES), abs=1e-3)


def test_the_same_question_has_the_same_answer() -> None:
    """Draws are the same every time."""
    boot, part = holes(M6, CALIPER_UM, tapped=True), holes(6600, CALIPER_UM, off_um=300)

    assert doubted(boot, part) == doubted(boot, part)


def test_the_name_of_a_bolt_does_not_matter() -> None:
    """Two patterns whose holes come in another order are brought together by name."""
    boot, part = holes(M6, CALIPER_UM, tapped=True), holes(6600, CALIPER_UM, off_um=300)

    assert doubted(boot, part) == doubted(boot, part[::-1])
