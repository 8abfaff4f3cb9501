"""The rocker options that a frame really offers: settings of its axles and sizes of wheels that keep the gaps.

Offered is what breaks no gap of :mod:`mountwright.riding.room` by the figures, and in which every wheel touches flat
ground at some tilt. Two that differ in the height of the deck alone are one: the one with fewer changes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from itertools import combinations
from math import inf, isfinite
from types import MappingProxyType
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from mountwright.errors import InvalidQuantityError
from mountwright.measure.quantity import thousandths
from mountwright.riding.line import Axle, Line, Skate
from mountwright.riding.obstacles import ON_THE_LIMIT_UM, LeastGaps, place_um, usual_gaps
from mountwright.riding.rocker_search import Candidates, Choice, Searched, Stock, Whole, candidates, largest_um, stock
from mountwright.riding.rocker_work import Job, jobs, set_up
from mountwright.riding.room import Room, room
from mountwright.riding.stands import (
    TOUCH_MM,
    Floats,
    rocker_mm,
    rocker_radius_mm,
    spans_mm,
    standing_gaps_mm,
)


class Wanted(StrEnum):
    """What options are ranked by."""

    QUICKER_TURNING = "quicker_turning"
    STEADIER = "steadier"
    ROCKER_RADIUS = "rocker_radius"


@dataclass(frozen=True)
class Wish:
    """What is asked of a frame.

    Parameters
    ----------
    wanted : Wanted
    radius_mm : float or None
        The rocker radius to come close to, above 0; needed for ``rocker_radius``.
    sizes : Mapping[float, int or None]
        Diameters of wheels on offer, mm, and how many of each, None for any number. What stands on the skate now may
        stay or change places.
    is_asymmetric : bool
        Whether front and rear may differ.
    load_along_mm : float or None
        Where the load stands; None for midway between the outer axles.
    most : int
        How many options are given, 1 or more.

    Raises
    ------
    InvalidQuantityError
        For figures beyond these bounds.
    """

    wanted: Wanted
    radius_mm: float | None = None
    sizes: Mapping[float, int | None] = field(default_factory=lambda: MappingProxyType({}))
    is_asymmetric: bool = False
    load_along_mm: float | None = None
    most: int = 10

    def __post_init__(self) -> None:
        radius = self.radius_mm
        if self.wanted is Wanted.ROCKER_RADIUS and not (radius is not None and isfinite(radius) and radius > 0):
            raise InvalidQuantityError(radius, "a wanted radius above 0 mm")
        if self.most < 1:
            raise InvalidQuantityError(self.most, "1 option or more")
        for size, most in self.sizes.items():
            if not (isfinite(size) and thousandths(size) > 0 and (most is None or most >= 0)):
                raise InvalidQuantityError((size, most), "a diameter above 0 mm and 0 wheels or more")


@dataclass(frozen=True)
class RockerOption:
    """One way to set up the frame.

    Parameters
    ----------
    diameters_mm, settings_mm : tuple of float
        For each axle, from the front; diameters as is likely.
    rocker_mm : float
        How far the lowest inner wheel reaches below the line through the outer two; below 0 they hang.
    rocker_radius_mm : float or None
        None without a rocker.
    effective_wheelbase_mm : float
        Between the outermost wheels that touch under the load before the tyres give; 0 where it balances on one.
    deck_change_mm : float
        How much higher the deck comes to stand where the load is, against now.
    changes : int
        Axles turned and wheels changed.
    jobs : tuple of Job
        Empty for how it stands now.
    line : Line
        Wheels that stay or move keep their rubber; a new one is taken to be of the rubber of the one it replaces.
    room : Room
    """

    diameters_mm: tuple[float, ...]
    settings_mm: tuple[float, ...]
    rocker_mm: float
    rocker_radius_mm: float | None
    effective_wheelbase_mm: float
    deck_change_mm: float
    changes: int
    jobs: tuple[Job, ...]
    line: Line
    room: Room

    @property
    def is_now(self) -> bool:
        """Tell whether the skate stands like this."""
        return not self.changes


@dataclass(frozen=True)
class RockerOptions:
    """What a frame offers.

    Parameters
    ----------
    options : tuple of RockerOption
        The best first.
    now : RockerOption
        How the skate stands, offered or not.
    offered : int
        How many different options there are among those that were looked at.
    searched : Searched
    """

    options: tuple[RockerOption, ...]
    now: RockerOption
    offered: int
    searched: Searched


class _Sets(NamedTuple):
    """Many set-ups of one frame, a row each; micrometres, but ``settings`` in mm and ``lowest`` in half micrometres."""

    along: Whole
    settings: Floats
    downs: Whole
    sizes: Whole

    @property
    def lowest(self) -> Whole:
        """Give twice how far each wheel reaches below the deck."""
        return 2 * self.downs + self.sizes

    def rows(self, chosen: Whole | NDArray[np.bool_]) -> _Sets:
        """Give some of the rows."""
        return _Sets(self.along, self.settings[chosen], self.downs[chosen], self.sizes[chosen])


class _Figures(NamedTuple):
    """What each set-up is ranked by, (n,), millimetres."""

    rocker: Floats
    effective: Floats
    deck_change: Floats
    changes: Whole

    def rows(self, chosen: Whole) -> _Figures:
        """Give some of the rows."""
        return _Figures(self.rocker[chosen], self.effective[chosen], self.deck_change[chosen], self.changes[chosen])


def rocker_options(skate: Skate, wish: Wish, gaps: LeastGaps | None = None) -> RockerOptions:
    """Give what a frame offers, ranked.

    ``quicker_turning`` puts the smaller effective wheelbase first, then the larger rocker; ``steadier`` the reverse;
    ``rocker_radius`` what comes closest to the wanted one, a flat line last. Alike in that, fewer changes come first,
    then smaller wheels from the front, then lower settings.

    Parameters
    ----------
    skate : Skate
    wish : Wish
    gaps : LeastGaps or None
        None for the usual ones.

    Raises
    ------
    InvalidQuantityError
        For a load that does not stand between the outer axles.
    """
    held = gaps or usual_gaps()
    there = stock(skate, wish.sizes)
    found = candidates(skate, there, held, is_asymmetric=wish.is_asymmetric)
    now = _sets(skate.line, found, np.zeros((1, len(found.choices)), dtype=np.int64))
    every = _sets(skate.line, found, found.rows)
    load_mm = _load_mm(skate.line, wish)
    kept = every.rows(_is_offered(every, found, skate, there, held))
    figures = _figures(kept, now, load_mm)
    different = _different(kept, figures)
    kept, figures = kept.rows(different), figures.rows(different)
    order = _ranked(kept, figures, wish)
    best = [_option(skate, kept, figures, row, held) for row in order[: wish.most].tolist()]
    standing = _option(skate, now, _figures(now, now, load_mm), 0, held)
    return RockerOptions(tuple(best), standing, len(order), found.searched)


def _sets(line: Line, found: Candidates, rows: Whole) -> _Sets:
    along = np.array([place_um(axle)[0] for axle in line.axles], dtype=np.int64)
    columns = list(zip(line.axles, found.choices, rows.T, strict=True))
    settings = [np.array([each.setting_mm for each in choices])[picked] for _, choices, picked in columns]
    downs = [np.array(_downs(axle, choices))[picked] for axle, choices, picked in columns]
    sizes = [np.array([each.size_um for each in choices])[picked] for _, choices, picked in columns]
    return _Sets(along, np.column_stack(settings), np.column_stack(downs), np.column_stack(sizes))


def _downs(axle: Axle, choices: tuple[Choice, ...]) -> list[int]:
    return [place_um(axle, each.setting_mm)[1] for each in choices]


def _is_offered(sets: _Sets, found: Candidates, skate: Skate, there: Stock, gaps: LeastGaps) -> NDArray[np.bool_]:
    """Tell which set-ups have room, touch the ground with every wheel, and take no more wheels than there are."""
    has_room = _keeps_gaps(sets, gaps)
    for index, (axle, choices) in enumerate(zip(skate.line.axles, found.choices, strict=True)):
        if choices[0].size_um > largest_um(skate, axle, axle.setting_mm, gaps):
            has_room &= found.rows[:, index] != 0
    for size, count in there.counts.items():
        if count < sets.sizes.shape[1]:
            has_room &= (sets.sizes == size).sum(axis=1) <= count
    return has_room & _all_touch(sets)


def _keeps_gaps(sets: _Sets, gaps: LeastGaps) -> NDArray[np.bool_]:
    """Tell in which set-ups every wheel keeps its gap to every other."""
    least, kept = thousandths(gaps.wheel_mm), np.ones(len(sets.sizes), dtype=np.bool_)
    for one, other in combinations(range(len(sets.along)), 2):
        apart = np.hypot(sets.along[one] - sets.along[other], sets.downs[:, one] - sets.downs[:, other])
        kept &= sets.sizes[:, one] + sets.sizes[:, other] <= 2 * (apart - least + ON_THE_LIMIT_UM)
    return kept


def _all_touch(sets: _Sets) -> NDArray[np.bool_]:
    """Tell in which set-ups no wheel hangs above the line through the lowest points of the two beside it."""
    lowest, along = sets.lowest, sets.along
    front, middle, rear = lowest[:, :-2], lowest[:, 1:-1], lowest[:, 2:]
    ahead, behind = along[:-2] - along[1:-1], along[1:-1] - along[2:]
    touches = middle * (ahead + behind) >= front * behind + rear * ahead
    return np.asarray(touches.all(axis=1), dtype=np.bool_)


def _load_mm(line: Line, wish: Wish) -> float:
    first, last = line.axles[0].along_mm, line.axles[-1].along_mm
    if wish.load_along_mm is None:
        return (first + last) / 2
    if len(line.axles) > 1 and not last < wish.load_along_mm < first:
        raise InvalidQuantityError(wish.load_along_mm, "a load between the outer axles")
    return wish.load_along_mm


def _figures(sets: _Sets, now: _Sets, load_mm: float) -> _Figures:
    along = sets.along / 1000
    rocker = np.round(rocker_mm(along, sets.downs / 1000, sets.sizes / 1000), 6) + 0.0
    effective, deck = _stood(sets, load_mm)
    changed = (sets.settings != now.settings).sum(axis=1) + (sets.sizes != now.sizes).sum(axis=1)
    return _Figures(rocker, effective, np.round(deck - _stood(now, load_mm)[1], 6) + 0.0, changed)


def _stood(sets: _Sets, load_mm: float) -> tuple[Floats, Floats]:
    """Give the effective wheelbase, and the height of the deck above the ground where the load is."""
    along, lowest = sets.along / 1000, sets.lowest / 2000
    if len(along) < 2:
        return np.zeros(len(lowest)), lowest[:, 0]
    gaps = standing_gaps_mm(along, lowest, load_mm)
    front, rear = (gaps + lowest)[:, 0], (gaps + lowest)[:, -1]
    share = (load_mm - along[-1]) / (along[0] - along[-1])
    return np.round(spans_mm(along, gaps <= TOUCH_MM), 6), front * share + rear * (1 - share)


def _different(sets: _Sets, figures: _Figures) -> Whole:
    """Give one row of all that are the same skate but for the height of the deck: that with the fewest changes.

    Of several, the one whose deck moves least, then whose settings are lower from the front.
    """
    lowest = sets.lowest
    stance = [*sets.sizes.T, *(lowest - lowest.max(axis=1, keepdims=True)).T]
    worse = [figures.changes, np.abs(figures.deck_change), *sets.settings.T]
    order = np.lexsort([*reversed(worse), *reversed(stance)])
    sorted_stance = np.column_stack(stance)[order]
    is_first = np.ones(len(order), dtype=np.bool_)
    is_first[1:] = (sorted_stance[1:] != sorted_stance[:-1]).any(axis=1)
    return np.asarray(order[is_first], dtype=np.int64)


def _ranked(sets: _Sets, figures: _Figures, wish: Wish) -> Whole:
    """Give the rows in order, the best first."""
    ties = [figures.changes, *sets.sizes.T, *sets.settings.T]
    keys = {
        Wanted.QUICKER_TURNING: [figures.effective, -figures.rocker],
        Wanted.STEADIER: [-figures.effective, figures.rocker],
        Wanted.ROCKER_RADIUS: [_off_radius_mm(sets, figures, wish.radius_mm or inf)],
    }[wish.wanted]
    return np.asarray(np.lexsort([*reversed([*keys, *ties])]), dtype=np.int64)


def _off_radius_mm(sets: _Sets, figures: _Figures, wanted_mm: float) -> Floats:
    """Give how far each set-up's rocker radius is from the wanted one, infinite without a rocker."""
    wheelbase = float(sets.along[0] - sets.along[-1]) / 1000
    values, where = np.unique(figures.rocker, return_inverse=True)
    off = [abs(rocker_radius_mm(wheelbase, value) - wanted_mm) if value > 0 else inf for value in values.tolist()]
    return np.array(off, dtype=np.float64)[where]


def _option(skate: Skate, sets: _Sets, figures: _Figures, row: int, gaps: LeastGaps) -> RockerOption:
    settings, sizes = tuple(sets.settings[row].tolist()), tuple(sets.sizes[row].tolist())
    line, rocker = set_up(skate.line, settings, sizes), float(figures.rocker[row])
    wheelbase = float(sets.along[0] - sets.along[-1]) / 1000
    return RockerOption(
        tuple(size / 1000 for size in sizes),
        settings,
        rocker,
        rocker_radius_mm(wheelbase, rocker) if rocker > 0 else None,
        float(figures.effective[row]),
        float(figures.deck_change[row]),
        int(figures.changes[row]),
        jobs(skate.line, settings, sizes),
        line,
        room(replace(skate, line=line), gaps),
    )
