"""What stands against a plan: the front of cost against relief, other remedies, the price at which one would win."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple, TypeAlias

from mountwright.errors import InvalidQuantityError
from mountwright.upgrading.plan import Plan, Step, planned
from mountwright.upgrading.problem import Option, Problem, Stage

Options: TypeAlias = tuple[Option, ...]


class FrontPoint(NamedTuple):
    """The cheapest way to so much relief.

    Parameters
    ----------
    cost_minor : int
    points : int
        Half-halvings of the first complaint.
    steps : tuple of Step
        In the order of positions.
    """

    cost_minor: int
    points: int
    steps: tuple[Step, ...]


@dataclass(frozen=True)
class Rival:
    """Another plan, in which a complaint is served by something else.

    Parameters
    ----------
    complaint : str
    instead_of : Step
        What it does without.
    remedy : Step or None
        The strongest remedy of the complaint that is new in it; None where it goes without.
    plan : Plan
        The best without what it does without, and without its like.
    """

    complaint: str
    instead_of: Step
    remedy: Step | None
    plan: Plan


def front(problem: Problem, time_limit_s: float = 2.0) -> tuple[FrontPoint, ...]:
    """Give the front of cost against relief of the first complaint, the cheapest first: all money at once.

    Each point relieves more than every cheaper one, and nothing relieves as much for less.

    Parameters
    ----------
    problem : Problem
    time_limit_s : float
        For each point.

    Raises
    ------
    InvalidQuantityError
        Without a complaint.
    """
    if not problem.complaints:
        raise InvalidQuantityError(problem.complaints, "a complaint")
    found = list(_front(_first_complaint(problem), time_limit_s))
    return tuple(found[::-1])


def _front(problem: Problem, time_limit_s: float) -> Iterator[FrontPoint]:
    """Give the points, the dearest first: each next budget is one unit below what the last one cost."""
    left = problem.stages[-1].budget_minor
    while left >= 0:
        plan = planned(replace(problem, stages=(Stage(left, 1),)), time_limit_s)
        yield FrontPoint(plan.cost_minor, plan.value.complaints[0], plan.steps)
        left = plan.cost_minor - 1


def _first_complaint(problem: Problem) -> Problem:
    """Give the problem with nothing but the first complaint and the price in it."""
    positions = tuple(
        replace(position, options=tuple(_bare(option) for option in position.options)) for position in problem.positions
    )
    return replace(problem, positions=positions, hazards=(), complaints=problem.complaints[:1])


def _bare(option: Option) -> Option:
    return replace(option, hazards=(), complaints=option.complaints[:1], wishes=0, gain=0, waste_minor=0, minutes=0)


def rivals(problem: Problem, plan: Plan, most: int = 2, time_limit_s: float = 2.0) -> tuple[Rival, ...]:
    """Give the best plans in which a complaint is served by something else, the best first.

    For each complaint that the plan serves, its strongest remedy is taken away and the rest planned anew. With it go
    all that could be bought for the same place against the same complaint: another colour is no other way.

    Parameters
    ----------
    problem : Problem
    plan : Plan
        Of this problem.
    most : int
        How many are given.
    time_limit_s : float
        For each plan.
    """
    found: dict[tuple[Step, ...], Rival] = {}
    for place, complaint in enumerate(problem.complaints):
        taken = _strongest(problem, place, plan.steps)
        if taken:
            other = planned(_without_its_like(problem, taken, place), time_limit_s)
            fresh = tuple(step for step in other.steps if not _has(plan, step))
            found.setdefault(other.steps, Rival(complaint, taken, _strongest(problem, place, fresh), other))
    return tuple(sorted(found.values(), key=lambda rival: rival.plan.value, reverse=True)[:most])


def winning_price_minor(problem: Problem, step: Step, within_minor: int = 100, time_limit_s: float = 2.0) -> int | None:
    """Give the price at which the best plan would hold an option, everything else as it is; None if at no price.

    All is planned anew at each price that is looked at, so that money that gets free is spent.

    Parameters
    ----------
    problem : Problem
    step : Step
        The option and its position, not in the best plan; its stage does not matter.
    within_minor : int
        How close the price is told, 1 or more: at the price given the option is held, and at one that much higher it
        is not.
    time_limit_s : float
        For each plan.

    Raises
    ------
    InvalidQuantityError
        For a closeness below 1.
    """
    if within_minor < 1:
        raise InvalidQuantityError(within_minor, "1 or more")

    def is_held(price_minor: int) -> bool:
        changed = priced(problem, step.position, step.option.key, price_minor)
        return any(_is_same(step, each) for each in planned(changed, time_limit_s).steps)

    if not is_held(0):
        return None
    held, not_held = 0, step.option.cost_minor
    while not_held - held > within_minor:
        middle = (held + not_held) // 2
        held, not_held = (middle, not_held) if is_held(middle) else (held, middle)
    return held


def without(problem: Problem, position: str, key: str) -> Problem:
    """Give a problem in which an option cannot be had."""
    return _changed(problem, position, lambda options: tuple(each for each in options if each.key != key))


def _without_its_like(problem: Problem, taken: Step, complaint: int) -> Problem:
    """Give a problem without an option, and without all that is bought for the same place against a complaint.

    A job on the part that stands there is another kind of remedy than a new part, and stays.
    """
    is_bought = taken.option.parts_minor > 0
    return _changed(
        problem,
        taken.position,
        lambda options: tuple(
            each
            for each in options
            if each.key != taken.option.key and not (is_bought and each.parts_minor and each.complaints[complaint])
        ),
    )


def priced(problem: Problem, position: str, key: str, price_minor: int) -> Problem:
    """Give a problem in which an option has another price, no longer split."""
    return _changed(
        problem,
        position,
        lambda options: tuple(
            replace(each, parts_minor=price_minor, labour_minor=0, consumables_minor=0) if each.key == key else each
            for each in options
        ),
    )


def _changed(problem: Problem, position: str, change: Callable[[Options], Options]) -> Problem:
    positions = tuple(
        replace(each, options=change(each.options)) if each.name == position else each for each in problem.positions
    )
    return replace(problem, positions=positions)


def _strongest(problem: Problem, complaint: int, steps: Sequence[Step]) -> Step | None:
    """Give the step that relieves a complaint most, for as long as it serves; the first of equal ones."""
    served = [step for step in steps if step.option.complaints[complaint]]
    weight = problem.serving
    return max(served, key=lambda step: step.option.complaints[complaint] * weight[step.stage - 1], default=None)


def _has(plan: Plan, step: Step) -> bool:
    return any(_is_same(step, each) for each in plan.steps)


def _is_same(one: Step, other: Step) -> bool:
    return (one.position, one.option.key) == (other.position, other.option.key)
