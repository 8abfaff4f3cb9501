"""The basket is applied to the skate, and what comes of it is judged as one set-up."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from mountwright.checkout.basket import Basket, BenchWork, Fitted, Lot, Owned, Policy, Version
from mountwright.checkout.cart_check import CartAnswer, LotAnswer, cart_checked
from mountwright.checkout.finding import Decision
from mountwright.checkout.joint_verdicts import JointMemory
from mountwright.checkout.till import till_for
from mountwright.fitting.estimates import estimates
from mountwright.measure.quantity import Quantity
from mountwright.mounts.mount import Claimant, Mount, Part, Pattern
from mountwright.mounts.registry import Registry


def mount(position: str, side: str, standard: str) -> Mount:
    """Give a mount that its maker claims to follow a standard."""
    return Mount(position, side, (Pattern(standard=standard, claimed_by=Claimant.MAKER),))


def of(answer: CartAnswer, kind: str) -> LotAnswer:
    """Give what was found of the lot of a kind."""
    (found,) = (lot for lot in answer.lots if lot.lot.article.kind == kind)
    return found


def codes(found: LotAnswer) -> list[str]:
    """Give the codes of what was found, counts left out."""
    return [each.code for each in found.findings if each.code not in ("cart.too_few", "cart.too_many")]


def against(found: LotAnswer) -> list[str]:
    """Give the SKUs of what the first finding was judged against."""
    return [article.sku for article in found.findings[0].against]


def test_a_frame_of_the_boots_spacing_goes_on(trade: Any, buy: Any) -> None:
    """Both sides follow one interchange standard by their makers' word."""
    found = of(buy(trade.boot(), trade.frame()), "frame")

    assert (Decision.CLEAR, ["cart.fits"], ["boot"]) == (found.decision, codes(found), against(found))


def test_a_frame_of_another_spacing_is_stopped_by_the_check_that_failed(trade: Any, buy: Any) -> None:
    """165 on 195 with bolts in round holes."""
    found = of(buy(trade.boot("two-bolt-195"), trade.frame("two-bolt-150")), "frame")

    assert Decision.STOP is found.decision
    assert found.findings[0].check is not None
    assert "bolts_pass" == found.findings[0].check.code


def test_an_adapter_that_is_not_there_is_asked_about(trade: Any, buy: Any) -> None:
    """A plate makes 165 of 195."""
    found = of(buy(trade.boot("two-bolt-195"), trade.frame()), "frame")

    assert (Decision.CONFIRM, ["cart.needs_adapter"]) == (found.decision, codes(found))


def test_an_adapter_in_the_basket_makes_the_frame_clear(trade: Any, buy: Any) -> None:
    """The plate and the frame go together."""
    answer = buy(trade.boot("two-bolt-195"), trade.adapter(), trade.frame())

    assert Decision.CLEAR is answer.decision
    assert ["boot", "adapter"] == against(of(answer, "frame"))


def test_an_adapter_the_wrong_way_round_does_not_help(trade: Any, buy: Any) -> None:
    """Another plate than the one that is needed."""
    answer = buy(trade.boot("two-bolt-195"), trade.adapter("two-bolt-165", "two-bolt-195"), trade.frame())

    assert Decision.CONFIRM is of(answer, "frame").decision


def test_rivets_take_bench_work_that_is_asked_about(trade: Any, buy: Any) -> None:
    """Rivets are drilled out in a workshop, if at all."""
    found = of(buy(trade.boot("riveted"), trade.frame()), "frame")

    assert (Decision.CONFIRM, ["cart.needs_bench_work"]) == (found.decision, codes(found))
    assert found.findings[0].needs


@pytest.mark.parametrize("bench_work", BenchWork)
def test_bench_work_without_the_workshop_in_the_basket_is_never_clear(
    trade: Any, buy: Any, bench_work: BenchWork
) -> None:
    """Whatever the policy says."""
    answer = buy(trade.boot("riveted"), trade.frame(), policy=Policy(bench_work=bench_work))

    assert Decision.CONFIRM is of(answer, "frame").decision


