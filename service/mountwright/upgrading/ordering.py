"""In which order to take what one stage holds: what does more for its price first.

The order makes sum of gain x time until it is there the smallest, each figure of the gains in turn (Smith 1956, Naval
Research Logistics Quarterly 3:59). Where nothing has to come before anything else, a goes before b if gain of a x price
of b is the larger; otherwise every order that is allowed is weighed, by subsets.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cmp_to_key

from mountwright.errors import InvalidQuantityError

#: With more that has to wait for something else, there are too many subsets.
MOST = 16


@dataclass(frozen=True)
class Task:
    """Something to be done in a stage.

    Parameters
    ----------
    key : str
        Not empty.
    gains : tuple of int
        What it does, the first figure first, each 0 or more.
    price : int
        Money or minutes that it takes, 0 or more: a stretch of the time that the next one waits.
    after : frozenset of str
        Keys of what has to come before it. One that is not to be done at all holds nothing up.

    Raises
    ------
    InvalidQuantityError
        For figures beyond these bounds, or that are not whole.
    """

    key: str
    gains: tuple[int, ...]
    price: int
    after: frozenset[str] = frozenset()

    def __post_init__(self) -> None:
        if not self.key:
            raise InvalidQuantityError(self.key, "a key that is not empty")
        for figure in (self.price, *self.gains):
            if type(figure) is not int or figure < 0:
                raise InvalidQuantityError(figure, "a whole number of 0 or more")


def ordered(tasks: Iterable[Task]) -> tuple[Task, ...]:
    """Give tasks in the best order; of equal orders the one whose keys are the smallest from the front.

    Parameters
    ----------
    tasks : iterable of Task
        Keys all different, as many gains each.

    Raises
    ------
    InvalidQuantityError
        For keys that stand twice, gains of different lengths, tasks that wait for each other in a ring, more than 16
        tasks of which some wait.
    """
    some = sorted(tasks, key=lambda task: task.key)
    check_tasks(some)
    if not waits(some):
        return tuple(sorted(some, key=cmp_to_key(_compared)))
    return _by_subsets(some)


def check_tasks(tasks: Sequence[Task]) -> None:
    """Raise where tasks cannot be put in an order together, as :func:`ordered` says."""
    twice = sorted(key for key, count in Counter(task.key for task in tasks).items() if count > 1)
    if twice:
        raise InvalidQuantityError(twice, "keys that are all different")
    if len({len(task.gains) for task in tasks}) > 1:
        raise InvalidQuantityError([task.gains for task in tasks], "as many gains for every task")
    if waits(tasks) and len(tasks) > MOST:
        raise InvalidQuantityError(len(tasks), f"{MOST} tasks or fewer where some wait for others")


def waits(tasks: Sequence[Task]) -> list[list[int]]:
    """Give for each task the places of those that have to come before it; nothing where none has to wait."""
    places = {task.key: place for place, task in enumerate(tasks)}
    found = [sorted(places[key] for key in task.after if key in places) for task in tasks]
    return found if any(found) else []


def _compared(one: Task, other: Task) -> int:
    """Give below 0 if one goes first; what costs nothing goes before all."""
    if not (one.price and other.price):
        return bool(one.price) - bool(other.price)
    mine = tuple(gain * other.price for gain in one.gains)
    theirs = tuple(gain * one.price for gain in other.gains)
    return (mine < theirs) - (mine > theirs)


def _by_subsets(tasks: Sequence[Task]) -> tuple[Task, ...]:
    """Give the best order by what has been done, whatever the order of that (Held, Karp 1962).

    Built from the back, so that of equal orders the first task is settled last and with it the smallest keys.
    """
    before = [sum(1 << place for place in places) for places in waits(tasks)]
    everything = (1 << len(tasks)) - 1
    prices = [task.price for task in tasks]
    best: dict[int, tuple[tuple[int, ...], tuple[int, ...]]] = {everything: ((0,) * len(tasks[0].gains), ())}
    for done in range(everything - 1, -1, -1):
        spent = sum(price for place, price in enumerate(prices) if done >> place & 1)
        ways = [
            (_added(best[done | 1 << place][0], task, spent), (place, *best[done | 1 << place][1]))
            for place, task in enumerate(tasks)
            if not done >> place & 1 and not before[place] & ~done and done | 1 << place in best
        ]
        if ways:
            best[done] = min(ways)
    if 0 not in best:
        raise InvalidQuantityError([task.key for task in tasks], "tasks that do not wait for each other in a ring")
    return tuple(tasks[place] for place in best[0][1])


def _added(costs: tuple[int, ...], task: Task, spent: int) -> tuple[int, ...]:
    return tuple(cost + gain * (spent + task.price) for cost, gain in zip(costs, task.gains, strict=True))
