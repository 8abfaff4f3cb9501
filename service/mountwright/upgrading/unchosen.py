"""Why something that one would think of is not in the path."""

from __future__ import annotations

from collections.abc import Iterator
from enum import StrEnum
from typing import NamedTuple

from mountwright.upgrading.customer import KINDS, Customer
from mountwright.upgrading.offers import Reason
from mountwright.upgrading.options import Choice
from mountwright.upgrading.plan import Plan

#: What everybody asks for, whatever bothers.
_POPULAR = ("frame", "wheel", "bearing", "liner", "insole")

#: The cause of a skate that feels vague which is looked for at the foot, and what stands for it at the ground.
_SOFT, _STIFF = "soft_link", ("frame", "wheel", "bearing")


class WhyNot(StrEnum):
    """The reason."""

    LOCKED = "locked"
    NO_CANDIDATES = "no_candidates"
    NOTHING_GOES_ON = "nothing_goes_on"
    NOT_NEEDED = "not_needed"
    NO_MONEY = "no_money"
    WORSE = "worse"
    NOT_THE_SOFT_LINK = "not_the_soft_link"


class Unchosen(NamedTuple):
    """A kind of article that is not bought, and why."""

    kind: str
    why: WhyNot


def unchosen(choice: Choice, plan: Plan, customer: Customer) -> tuple[Unchosen, ...]:
    """Give the kinds that are popular or would help and are not in a plan, in their order.

    Parameters
    ----------
    choice : Choice
    plan : Plan
    customer : Customer
    """
    return tuple(_unchosen(choice, plan, customer))


def _unchosen(choice: Choice, plan: Plan, customer: Customer) -> Iterator[Unchosen]:
    bought = {step.position for step in plan.steps if choice.offers[step.position, step.option.key].article is not None}
    helping = {by for each in choice.aims.all for by in each.helped_by}
    left = customer.money.total_minor - plan.cost_minor
    for kind in KINDS:
        if kind not in bought and (kind in helping or kind in _POPULAR):
            yield Unchosen(kind, _why(kind, choice, customer, left))


def _why(kind: str, choice: Choice, customer: Customer, left_minor: int) -> WhyNot:
    offers = [offer for offer in choice.offers.values() if offer.article is not None and offer.article.kind == kind]
    refused = [each for each in choice.left_out if each.article.kind == kind]
    useful = [offer for offer in offers if offer.relief.is_of_use or offer.wishes or (offer.gain or 0) > 0]
    if kind in customer.stays:
        return WhyNot.LOCKED
    if not offers:
        goes_on = any(each.reason is not Reason.DOES_NOT_GO_ON for each in refused)
        return WhyNot.NOTHING_GOES_ON if refused and not goes_on else WhyNot.NO_CANDIDATES
    if useful and min(offer.cost_minor for offer in useful) > left_minor:
        return WhyNot.NO_MONEY
    if kind in _STIFF and any(cause.key == _SOFT for each in choice.aims.all for cause in each.causes):
        return WhyNot.NOT_THE_SOFT_LINK
    return WhyNot.WORSE if useful else WhyNot.NOT_NEEDED