def test_a_part_is_judged_against_the_frame_in_the_same_basket(trade: Any, buy: Any) -> None:
    """Axles of 8 mm go in the new frame; that the old one took 6 mm no longer matters."""
    old = trade.other("frame", "old", wheel_count=4)
    answer = buy(trade.boot(), trade.frame(), (trade.axle(), 8), fitted=[(old, 2), (trade.axle("6"), 8)])
    found = of(answer, "axle")

    assert Decision.CLEAR is found.decision
    assert ["frame"] == [each.sku for finding in found.findings for each in finding.against][:1]


def test_a_mount_of_what_goes_goes_with_it(trade: Any, buy: Any) -> None:
    """A skate of the catalogue has its old frame's mounts for its own: the places of 6 mm go with the frame."""
    skate = trade.boot(more=(mount("axle_place", "frame", "axle-place-6"),))
    answer = buy(skate, trade.frame(), (trade.axle(), 8))

    assert Decision.CLEAR is answer.decision


def test_a_bolt_that_is_too_long_is_the_bolts_fault(trade: Any, buy: Any) -> None:
    """The frame goes on all the same."""
    depth = {"thread_depth_mm": Quantity(12_000, 0, "maker_drawing")}
    deck = {"clamped_thickness_mm": Quantity(6_000, 0, "maker_drawing")}
    skate = trade.boot(figures=depth)
    frame = trade.frame(figures=deck)
    bolts = [
        trade.other("bolt", f"bolt-{length}", diameter_mm=6, under_head_length_mm=length, units_per_pack=4)
        for length in (16, 25)
    ]
    good, bad = (buy(skate, frame, bolt) for bolt in bolts)

    assert Decision.CLEAR is good.decision
    assert "cart.goes_with" in codes(of(good, "bolt"))
    assert (Decision.CLEAR, Decision.STOP) == (of(bad, "frame").decision, of(bad, "bolt").decision)
    assert of(bad, "bolt").findings[0].check is not None
    assert "bolt_bottoms" == of(bad, "bolt").findings[0].check.code


def test_a_bolt_that_nobody_can_judge_asks_for_what_has_to_be_measured(trade: Any, buy: Any) -> None:
    """The boot's thread is known, and the frame's deck is not."""
    skate = trade.boot(figures={"thread_depth_mm": Quantity(12_000, 0, "maker_drawing")})
    bolt = trade.other("bolt", diameter_mm=6, under_head_length_mm=16, units_per_pack=4)
    found = of(buy(skate, trade.frame(), bolt), "bolt")

    assert (Decision.CONFIRM, True) == (found.decision, found.findings[0].unknown)
    assert found.findings[0].step is not None
    assert "clamped_thickness_mm" == found.findings[0].step.what


def test_what_fitted_the_old_frame_only_is_stopped(trade: Any, buy: Any) -> None:
    """Axles of 6 mm rattle in holes for 8."""
    answer = buy(trade.boot(), trade.frame(), (trade.axle("6"), 8))
    found = of(answer, "axle")

    assert (Decision.STOP, ["frame"]) == (found.decision, against(found))


def test_a_new_frame_whose_axles_stay_and_do_not_go_in_asks_for_others(trade: Any, buy: Any) -> None:
    """The frame goes on the boot; the axles that stay are for other holes."""
    answer = buy(trade.boot(), trade.frame(), fitted=[(trade.axle("6"), 8)])
    found = of(answer, "frame")

    assert (Decision.CONFIRM, ["cart.staying_part_does_not_fit", "cart.fits"]) == (found.decision, codes(found))
    assert ["axle-6"] == against(found)


def test_axles_that_stay_say_nothing_once_others_are_in_the_basket(trade: Any, buy: Any) -> None:
    """Who buys axles leaves the old ones in the drawer."""
    answer = buy(trade.boot(), trade.frame(), (trade.axle(), 8), fitted=[(trade.axle("6"), 8)])

    assert Decision.CLEAR is answer.decision


