"""A skate is one of two, and what is sold by the pack is counted by the piece (common practice of the trade)."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from mountwright.checkout.article import Article
from mountwright.checkout.basket import Counts, Policy
from mountwright.checkout.cart_check import CartAnswer
from mountwright.checkout.finding import Decision
from mountwright.mounts.mount import Claimant, Mount, Part, Pattern


def mount(position: str, side: str, standard: str) -> Mount:
    """Give a mount that its maker claims to follow a standard."""
    return Mount(position, side, (Pattern(standard=standard, claimed_by=Claimant.MAKER),))


def standing(trade: Any) -> list[tuple[Any, int]]:
    """Give what a four-wheel skate is sold with."""
    return [(trade.frame(), 2), (trade.wheel(), 8), (trade.bearing(), 16), (trade.axle(), 8)]


def count(answer: CartAnswer, kind: str) -> tuple[int, int | None, int, int]:
    """Give how many are wanted, in the basket, missing and too many."""
    (found,) = (each for each in answer.skates[0].counts if each.kind == kind)
    return found.wanted, found.in_basket, found.missing, found.too_many


def codes(answer: CartAnswer) -> set[str]:
    """Give the codes of everything that was found."""
    return {finding.code for lot in answer.lots for finding in lot.findings}


def test_one_pack_of_eight_bearings_leaves_eight_missing_on_a_four_wheel_pair(trade: Any, buy: Any) -> None:
    """Two bearings a wheel, four wheels a skate, two skates: sixteen."""
    answer = buy(trade.boot(), trade.bearing(), fitted=standing(trade))

    assert (16, 8, 8, 0) == count(answer, "bearing")
    assert Decision.CONFIRM is answer.decision
    assert "cart.too_few" in codes(answer)


def test_what_is_missing_is_filled_by_the_fewest_packs(trade: Any, buy: Any) -> None:
    """Nine missing take two packs of eight."""
    answer = buy(trade.boot(), (trade.bearing(sku="by-the-seven", units_per_pack=7), 1), fitted=standing(trade))

    (found,) = answer.skates[0].counts
    assert [("by-the-seven", 2)] == [(fill.article.sku, fill.packs) for fill in found.fills]


def test_two_packs_of_eight_are_enough(trade: Any, buy: Any) -> None:
    """Nothing is missing and nothing left over."""
    answer = buy(trade.boot(), (trade.bearing(), 2), fitted=standing(trade))

    assert (16, 16, 0, 0) == count(answer, "bearing")
    assert Decision.CLEAR is answer.decision


def test_too_many_are_said_and_never_held_up(trade: Any, buy: Any) -> None:
    """A workshop's pack of a hundred."""
    answer = buy(trade.boot(), trade.bearing(units_per_pack=100), fitted=standing(trade))

    assert (16, 100, 0, 84) == count(answer, "bearing")
    assert Decision.CLEAR is answer.decision
    assert "cart.too_many" in codes(answer)


def test_a_new_frame_says_how_many_wheels_there_are_to_be(trade: Any, buy: Any) -> None:
    """Three wheels on the new frame, whatever the old one had."""
    answer = buy(trade.boot(), trade.frame(wheel_count=3), (trade.wheel(), 6), fitted=standing(trade))

    assert (6, 6, 0, 0) == count(answer, "wheel")


def test_wheels_of_one_size_may_be_bought_for_their_places_only(trade: Any, buy: Any) -> None:
    """Four of 76 for a skate with 76 in front and 80 behind: the others stay."""
    fitted = [(trade.frame(), 2), (trade.wheel(76, sku="old-76"), 4), (trade.wheel(80), 4), (trade.bearing(), 16)]
    answer = buy(trade.boot(), (trade.wheel(76), 4), fitted=fitted)

    assert (8, 4, 0, 0) == count(answer, "wheel")


