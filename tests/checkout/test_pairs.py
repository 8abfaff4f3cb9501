"""Left and right, colours and sizes of a pair match (common practice of the trade)."""

from __future__ import annotations

from typing import Any

import pytest

from mountwright.checkout.article import Hand, SizeRun
from mountwright.checkout.basket import Counts, Policy
from mountwright.checkout.cart_check import CartAnswer


def unlike(answer: CartAnswer) -> set[str]:
    """Give what does not match."""
    codes = {finding.code for lot in answer.lots for finding in lot.findings}
    return codes & {"cart.hands_unmatched", "cart.colours_unmatched", "cart.sizes_unmatched", "cart.frames_differ"}


def test_a_left_and_a_right_buckle_match(trade: Any, buy: Any) -> None:
    """One of each."""
    left, right = (trade.other("buckle", hand.value, hand=hand, units_per_pack=1) for hand in Hand)

    assert set() == unlike(buy(trade.boot(), left, right))


def test_two_left_buckles_do_not_match(trade: Any, buy: Any) -> None:
    """Each skate takes its own."""
    left = trade.other("buckle", "left", hand=Hand.LEFT, units_per_pack=1)

    assert {"cart.hands_unmatched"} == unlike(buy(trade.boot(), (left, 2)))


def test_left_and_right_of_different_colours_are_asked_about(trade: Any, buy: Any) -> None:
    """Black on one foot and white on the other is seldom meant."""
    left = trade.other("cuff", "left", hand=Hand.LEFT, units_per_pack=1, colour="black")
    right = trade.other("cuff", "right", hand=Hand.RIGHT, units_per_pack=1, colour="white")

    assert {"cart.colours_unmatched"} == unlike(buy(trade.boot(), left, right))


def test_a_colour_may_have_no_name(trade: Any, buy: Any) -> None:
    """Two shades on the screen are two colours."""
    left = trade.other("cuff", "left", hand=Hand.LEFT, units_per_pack=1, colour_srgb="#101010")
    right = trade.other("cuff", "right", hand=Hand.RIGHT, units_per_pack=1, colour_srgb="#f0f0f0")

    assert {"cart.colours_unmatched"} == unlike(buy(trade.boot(), left, right))


def test_left_and_right_of_different_sizes_are_asked_about(trade: Any, buy: Any) -> None:
    """Two runs of sizes."""
    left = trade.other("cuff", "left", hand=Hand.LEFT, units_per_pack=1, sizes=SizeRun(36, 38))
    right = trade.other("cuff", "right", hand=Hand.RIGHT, units_per_pack=1, sizes=SizeRun(39, 41))

    assert {"cart.sizes_unmatched"} == unlike(buy(trade.boot(), left, right))


@pytest.mark.parametrize(("red", "white", "expected"), [(4, 4, set()), (5, 3, {"cart.colours_unmatched"})])
def test_two_colours_of_wheels_have_to_come_out_even(
    trade: Any, buy: Any, red: int, white: int, expected: set[str]
) -> None:
    """Two red and two white a skate are meant; five and three are not."""
    wheels = [(trade.wheel(sku="red", colour="red"), red), (trade.wheel(sku="white", colour="white"), white)]

    assert expected == unlike(buy(trade.boot(), *wheels, fitted=[(trade.frame(), 2)]))


def test_two_diameters_of_wheels_have_to_come_out_even(trade: Any, buy: Any) -> None:
    """Five of 76 and three of 80 leave the skates unlike."""
    wheels = [(trade.wheel(76), 5), (trade.wheel(80), 3)]

    assert {"cart.sizes_unmatched"} == unlike(buy(trade.boot(), *wheels, fitted=[(trade.frame(), 2)]))


def test_two_different_pairs_of_frames_are_asked_about(trade: Any, buy: Any) -> None:
    """Each skate takes one."""
    answer = buy(trade.boot(), trade.frame(sku="one"), trade.frame(sku="other"))

    assert {"cart.frames_differ"} == unlike(answer)


def test_nobody_minds_the_colour_of_an_axle(trade: Any, buy: Any) -> None:
    """What is hidden in a wheel may be of any colour."""
    axles = [(trade.axle(sku="a", colour="black"), 5), (trade.axle(sku="b", colour="gold"), 3)]

    assert set() == unlike(buy(trade.boot(), *axles, fitted=[(trade.frame(), 2)]))


def test_spares_need_not_match(trade: Any, buy: Any) -> None:
    """A shop that sells single buckles says so."""
    left = trade.other("buckle", "left", hand=Hand.LEFT, units_per_pack=1)

    assert set() == unlike(buy(trade.boot(), left, policy=Policy(counts=Counts.SPARES)))
