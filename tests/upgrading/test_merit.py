"""What an article really does against a complaint: wheels by how much easier they roll, and nothing that a job does."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from mountwright.checkout.basket import Fitted
from mountwright.upgrading.aims import points_of
from mountwright.upgrading.complaints import complaint
from mountwright.upgrading.customer import Customer
from mountwright.upgrading.estimates import upgrade_estimates
from mountwright.upgrading.gains import PER_CENT
from mountwright.upgrading.offers import Offer
from mountwright.upgrading.options import Choice

Asked = Callable[..., Choice]
Written = Callable[..., Customer]

SLOW = complaint("rolls_slowly").relief("wheel")
STIFF = complaint("cannot_turn").relief("wheel")


def offer(choice: Choice, key: str, position: str = "wheel") -> Offer:
    """Give what an option stands for."""
    return choice.offers[position, key]


def turning(shop: Any) -> tuple[Fitted, ...]:
    """Give what stands under a boot, with axles that can be turned for a rocker."""
    stands = shop.stands()
    places = [{**row, "down_settings_mm": [-1, 1]} for row in stands[0].article.specs["axle_places"]]
    return (stands[0]._replace(article=shop.frame("own-frame", axle_places=places)), *stands[1:])


def test_wheels_that_roll_no_easier_do_nothing_for_a_slow_skate(
    upgrade_shop: Any, customer_of: Written, choose: Asked
) -> None:
    """A dull wheel of the same size costs money and rolls no better: nobody is sold it for that."""
    choice = choose(customer_of("rolls_slowly"), upgrade_shop.wheel("dull", 76, rebound_percent=20))
    found = offer(choice, "dull")

    assert found.gain is not None
    assert found.gain <= 0
    assert {} == found.serves
    assert (0,) == found.relief.complaints


@pytest.mark.parametrize(("diameter_mm", "is_of_use"), [(80, False), (81, True), (84, True)])
def test_small_wheels_are_no_remedy_where_larger_ones_stand(
    upgrade_shop: Any, customer_of: Written, choose: Asked, diameter_mm: float, is_of_use: bool
) -> None:
    """However lively their rubber is, more than 3 mm below what stands they help a slow skate no more."""
    frame = upgrade_shop.frame("own-frame", largest_wheel_mm=84)
    stands = upgrade_shop.stands(wheel_mm=84)
    fitted = (stands[0]._replace(article=frame), *stands[1:])
    lively = upgrade_shop.wheel("lively", diameter_mm, hardness_shore_a=90, rebound_percent=95)
    choice = choose(customer_of("rolls_slowly", fitted=fitted), lively)

    assert (offer(choice, "lively").gain or 0) > 0
    assert is_of_use == ("rolls_slowly" in offer(choice, "lively").serves)


@pytest.mark.parametrize(("told", "sure"), [({"rebound_percent": 70}, 1.0), ({}, 0.5)])
def test_wheels_help_a_slow_skate_by_how_much_easier_they_roll(
    upgrade_shop: Any, customer_of: Written, choose: Asked, told: dict[str, Any], sure: float
) -> None:
    """They bring the share of the full gain that they have, and half of it where nobody told how they bounce."""
    choice = choose(customer_of("rolls_slowly"), upgrade_shop.wheel("better", 78, **told))
    found = offer(choice, "better")
    full = upgrade_estimates()["full_gain_percent"].likely
    share = sure * min(1.0, (found.gain or 0) / PER_CENT / full)

    assert 0 < share <= sure
    assert pytest.approx((SLOW.low * share, SLOW.likely * share, SLOW.high * share)) == (
        found.serves["rolls_slowly"].low,
        found.serves["rolls_slowly"].likely,
        found.serves["rolls_slowly"].high,
    )
    assert (points_of(found.serves["rolls_slowly"].likely),) == found.relief.complaints


def test_wheels_bring_no_more_than_their_kind_does(upgrade_shop: Any, customer_of: Written, choose: Asked) -> None:
    """Beyond the full gain there is nothing more to be had."""
    worst = upgrade_shop.stands(wheel_mm=60)
    choice = choose(customer_of("rolls_slowly", fitted=worst), upgrade_shop.wheel("best", 80, rebound_percent=90))
    found = offer(choice, "best")

    assert upgrade_estimates()["full_gain_percent"].likely < (found.gain or 0) / PER_CENT
    assert SLOW == found.serves["rolls_slowly"]


def test_wheels_of_which_nobody_can_tell_bring_half(upgrade_shop: Any, customer_of: Written, choose: Asked) -> None:
    """Without a hardness nothing can be reckoned, and they are neither praised nor left out."""
    unknown = upgrade_shop.wheel("unknown", 80, hardness_shore_a=None)
    choice = choose(customer_of("rolls_slowly"), unknown)
    found = offer(choice, "unknown")

    assert found.gain is None
    assert pytest.approx(SLOW.likely * upgrade_estimates()["unknown_gain_share"].likely) == (
        found.serves["rolls_slowly"].likely
    )


def test_wheels_help_against_the_rest_however_they_roll(upgrade_shop: Any, customer_of: Written, choose: Asked) -> None:
    """Smaller wheels make a stiff skate turn, though it rolls no easier on them."""
    choice = choose(customer_of("cannot_turn", "rolls_slowly"), upgrade_shop.wheel("small", 72))

    assert {"cannot_turn": STIFF} == offer(choice, "small").serves
    assert (points_of(STIFF.likely), 0) == offer(choice, "small").relief.complaints


def test_no_wheels_are_bought_for_a_rocker_that_the_axles_give(
    upgrade_shop: Any, customer_of: Written, choose: Asked
) -> None:
    """Axles that can be turned do it for nothing; where there are none, smaller wheels are a remedy."""
    small = upgrade_shop.wheel("small", 72)
    rigid = choose(customer_of("cannot_turn"), small)
    turned = choose(customer_of("cannot_turn", fitted=turning(upgrade_shop)), small)

    assert "cannot_turn" in offer(rigid, "small").serves
    assert {} == offer(turned, "small").serves
    assert (0,) == offer(turned, "small").relief.complaints
    assert "cannot_turn" in offer(turned, "job:turn_eccentric_axles", "frame").serves


def test_wheels_still_serve_what_the_axles_do_not(upgrade_shop: Any, customer_of: Written, choose: Asked) -> None:
    """A job takes from an article only what it does itself."""
    customer = customer_of("cannot_turn", "rolls_slowly", fitted=turning(upgrade_shop))
    choice = choose(customer, upgrade_shop.wheel("large", 80, rebound_percent=80))

    assert {"rolls_slowly"} == set(offer(choice, "large").serves)


def test_other_kinds_keep_what_their_kind_does(upgrade_shop: Any, customer_of: Written, choose: Asked) -> None:
    """Of bearings nobody can feel a gain, and they help as often as bearings do."""
    choice = choose(customer_of("rolls_slowly"), upgrade_shop.bearing())

    assert {"rolls_slowly": complaint("rolls_slowly").relief("bearing")} == (offer(choice, "bearing", "bearing").serves)


def test_a_skate_of_which_no_wheels_are_known_is_served_by_wheels_of_any_size(
    upgrade_shop: Any, customer_of: Written, choose: Asked
) -> None:
    """Nothing is small where nobody knows what stands there."""
    bare = [each for each in upgrade_shop.stands() if each.article.kind != "wheel"]
    choice = choose(customer_of("rolls_slowly", fitted=bare), upgrade_shop.wheel("tiny", 60))

    assert "rolls_slowly" in offer(choice, "tiny").serves
