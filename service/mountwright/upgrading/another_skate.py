"""A complete skate instead of the path: what it costs, what it does away with, and from which sum on it wins."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from mountwright.checkout.article import Article
from mountwright.checkout.basket import Lot, Status
from mountwright.checkout.finding import Decision
from mountwright.checkout.till import Till
from mountwright.riding.band import Band
from mountwright.upgrading.aims import SKATE, Aims
from mountwright.upgrading.customer import Customer
from mountwright.upgrading.plan import Plan
from mountwright.upgrading.problem import Problem
from mountwright.upgrading.staging import stage_checked


@dataclass(frozen=True, eq=False)
class AnotherSkate:
    """The cheapest complete skate that may do.

    Parameters
    ----------
    article : Article
    price_minor : int
    trade_in_minor : int
        What the old one is taken back for.
    serves : Mapping[str, Band]
        By code of each complaint and hazard that it helps against, how often it does away with it.
    wins : bool
        Whether it does more than the path for what bothers, in the rider's order, and there is money for it.
    """

    article: Article
    price_minor: int
    trade_in_minor: int
    serves: Mapping[str, Band]
    wins: bool

    @property
    def wins_from_minor(self) -> int:
        """Give the sum from which it is the better buy: a path that costs as much leaves an old skate."""
        return max(0, self.price_minor - self.trade_in_minor)


class Against(NamedTuple):
    """What it stands against: what bothers, what there was to choose from, and the path that was chosen."""

    aims: Aims
    problem: Problem
    plan: Plan


def another_skate(
    customer: Customer, skates: Sequence[Article], trade_in_minor: int, against: Against, till: Till
) -> AnotherSkate | None:
    """Give the cheapest skate for the feet that is no step down, None where there is none or it would not help.

    Parameters
    ----------
    customer : Customer
    skates : sequence of Article
        Complete ones with a price in the customer's currency, the cheapest first.
    trade_in_minor : int
    against : Against
    till : Till
    """
    relief = against.aims.relief(SKATE)
    if not any(band.likely for band in relief.serves.values()):
        return None
    owned = {version.skate.sku for version in customer.owned.versions}
    least = _worth_minor(customer)
    for article in skates:
        price = 0 if article.price is None else article.price.minor
        if price > least and article.sku not in owned and _is_for_the_feet(article, customer, till):
            wins = _wins(max(0, price - trade_in_minor), (*relief.hazards, *relief.complaints), against)
            return AnotherSkate(article, price, trade_in_minor, relief.serves, wins)
    return None


def _worth_minor(customer: Customer) -> int:
    """Give what the skate costs new, 0 where nobody knows in the customer's currency."""
    prices = [version.skate.price for version in customer.owned.versions]
    return max((each.minor for each in prices if each and each.currency == customer.money.currency), default=0)


def _is_for_the_feet(article: Article, customer: Customer, till: Till) -> bool:
    """Tell whether its run has the size, and nothing that is known of the feet speaks against it."""
    size, run = customer.owned.eu_size, article.sizes
    if size is not None and ((run.low is not None and size < run.low) or (run.high is not None and size > run.high)):
        return False
    lot = Lot(article.sku, article, status=Status.WHOLE_SKATE, skate=0)
    return stage_checked([lot], customer, till).decision is not Decision.STOP


def _wins(cost_minor: int, points: tuple[int, ...], against: Against) -> bool:
    """Tell whether the skate, bought as soon as there is money for it, does more than the plan for what bothers."""
    serving = [
        weight
        for stage, weight in zip(against.problem.stages, against.problem.serving, strict=True)
        if stage.budget_minor >= cost_minor
    ]
    if not serving:
        return False
    value = against.plan.value
    return tuple(serving[0] * each for each in points) > (*value.hazards, *value.complaints)
