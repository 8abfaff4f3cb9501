"""The order inside a stage, held against every order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import permutations

import numpy as np
import pytest

from mountwright.errors import InvalidQuantityError
from mountwright.upgrading.ordering import MOST, Task, ordered


def some_tasks(seed: int, *, is_free: bool) -> list[Task]:
    """Give up to six tasks; where they are not free, one in three waits for an earlier one."""
    rng = np.random.default_rng(seed)
    found: list[Task] = []
    for number in range(int(rng.integers(1, 7))):
        waits = frozenset(
            str(rng.choice([task.key for task in found])) for _ in range(1) if found and rng.random() < 0.4
        )
        gains = tuple(rng.integers(0, 4, 2).tolist())
        found.append(
            Task(f"t{rng.integers(100)}-{number}", gains, int(rng.integers(0, 4)), frozenset() if is_free else waits)
        )
    return found


def waited(order: Sequence[Task]) -> tuple[int, ...]:
    """Give the sum of gain x time until it is there, gain by gain."""
    time, sums = 0, [0] * len(order[0].gains)
    for task in order:
        time += task.price
        sums = [so_far + gain * time for so_far, gain in zip(sums, task.gains, strict=True)]
    return tuple(sums)


def allowed(tasks: Sequence[Task]) -> Iterator[tuple[Task, ...]]:
    """Give every order in which nothing comes before what it waits for."""
    for order in permutations(tasks):
        keys = [task.key for task in order]
        if all(not task.after & set(keys[place:]) for place, task in enumerate(order)):
            yield order


class TestOrder:
    """The order of tasks ..."""

    @pytest.mark.parametrize("first", [0, 100])
    def test_waits_least_of_all(self, first: int) -> None:
        """... makes the least waiting, gain by gain, in each of 200 sets that are free."""
        for tasks in (some_tasks(seed, is_free=True) for seed in range(first, first + 100)):
            assert min(map(waited, permutations(tasks))) == waited(ordered(tasks))

    @pytest.mark.parametrize("first", [0, 100])
    def test_waits_least_of_what_is_allowed(self, first: int) -> None:
        """... makes the least waiting of the orders that are allowed, in each of 200 sets, the smallest keys first."""
        for tasks in (some_tasks(seed, is_free=False) for seed in range(first, first + 100)):
            best = min(allowed(tasks), key=lambda order: (waited(order), [task.key for task in order]))
            if any(task.after for task in tasks):
                assert best == ordered(tasks)

    def test_puts_what_costs_nothing_first(self) -> None:
        """... begins with what costs nothing, even if it does nothing, by key."""
        tasks = [Task("b", (9,), 1), Task("c", (0,), 0), Task("a", (1,), 0)]

        assert ["a", "c", "b"] == [task.key for task in ordered(tasks)]

    def test_keeps_to_what_comes_first(self) -> None:
        """... takes the frame off before the side guards, and what helps at once before both."""
        tasks = [Task("guards", (9,), 1, frozenset({"frame"})), Task("frame", (0,), 9), Task("lace", (1,), 1)]

        assert ["lace", "frame", "guards"] == [task.key for task in ordered(tasks)]

    def test_does_not_wait_for_what_is_not_done(self) -> None:
        """... takes no heed of what is not there."""
        assert ("a",) == tuple(task.key for task in ordered([Task("a", (1,), 1, frozenset({"frame"}))]))

    def test_of_nothing_is_nothing(self) -> None:
        """... of no tasks is empty."""
        assert () == ordered([])

    @pytest.mark.parametrize(
        ("tasks", "expected"),
        [
            ([Task("a", (1,), 1), Task("a", (2,), 1)], "keys that are all different"),
            ([Task("a", (1,), 1), Task("b", (2, 1), 1)], "as many gains"),
            ([Task("a", (1,), 1, frozenset("b")), Task("b", (2,), 1, frozenset("a"))], "in a ring"),
            ([Task(str(n), (1,), 1, frozenset("0") - {str(n)}) for n in range(MOST + 1)], "16 tasks or fewer"),
        ],
    )
    def test_refuses(self, tasks: list[Task], expected: str) -> None:
        """... is not told of these."""
        with pytest.raises(InvalidQuantityError, match=expected):
            ordered(tasks)


class TestTask:
    """A task ..."""

    @pytest.mark.parametrize("refused", [("", (1,), 1), ("a", (-1,), 1), ("a", (1,), -1), ("a", (0.5,), 1)])
    def test_refuses(self, refused: tuple[str, tuple[int, ...], int]) -> None:
        """... has a key, and gains and a price that are whole and 0 or more."""
        with pytest.raises(InvalidQuantityError):
            Task(*refused)
