"""Short labels for things in a row: neighbours too close for a label each share one, and none lies over another."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple


class Run(NamedTuple):
    """Neighbours in a row, from the first to the last, both inclusive."""

    first: int
    last: int


class Room(NamedTuple):
    """The room of a label, in the picture's units."""

    left: float
    right: float
    top: float
    bottom: float

    def meets(self, other: Room) -> bool:
        """Tell whether both lie over each other; they may touch."""
        aside = self.right <= other.left or other.right <= self.left
        return not (aside or self.bottom <= other.top or other.bottom <= self.top)


class Labelled(NamedTuple):
    """A run and the room of its label."""

    run: Run
    room: Room


def labelled(apart: Sequence[Run], rooms: Callable[[Run], Sequence[Room]]) -> tuple[Labelled, ...]:
    """Give labels for things in as many runs as have room.

    Parameters
    ----------
    apart : sequence of Run
        Things, or neighbours that are to share a label anyway, in their order.
    rooms : callable
        Gives where the label of a run may stand, the best place first, one at least.
    """
    runs = list(apart)
    placed: list[Labelled] = []
    while len(placed) < len(runs):
        run = runs[len(placed)]
        room = next((each for each in rooms(run) if not any(each.meets(other.room) for other in placed)), None)
        if room is not None:
            placed.append(Labelled(run, room))
        else:
            before = placed.pop().run
            runs[len(placed) : len(placed) + 2] = [Run(before.first, run.last)]
    return tuple(placed)
