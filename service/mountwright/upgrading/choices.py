"""The choices that a best plan may need: each option at each stage, less what another choice beats.

A choice beats another of its position if it is no worse in the whole order of values and ties, costs no more at any
stage, and goes together with all that the other goes together with. What is beaten is in no plan that is chosen.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from mountwright.upgrading.courses import Together, courses, interfaces
from mountwright.upgrading.dominance import undominated
from mountwright.upgrading.problem import Option, Position, Problem

Whole = NDArray[np.int64]
Flags = NDArray[np.bool_]


class Choices(NamedTuple):
    """The choices at one position, a row each, by course.

    Parameters
    ----------
    options : array of int (n,)
        Place among the position's options, -1 for the part as it is.
    stages : array of int (n,)
        From 0; as many as there are stages for the part as it is.
    costs : array of int (n, k)
        What has been spent by each stage, minor units.
    values : array of int (n, v)
        What it adds to each level of the objective, larger is better.
    ties : array of int (n,)
        Order by stage and key.
    courses : array of int (n,)
    """

    options: Whole
    stages: Whole
    costs: Whole
    values: Whole
    ties: Whole
    courses: Whole

    def rows(self, chosen: Whole | Flags) -> Choices:
        """Give some of the rows."""
        return Choices(*(each[chosen] for each in self))


class Field(NamedTuple):
    """All choices of a problem.

    Parameters
    ----------
    choices : tuple of Choices
        For each position, in order.
    counts : tuple of int
        How many courses each has.
    together : Together
    budgets : array of int (k,)
    """

    choices: tuple[Choices, ...]
    counts: tuple[int, ...]
    together: Together
    budgets: Whole

    def fewer(self, kept: Sequence[Flags]) -> Field:
        """Give the same with some of the choices of each position only."""
        choices = tuple(each.rows(flags) for each, flags in zip(self.choices, kept, strict=True))
        return _renumbered(self._replace(choices=choices))


def field(problem: Problem) -> Field:
    """Give the choices of a problem that a best plan may need."""
    numbers = interfaces(problem)
    every = [_every(problem, position) for position in problem.positions]
    runs, of = [], []
    for position, choices, own in zip(problem.positions, every, numbers, strict=True):
        different, where = np.unique(_runs(position, choices, own), axis=0, return_inverse=True)
        runs.append(different)
        of.append(where)
    found = courses(problem, numbers, runs)
    kept = tuple(
        _kept(choices._replace(courses=found.of[place][of[place]]), found.covers(place))
        for place, choices in enumerate(every)
    )
    return _renumbered(Field(kept, found.counts, found.together, _budgets(problem)))


def _renumbered(field: Field) -> Field:
    """Give the same with the courses that no choice has any more left out."""
    used = [np.unique(choices.courses) for choices in field.choices]
    choices = tuple(
        each._replace(courses=np.searchsorted(own, each.courses)) for each, own in zip(field.choices, used, strict=True)
    )
    together = {pair: passing[np.ix_(used[pair[0]], used[pair[1]])] for pair, passing in field.together.items()}
    return field._replace(choices=choices, counts=tuple(map(len, used)), together=together)


def _fitted(position: Position) -> tuple[Option, ...]:
    return () if position.is_locked else position.options


def _budgets(problem: Problem) -> Whole:
    return np.array([stage.budget_minor for stage in problem.stages], dtype=np.int64)


def _every(problem: Problem, position: Position) -> Choices:
    """Give every choice that the money allows, the part as it is the last; the courses are not told yet."""
    options = _fitted(position)
    budgets, count = _budgets(problem), len(options)
    prices = np.array([option.cost_minor for option in options] + [0], dtype=np.int64)
    stages, places = np.nonzero(prices[None, :-1] <= budgets[:, None])
    stages, places = np.append(stages, len(budgets)), np.append(places, count)
    costs = (np.arange(len(budgets)) >= stages[:, None]) * prices[places][:, None]
    order = np.zeros(count + 1, dtype=np.int64)
    order[sorted(range(count), key=lambda place: options[place].key)] = np.arange(count)
    values = _values(problem, options, stages, places)
    return Choices(np.where(places < count, places, -1), stages, costs, values, stages * count + order[places], places)


def _values(problem: Problem, options: tuple[Option, ...], stages: Whole, places: Whole) -> Whole:
    """Give what each choice adds to each level; the last place stands for the part as it is and adds nothing."""
    levels = len(problem.hazards) + len(problem.complaints) + 5
    weighted, once = np.zeros((2, len(options) + 1, levels), dtype=np.int64)
    for place, option in enumerate(options):
        weighted[place, :-3] = (
            *option.hazards,
            *option.complaints,
            option.wishes,
            option.gain * problem.rate.gain_worth,
        )
        once[place, -4:] = (
            -option.cost_minor * problem.rate.price_worth,
            -option.waste_minor,
            -option.cost_minor,
            -option.minutes,
        )
    serving = np.array([*problem.serving, 0], dtype=np.int64)
    return serving[stages][:, None] * weighted[places] + once[places]


def _runs(position: Position, choices: Choices, numbers: dict[str, int]) -> Whole:
    """Give the interface of the position at each stage, by number, for each choice."""
    as_is = numbers[position.as_is]
    signatures = np.array([numbers[option.signature] for option in _fitted(position)] + [as_is], dtype=np.int64)
    stage_count = choices.costs.shape[1]
    began = np.arange(stage_count) >= choices.stages[:, None]
    return np.where(began, signatures[choices.options][:, None], as_is)


def _kept(choices: Choices, covers: Flags) -> Choices:
    """Give what is not beaten, by course."""
    choices = choices.rows(choices.courses >= 0)
    choices = choices.rows(np.lexsort([choices.ties, *-choices.values.T[::-1]]))
    choices = choices.rows(_cheaper(choices))
    unbeaten = undominated(choices.costs, choices.courses, covers)
    # The part as it is stays in any case: a plan to begin with is made of it.
    unbeaten = np.union1d(unbeaten, np.flatnonzero(choices.options < 0))
    choices = choices.rows(unbeaten)
    return choices.rows(np.argsort(choices.courses, kind="stable"))


def _cheaper(choices: Choices) -> Whole:
    """Give what is cheaper than everything better of its own course and stage: quick, and most go by it."""
    _, group = np.unique(choices.courses * (choices.stages.max() + 1) + choices.stages, return_inverse=True)
    order = np.argsort(group, kind="stable")
    price = choices.costs[order, -1] - group[order] * (choices.costs[:, -1].max() + 1)
    best = np.minimum.accumulate(price)
    is_cheaper = np.ones(len(price), dtype=np.bool_)
    is_cheaper[1:] = price[1:] < best[:-1]
    return np.sort(order[is_cheaper])
