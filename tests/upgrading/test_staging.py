"""Every stage of a plan is asked of the basket's rules, and what they stop is planned again.

Pairs that go together are known before, so that here the planner is made to forget what it knows.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from itertools import product
from typing import Any

import numpy as np
import pytest

from mountwright.checkout.article import Article, Price, SizeRun
from mountwright.checkout.basket import Lot
from mountwright.checkout.finding import Decision
from mountwright.checkout.till import Till
from mountwright.upgrading.customer import Customer, Instalment, Money, Wishes
from mountwright.upgrading.options import Choice
from mountwright.upgrading.plan import Plan, planned
from mountwright.upgrading.problem import Link, Option, Position, Problem, Rate, Stage
from mountwright.upgrading.staging import conflict_in, stage_checked, staged

Asked = Callable[..., Choice]
Written = Callable[..., Customer]

TEAL = Wishes(colour="teal")


def forgetful(choice: Choice, *, keeps_links: bool = True) -> Choice:
    """Give a choice in which everything seems to go together, by links that let all pass or without any."""
    signs = {each.name: each.signatures for each in choice.problem.positions}
    links = [
        Link(each.one, each.other, frozenset(product(signs[each.one], signs[each.other])))
        for each in choice.problem.links
    ]
    return replace(choice, problem=replace(choice.problem, links=tuple(links) if keeps_links else ()))


def bought(plan: Plan) -> list[tuple[str, str, int]]:
    """Give what a plan buys, and at which stage."""
    return [(step.position, step.option.key, step.stage) for step in plan.steps if step.option.parts_minor]


@pytest.fixture
def tight(upgrade_shop: Any) -> tuple[Article, Article, Article]:
    """Give a liner with little room, one with more, and an insole for the second only."""
    sizes = SizeRun(36, 46)
    return (
        upgrade_shop.pair("liner", "tight", sizes=sizes, insole_room_mm=2),
        upgrade_shop.pair("liner", "wide", sizes=sizes, insole_room_mm=8, price=Price(9000, "EUR")),
        upgrade_shop.pair("insole", "thick", sizes=sizes, thickness_mm=8),
    )


def test_a_plan_that_is_clear_is_kept(
    upgrade_shop: Any, customer_of: Written, choose: Asked, upgrade_till: Till
) -> None:
    """What the rules clear is not planned again."""
    customer = customer_of("bearing_noisy")
    choice = choose(customer, upgrade_shop.bearing())
    found = staged(choice, customer, upgrade_till)

    assert planned(choice.problem) == found.plan
    assert found.problem is choice.problem
    assert () == found.conflicts


def test_a_stage_that_the_cart_stops_is_planned_again(
    tight: tuple[Article, ...], customer_of: Written, choose: Asked, upgrade_till: Till
) -> None:
    """The insole has no room in the liner that is cheapest: the plan takes the one in which it has."""
    customer = customer_of("boot_too_large", "arch_cramps")
    choice = choose(customer, *tight)
    found = staged(forgetful(choice), customer, upgrade_till)

    assert [("liner", "tight", 1), ("insole", "thick", 1)] == bought(planned(forgetful(choice).problem))
    assert [("liner", "wide", 1), ("insole", "thick", 1)] == bought(found.plan)
    assert planned(choice.problem).value == found.plan.value


def test_a_conflict_names_the_two_and_the_reason(
    tight: tuple[Article, ...], customer_of: Written, choose: Asked, upgrade_till: Till
) -> None:
    """Whoever reads it learns what stood beside what, and by which rule."""
    customer = customer_of("boot_too_large", "arch_cramps")
    [conflict] = staged(forgetful(choose(customer, *tight)), customer, upgrade_till).conflicts

    assert ("insole", "thick") == (conflict.step.position, conflict.step.option.key)
    assert conflict.beside is not None
    assert ("liner", "tight") == (conflict.beside.position, conflict.beside.option.key)
    assert "cart.insole_too_thick" == conflict.finding.code


def test_only_the_pair_is_taken_out(
    tight: tuple[Article, ...], customer_of: Written, choose: Asked, upgrade_till: Till
) -> None:
    """Each of the two may still be chosen without the other, and all other pairs stay."""
    customer = customer_of("boot_too_large", "arch_cramps")
    choice = forgetful(choose(customer, *tight))
    found = staged(choice, customer, upgrade_till)
    before, after = (
        {each for link in problem.links for each in link.passing} for problem in (choice.problem, found.problem)
    )

    assert choice.problem.positions == found.problem.positions
    assert 1 == len(before - after)
    assert sum(len(link.passing) for link in choice.problem.links) == 1 + sum(
        len(link.passing) for link in found.problem.links
    )


def test_what_is_not_linked_is_taken_out_alone(
    tight: tuple[Article, ...], customer_of: Written, choose: Asked, upgrade_till: Till
) -> None:
    """Without a link there is no pair to forbid, and the one that the rules speak of goes."""
    customer = customer_of("boot_too_large", "arch_cramps")
    found = staged(forgetful(choose(customer, *tight), keeps_links=False), customer, upgrade_till)

    assert [("liner", "tight", 1)] == bought(found.plan)
    assert [()] == [each.options for each in found.problem.positions if each.name == "insole"]


@pytest.mark.parametrize("count", [1, 3, 44])
def test_what_does_not_go_on_is_left_out_however_much_there_is_of_it(
    upgrade_shop: Any, customer_of: Written, choose: Asked, upgrade_till: Till, count: int
) -> None:
    """One by one while it is worth it, and then the position stays as it is: no stage is handed out unasked."""
    other = customer_of("bearing_noisy", wishes=TEAL, boot=upgrade_shop.boot("two-bolt-195"), fitted=())
    here = customer_of("bearing_noisy", wishes=TEAL)
    frames = [upgrade_shop.frame(f"frame-{number:02d}", "two-bolt-195", colour="teal") for number in range(count)]
    choice = choose(other, *frames, upgrade_shop.bearing())
    found = staged(replace(choice, problem=replace(choice.problem, links=())), here, upgrade_till)

    assert {"frame"} == {each.step.position for each in found.conflicts}
    assert min(count, 41) == len(found.conflicts)
    assert (count <= 40) == found.plan.is_proved
    assert all(each.beside is None for each in found.conflicts)
    assert {"bearing"} == {each.position for each in found.plan.steps}


def hard() -> Problem:
    """Give a problem that takes minutes to prove: what gains more costs as much more, whatever one takes."""
    costs = np.random.default_rng(1).integers(200, 8000, (8, 100)).tolist()
    positions = [
        Position(
            f"p{place}",
            options=tuple(
                [Option(f"{n:03d}", parts_minor=cost, gain=cost // 20 + 40) for n, cost in enumerate(costs[place])]
            ),
        )
        for place in range(8)
    ]
    return Problem(tuple(positions), tuple([Stage(7000 * each, 10) for each in range(1, 5)]), rate=Rate(2, 1))


def test_without_time_a_position_stays_at_its_first_conflict(
    upgrade_shop: Any, customer_of: Written, choose: Asked, upgrade_till: Till
) -> None:
    """A plan that time cut off is cleared as well, and soon: nobody waits for forty plans more."""
    other = customer_of(wishes=TEAL, boot=upgrade_shop.boot("two-bolt-195"), fitted=())
    choice = choose(other, upgrade_shop.frame("wrong", "two-bolt-195", colour="teal"))
    [wrong] = choice.offers.values()
    problem = hard()
    offers = {(each.name, option.key): wrong for each in problem.positions for option in each.options}
    found = staged(replace(choice, problem=problem, offers=offers), customer_of(), upgrade_till, time_limit_s=4.0)

    assert not found.plan.is_proved
    assert found.plan.value.figures <= found.plan.bound
    assert {each.step.position for each in found.conflicts} == {
        each.name for each in found.problem.positions if each.is_locked
    }
    assert found.conflicts


def test_a_later_stage_is_asked_with_all_that_stands_by_then(
    tight: tuple[Article, ...], customer_of: Written, choose: Asked, upgrade_till: Till
) -> None:
    """The insole comes when money does, and is asked about in the liner of the first stage."""
    instalments = Instalment(date(2025, 3, 1), 1200), Instalment(date(2025, 6, 1), 1500)
    customer = customer_of("liner_worn", "boot_too_large", money=Money("EUR", instalments))
    choice = forgetful(choose(customer, *tight))
    plan = planned(choice.problem)
    conflict = conflict_in(plan, choice, customer, upgrade_till)

    assert [("liner", "tight", 1), ("insole", "thick", 2)] == bought(plan)
    assert conflict is not None
    assert ("insole", 2) == (conflict.step.position, conflict.step.stage)


def test_a_plan_of_jobs_alone_asks_nothing_of_the_cart(customer_of: Written, choose: Asked, upgrade_till: Till) -> None:
    """What is done to the parts that stand there is no article."""
    customer = customer_of("bearing_noisy", money=Money("EUR", (Instalment(None, 400),)))
    choice = choose(customer)
    found = staged(choice, customer, upgrade_till)

    assert ["job:service_bearings"] == [each.option.key for each in found.plan.steps]
    assert () == found.conflicts


def test_lots_are_asked_in_any_order(upgrade_shop: Any, customer_of: Written, upgrade_till: Till) -> None:
    """The rules see one basket, however it was filled."""
    lots = [
        Lot("frame", upgrade_shop.frame("three", wheels=3), 1, skate=0),
        Lot("wheel", upgrade_shop.wheel("large", 110), 6, skate=0),
    ]
    one, other = (stage_checked(each, customer_of(), upgrade_till) for each in (lots, lots[::-1]))

    assert Decision.CLEAR is one.decision
    assert ["frame", "wheel"] == [each.lot.key for each in one.lots] == [each.lot.key for each in other.lots]
    assert one.decision is other.decision


def test_a_stage_counts_for_a_pair(upgrade_shop: Any, customer_of: Written, upgrade_till: Till) -> None:
    """Four wheels are too few for two skates of four."""
    found = stage_checked([Lot("wheel", upgrade_shop.wheel(), 4, skate=0)], customer_of(), upgrade_till)

    assert Decision.CLEAR is not found.decision
