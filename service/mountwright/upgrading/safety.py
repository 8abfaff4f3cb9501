"""Nothing is sold for a skate that is not to be ridden yet: money waits for what takes the danger away."""

from __future__ import annotations

from dataclasses import replace

from mountwright.upgrading.plan import planned
from mountwright.upgrading.problem import Option, Problem


def safe_first(problem: Problem, grave: int, time_limit_s: float = 2.0) -> Problem:
    """Give a problem in which no money is spent before the first grave hazard can be taken away.

    Work that costs nothing may be done before. Where no grave hazard can be taken away, nothing changes.

    Parameters
    ----------
    problem : Problem
        Its grave hazards are named first.
    grave : int
        How many these are, 0 or more.
    time_limit_s : float
        To find the stage at which that can be, above 0; where it does not do, nothing changes.
    """
    if not grave or len(problem.stages) == 1:
        return problem
    plan = planned(_hazards_alone(problem, grave), time_limit_s)
    first = min((step.stage for step in plan.steps if any(step.option.hazards)), default=1)
    stages = [
        replace(stage, budget_minor=0) if number < first else stage for number, stage in enumerate(problem.stages, 1)
    ]
    return replace(problem, stages=tuple(stages))


def _hazards_alone(problem: Problem, grave: int) -> Problem:
    positions = [
        replace(position, options=tuple([_bare(option, grave) for option in position.options]))
        for position in problem.positions
    ]
    return replace(problem, positions=tuple(positions), hazards=problem.hazards[:grave], complaints=())


def _bare(option: Option, grave: int) -> Option:
    return replace(option, hazards=option.hazards[:grave], complaints=(), wishes=0, gain=0, waste_minor=0, minutes=0)