def test_wheels_whose_hub_does_not_take_the_bearings_that_stay_are_stopped(trade: Any, buy: Any) -> None:
    """A hub is all by which a wheel is held."""
    answer = buy(trade.boot(), (trade.wheel(hub="hub-688"), 8), fitted=[(trade.bearing(), 16), (trade.frame(), 2)])
    found = of(answer, "wheel")

    assert (Decision.STOP, ["bearing-x8"]) == (found.decision, against(found))


def test_wheels_with_the_bearings_that_go_in_them_are_clear(trade: Any, buy: Any) -> None:
    """Both are new; the old bearings no longer matter."""
    wheels, bearings = trade.wheel(hub="hub-688"), trade.bearing(hub="hub-688", sku="bearing-688")
    fitted = [(trade.bearing(), 16), (trade.frame(), 2), (trade.axle(), 8)]
    answer = buy(trade.boot(), (wheels, 8), (bearings, 2), fitted=fitted)

    assert Decision.CLEAR is answer.decision


def test_a_part_that_the_skate_was_sold_with_is_clear(trade: Any, buy: Any) -> None:
    """Whatever nobody measured of it."""
    guard = trade.other("side_guard", "guard")

    assert ["cart.original_part"] == codes(of(buy(trade.boot(), guard, fitted=[(guard, 2)]), "side_guard"))


def test_a_part_of_which_nothing_is_known_is_asked_about(trade: Any, buy: Any) -> None:
    """A guess is no answer."""
    found = of(buy(trade.boot(), trade.other("slider", sold_as="pair")), "slider")

    assert (Decision.CONFIRM, ["cart.no_mounts"]) == (found.decision, codes(found))
    assert found.findings[0].unknown


@pytest.mark.parametrize("kind", ["insole", "liner", "cuff", "strap", "side_guard"])
def test_what_is_of_no_size_and_has_no_mount_is_never_clear(trade: Any, buy: Any, kind: str) -> None:
    """That nothing speaks against it is not enough."""
    found = of(buy(trade.boot(insole_room_mm=6), trade.other(kind, sold_as="pair", thickness_mm=3)), kind)

    assert Decision.CONFIRM is found.decision
    assert "cart.no_mounts" in codes(found)


def test_nuts_that_lock_themselves_are_replaced_once_undone(trade: Any, buy: Any) -> None:
    """Whoever changes bearings undoes the axles (common practice)."""
    fitted = [(trade.axle(self_locking=True), 8), (trade.frame(), 2), (trade.wheel(), 8)]
    found = of(buy(trade.boot(), (trade.bearing(), 2), fitted=fitted), "bearing")

    assert "cart.self_locking" in codes(found)


def test_what_was_found_on_the_skate_outweighs_that_it_was_sold_so(trade: Any, buy: Any) -> None:
    """Sold with this frame and measured otherwise: somebody has changed something."""
    frame = trade.frame()
    odd = {"hole_spacing_mm": Quantity(166_000, 200, "caliper")}
    found = of(buy(trade.boot(figures=odd), frame, fitted=[(frame, 2)]), "frame")

    assert "cart.original_part" not in codes(found)
    assert Decision.CLEAR is not found.decision


def test_a_part_that_it_was_sold_with_is_judged_beside_what_stands_there_instead(
    trade: Any, registry: Registry
) -> None:
    """Its bearings are for the wheels that are gone; nobody knows the hub of those that stand there now."""
    bearing, axle, wheel = trade.bearing(), trade.axle(), trade.other("wheel", "unknown")
    wheel = replace(wheel, part=Part("wheel", (Mount("hub", "wheel", (Pattern(),)),)))
    fitted = (Fitted(bearing, 16, True), Fitted(axle, 8, True), Fitted(wheel, None, False))
    basket = Basket((Owned((Version(trade.boot(), fitted),)),), (Lot("b", bearing, 2, skate=0),))
    answer = cart_checked(basket, till_for(basket, registry, estimates(), JointMemory()))

    assert Decision.CONFIRM is answer.decision
    assert "cart.cannot_tell" in codes(of(answer, "bearing"))
