"""Neighbours too close for a label each share one."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from mountwright.drawing.runs import Room, Run, labelled

_ALONE = [Run(0, 0), Run(1, 1), Run(2, 2)]


def beside(*places: float) -> list[tuple[int, int]]:
    """Give the runs of things that need 10 either way of their first one, or above that."""
    runs = [Run(index, index) for index in range(len(places))]

    def rooms(run: Run) -> list[Room]:
        left = places[run.first]
        return [Room(left, left + 10, top, top + 10) for top in (0.0, -10.0)]

    return [tuple(each.run) for each in labelled(runs, rooms)]


class TestLabelled:
    """Labels ..."""

    def test_are_apart_where_there_is_room(self) -> None:
        """... are one for each thing, also where they touch beside or below each other."""
        for across, down in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            found = labelled(_ALONE, lambda run, x=across, y=down: [_square(x * run.first, y * run.first)])
            assert _ALONE == [each.run for each in found]

    def test_take_the_next_best_place(self) -> None:
        """... stand in their second place where the first is taken."""
        assert [(0, 0), (1, 1), (2, 2)] == beside(0, 9, 19)

    def test_are_shared_where_there_is_none(self) -> None:
        """... are one for neighbours where no place is left, and the next one stands alone again."""
        assert [(0, 0), (1, 2), (3, 3)] == beside(0, 5, 9, 15)

    def test_are_shared_where_that_is_asked_for(self) -> None:
        """... stay one for neighbours that come as one."""
        runs = [Run(0, 1), Run(2, 2)]

        assert runs == [each.run for each in labelled(runs, lambda run: [_square(run.first, 0)])]

    def test_may_be_a_single_one(self) -> None:
        """... are a single one where all belong to one place, and none where there is nothing."""
        assert [Run(0, 2)] == [each.run for each in labelled(_ALONE, lambda _: [_square(0, 0)])]
        assert () == labelled([], lambda _: [])

    @given(st.lists(st.floats(0, 100)).map(sorted))
    def test_leave_nothing_out(self, places: list[float]) -> None:
        """... stand for each thing once, in order."""
        runs = beside(*places)

        assert list(range(len(places))) == [index for first, last in runs for index in range(first, last + 1)]


def _square(left: float, top: float) -> Room:
    return Room(left, left + 1, top, top + 1)
