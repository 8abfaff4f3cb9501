"""Of everything that one would think of and that is not bought, the reason is said."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from mountwright.checkout.article import Price, SizeRun
from mountwright.upgrading.customer import KINDS, Customer, Instalment, Money, Wishes
from mountwright.upgrading.options import Choice
from mountwright.upgrading.plan import planned
from mountwright.upgrading.unchosen import WhyNot, unchosen

Asked = Callable[..., Choice]
Written = Callable[..., Customer]

POPULAR = {"frame", "wheel", "bearing", "liner", "insole"}


def reasons(choice: Choice, customer: Customer) -> dict[str, WhyNot]:
    """Give why each kind is not in the best plan."""
    return {each.kind: each.why for each in unchosen(choice, planned(choice.problem), customer)}


def cents(amount: int) -> Money:
    """Give so much at once."""
    return Money("EUR", (Instalment(None, amount),))


def test_a_kind_that_has_to_stay_is_locked(upgrade_shop: Any, customer_of: Written, choose: Asked) -> None:
    """Whatever else may be said of it, that is the reason."""
    customer = customer_of("bearing_noisy", stays=frozenset({"bearing"}))

    assert WhyNot.LOCKED is reasons(choose(customer, upgrade_shop.bearing()), customer)["bearing"]


def test_a_kind_that_nobody_sells_has_no_candidates(upgrade_shop: Any, customer_of: Written, choose: Asked) -> None:
    """What is not on the list, or has no price in the customer's money, cannot be bought."""
    customer = customer_of("bearing_noisy")
    choice = choose(customer, upgrade_shop.bearing(price=None))

    assert WhyNot.NO_CANDIDATES is reasons(choice, customer)["bearing"]
    assert WhyNot.NO_CANDIDATES is reasons(choice, customer)["frame"]


def test_a_kind_of_which_nothing_goes_on_says_so(upgrade_shop: Any, customer_of: Written, choose: Asked) -> None:
    """Only where each of them was refused by the skate: one without a price might have gone on."""
    wrong, unpriced = upgrade_shop.frame("wrong", "two-bolt-195"), upgrade_shop.frame("unpriced", price=None)
    customer = customer_of()

    assert WhyNot.NOTHING_GOES_ON is reasons(choose(customer, wrong), customer)["frame"]
    assert WhyNot.NO_CANDIDATES is reasons(choose(customer, wrong, unpriced), customer)["frame"]


def test_a_kind_that_does_nothing_for_the_rider_is_not_needed(
    upgrade_shop: Any, customer_of: Written, choose: Asked
) -> None:
    """It can be had and goes on, and helps against nothing that bothers."""
    customer = customer_of("bearing_noisy")

    assert WhyNot.NOT_NEEDED is reasons(choose(customer, upgrade_shop.frame()), customer)["frame"]


def test_a_frame_is_seldom_what_makes_a_skate_vague(upgrade_shop: Any, customer_of: Written, choose: Asked) -> None:
    """What gives sits at the foot, as a rule; a liner is not refused with that reason."""
    customer = customer_of("skate_feels_vague")
    liner = upgrade_shop.pair("liner", sizes=SizeRun(36, 46), price=Price(90000, "EUR"))
    told = reasons(choose(customer, upgrade_shop.frame(), liner), customer)

    assert (WhyNot.NOT_THE_SOFT_LINK, WhyNot.NO_MONEY) == (told["frame"], told["liner"])


def test_a_kind_that_is_too_dear_has_no_money(upgrade_shop: Any, customer_of: Written, choose: Asked) -> None:
    """The cheapest that is of use costs more than is left, to the cent."""
    dear, useless = upgrade_shop.pair("liner", sizes=SizeRun(36, 46), price=Price(5000, "EUR")), upgrade_shop.frame()
    bearing = upgrade_shop.bearing(price=Price(1000, "EUR"))
    poor, richer = (customer_of("bearing_noisy", "liner_worn", money=cents(each)) for each in (6999, 7000))
    choices = [choose(each, dear, bearing, useless) for each in (poor, richer)]

    assert WhyNot.NO_MONEY is reasons(choices[0], poor)["liner"]
    assert {"liner", "bearing"}.isdisjoint(reasons(choices[1], richer))


