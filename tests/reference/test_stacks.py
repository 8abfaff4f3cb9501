"""Chains of lengths against published stack-ups."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from mountwright.measure.quantity import Estimate
from mountwright.measure.uncertainty import rectangular
from mountwright.mounts.registry import Registry
from mountwright.mounts.rules import Stack, Term, chained, extremes

Given = Mapping[str, float]


def _chain(lengths: Given, tolerances: Given | None = None) -> Estimate:
    """Chain lengths; tolerances stand for k standard uncertainties each and combine to k of the sum."""
    spread = tolerances or {}
    links = [(Term("", name, 1), Estimate(length, spread.get(name, 0))) for name, length in lengths.items()]
    return chained(links)


@pytest.mark.published("stacks", "gap")
def test_a_gap_is_what_the_pieces_leave(given: Given, value: float) -> None:
    """A housing less the pieces in it leaves the published gap."""
    links = [(Term("", name, 1 if length > 0 else -1), Estimate(abs(length), 0)) for name, length in given.items()]
    assert Estimate(value, 0) == chained(links)


@pytest.mark.published("stacks", "sum")
def test_a_sum_is_the_published_one(given: Given, value: float) -> None:
    """Three lengths add to the published one."""
    assert Estimate(value, 0) == _chain(given)


@pytest.mark.published("stacks", "statistical tolerance of a gap")
@pytest.mark.parametrize("sign", [1, -1])
def test_a_gap_varies_as_published(given: Given, value: float, last_digit: float, sign: int) -> None:
    """Tolerances combine by root sum of squares to the published one, whichever way a piece counts."""
    links = [(Term("", name, sign), Estimate(0, tolerance)) for name, tolerance in given.items()]
    assert value == pytest.approx(chained(links).standard_uncertainty, abs=last_digit)


@pytest.mark.published("stacks", "statistical tolerance of a sum")
def test_a_sum_varies_as_published(given: Given, value: float, last_digit: float) -> None:
    """Tolerances of a sum combine by root sum of squares to the published one."""
    assert value == pytest.approx(_chain(dict.fromkeys(given, 0.0), given).standard_uncertainty, abs=last_digit)


def _extremes(given: Given) -> tuple[float | None, float | None]:
    """Give the worst case of a chain whose first figure is its length and whose others are half-widths."""
    (_, length), *widths = given.items()
    links = [(Term("", "length", 1), Estimate(length, 0))]
    links += [(Term("", name, 1), Estimate(0, rectangular(width))) for name, width in widths]
    worst = extremes(links)
    return worst.low, worst.high


@pytest.mark.published("stacks", "least gap at worst")
def test_a_gap_is_least_where_every_piece_is_at_its_worst(given: Given, value: float) -> None:
    """Worst case: the tolerances add up against the gap."""
    assert value == pytest.approx(_extremes(given)[0])


@pytest.mark.published("stacks", "greatest gap at worst")
def test_a_gap_is_greatest_where_every_piece_is_at_its_worst(given: Given, value: float) -> None:
    """Worst case: the tolerances add up in favour of the gap."""
    assert value == pytest.approx(_extremes(given)[1])


@pytest.mark.published("stacks", "least sum at worst")
def test_a_sum_is_least_where_every_piece_is_at_its_worst(given: Given, value: float) -> None:
    """Worst case of a sum, below."""
    assert value == pytest.approx(_extremes(given)[0])


@pytest.mark.published("stacks", "greatest sum at worst")
def test_a_sum_is_greatest_where_every_piece_is_at_its_worst(given: Given, value: float) -> None:
    """Worst case of a sum, above."""
    assert value == pytest.approx(_extremes(given)[1])


@pytest.mark.published("stacks", "statistical minimum")
def test_a_sum_reaches_down_as_published(given: Given, value: float, last_digit: float) -> None:
    """The sum less its statistical tolerance is the published minimum."""
    total, spread = _spread_sum(given)
    assert value == pytest.approx(total - spread, abs=last_digit)


@pytest.mark.published("stacks", "statistical maximum")
def test_a_sum_reaches_up_as_published(given: Given, value: float, last_digit: float) -> None:
    """The sum with its statistical tolerance is the published maximum."""
    total, spread = _spread_sum(given)
    assert value == pytest.approx(total + spread, abs=last_digit)


def _spread_sum(given: Given) -> Estimate:
    tolerances = {name: tolerance for name, tolerance in given.items() if name != "sum"}
    return _chain({"first": given["sum"], "second": 0.0, "third": 0.0}, tolerances)


@pytest.mark.published("stacks", "ten pieces that vary each on its own")
def test_like_pieces_vary_each_on_its_own(given: Given, value: float, last_digit: float) -> None:
    """Ten pieces of one tolerance vary by the root of ten times it."""
    spread = chained([(Term("", "piece", 1, pieces=10), Estimate(0, given["tolerance"]))]).standard_uncertainty
    assert value == pytest.approx(spread, abs=last_digit)


@pytest.mark.published("stacks", "one piece taken ten times")
def test_one_piece_taken_ten_times_varies_as_a_whole(given: Given, value: float, last_digit: float) -> None:
    """One piece that counts ten times over varies by ten times its tolerance: the worst case of ten."""
    spread = chained([(Term("", "piece", 10), Estimate(0, given["tolerance"]))]).standard_uncertainty
    assert value == pytest.approx(spread, abs=last_digit)


@pytest.mark.published("stacks", "two bearings and a spacer")
def test_two_bearings_and_a_spacer_are_as_long_as_published(given: Given, value: float, installed: Registry) -> None:
    """The installed check takes two bearings and one spacer off the frame's inside width."""
    rules = installed.standards["axle-8"].family.rules
    stack = next(rule for rule in rules if isinstance(rule, Stack) and rule.code == "stack_in_frame")
    lengths = {"inside_width_mm": 0.0, "bearing_width_mm": given["bearing"], "spacer_length_mm": given["spacer"]}
    taken = chained((term, Estimate(lengths[term.dimension], 0)) for term in stack.terms)
    assert -value == pytest.approx(taken.value)
