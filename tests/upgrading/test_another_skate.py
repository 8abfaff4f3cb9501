"""Another skate stands against the path: the cheapest that is for the feet and no step down."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest

from mountwright.checkout.article import Article, Price, SizeRun
from mountwright.checkout.basket import Owned, Version
from mountwright.checkout.till import Till
from mountwright.upgrading.aims import SKATE
from mountwright.upgrading.another_skate import Against, AnotherSkate, another_skate
from mountwright.upgrading.customer import Customer, Instalment, Money
from mountwright.upgrading.options import Choice
from mountwright.upgrading.plan import planned

Written = Callable[..., Customer]
Weighed = Callable[..., AnotherSkate | None]

#: The shell is gone, and no part helps.
CRACKED = "shell_cracked"


@pytest.fixture
def weigh(choose: Callable[..., Choice], upgrade_till: Till) -> Weighed:
    """Give a way to set skates against a customer's best path with some articles."""

    def weighed(
        customer: Customer, *skates: Article, parts: tuple[Article, ...] = (), trade_in: int = 0
    ) -> AnotherSkate | None:
        choice = choose(customer, *parts)
        against = Against(choice.aims, choice.problem, planned(choice.problem))
        return another_skate(customer, skates, trade_in, against, upgrade_till)

    return weighed


@pytest.fixture
def skate(upgrade_shop: Any) -> Callable[..., Article]:
    """Give a way to write a complete skate that costs so many cents."""

    def written(sku: str, minor: int, **more: Any) -> Article:
        found: Article = upgrade_shop.article("skate", sku, price=Price(minor, "EUR"), **more)
        return found

    return written


def cents(*amounts: int) -> Money:
    """Give money by instalments a month apart, the first of several in March."""
    if len(amounts) == 1:
        return Money("EUR", (Instalment(None, amounts[0]),))
    return Money("EUR", tuple(Instalment(date(2025, 3 + number, 1), each) for number, each in enumerate(amounts)))


def sku(found: AnotherSkate | None) -> str | None:
    """Give which one it is."""
    return None if found is None else found.article.sku


def test_the_cheapest_that_may_do_is_named(customer_of: Written, weigh: Weighed, skate: Any) -> None:
    """The first of those that are handed in by price, with what it costs and what it helps against."""
    customer = customer_of(CRACKED)
    found = weigh(customer, skate("cheap", 9000), skate("dear", 20_000), trade_in=2000)

    assert found is not None
    assert ("cheap", 9000, 2000) == (sku(found), found.price_minor, found.trade_in_minor)
    assert {CRACKED} == set(found.serves)


def test_none_is_named_where_another_skate_would_not_help(customer_of: Written, weigh: Weighed, skate: Any) -> None:
    """A worn brake is no reason for a new skate, and neither is nothing at all."""
    assert weigh(customer_of("brake_worn"), skate("new", 9000)) is None
    assert weigh(customer_of(), skate("new", 9000)) is None


def test_none_is_named_where_there_is_none(customer_of: Written, weigh: Weighed) -> None:
    """Without skates for sale nothing stands against the path."""
    assert weigh(customer_of(CRACKED)) is None


@pytest.mark.parametrize(
    ("run", "is_named"),
    [
        (SizeRun(38, 42), True),
        (SizeRun(42, 46), True),
        (SizeRun(), True),
        (SizeRun(43, 46), False),
        (SizeRun(38, 41), False),
    ],
)
def test_a_skate_of_other_sizes_is_passed_over(
    customer_of: Written, weigh: Weighed, skate: Any, run: SizeRun, is_named: bool
) -> None:
    """The customer wears 42: a run that ends before or begins after is of no use, whatever it costs."""
    found = weigh(customer_of(CRACKED), skate("run", 9000, sizes=run), skate("any", 9500))

    assert ("run" if is_named else "any") == sku(found)


def test_a_skate_that_does_not_fit_the_feet_is_passed_over(upgrade_shop: Any, weigh: Weighed, skate: Any) -> None:
    """Where only the feet are known they decide."""
    owned = Owned((Version(upgrade_shop.boot()),), None, (240_000, 240_000))
    customer = Customer(owned, (CRACKED,), cents(30_000))
    large, right = skate("large", 9000, sizes=SizeRun(45, 47)), skate("right", 9500, sizes=SizeRun(37, 41))

    assert "right" == sku(weigh(customer, large, right))


