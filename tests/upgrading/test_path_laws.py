"""What holds for every path: its stages are clear, more money or choice is never worse, and order does not matter."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from itertools import accumulate
from typing import Any, NamedTuple

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from mountwright.checkout.article import Article, Price, SizeRun
from mountwright.checkout.basket import Lot
from mountwright.checkout.finding import Decision
from mountwright.checkout.till import Till
from mountwright.upgrading.customer import Customer, Instalment, Money, Wishes
from mountwright.upgrading.path import Path
from mountwright.upgrading.plan import Plan
from mountwright.upgrading.staging import conflict_in, stage_checked

Written = Callable[..., Customer]
Walked = Callable[..., Path]

_FEW = settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])

CODES = (
    *("heel_lift", "boot_too_large", "liner_worn", "arch_cramps", "rolls_slowly", "bearing_noisy", "cannot_turn"),
    *("strap_slips", "laces_loosen", "vibrates_on_rough_ground", "unsteady_at_speed"),
    *("brake_worn", "bearing_seized", "frame_cracked", "shell_cracked"),
)
KINDS = ("frame", "wheel", "bearing", "axle", "liner", "insole", "brake", "strap", "buckle", "lace")

#: So many articles are on the shelf.
COUNT = 20


class Asked(NamedTuple):
    """A customer in figures: complaints, cents by instalment, what stays, a wish, a wage, and places on the shelf."""

    complaints: tuple[str, ...]
    amounts: tuple[int, ...]
    stays: frozenset[str]
    wheel_mm: float | None
    labour: int
    places: tuple[int, ...]


ASKED = st.builds(
    Asked,
    st.lists(st.sampled_from(CODES), unique=True, min_size=1, max_size=3).map(tuple),
    st.lists(st.integers(0, 15_000), min_size=1, max_size=3).map(tuple),
    st.frozensets(st.sampled_from(KINDS), max_size=2),
    st.sampled_from((None, 80, 110)),
    st.sampled_from((0, 3000)),
    st.lists(st.integers(0, COUNT - 1), unique=True, min_size=10).map(tuple),
)


def shelf(shop: Any) -> tuple[Article, ...]:
    """Give what is for sale: sets that go together, sets that need each other, and what does not go on."""
    sizes = SizeRun(36, 46)
    short = [{"along_mm": along, "down_mm": 61} for along in (105, 0, -105)]
    return (
        shop.frame("frame-four", price=Price(6000, "EUR")),
        shop.frame("frame-three", wheels=3, price=Price(8000, "EUR"), colour="teal"),
        shop.frame("frame-short", wheels=3, price=Price(8000, "EUR"), axle_places=short),
        shop.frame("frame-six", axle_place="axle-place-6", price=Price(4000, "EUR")),
        shop.frame("frame-wrong", "two-bolt-195"),
        shop.wheel("wheel-80", 80, rebound_percent=75),
        shop.wheel("wheel-76", 76, hardness_shore_a=78, price=Price(700, "EUR")),
        shop.wheel("wheel-72", 72, price=Price(500, "EUR")),
        shop.wheel("wheel-110", 110, price=Price(1500, "EUR")),
        shop.bearing("bearing-plain", price=Price(800, "EUR")),
        shop.bearing("bearing-six", "axle-6", price=Price(900, "EUR")),
        shop.axle("axle-six", "6", price=Price(150, "EUR")),
        shop.pair("liner", "liner-tight", sizes=sizes, insole_room_mm=2, price=Price(4000, "EUR")),
        shop.pair("liner", "liner-wide", sizes=sizes, insole_room_mm=8, price=Price(7000, "EUR")),
        shop.pair("insole", "insole-thick", sizes=sizes, thickness_mm=8, price=Price(2500, "EUR")),
        shop.pair("insole", "insole-thin", sizes=sizes, thickness_mm=2, price=Price(3500, "EUR")),
        shop.pair("brake", "brake", units_per_pack=1, smallest_wheel_mm=70, largest_wheel_mm=84),
        shop.pair("strap", "strap", price=Price(1500, "EUR")),
        shop.pair("lace", "lace", length_mm=1800, price=Price(600, "EUR")),
        shop.pair("cuff", "cuff", price=Price(5000, "EUR")),
    )


def money(amounts: tuple[int, ...]) -> Money:
    """Give money by instalments a month apart, to one day."""
    days = [Instalment(date(2025, 1 + number, 1), each) for number, each in enumerate(amounts)]
    return Money("EUR", tuple(days), date(2025, 12, 31))


def customer(asked: Asked, written: Written, amounts: tuple[int, ...] | None = None) -> Customer:
    """Give the customer, with other money if wanted."""
    return written(
        *asked.complaints,
        money=money(asked.amounts if amounts is None else amounts),
        stays=asked.stays,
        wishes=Wishes(wheel_diameter_mm=asked.wheel_mm),
        labour_minor_per_hour=asked.labour,
    )


def some(asked: Asked, shop: Any) -> list[Article]:
    """Give the articles that the customer may choose from."""
    parts = shelf(shop)
    return [parts[place] for place in asked.places]


def told(plan: Plan) -> tuple[Any, ...]:
    """Give all that a plan says."""
    return (*[(each.position, each.option.key, each.stage) for each in plan.steps], plan.value, plan.is_proved)


@_FEW
@given(ASKED)
def test_every_stage_passes_the_cart_check(
    upgrade_shop: Any, upgrade_till: Till, customer_of: Written, walk: Walked, asked: Asked
) -> None:
    """The skate of each stage is one that the basket's rules clear, whatever is asked; and so is each alternative's."""
    rider = customer(asked, customer_of)
    found = walk(rider, *some(asked, upgrade_shop))

    for number in range(1, len(found.stages) + 1):
        offers = [each.offer for stage in found.stages[:number] for each in stage]
        lots = [
            Lot(each.position, each.article, each.amount.packs, skate=0)
            for each in offers
            if each.article is not None and each.amount is not None
        ]
        assert Decision.CLEAR is stage_checked(lots, rider, upgrade_till).decision
    for other in found.others:
        assert conflict_in(other.rival.plan, found.choice, rider, upgrade_till) is None


@_FEW
@given(ASKED)
def test_no_stage_spends_more_than_has_come(
    upgrade_shop: Any, customer_of: Written, walk: Walked, asked: Asked
) -> None:
    """What stays is not changed either, and no kind is changed twice."""
    found = walk(customer(asked, customer_of), *some(asked, upgrade_shop))
    spent = accumulate(sum(each.offer.cost_minor for each in stage) for stage in found.stages)
    positions = [each.step.position for stage in found.stages for each in stage]

    assert all(cost <= budget for cost, budget in zip(spent, accumulate(asked.amounts), strict=True))
    assert asked.stays.isdisjoint(positions)
    assert len(set(positions)) == len(positions)


@_FEW
@given(ASKED, st.integers(1, 20_000), st.integers(0, 2))
def test_more_money_is_never_worse(
    upgrade_shop: Any, customer_of: Written, walk: Walked, asked: Asked, more: int, at: int
) -> None:
    """Whichever instalment is larger, no level of the path falls unless one before it rises."""
    parts = some(asked, upgrade_shop)
    place = at % len(asked.amounts)
    amounts = tuple(each + (more if number == place else 0) for number, each in enumerate(asked.amounts))
    poor, rich = (walk(customer(asked, customer_of, each), *parts, most_others=0) for each in (asked.amounts, amounts))

    assert poor.plan.value.figures <= rich.plan.value.figures


@_FEW
@given(ASKED)
def test_another_candidate_is_never_worse(upgrade_shop: Any, customer_of: Written, walk: Walked, asked: Asked) -> None:
    """Whatever comes onto the shelf, nobody has to take it."""
    parts, rider = some(asked, upgrade_shop), customer(asked, customer_of)
    fewer, more = (walk(rider, *those, most_others=0) for those in (parts[:-1], parts))

    assert fewer.plan.value.figures <= more.plan.value.figures


@_FEW
@given(ASKED, st.randoms(use_true_random=False))
def test_the_order_of_candidates_does_not_matter(
    upgrade_shop: Any, customer_of: Written, walk: Walked, asked: Asked, random: Any
) -> None:
    """Shelves are listed in any order, and the answer is the same to the last figure."""
    parts, rider = some(asked, upgrade_shop), customer(asked, customer_of)
    one, other = walk(rider, *parts), walk(rider, *random.sample(parts, len(parts)))

    assert told(one.plan) == told(other.plan)
    assert one.outcome is other.outcome
    assert [[each[3] for each in stage] for stage in one.stages] == [
        [each[3] for each in stage] for stage in other.stages
    ]
    assert [told(each.rival.plan) for each in one.others] == [told(each.rival.plan) for each in other.others]
    assert [each.wins_at_minor for each in one.others] == [each.wins_at_minor for each in other.others]
    assert [each[:2] for each in one.front] == [each[:2] for each in other.front]
    assert one.not_chosen == other.not_chosen
    assert one.next_step == other.next_step


def test_what_wheels_gain_does_not_hang_on_the_frames_for_sale(
    upgrade_shop: Any, customer_of: Written, walk: Walked
) -> None:
    """A further frame of three wheels, its middle axle deeper and its key the first, makes no plan worse."""
    deeper = [{"along_mm": along, "down_mm": down} for along, down in ((105, 61), (0, 64), (-105, 61))]
    level, other = upgrade_shop.frame("level", wheels=3), upgrade_shop.frame("a", wheels=3, axle_places=deeper)
    rider = customer_of("rolls_slowly", wishes=Wishes(wheel_diameter_mm=110))
    one, two, turned = (
        walk(rider, *frames, upgrade_shop.wheel("large", 110)) for frames in ((level,), (level, other), (other, level))
    )

    assert "wheel" in {each.position for each in one.plan.steps}
    assert one.plan.value.figures <= two.plan.value.figures
    assert told(two.plan) == told(turned.plan)
