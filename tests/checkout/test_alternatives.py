"""What is looked for instead of a part that does not go on, and what is proposed of what was found."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

import pytest

from mountwright.checkout.alternatives import MOST, Alternative, Sought, nearest, sought
from mountwright.checkout.article import Article
from mountwright.checkout.basket import Basket, Fitted, Lot, Owned, Version
from mountwright.checkout.cart_check import cart_checked
from mountwright.checkout.finding import Decision
from mountwright.checkout.joint_verdicts import JointMemory
from mountwright.checkout.till import till_for
from mountwright.fitting.estimates import estimates
from mountwright.mounts.mount import Mount, Part, Pattern


class Stopped:
    """A lot that does not go on, with the skate that it was judged on."""

    def __init__(self, registry: Any, article: Article, skate: Article, fitted: Iterable[tuple[Article, int]]) -> None:
        self.lot = Lot("lot", article, 8, skate=0)
        self.owned = Owned((Version(skate, tuple(Fitted(each, pieces, True) for each, pieces in fitted)),), eu_size=42)
        basket = Basket((self.owned,), (self.lot,))
        self.till = till_for(basket, registry, estimates(), JointMemory())
        answer = cart_checked(basket, self.till)
        (self.found,) = answer.judgements
        assert Decision.STOP is answer.decision

    def sought(self) -> Sought:
        """Give what is looked for."""
        return sought(self.lot, self.found, self.owned)

    def nearest(self, *candidates: Article) -> tuple[Alternative, ...]:
        """Give what is proposed of some candidates."""
        return nearest(self.lot, candidates, self.found, self.owned, self.till)


@pytest.fixture
def wheels(trade: Any, registry: Any) -> Stopped:
    """Give wheels that are too large for the frame."""
    fitted = [(trade.frame(), 2), (trade.wheel(), 8), (trade.bearing(), 16), (trade.axle(), 8)]
    return Stopped(registry, trade.wheel(84, colour="red"), trade.boot(), fitted)


def test_a_wheel_is_looked_for_beside_the_bearings_and_no_larger_than_the_frame_takes(wheels: Stopped) -> None:
    """Of its size as nearly as can be."""
    found = wheels.sought()

    assert [("hub", "bearing")] == [(mount.position, mount.side) for mount in found.beside]
    assert {"diameter_mm": (None, 80)} == found.figures
    assert 84 == found.near["diameter_mm"]
    assert 42 == found.eu_size


def test_a_frame_is_looked_for_beside_the_boot(trade: Any, registry: Any) -> None:
    """Its axles' places are no reason."""
    found = Stopped(registry, trade.frame("two-bolt-150"), trade.boot("two-bolt-195"), []).sought()

    assert [("frame", "boot")] == [(mount.position, mount.side) for mount in found.beside]


def test_three_that_go_on_are_enough_the_nearest_first(trade: Any, wheels: Stopped) -> None:
    """Candidates come in order of nearness; those that do not go on are passed over."""
    candidates = [trade.wheel(size, sku=f"wheel-{number}") for number, size in enumerate((90, 80, 78, 88, 76, 72))]

    assert ["wheel-1", "wheel-2", "wheel-4"] == [each.article.sku for each in wheels.nearest(*candidates)]
    assert MOST == len(wheels.nearest(*candidates))


def test_one_that_is_clear_stands_before_one_that_has_to_be_asked_about(trade: Any, registry: Any) -> None:
    """However near."""
    stopped = Stopped(registry, trade.frame("two-bolt-150"), trade.boot("two-bolt-195"), [])
    found = stopped.nearest(trade.frame("two-bolt-165", sku="asked"), trade.frame("two-bolt-195", sku="clear"))

    assert [("clear", Decision.CLEAR), ("asked", Decision.CONFIRM)] == [
        (each.article.sku, each.decision) for each in found
    ]


def test_an_alternative_says_whether_it_has_the_colour_and_how_sure_it_is(trade: Any, wheels: Stopped) -> None:
    """The least probability of what was checked."""
    red, blue = wheels.nearest(trade.wheel(80, sku="a", colour="Red"), trade.wheel(80, sku="b", colour="blue"))

    assert (True, False) == (red.same_colour, blue.same_colour)
    assert 0.95 <= red.probability <= 1


def test_nothing_that_goes_on_is_nothing_proposed(trade: Any, wheels: Stopped) -> None:
    """Rather than something that does not."""
    assert () == wheels.nearest(trade.wheel(90), trade.wheel(80, hub="hub-688"))


def test_what_may_not_go_on_either_is_not_proposed(wheels: Stopped) -> None:
    """A wheel of which nobody knows the hub."""
    unknown = Article("wheel", Part("wheel", (Mount("hub", "wheel", (Pattern(),)),)), specs={"diameter_mm": 80})

    assert () == wheels.nearest(unknown)


def test_an_alternative_goes_on_every_version_that_the_skate_may_be(trade: Any, registry: Any) -> None:
    """Which of the two it is, nobody has said."""
    stopped = Stopped(registry, trade.frame("two-bolt-150"), trade.boot("two-bolt-195"), [])
    other = Version(trade.boot("flat-167"))
    stopped.owned = replace(stopped.owned, versions=(*stopped.owned.versions, other))

    assert () == stopped.nearest(trade.frame("two-bolt-195"))
