"""Which wheels may stand where on a frame, and every combination of them, or as many as may be looked at.

A *choice* is one setting of an axle with one size of wheel. Choices are made for groups of axles: the two of a mirror
pair alike, or each axle by itself. Lengths are micrometres, sizes are diameters as is likely.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations
from math import inf, prod
from typing import NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

from mountwright.measure.quantity import thousandths
from mountwright.riding.line import Axle, Skate
from mountwright.riding.obstacles import ON_THE_LIMIT_UM, LeastGaps, obstacles, place_um
from mountwright.riding.room import likely_um

Whole: TypeAlias = NDArray[np.int64]

#: How many combinations are looked at, at most.
MOST_COMBINATIONS = 100_000


class Choice(NamedTuple):
    """One setting of an axle with one size of wheel."""

    setting_mm: float
    size_um: int


class Stock(NamedTuple):
    """How many wheels of each size there may be: those that stand now and those on offer; without a number, any."""

    sizes_um: tuple[int, ...]
    counts: Mapping[int, float]


class Searched(NamedTuple):
    """What was looked at.

    Parameters
    ----------
    combinations : int
        How many there are of settings and sizes, without wheels that have no room at their own axle or are too few.
    looked_at : int
    chosen : str
        ``all``, or ``fewest_changes_first``: mirror-symmetric ones first, then those that change fewest axles.
    """

    combinations: int
    looked_at: int
    chosen: str


class Candidates(NamedTuple):
    """Combinations that were not judged yet.

    Parameters
    ----------
    choices : tuple of tuple of Choice
        For each axle; the first is how it stands now.
    rows : numpy.ndarray
        (n, w), which choice each axle has.
    searched : Searched
    """

    choices: tuple[tuple[Choice, ...], ...]
    rows: Whole
    searched: Searched


def stock(skate: Skate, offered: Mapping[float, int | None]) -> Stock:
    """Give what wheels there may be, from those that stand now and those on offer by diameter in mm."""
    standing = Counter(likely_um(tyre.diameter) for tyre in skate.line.tyres)
    counts: dict[int, float] = dict(standing)
    for size_mm, most in offered.items():
        size = thousandths(size_mm)
        counts[size] = inf if most is None else counts.get(size, 0) + most
    return Stock(tuple(sorted(counts)), counts)


def candidates(skate: Skate, there: Stock, gaps: LeastGaps, *, is_asymmetric: bool) -> Candidates:
    """Give the combinations that are worth a look, each once, how the skate stands now always among them.

    Parameters
    ----------
    skate : Skate
    there : Stock
    gaps : LeastGaps
    is_asymmetric : bool
        Whether each axle is chosen for by itself. A mirror pair that is left as it is counts as symmetric, alike or
        not, and so does one whose two axles get the same setting and size.
    """
    choices = tuple(_choices(skate, index, there, gaps) for index in range(len(skate.line.axles)))
    mirrored = [_alike(choices, there, members) for members in _mirror_pairs(len(choices))]
    rows = _rows(mirrored, MOST_COMBINATIONS)
    possible = prod(len(options) for _, options in mirrored)
    if is_asymmetric:
        alone = [_alike(choices, there, (index,)) for index in range(len(choices))]
        possible = prod(len(options) for _, options in alone)
        left = MOST_COMBINATIONS if possible <= MOST_COMBINATIONS else MOST_COMBINATIONS - len(rows)
        others = _rows(alone, left)
        rows = np.concatenate([rows, others[~_is_mirrored(others, mirrored, choices)]])
    chosen = "all" if len(rows) == possible else "fewest_changes_first"
    return Candidates(choices, rows, Searched(possible, len(rows), chosen))


def _choices(skate: Skate, index: int, there: Stock, gaps: LeastGaps) -> tuple[Choice, ...]:
    """Give the choices of one axle that keep every gap but those to other wheels, and how it stands now."""
    axle = skate.line.axles[index]
    now = Choice(axle.setting_mm, likely_um(skate.line.tyres[index].diameter))
    found = [
        Choice(setting, size)
        for setting in sorted(set(axle.settings_mm))
        for size in there.sizes_um
        if size <= largest_um(skate, axle, setting, gaps)
    ]
    return (now, *[each for each in found if each != now])


def largest_um(skate: Skate, axle: Axle, setting_mm: float, gaps: LeastGaps) -> float:
    """Give the diameter beyond which a wheel on an axle breaks a gap, those to other wheels left out."""
    met = obstacles(skate, place_um(axle, setting_mm), gaps)
    return min((each.largest_at_most_um for each in met), default=inf) + 2 * ON_THE_LIMIT_UM


def _mirror_pairs(count: int) -> Iterator[tuple[int, ...]]:
    for front in range((count + 1) // 2):
        rear = count - 1 - front
        yield (front,) if front == rear else (front, rear)


_Group: TypeAlias = tuple[tuple[int, ...], Whole]


def _alike(choices: Sequence[Sequence[Choice]], there: Stock, members: tuple[int, ...]) -> _Group:
    """Give a group of axles and its options: as they stand now first, then every choice that all of them have."""
    first, others = choices[members[0]], [choices[member] for member in members[1:]]
    found = [(0,) * len(members)]
    for index, choice in enumerate(first):
        has_enough = there.counts[choice.size_um] >= len(members)
        if has_enough and all(choice in other for other in others):
            found.append((index, *[other.index(choice) for other in others]))
    return members, np.array(list(dict.fromkeys(found)), dtype=np.int64)


def _is_mirrored(rows: Whole, mirrored: Sequence[_Group], choices: Sequence[Sequence[Choice]]) -> NDArray[np.bool_]:
    """Tell which combinations are those of mirror pairs too."""
    found = np.ones(len(rows), dtype=np.bool_)
    for members, options in mirrored:
        sizes = tuple(len(choices[member]) for member in members)
        picked, known = (np.ravel_multi_index(tuple(each.T), sizes) for each in (rows[:, members], options))
        found &= np.isin(picked, known)
    return found


def _rows(groups: Sequence[_Group], most: int) -> Whole:
    """Give combinations, those first that change the fewest groups, ``most`` at most."""
    parts: list[Whole] = []
    left = most
    for changed in _subsets([index for index, (_, options) in enumerate(groups) if len(options) > 1]):
        if left <= 0:
            break
        parts.append(_changing(groups, changed, left))
        left -= len(parts[-1])
    width = sum(len(members) for members, _ in groups)
    return np.concatenate(parts) if parts else np.zeros((0, width), dtype=np.int64)


def _subsets(indices: Sequence[int]) -> Iterator[tuple[int, ...]]:
    for size in range(len(indices) + 1):
        yield from combinations(indices, size)


def _changing(groups: Sequence[_Group], changed: tuple[int, ...], most: int) -> Whole:
    """Give the combinations that change exactly these groups."""
    sizes = tuple(len(groups[index][1]) - 1 for index in changed)
    count = min(most, prod(sizes))
    picked = np.unravel_index(np.arange(count), sizes) if changed and count else ()
    rows = np.zeros((count, sum(len(members) for members, _ in groups)), dtype=np.int64)
    for index, option in zip(changed, picked, strict=False):
        members, options = groups[index]
        rows[:, members] = options[option + 1]
    return rows
