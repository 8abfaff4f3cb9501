"""Labels side by side."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.drawing.lettering import width
from mountwright.drawing.rows import Label, spread

LABELS = st.lists(st.builds(Label, st.text("0123456789 mN", min_size=1, max_size=60), st.floats(-200, 600)), max_size=9)


class TestSpreadLabels:
    """Labels that are spread ..."""

    @given(LABELS)
    def test_never_lie_over_each_other(self, labels: list[Label]) -> None:
        """... keep clear of each other in their row and stay between the ends, wherever they would be."""
        found = spread(labels, 0, 340, 12)

        for row in {label.row for label in found}:
            boxes = [
                (label.x - width(label.text, 12) / 2, label.x + width(label.text, 12) / 2)
                for label in found
                if label.row == row
            ]
            assert all(right < left for (_, right), (left, _) in pairwise(boxes))
            assert -1e-6 <= boxes[0][0]
            assert boxes[-1][1] <= 340 + 1e-6

    @given(LABELS)
    def test_are_all_there(self, labels: list[Label]) -> None:
        """... are as many as before."""
        assert len(labels) == len(spread(labels, 0, 340, 12))

    def test_stay_where_they_belong_if_they_can(self) -> None:
        """... are not moved where there is room."""
        labels = [Label("190 N", 50), Label("215 N", 130), Label("230 N", 290)]

        assert [(label.x, 0) for label in labels] == [(each.x, each.row) for each in spread(labels, 0, 340, 12)]

    def test_share_what_they_have_to_give_way(self) -> None:
        """... move aside by as much either way."""
        left, right = spread([Label("190 N", 165), Label("190 N", 175)], 0, 340, 12)

        assert pytest.approx(170) == (left.x + right.x) / 2
        assert (0, 0) == (left.row, right.row)

    def test_take_a_row_more_rather_than_leave_their_place(self) -> None:
        """... go below each other where they would be far off side by side."""
        labels = [Label("effective wheelbase", 170), Label("wheelbase of all wheels", 171)]

        assert [0, 1] == [label.row for label in spread(labels, 0, 340, 12)]

    def test_take_a_row_more_where_one_is_full(self) -> None:
        """... go to further rows in turn."""
        labels = [Label("0.45 mm", 20 + 40 * place) for place in range(8)]

        assert {0: 4, 1: 4} == {row: [each.row for each in spread(labels, 0, 340, 12)].count(row) for row in (0, 1)}