def test_wheels_of_one_size_for_all_places_replace_the_other_size(trade: Any, buy: Any) -> None:
    """Eight of 76 are a flat set: none of the old ones is counted with them."""
    fitted = [(trade.frame(), 2), (trade.wheel(76, sku="old-76"), 4), (trade.wheel(80), 4), (trade.bearing(), 16)]
    answer = buy(trade.boot(), (trade.wheel(76), 8), fitted=fitted)

    assert (8, 8, 0, 0) == count(answer, "wheel")


def test_wheels_of_a_size_that_the_skate_does_not_have_replace_all_of_its_own(trade: Any, buy: Any) -> None:
    """Four of 76 for a skate on 80 are not for some of its places: four are missing."""
    fitted = [(trade.frame(), 2), (trade.wheel(80), 8), (trade.bearing(), 16), (trade.axle(), 8)]
    answer = buy(trade.boot(), (trade.wheel(76), 4), fitted=fitted)

    assert (8, 4, 4, 0) == count(answer, "wheel")


def test_one_skate_takes_half(trade: Any, buy: Any) -> None:
    """A shop that mends a single skate says so."""
    answer = buy(trade.boot(), trade.bearing(), fitted=standing(trade), policy=Policy(counts=Counts.ONE_SKATE))

    assert (8, 8, 0, 0) == count(answer, "bearing")


def test_spares_are_not_counted(trade: Any, buy: Any) -> None:
    """Nobody has to say what three wheels are for."""
    answer = buy(trade.boot(), (trade.wheel(), 3), fitted=standing(trade), policy=Policy(counts=Counts.SPARES))

    assert () == answer.skates[0].counts
    assert Decision.CLEAR is answer.decision


@pytest.mark.parametrize(("sold_as", "pieces"), [("piece", 1), ("pair", 2)])
def test_what_is_sold_by_the_piece_or_pair_says_how_many_it_is(trade: Any, buy: Any, sold_as: str, pieces: int) -> None:
    """A record need not say it twice."""
    answer = buy(trade.boot(), trade.frame(units_per_pack=None, sold_as=sold_as))

    assert pieces == count(answer, "frame")[1]


def test_a_pack_that_does_not_say_what_it_holds_is_asked_about(trade: Any, buy: Any) -> None:
    """A set may be of any number."""
    answer = buy(trade.boot(), trade.bearing(units_per_pack=None, sold_as="set"), fitted=standing(trade))

    assert (16, None, 0, 0) == count(answer, "bearing")
    assert Decision.CONFIRM is answer.decision
    assert "cart.pack_size_unknown" in codes(answer)


def test_where_nobody_knows_how_many_wheels_there_are_nothing_is_counted(trade: Any, buy: Any) -> None:
    """A bare boot says nothing of wheels."""
    answer = buy(trade.boot(), trade.bearing())

    assert () == answer.skates[0].counts


def test_one_plate_is_half_of_what_a_pair_takes(trade: Any, buy: Any) -> None:
    """An adapter under each boot."""
    plate = replace(trade.adapter(), units_per_pack=1)
    answer = buy(trade.boot("two-bolt-195"), plate, trade.frame())

    assert (2, 1, 1, 0) == count(answer, "adapter")
    assert Decision.CONFIRM is answer.decision


def test_sleeves_are_counted_by_the_bearing(trade: Any, buy: Any) -> None:
    """One in each bore: sixteen for a four-wheel pair, and eight are half of them."""
    sleeve = mount("axle", "bearing", "axle-6")
    sleeves = Article(
        "adapter",
        Part("adapter", (sleeve,)),
        sku="sleeves",
        units_per_pack=8,
        specs={"converts_from": "axle-6", "converts_to": "axle-8"},
    )
    fitted = [(trade.frame(), 2), (trade.wheel(), 8), (trade.axle("6"), 8)]
    answer = buy(trade.boot(), sleeves, (trade.bearing(), 2), fitted=fitted)

    assert (16, 8, 8, 0) == count(answer, "adapter")