def test_nobody_is_sold_the_skate_that_is_there(customer_of: Written, weigh: Weighed, skate: Any) -> None:
    """The same model again is no other skate."""
    assert "other" == sku(weigh(customer_of(CRACKED), skate("boot", 9000), skate("other", 9500)))


@pytest.mark.parametrize(
    ("price", "named"),
    [(Price(9000, "EUR"), "better"), (Price(8999, "EUR"), "same"), (Price(9000, "USD"), "same"), (None, "same")],
)
def test_no_step_down_is_named(
    upgrade_shop: Any, customer_of: Written, weigh: Weighed, skate: Any, price: Price | None, named: str
) -> None:
    """It has to cost more than the own one did new, as far as that is known in the customer's money."""
    customer = customer_of(CRACKED, boot=upgrade_shop.boot(price=price))

    assert named == sku(weigh(customer, skate("same", 9000), skate("better", 12_000)))


@pytest.mark.parametrize(("trade_in", "wins_from"), [(0, 9000), (2000, 7000), (9500, 0)])
def test_it_wins_from_its_price_less_what_the_old_one_is_taken_back_for(
    customer_of: Written, weigh: Weighed, skate: Any, trade_in: int, wins_from: int
) -> None:
    """Nobody gets money back."""
    found = weigh(customer_of(CRACKED), skate("new", 9000), trade_in=trade_in)

    assert found is not None
    assert wins_from == found.wins_from_minor


@pytest.mark.parametrize(
    ("money", "trade_in", "wins"), [(9000, 0, True), (8999, 0, False), (8999, 1, True), (0, 9000, True)]
)
def test_it_wins_only_where_there_is_money_for_it(
    customer_of: Written, weigh: Weighed, skate: Any, money: int, trade_in: int, wins: bool
) -> None:
    """To the cent, what the old one brings included."""
    found = weigh(customer_of(CRACKED, money=cents(money)), skate("new", 9000), trade_in=trade_in)

    assert found is not None
    assert wins is found.wins


def test_it_wins_only_if_it_does_more_for_what_bothers_first(
    upgrade_shop: Any, customer_of: Written, weigh: Weighed, skate: Any
) -> None:
    """New bearings silence what is noisy, and a skate does not: it wins only where that comes second."""
    bearing, new = upgrade_shop.bearing(), skate("new", 9000)
    first, second = (
        weigh(customer_of(*codes), new, parts=(bearing,))
        for codes in (("bearing_noisy", "boot_too_small"), ("boot_too_small", "bearing_noisy"))
    )

    assert [False, True] == [found is not None and found.wins for found in (first, second)]


def test_a_path_that_does_as_much_is_kept(
    customer_of: Written, choose: Callable[..., Choice], upgrade_till: Till, skate: Any
) -> None:
    """A skate has to do more: on a level the path stands."""
    customer = customer_of(CRACKED)
    choice = choose(customer)
    plan = planned(choice.problem)
    points = choice.aims.relief(SKATE).hazards[0] * choice.problem.serving[0]
    won = []
    for reached in (points - 1, points):
        level = plan.value._replace(hazards=(reached,))
        against = Against(choice.aims, choice.problem, type(plan)((), level, is_proved=True, bound=()))
        won.append(another_skate(customer, [skate("new", 9000)], 0, against, upgrade_till))

    assert [True, False] == [found is not None and found.wins for found in won]


def test_a_skate_that_has_to_wait_serves_for_less_time(
    upgrade_shop: Any, customer_of: Written, weigh: Weighed, skate: Any
) -> None:
    """What helps now may do more for the first complaint than a skate for which there is money years later."""
    months, years = (date(2025, 4, 1), date(2034, 3, 1))
    liner, new = upgrade_shop.pair("liner", sizes=SizeRun(36, 46)), skate("new", 9000)
    wins = []
    for later in (months, years):
        money = Money("EUR", (Instalment(date(2025, 3, 1), 5000), Instalment(later, 9000)), date(2035, 3, 1))
        found = weigh(customer_of("boot_too_large", money=money), new, parts=(liner,))
        wins.append(found is not None and found.wins)

    assert [True, False] == wins
