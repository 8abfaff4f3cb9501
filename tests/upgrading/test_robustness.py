"""How often a step keeps its place."""

from __future__ import annotations

import numpy as np
import pytest

from mountwright.errors import InvalidQuantityError
from mountwright.upgrading.ordering import Task
from mountwright.upgrading.robustness import POINTS, Spread, kept_places, points


class TestPoints:
    """The points ..."""

    def test_are_always_the_same(self) -> None:
        """... of three figures go by the roots of 2, 3 and 5."""
        assert (POINTS, 3) == points(3).shape
        assert pytest.approx([(0.5 + 7 * root**0.5) % 1 for root in (2, 3, 5)]) == points(3)[6].tolist()

    @pytest.mark.parametrize("dimensions", [1, 2, 7])
    def test_fill_the_ranges_evenly(self, dimensions: int) -> None:
        """... put a tenth into each tenth of a range, but for one in a hundred, and stay within."""
        found = points(dimensions)

        assert ((found >= 0) & (found < 1)).all()
        for column in found.T:
            assert 20 >= np.abs(np.histogram(column, 10, (0, 1))[0] - 200).max()

    def test_fill_two_ranges_together(self) -> None:
        """... put as many into each cell of a five by five board as into any other, but for one in ten."""
        counts = np.histogram2d(*points(2).T, 5, ((0, 1), (0, 1)))[0]

        assert 8 >= np.abs(counts - 80).max()


class TestPlaces:
    """Places ..."""

    def test_are_kept_where_all_is_known(self) -> None:
        """... are kept always by what is known exactly."""
        tasks = [Task("a", (3,), 1), Task("b", (2,), 1), Task("c", (0,), 0)]

        assert {"c": 1.0, "a": 1.0, "b": 1.0} == kept_places(tasks, {})

    @pytest.mark.parametrize("after", [frozenset[str](), frozenset({"c"})])
    def test_are_kept_as_often_as_the_ranges_say(self, after: frozenset[str]) -> None:
        """... of two that change places at one third of a range are kept two times in three, waiting or not."""
        tasks = [Task("a", (4,), 1, after), Task("b", (3,), 1), Task("c", (9,), 1)]
        found = kept_places(tasks, {"a": Spread(((2.0, 5.0),), (1.0, 1.0))})

        assert 1.0 == found["c"]
        assert pytest.approx(2 / 3, abs=0.005) == found["a"] == found["b"]

    def test_by_price(self) -> None:
        """... hang on prices, too: one of 1 to 5, against 2 for half the gain, is below 4 at three points in four."""
        tasks = [Task("a", (2,), 2), Task("b", (1,), 2)]
        found = kept_places(tasks, {"a": Spread(((2.0, 2.0),), (1.0, 5.0))})

        assert pytest.approx(0.75, abs=0.005) == found["a"] == found["b"]

    def test_count_gains_in_turn(self) -> None:
        """... are settled by the first gain; the second, however wide, settles equal ones only."""
        tasks = [Task("a", (2, 0), 1), Task("b", (1, 0), 1)]
        wide = {"b": Spread(((1.0, 1.0), (0.0, 99.0)), (1.0, 1.0))}
        equal = {**wide, "a": Spread(((1.0, 1.0), (33.0, 33.0)), (1.0, 1.0))}

        assert 1.0 == kept_places(tasks, wide)["a"]
        assert pytest.approx(1 / 3, abs=0.005) == kept_places(tasks, equal)["a"]

    @pytest.mark.parametrize("seed", range(10))
    def test_are_the_same_by_rule_and_by_subsets(self, seed: int) -> None:
        """... come out the same if one waits for what goes ahead of it anyway."""
        rng = np.random.default_rng(seed)
        tasks = [Task("first", (9, 9), 0), *(Task(f"t{n}", (*rng.integers(1, 5, 2).tolist(),), 2) for n in range(4))]
        waiting = [*tasks[:-1], Task(tasks[-1].key, tasks[-1].gains, 2, frozenset({"first"}))]
        spreads = {task.key: Spread(tuple((0.5 * g, 1.5 * g) for g in task.gains), (1.0, 3.0)) for task in tasks[1:]}

        assert kept_places(tasks, spreads) == kept_places(waiting, spreads)

    def test_of_nothing_are_none(self) -> None:
        """... of no tasks are none."""
        assert {} == kept_places([], {})

    def test_need_ranges_that_fit(self) -> None:
        """... need a range for each gain, the least first."""
        with pytest.raises(InvalidQuantityError, match="ranges of 1 gains for 'a'"):
            kept_places([Task("a", (1,), 1)], {"a": Spread((), (1.0, 1.0))})
        with pytest.raises(InvalidQuantityError, match="the least and the most"):
            Spread(((2.0, 1.0),), (1.0, 1.0))
