"""A model's name that hides versions, and several skates in one basket: where they differ, the customer is asked."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest

from mountwright.checkout.article import Article
from mountwright.checkout.basket import Basket, Lot, Owned, Policy, Unknown, Version
from mountwright.checkout.cart_check import CartAnswer, blocks, cart_checked
from mountwright.checkout.finding import Decision
from mountwright.checkout.joint_verdicts import JointMemory
from mountwright.checkout.till import till_for
from mountwright.errors import InvalidQuantityError
from mountwright.fitting.estimates import estimates


def judged(registry: Any, skates: Sequence[Owned], *lots: Lot) -> CartAnswer:
    """Judge a basket."""
    basket = Basket(tuple(skates), lots, Policy())
    return cart_checked(basket, till_for(basket, registry, estimates(), JointMemory()))


def owned(*versions: tuple[Article, str]) -> Owned:
    """Give a skate that may be of several versions, each with its mark."""
    return Owned(tuple(Version(skate, mark=mark) for skate, mark in versions))


def test_versions_that_take_a_part_alike_are_not_asked_about(trade: Any, registry: Any) -> None:
    """Whichever it is."""
    both = owned((trade.boot(), "round badge"), (trade.boot(), "square badge"))
    answer = judged(registry, [both], Lot("frame", trade.frame(), skate=0))

    assert Decision.CLEAR is answer.decision


def test_versions_that_differ_are_asked_about_by_the_mark_one_sees(trade: Any, registry: Any) -> None:
    """One question: the badge."""
    both = owned((trade.boot(), "round badge"), (trade.boot("two-bolt-195"), "square badge"))
    (found,) = judged(registry, [both], Lot("frame", trade.frame(), skate=0)).lots

    assert (Decision.CONFIRM, ["cart.which_version"]) == (found.decision, [each.code for each in found.findings])
    assert found.findings[0].step is not None
    assert "round badge" in str(found.findings[0].step.params["versions"])
    assert "square badge" in str(found.findings[0].step.params["versions"])


@pytest.mark.parametrize(
    ("spacings", "decision", "code"),
    [
        (("two-bolt-165", "two-bolt-165"), Decision.CLEAR, "cart.fits"),
        (("two-bolt-195", "two-bolt-195"), Decision.STOP, "cart.does_not_fit"),
        (("two-bolt-165", "two-bolt-195"), Decision.CONFIRM, "cart.which_skate"),
    ],
    ids=["on both", "on neither", "on one"],
)
def test_a_line_for_no_skate_in_particular_is_judged_on_each(
    trade: Any, registry: Any, spacings: tuple[str, str], decision: Decision, code: str
) -> None:
    """Clear on all is clear, stop on all is stop, and anything else is asked."""
    skates = [owned((trade.boot(spacing), "")) for spacing in spacings]
    frame = trade.frame("flat-167" if decision is Decision.STOP else "two-bolt-165")
    (found,) = judged(registry, skates, Lot("frame", frame)).lots

    assert (decision, code) == (found.decision, found.findings[0].code)


def test_a_line_for_a_skate_is_judged_on_that_one(trade: Any, registry: Any) -> None:
    """The other one's spacing does not matter."""
    skates = [owned((trade.boot("two-bolt-195"), "")), owned((trade.boot(), ""))]
    answer = judged(registry, skates, Lot("frame", trade.frame(), skate=1))

    assert Decision.CLEAR is answer.decision
    assert [Decision.CLEAR, Decision.CLEAR] == [skate.decision for skate in answer.skates]


def test_what_is_for_a_skate_whose_row_is_in_doubt_is_asked_about(trade: Any, registry: Any) -> None:
    """Its mounts may be other than they are said to be."""
    doubted = Owned((Version(trade.boot(), is_in_doubt=True),))
    (found,) = judged(registry, [doubted], Lot("frame", trade.frame(), skate=0)).lots

    assert (Decision.CONFIRM, "cart.skate_in_doubt") == (found.decision, found.findings[0].code)


def test_a_lenient_shop_waits_for_what_is_wrong_and_not_for_what_is_unknown(trade: Any, registry: Any) -> None:
    """Neither is ever clear."""
    unknown, wrong = trade.other("slider", sold_as="pair"), trade.axle("6")
    skates = [owned((trade.boot(), ""))]
    lots = (Lot("a", trade.frame(), skate=0), Lot("b", unknown, skate=0), Lot("c", wrong, 8, skate=0))
    answer = judged(registry, skates, *lots)
    waits = {lot.lot.key: blocks(lot.findings[0], Unknown.LENIENT) for lot in answer.lots}

    assert {"a": False, "b": False, "c": True} == waits
    assert all(blocks(lot.findings[0], Unknown.STRICT) for lot in answer.lots if lot.decision is not Decision.CLEAR)


def test_a_basket_refuses_what_cannot_be(trade: Any) -> None:
    """A lot of nothing or for a skate that is not there, a skate without a version, thresholds out of order."""
    with pytest.raises(InvalidQuantityError):
        Lot("frame", trade.frame(), 0)
    with pytest.raises(InvalidQuantityError):
        Basket((owned((trade.boot(), "")),), (Lot("frame", trade.frame(), skate=1),))
    with pytest.raises(InvalidQuantityError):
        Owned(())
    with pytest.raises(InvalidQuantityError):
        Policy(fits_at_least=0.2, does_not_fit_at_most=0.3)
