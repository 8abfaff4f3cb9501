"""Whether every stage of a plan is a skate that a basket's rules clear, and what to plan without where one is not.

Pairs of parts are judged before anything is planned; what only shows with everything on the skate shows here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from mountwright.checkout.basket import Basket, BenchWork, Counts, Lot, Policy
from mountwright.checkout.cart_check import CartAnswer, cart_checked
from mountwright.checkout.finding import Decision, Finding
from mountwright.checkout.till import Till
from mountwright.upgrading.customer import Customer
from mountwright.upgrading.options import Choice
from mountwright.upgrading.plan import Plan, Step, planned
from mountwright.upgrading.problem import Link, Problem
from mountwright.upgrading.rivals import without
from mountwright.upgrading.safety import safe_first

#: A path is sold for a pair and done by a workshop.
POLICY = Policy(counts=Counts.PAIR, bench_work=BenchWork.IN_BASKET)

#: How often it is planned anew without just what a stage would not take, before a whole position stays as it is.
_MOST_CUTS = 40

#: A problem on which time ran out once is planned anew in so small a share of it.
_HURRY = 8


class Conflict(NamedTuple):
    """A step that is not clear on the skate of its stage or a later one.

    Parameters
    ----------
    step : Step
    beside : Step or None
        The step that it is not clear beside, None where it is for another reason.
    finding : Finding
    """

    step: Step
    beside: Step | None
    finding: Finding


class Staged(NamedTuple):
    """A plan whose every stage is clear, what it was chosen from, and what had to be left out for that.

    It is not proved where a position had to stay as it is, rather than just one pair to be left out.
    """

    plan: Plan
    problem: Problem
    conflicts: tuple[Conflict, ...]


def staged(choice: Choice, customer: Customer, till: Till, time_limit_s: float = 2.0) -> Staged:
    """Give the best plan whose every stage the basket's rules clear, nothing sold before a grave hazard is taken away.

    Parameters
    ----------
    choice : Choice
    customer : Customer
    till : Till
    time_limit_s : float
        For each plan, above 0; where it did not do for one, positions stay as they are at the first conflict, and
        further plans get an eighth of it.
    """
    whole, conflicts, is_exact = choice.problem, list[Conflict](), True
    grave = choice.aims.grave
    problem = safe_first(whole, grave, time_limit_s)
    plan = first = planned(problem, time_limit_s)
    while (conflict := conflict_in(plan, choice, customer, till)) is not None:
        conflicts.append(conflict)
        is_exact = is_exact and plan.is_proved and len(conflicts) <= _MOST_CUTS
        whole = _cut(whole, conflict) if is_exact else _locked(whole, conflict.step.position)
        limit_s = time_limit_s if is_exact else time_limit_s / _HURRY
        problem = safe_first(whole, grave, limit_s)
        plan = planned(problem, limit_s)
    if not is_exact:
        # The best of what was left is not proved the best of all, but that is not above the first bound.
        plan = replace(plan, is_proved=False, bound=first.bound)
    return Staged(plan, problem, tuple(conflicts))


def conflict_in(plan: Plan, choice: Choice, customer: Customer, till: Till) -> Conflict | None:
    """Give the first step that is not clear on the skate of some stage, None where all are."""
    for stage in sorted({step.stage for step in plan.steps}):
        steps = [step for step in plan.steps if step.stage <= stage]
        lots = {step: lot for step in steps if (lot := _lot(step, choice)) is not None}
        answer = stage_checked(list(lots.values()), customer, till)
        if answer.decision is not Decision.CLEAR:
            return _conflict(answer, lots)
    return None


def checks_of(plan: Plan, choice: Choice, customer: Customer, till: Till) -> dict[Step, tuple[Finding, ...]]:
    """Give what the basket's rules find of each step that buys something, on the skate of its own stage."""
    found: dict[Step, tuple[Finding, ...]] = {}
    for stage in sorted({step.stage for step in plan.steps}):
        lots = {step: lot for step in plan.steps if step.stage <= stage and (lot := _lot(step, choice)) is not None}
        answers = {id(each.lot): each.findings for each in stage_checked(list(lots.values()), customer, till).lots}
        found |= {step: answers[id(lot)] for step, lot in lots.items() if step.stage == stage}
    return found


def stage_checked(lots: Sequence[Lot], customer: Customer, till: Till) -> CartAnswer:
    """Give what the basket's rules say of lots on the skate as it is."""
    ordered = tuple(sorted(lots, key=lambda lot: lot.key))
    asked = till._replace(policy=POLICY, has_workshop=True)
    return cart_checked(Basket((customer.owned,), ordered, POLICY), asked)


def _lot(step: Step, choice: Choice) -> Lot | None:
    offer = choice.offers[step.position, step.option.key]
    if offer.article is None or offer.amount is None:
        return None
    return Lot(f"{offer.position} {offer.key}", offer.article, offer.amount.packs, skate=0)


def _conflict(answer: CartAnswer, lots: dict[Step, Lot]) -> Conflict:
    worst = max(answer.lots, key=lambda found: found.decision.rank)
    finding = worst.findings[0]
    step = next(step for step, lot in lots.items() if lot is worst.lot)
    against = [id(article) for article in finding.against]
    beside = next((other for other, lot in lots.items() if other != step and id(lot.article) in against), None)
    return Conflict(step, beside, finding)


def _cut(problem: Problem, conflict: Conflict) -> Problem:
    """Give the problem in which the two do not go together, or the one cannot be had."""
    step, beside = conflict.step, conflict.beside
    names = {step.position, beside.position} if beside is not None else set()
    link = next((each for each in problem.links if {each.one, each.other} == names), None)
    if beside is None or link is None:
        return without(problem, step.position, step.option.key)
    signs = {step.position: step.option.signature, beside.position: beside.option.signature}
    pair = signs[link.one], signs[link.other]
    if pair not in link.passing:
        return without(problem, step.position, step.option.key)
    fewer = Link(link.one, link.other, link.passing - {pair})
    return replace(problem, links=tuple([fewer if each is link else each for each in problem.links]))


def _locked(problem: Problem, position: str) -> Problem:
    """Give the problem in which a position stays as it is."""
    positions = tuple([replace(each, is_locked=each.is_locked or each.name == position) for each in problem.positions])
    return replace(problem, positions=positions)
