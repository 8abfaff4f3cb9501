"""What nothing else is at least as good as, held against comparing every two."""

from __future__ import annotations

import numpy as np
import pytest

from mountwright.upgrading.dominance import undominated


class TestUndominated:
    """What is left ..."""

    @pytest.mark.parametrize("seed", range(20))
    def test_is_what_no_earlier_row_beats(self, seed: int) -> None:
        """... is what no earlier row of its group undercuts at every stage, over several blocks."""
        rng = np.random.default_rng(seed)
        costs, groups = rng.integers(0, 12, (400, 3)), np.sort(rng.integers(0, 4, 400))
        expected = [
            row
            for row in range(400)
            if not any(groups[each] == groups[row] and (costs[each] <= costs[row]).all() for each in range(row))
        ]

        assert expected == undominated(costs, groups).tolist()

    @pytest.mark.parametrize("seed", range(20))
    def test_is_what_no_group_that_covers_it_beats(self, seed: int) -> None:
        """... is what no earlier row of a group that covers its own undercuts."""
        rng = np.random.default_rng(seed)
        costs, groups = rng.integers(0, 12, (300, 2)), rng.integers(0, 4, 300)
        covers = np.triu(np.ones((4, 4), dtype=np.bool_))
        expected = [
            row
            for row in range(300)
            if not any(groups[each] <= groups[row] and (costs[each] <= costs[row]).all() for each in range(row))
        ]

        assert expected == undominated(costs, groups, covers).tolist()

    def test_is_cut_off_in_time(self) -> None:
        """... is nothing if there is no time at all."""
        assert [] == undominated(np.zeros((5, 1), dtype=np.int64), np.zeros(5, dtype=np.int64), ends_at=0).tolist()
