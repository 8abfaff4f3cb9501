"""The exact plan: which option at which stage, so that nothing else is better and every stage goes together.

Better is the larger vector, compared figure by figure: levels of each hazard taken away, the gravest first;
half-halvings of each complaint, in the rider's order; wishes; worth of the rolling gain less its price; then the less
waste, money and minutes. What is fitted early serves longer and counts for as long as it serves. Between equal plans
the one with the smallest stage and key stands, position by position.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from time import monotonic
from typing import NamedTuple

from mountwright.errors import InvalidQuantityError
from mountwright.upgrading.choices import field
from mountwright.upgrading.problem import Option, Problem
from mountwright.upgrading.proof import Proof
from mountwright.upgrading.thinning import first_limit, thinned


class Value(NamedTuple):
    """What a plan comes to, each figure the larger the better; compares as a plan does.

    Parameters
    ----------
    hazards : tuple of int
        Levels taken away times how long, the gravest first.
    complaints : tuple of int
        Half-halvings times how long, in the rider's order.
    wishes : int
        Points times how long.
    net_worth : int
        Worth of the rolling gain less that of its price.
    waste_minor, cost_minor, minutes : int
        0 or below.
    """

    hazards: tuple[int, ...]
    complaints: tuple[int, ...]
    wishes: int
    net_worth: int
    waste_minor: int
    cost_minor: int
    minutes: int

    @property
    def figures(self) -> tuple[int, ...]:
        """Give all figures in one row."""
        rest = (self.wishes, self.net_worth, self.waste_minor, self.cost_minor, self.minutes)
        return (*self.hazards, *self.complaints, *rest)


class Step(NamedTuple):
    """An option that is fitted.

    Parameters
    ----------
    position : str
    option : Option
    stage : int
        From 1.
    """

    position: str
    option: Option
    stage: int


@dataclass(frozen=True)
class Plan:
    """A plan and what is known of it.

    Parameters
    ----------
    steps : tuple of Step
        By stage, then in the order of positions.
    value : Value
    is_proved : bool
        Whether it is the best, ties included. If not, time ended first, or there were too many interfaces to weigh.
    bound : tuple of int
        No plan's figures are larger, compared one by one. As many as were settled and one more: all if it is proved.
    """

    steps: tuple[Step, ...]
    value: Value
    is_proved: bool
    bound: tuple[int, ...]

    def at(self, stage: int) -> tuple[Step, ...]:
        """Give the steps of a stage, from 1."""
        return tuple(step for step in self.steps if step.stage == stage)

    def standing(self, stage: int) -> Mapping[str, Option]:
        """Give what has been fitted by the end of a stage, by position; nothing by 0."""
        return {step.position: step.option for step in self.steps if step.stage <= stage}

    @property
    def cost_minor(self) -> int:
        """Give what all steps cost, minor units."""
        return -self.value.cost_minor


def planned(problem: Problem, time_limit_s: float = 2.0) -> Plan:
    """Give the best plan; there is always one, for the skate may stay as it is.

    Parameters
    ----------
    problem : Problem
    time_limit_s : float
        After which the best plan so far is given, above 0.

    Raises
    ------
    InvalidQuantityError
        For a time limit that is not above 0.
    """
    if not time_limit_s > 0:
        raise InvalidQuantityError(time_limit_s, "a time limit above 0 s")
    ends_at = monotonic() + time_limit_s
    if not problem.positions:
        nothing = valued(problem, ())
        return Plan((), nothing, is_proved=True, bound=nothing.figures)
    every = field(problem)
    some = thinned(every)
    found = Proof(some, ends_at).found()
    if some is not every:
        found = found._replace(is_proved=False, limit=(first_limit(every),))
    steps = [
        Step(position.name, position.options[place], stage + 1)
        for position, (place, stage) in zip(problem.positions, found.chosen, strict=True)
        if place >= 0
    ]
    steps.sort(key=lambda step: step.stage)
    return Plan(tuple(steps), valued(problem, steps), found.is_proved, found.limit)


def valued(problem: Problem, steps: Sequence[Step]) -> Value:
    """Give what any steps come to, whether they can be had or not."""
    serving = [problem.serving[step.stage - 1] for step in steps]
    timed = list(zip(serving, (step.option for step in steps), strict=True))
    cost = sum(option.cost_minor for _, option in timed)
    gained = sum(weight * option.gain for weight, option in timed)
    return Value(
        tuple(sum(weight * option.hazards[each] for weight, option in timed) for each in range(len(problem.hazards))),
        tuple(
            sum(weight * option.complaints[each] for weight, option in timed) for each in range(len(problem.complaints))
        ),
        sum(weight * option.wishes for weight, option in timed),
        problem.rate.gain_worth * gained - problem.rate.price_worth * cost,
        -sum(option.waste_minor for _, option in timed),
        -cost,
        -sum(option.minutes for _, option in timed),
    )
