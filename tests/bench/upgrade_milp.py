"""The same plan from SciPy's HiGHS: one mixed integer programme a level, levels before it held at their best."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from mountwright.upgrading.problem import Option, Position, Problem

Floats = NDArray[np.float64]


class Column(NamedTuple):
    """An option at a stage, from 0."""

    position: Position
    option: Option
    stage: int


class Row(NamedTuple):
    """A sum over columns that stays at or below a limit."""

    factors: dict[int, float]
    most: float


def solved(problem: Problem, kept: Sequence[Column] | None = None) -> tuple[int, ...]:
    """Give the best figures level by level.

    Parameters
    ----------
    problem : Problem
    kept : sequence of Column or None
        Only these may be used; None for all.
    """
    columns = list(columns_of(problem)) if kept is None else list(kept)
    rows = [*_once(columns), *_budgets(problem, columns), *_links(problem, columns)]
    figures: list[int] = []
    for level in np.array([_figures(problem, column) for column in columns]).T.tolist():
        figures.append(_best(rows, level) if any(level) else 0)
        rows.append(Row({place: -float(each) for place, each in enumerate(level) if each}, -figures[-1]))
    return tuple(figures)


def columns_of(problem: Problem) -> Iterator[Column]:
    """Give every option at every stage."""
    for position in problem.positions:
        for option in () if position.is_locked else position.options:
            for stage in range(len(problem.stages)):
                yield Column(position, option, stage)


def _figures(problem: Problem, column: Column) -> tuple[int, ...]:
    option, weight = column.option, problem.serving[column.stage]
    cost = option.parts_minor + option.labour_minor + option.consumables_minor
    served = [weight * each for each in (*option.hazards, *option.complaints, option.wishes)]
    net = problem.rate.gain_worth * weight * option.gain - problem.rate.price_worth * cost
    return (*served, net, -option.waste_minor, -cost, -option.minutes)


def _once(columns: Sequence[Column]) -> Iterator[Row]:
    """Give the rows by which a position changes once at most."""
    places: dict[str, dict[int, float]] = {}
    for place, column in enumerate(columns):
        places.setdefault(column.position.name, {})[place] = 1.0
    yield from (Row(factors, 1.0) for factors in places.values())


def _budgets(problem: Problem, columns: Sequence[Column]) -> Iterator[Row]:
    for number, stage in enumerate(problem.stages):
        spent = {place: float(each.option.cost_minor) for place, each in enumerate(columns) if each.stage <= number}
        yield Row(spent, float(stage.budget_minor))


def _links(problem: Problem, columns: Sequence[Column]) -> Iterator[Row]:
    """Give the rows by which a signature stands only beside one that it goes together with."""
    positions = {position.name: position for position in problem.positions}
    for link in problem.links:
        turned = frozenset((other, one) for one, other in link.passing)
        for mine, theirs, passing in ((link.one, link.other, link.passing), (link.other, link.one, turned)):
            for stage in range(len(problem.stages)):
                for signature in sorted(positions[mine].signatures):
                    beside = {other for one, other in passing if one == signature}
                    factors, most = _standing(columns, positions[mine], {signature}, stage)
                    others, more = _standing(columns, positions[theirs], beside, stage)
                    row = factors | {place: -each for place, each in others.items()}
                    yield Row(row, more - most)


def _standing(
    columns: Sequence[Column], position: Position, signatures: set[str], stage: int
) -> tuple[dict[int, float], float]:
    """Give whether one of some signatures stands at a position by a stage, as factors and a constant."""
    stays = float(position.as_is in signatures)
    factors = {
        place: float(each.option.signature in signatures) - stays
        for place, each in enumerate(columns)
        if each.position.name == position.name and each.stage <= stage
    }
    return factors, stays


def _best(rows: Sequence[Row], level: Sequence[int]) -> int:
    entries = [(number, place, each) for number, row in enumerate(rows) for place, each in row.factors.items() if each]
    where, place, factor = zip(*entries, strict=True)
    table = csr_array((factor, (where, place)), shape=(len(rows), len(level)))
    found = milp(
        -np.array(level, dtype=np.float64),
        constraints=LinearConstraint(table, ub=np.array([row.most for row in rows])),
        integrality=np.ones(len(level)),
        bounds=Bounds(0, 1),
        options={"mip_rel_gap": 0.0},
    )
    if not found.success:
        raise RuntimeError(found.message)
    return round(-float(found.fun))
