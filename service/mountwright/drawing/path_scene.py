"""An upgrade path as it is drawn: plain figures, checked.

Money is whole minor units of one currency, spent so far. Relief is the share of the complaints that is gone so far,
from 0 to 1, by whatever weights the caller has. Steps and stages are counted from 0.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple, TypeAlias

from mountwright.errors import InvalidQuantityError

#: Beyond these nobody could read the picture.
_MOST_STEPS, _MOST_STAGES, _MOST_ALTERNATIVES, _MOST_NOTES, _MOST_MINOR = 40, 8, 3, 20, 10**12
#: No currency of ISO 4217 has more decimals.
_MOST_DECIMALS = 4
_CURRENCY = re.compile(r"[A-Z]{3}")


class PathPoint(NamedTuple):
    """What a sum relieves.

    Parameters
    ----------
    money_minor : int
        Spent so far.
    relief : float
        So far, 0 to 1, both inclusive.
    """

    money_minor: int
    relief: float


class PathStep(NamedTuple):
    """A step of the path, and where it leads.

    Parameters
    ----------
    name : str
        Any text.
    money_minor : int
        Spent so far, this step included.
    relief : float
        So far, this step included, 0 to 1, both inclusive.
    stage : int
        The stage it is taken in.
    """

    name: str
    money_minor: int
    relief: float
    stage: int = 0


class PathStage(NamedTuple):
    """A stage of the path.

    Parameters
    ----------
    label : str
        Any text.
    budget_minor : int
        What may have been spent by its end in all, inclusive.
    """

    label: str
    budget_minor: int


class PathAlternative(NamedTuple):
    """Another way from the skate as it is.

    Parameters
    ----------
    label : str
        Any text.
    points : tuple of PathPoint
        Where each of its steps leads, 1 to 40.
    """

    label: str
    points: tuple[PathPoint, ...]


class OtherSkate(NamedTuple):
    """Another skate that competes with the path.

    Parameters
    ----------
    label : str
        Any text.
    price_minor : int
        The sum from which it is the better buy.
    """

    label: str
    price_minor: int


_Step: TypeAlias = PathPoint | PathStep


@dataclass(frozen=True)
class PathScene:
    """Everything that is seen of an upgrade path.

    Parameters
    ----------
    steps : tuple of PathStep
        0 to 40, in their order: money, relief and stage never fall, and no step costs more than its stage has.
    stages : tuple of PathStage
        1 to 8, in their order: their budgets never fall.
    currency : str
        ISO 4217, three capital letters.
    decimals : int
        How many decimals the currency's major unit has: its exponent in ISO 4217, 0 to 4.
    alternatives : tuple of PathAlternative
        0 to 3; money and relief never fall.
    other_skate : OtherSkate or None
    title : str
        Any text; empty for none.
    notes : tuple of str
        Sentences above the chart, 0 to 20; any text.

    Raises
    ------
    InvalidQuantityError
        For what is not finite, out of order, or out of these bounds.
    """

    steps: tuple[PathStep, ...]
    stages: tuple[PathStage, ...]
    currency: str
    decimals: int = 2
    alternatives: tuple[PathAlternative, ...] = ()
    other_skate: OtherSkate | None = None
    title: str = ""
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        _check_currency(self.currency, self.decimals)
        _check_stages(self.stages)
        _check_count(self.steps, 0, _MOST_STEPS, "steps")
        _check_way(self.steps)
        _check_staged(self.steps, self.stages)
        _check_count(self.alternatives, 0, _MOST_ALTERNATIVES, "alternatives")
        for alternative in self.alternatives:
            _check_count(alternative.points, 1, _MOST_STEPS, "points of an alternative")
            _check_way(alternative.points)
        _check_count(self.notes, 0, _MOST_NOTES, "notes")
        if self.other_skate is not None:
            _check_money([self.other_skate.price_minor])


def _check_currency(currency: str, decimals: int) -> None:
    if not _CURRENCY.fullmatch(currency):
        raise InvalidQuantityError(currency, "a currency of ISO 4217, three capital letters")
    if not 0 <= decimals <= _MOST_DECIMALS:
        raise InvalidQuantityError(decimals, f"0 to {_MOST_DECIMALS} decimals")


def _check_stages(stages: Sequence[PathStage]) -> None:
    _check_count(stages, 1, _MOST_STAGES, "stages")
    _check_money([stage.budget_minor for stage in stages])


def _check_staged(steps: Sequence[PathStep], stages: Sequence[PathStage]) -> None:
    if any(later.stage < earlier.stage for earlier, later in pairwise(steps)):
        raise InvalidQuantityError([step.stage for step in steps], "stages in order")
    for step in steps:
        if not 0 <= step.stage < len(stages):
            raise InvalidQuantityError(step.stage, f"a stage within 0 and {len(stages) - 1}")
        if step.money_minor > stages[step.stage].budget_minor:
            raise InvalidQuantityError(step.money_minor, f"{stages[step.stage].budget_minor} at most, as its stage has")


def _check_way(steps: Sequence[_Step]) -> None:
    _check_money([step.money_minor for step in steps])
    reliefs = [step.relief for step in steps]
    if not all(math.isfinite(relief) and 0 <= relief <= 1 for relief in reliefs):
        raise InvalidQuantityError(reliefs, "relief within 0 and 1, both inclusive")
    if any(later < earlier for earlier, later in pairwise(reliefs)):
        raise InvalidQuantityError(reliefs, "relief that never falls")


def _check_money(sums_minor: Sequence[int]) -> None:
    if not all(0 <= each <= _MOST_MINOR for each in sums_minor):
        raise InvalidQuantityError(sums_minor, f"sums within 0 and {_MOST_MINOR}, both inclusive")
    if any(later < earlier for earlier, later in pairwise(sums_minor)):
        raise InvalidQuantityError(sums_minor, "sums that never fall")


def _check_count(things: Sequence[object], least: int, most: int, what: str) -> None:
    if not least <= len(things) <= most:
        raise InvalidQuantityError(len(things), f"{least} to {most} {what}")
