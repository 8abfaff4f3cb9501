"""Where money and relief come to lie in the picture of a path."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import count
from typing import NamedTuple

from mountwright.drawing.path_scene import PathPoint, PathScene
from mountwright.drawing.svg import Point

#: Another skate that costs more than so often what the rest takes would squeeze the path: it is shown at the edge.
_FARTHEST = 1.5
#: So many figures along the axis at most, beside the nought.
_MOST_TICKS = 5
_NICE = (1, 2, 5)
START = PathPoint(0, 0.0)


class Chart(NamedTuple):
    """Where the axes lie, in the picture's units.

    Parameters
    ----------
    left, right : float
        No money, and ``extent_minor``.
    top, bottom : float
        Everything relieved, and nothing.
    extent_minor : int
        The largest sum that is shown, 0 or more.
    """

    left: float
    right: float
    top: float
    bottom: float
    extent_minor: int

    def at(self, place: PathPoint) -> Point:
        """Give where a sum and what it relieves lie in the picture."""
        return Point(self.x(place.money_minor), self.bottom - place.relief * (self.bottom - self.top))

    def x(self, money_minor: int) -> float:
        """Give where a sum lies along."""
        share = money_minor / self.extent_minor if self.extent_minor else 0.0
        return self.left + share * (self.right - self.left)


def points(scene: PathScene) -> tuple[PathPoint, ...]:
    """Give where each step of the path leads."""
    return tuple(PathPoint(step.money_minor, step.relief) for step in scene.steps)


def stairs(way: Iterable[PathPoint]) -> Iterator[PathPoint]:
    """Give the corners of a way from the skate as it is: each step is paid for, and then it relieves."""
    here = START
    yield here
    for place in way:
        yield PathPoint(place.money_minor, here.relief)
        yield place
        here = place


def extent_minor(scene: PathScene) -> int:
    """Give the largest sum that is shown."""
    ways = (points(scene), *(alternative.points for alternative in scene.alternatives))
    most = max(scene.stages[-1].budget_minor, *(place.money_minor for way in ways for place in way), 0)
    other = scene.other_skate
    return most if other is None or _is_far(other.price_minor, most) else max(most, other.price_minor)


def is_beyond(scene: PathScene) -> bool:
    """Tell whether the other skate costs more than is shown."""
    return scene.other_skate is not None and scene.other_skate.price_minor > extent_minor(scene)


def _is_far(price_minor: int, most_minor: int) -> bool:
    return most_minor > 0 and price_minor > _FARTHEST * most_minor


def tick_steps(most_minor: int) -> Iterator[int]:
    """Give round sums from which to choose the distance of figures along the axis, the closest first, without end."""
    for power in count():
        for nice in _NICE:
            step = nice * 10**power
            if most_minor <= _MOST_TICKS * step:
                yield step