def test_what_is_of_no_use_is_never_a_matter_of_money(upgrade_shop: Any, customer_of: Written, choose: Asked) -> None:
    """A cheap one that does nothing does not hide that the useful ones are too dear, and the other way round."""
    customer = customer_of(wishes=Wishes(colour="teal"), money=cents(2000))
    plain, teal = upgrade_shop.frame("plain"), upgrade_shop.frame("teal", colour="teal", price=Price(9000, "EUR"))

    assert WhyNot.NOT_NEEDED is reasons(choose(customer, plain), customer)["frame"]
    assert WhyNot.NO_MONEY is reasons(choose(customer, plain, teal), customer)["frame"]


def test_a_kind_that_something_better_keeps_out_is_worse(
    upgrade_shop: Any, customer_of: Written, choose: Asked
) -> None:
    """A liner that is moulded for less does more for a boot that is too small than a new one."""
    customer = customer_of("boot_too_small", boot=upgrade_shop.boot(mouldable=True))
    choice = choose(customer, upgrade_shop.pair("liner", sizes=SizeRun(36, 46)))
    plan = planned(choice.problem)

    assert [("liner", "job:heat_mould_liner")] == [(step.position, step.option.key) for step in plan.steps]
    assert WhyNot.WORSE is reasons(choice, customer)["liner"]


def test_wheels_that_roll_a_little_easier_may_be_worse_than_none(
    upgrade_shop: Any, customer_of: Written, choose: Asked
) -> None:
    """Nobody complains, and the gain is not worth its price: that is not the same as no use at all."""
    customer = customer_of(money=cents(10_000_000))
    wheel = upgrade_shop.wheel("better", 77, rebound_percent=70, price=Price(100_000, "EUR"))
    dull = upgrade_shop.wheel("dull", 76, rebound_percent=10)

    choice = choose(customer, wheel)
    exact = customer_of(money=cents(choice.offers["wheel", "better"].cost_minor))

    assert WhyNot.WORSE is reasons(choice, customer)["wheel"]
    assert WhyNot.WORSE is reasons(choose(exact, wheel), exact)["wheel"]
    assert WhyNot.NOT_NEEDED is reasons(choose(customer, dull), customer)["wheel"]


def test_what_is_bought_needs_no_reason(upgrade_shop: Any, customer_of: Written, choose: Asked) -> None:
    """Kinds in the plan are left out of the list."""
    customer = customer_of("bearing_noisy")

    assert "bearing" not in reasons(choose(customer, upgrade_shop.bearing()), customer)


def test_a_job_on_a_kind_is_not_its_purchase(upgrade_shop: Any, customer_of: Written, choose: Asked) -> None:
    """Bearings that are cleaned for want of money are not bought, and that is said."""
    customer = customer_of("bearing_noisy", money=cents(1000))
    choice = choose(customer, upgrade_shop.bearing(price=Price(4000, "EUR")))

    assert ["job:service_bearings"] == [step.option.key for step in planned(choice.problem).steps]
    assert WhyNot.NO_MONEY is reasons(choice, customer)["bearing"]


def test_nothing_is_said_of_what_nobody_thinks_of(customer_of: Written, choose: Asked) -> None:
    """Popular kinds are always told, others where they would help, all in their fixed order."""
    nobody, sloppy = customer_of(), customer_of("laces_loosen", "strap_slips")
    told = list(reasons(choose(nobody), nobody))
    more = list(reasons(choose(sloppy), sloppy))

    assert [kind for kind in KINDS if kind in POPULAR] == told
    assert {"lace", "strap"} <= set(more) - POPULAR
    assert [kind for kind in KINDS if kind in more] == more
