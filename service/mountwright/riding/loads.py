"""What each wheel carries: a rigid frame on tyres that give, each of which may hang clear, for many set-ups at once.

A tyre that is pressed in by u carries N = k u**1.5 (Hertz), one that hangs carries nothing. Where the frame comes to
stand is the minimum of a convex energy; only tyres whose load went with the press itself would make it a linear
complementarity problem. Tilts are small: with places taken from the axle line a wheel's height is out by what it lies
above or below that line times half the square of the tilt, 3 um for 2 mm at 3 degrees.
"""

from __future__ import annotations

from typing import NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

from mountwright.errors import InvalidQuantityError

Floats: TypeAlias = NDArray[np.float64]

#: Where the search ends: force and moment balance to this share of the load, a tenth of what is promised.
_RESIDUAL = 1e-13

#: Share of the stiffness's trace that keeps a step finite where one wheel alone is pressed in.
_RIDGE = 1e-14

#: Share of the fall that a step's slope promises which it has to bring, else it is halved (Armijo 1966).
_LEAST_FALL = 1e-4

#: What rounding may do to the energy.
_ROUNDING = 1e-13

#: Far above what is met: some ten steps, halved a few times.
_STEPS, _HALVINGS = 200, 60


class LoadCases(NamedTuple):
    """Set-ups, n of them, of w wheels at most each.

    Parameters
    ----------
    along_mm : (n, w) array
        Places of the axles along the skate, forward positive, in any order.
    gaps_mm : (n, w) array
        Room under each wheel while the lowest stands on level ground, 0 or more.
    stiffness_n_mm15 : (n, w) array
        k of each tyre, N/mm**1.5; 0 where a set-up has no wheel: what else stands in its place is not looked at, but
        has to be finite.
    load_n : (n,) array
        Above 0.
    load_along_mm : (n,) array
        Where it stands, strictly between the outer axles.
    """

    along_mm: Floats
    gaps_mm: Floats
    stiffness_n_mm15: Floats
    load_n: Floats
    load_along_mm: Floats


class SharedLoads(NamedTuple):
    """How set-ups stand.

    Parameters
    ----------
    loads_n : (n, w) array
        What each wheel carries, 0 or more; 0 for one that hangs clear or is not there.
    presses_mm : (n, w) array
        How far each tyre is pressed in.
    sink_mm : (n,) array
        How far the frame's place 0 comes down, from the level with the lowest wheel just touching.
    tilt_rad : (n,) array
        From that level, forward down positive. Where a single wheel right under the load carries all of it, the
        skate balances on that, and the tilt is one of those that leave the others clear, 0 if that is among them.
    """

    loads_n: Floats
    presses_mm: Floats
    sink_mm: Floats
    tilt_rad: Floats


class _Task(NamedTuple):
    """The same in numbers near 1: a load of 1, wheels from -1 to 1, stiffness that adds up to 1, gaps from the rest."""

    places: Floats
    gaps: Floats
    shares: Floats
    load_place: Floats


class _Stand(NamedTuple):
    """How a frame stands, a value for each set-up: what its place 0 comes down by, and its tilt."""

    sink: Floats
    tilt: Floats


class _Edge(NamedTuple):
    """Two wheels of each set-up, by their columns, and the tilt of the line through their lowest points."""

    rear: NDArray[np.intp]
    front: NDArray[np.intp]
    tilt: Floats


class _Rest(NamedTuple):
    """How a frame rests on wheels that do not give, and the gaps (n, w) under it then.

    Presses that are reckoned from there are no small differences of large figures, however light the load.
    """

    stand: _Stand
    gaps: Floats


def tip_margins_mm(along_mm: Floats, load_along_mm: Floats) -> Floats:
    """Give how far within the outer axles each load stands: at 0 and below, the skate tips.

    Parameters
    ----------
    along_mm : (n, w) array
        Places of the axles, NaN where a set-up has no wheel.
    load_along_mm : (n,) array

    Returns
    -------
    (n,) array
        Distance to the nearer outer axle, negative beyond it; NaN for a set-up without a wheel.
    """
    rear, front = np.fmin.reduce(along_mm, axis=1), np.fmax.reduce(along_mm, axis=1)
    margins: Floats = np.minimum(load_along_mm - rear, front - load_along_mm)
    return margins


def shared_loads(cases: LoadCases) -> SharedLoads:
    """Give what each wheel carries, in force and moment balance to 1e-12 of the load at half the wheelbase.

    Damped Newton on sink and tilt, from where the frame would rest on hard wheels, those under the load pressed in.
    Where one tyre is more than some ten thousand times as stiff as another, rounding may leave more out of balance.

    Raises
    ------
    InvalidQuantityError
        For arrays whose shapes do not go together, figures beyond their bounds, NaN and infinities, and for loads that
        tip: these are named by row.
    """
    _check(cases)
    present = cases.stiffness_n_mm15 > 0
    along = np.where(present, cases.along_mm, np.nan)
    (tipping,) = np.nonzero(~(tip_margins_mm(along, cases.load_along_mm) > 0))
    if tipping.size:
        raise InvalidQuantityError(tipping.tolist(), "loads strictly between the outer axles, in these rows too")
    rear, front = np.fmin.reduce(along, axis=1), np.fmax.reduce(along, axis=1)
    middle, half = 0.5 * (rear + front), 0.5 * (front - rear)
    press = np.cbrt(cases.load_n) ** 2 / np.cbrt(cases.stiffness_n_mm15.sum(axis=1)) ** 2
    rest = _rest(cases, present)
    task = _scaled(cases, rest.gaps, middle, half, press)
    found = _lowest(task)
    presses, turned = _presses(task, found), found.tilt * press / half
    return SharedLoads(
        cases.load_n[:, None] * task.shares * presses * np.sqrt(presses),
        press[:, None] * presses,
        rest.stand.sink + found.sink * press - turned * middle,
        rest.stand.tilt + turned,
    )


def _check(cases: LoadCases) -> None:
    """Refuse what is no set-up."""
    shape = np.shape(cases.along_mm)
    fits = len(shape) == 2 and [np.shape(part) for part in cases] == [shape] * 3 + [shape[:1]] * 2
    if not fits or shape[1] == 0:
        raise InvalidQuantityError(
            [np.shape(part) for part in cases], "three arrays (n, w), of a wheel at least, and two of n"
        )
    for name, part in cases._asdict().items():
        least = 0.0 if name in {"gaps_mm", "stiffness_n_mm15", "load_n"} else -np.inf
        refused = ~np.isfinite(part) | (part < least) | ((name == "load_n") & (part == 0))
        if np.any(refused):
            raise InvalidQuantityError(part[refused].tolist(), f"{name} finite, and no force, stiffness or gap below 0")


def _rest(cases: LoadCases, present: NDArray[np.bool_]) -> _Rest:
    """Give how the skate would rest under its load if nothing gave.

    On the two wheels on either side of the load that carry it, or on the one right under it: then as near to level as
    the others allow.
    """
    reach = cases.along_mm - cases.load_along_mm[:, None]
    next_ahead = np.min(np.where(present & (reach > 0), reach, np.inf), axis=1)
    next_behind = np.max(np.where(present & (reach < 0), reach, -np.inf), axis=1)
    beneath = np.any(present & (reach == 0), axis=1)
    ahead = _edge(cases.gaps_mm, present, reach, 0.5 * (np.where(beneath, 0.0, next_behind) + next_ahead))
    behind = _edge(cases.gaps_mm, present, reach, 0.5 * (next_behind + np.where(beneath, 0.0, next_ahead)))
    tilt = np.clip(0.0, behind.tilt, ahead.tilt)
    rows = np.arange(len(reach))
    height = cases.gaps_mm[rows, ahead.rear] - ahead.tilt * reach[rows, ahead.rear]
    gaps = np.maximum(0.0, cases.gaps_mm - height[:, None] - tilt[:, None] * reach)
    # What it rests on has no gap; under a feather's load the rounding of a difference would leave it one.
    gaps[rows, ahead.rear] = 0.0
    gaps[rows, ahead.front] *= tilt != ahead.tilt
    return _Rest(_Stand(height - tilt * cases.load_along_mm, tilt), gaps)


def _edge(gaps: Floats, present: NDArray[np.bool_], reach: Floats, place: Floats) -> _Edge:
    """Give the two wheels, on either side of a place without an axle, whose line lies lowest under it."""
    arm = reach - place[:, None]
    pairs = (present & (arm < 0))[:, :, None] & (present & (arm > 0))[:, None, :]
    span = np.where(pairs, arm[:, None, :] - arm[:, :, None], 1.0)
    height = (gaps[:, :, None] * arm[:, None, :] - gaps[:, None, :] * arm[:, :, None]) / span
    count, width = arm.shape
    lowest, rows = np.argmin(np.where(pairs, height, np.inf).reshape(count, width**2), axis=1), np.arange(count)
    rear, front = lowest // width, lowest % width
    return _Edge(rear, front, (gaps[rows, front] - gaps[rows, rear]) / span[rows, rear, front])


def _scaled(cases: LoadCases, gaps: Floats, middle: Floats, half: Floats, press: Floats) -> _Task:
    """Give set-ups in numbers near 1; no ground comes up to a wheel that is absent."""
    stiffness = cases.stiffness_n_mm15
    return _Task(
        (cases.along_mm - middle[:, None]) / half[:, None],
        np.where(stiffness > 0, gaps / press[:, None], np.inf),
        stiffness / stiffness.sum(axis=1, keepdims=True),
        (cases.load_along_mm - middle) / half,
    )


def _lowest(task: _Task) -> _Stand:
    """Give the stands of least energy; set-ups that have come to theirs are left alone while the others go on."""
    sink, tilt = np.ones_like(task.load_place), np.zeros_like(task.load_place)
    going = np.arange(len(sink))
    for _ in range(_STEPS):
        part, stand = _rows(task, going), _Stand(sink[going], tilt[going])
        step, fall, miss = _newton(part, stand)
        apart = miss > _RESIDUAL
        if not apart.any():
            break
        going = going[apart]
        moved = _damped(
            _rows(part, apart), _Stand(*(at[apart] for at in stand)), _Stand(*(by[apart] for by in step)), fall[apart]
        )
        sink[going], tilt[going] = moved
    return _Stand(sink, tilt)


def _newton(task: _Task, stand: _Stand) -> tuple[_Stand, Floats, Floats]:
    """Give the full step, the energy's slope along it, and what force and moment are out by.

    Moments are taken about the centre of stiffness: there sink and tilt part, and no determinant is a small difference.
    A full step leaves a wheel pressed in always: the loads that it aims at add up to 1, so that one is above 0, and
    that wheel rises by two thirds of its press at most. So there is a stiffness to divide by.
    """
    presses = _presses(task, stand)
    root = np.sqrt(presses)
    loads, stiffness = task.shares * presses * root, 1.5 * task.shares * root
    total = stiffness.sum(axis=1)
    centre = (stiffness * task.places).sum(axis=1) / total
    arms = task.places - centre[:, None]
    turning = (stiffness * arms**2).sum(axis=1)
    force = loads.sum(axis=1) - 1.0
    moment = (loads * arms).sum(axis=1) - (task.load_place - centre)
    ridge = _RIDGE * (total + turning)
    tilt, drop = -moment / (turning + ridge), -force / (total + ridge)
    miss = np.maximum(np.abs(force), np.abs(moment + centre * force))
    return _Stand(drop - centre * tilt, tilt), force * drop + moment * tilt, miss


def _damped(task: _Task, stand: _Stand, step: _Stand, fall: Floats) -> _Stand:
    """Give the stands after a step, halved where the energy does not fall as its slope promises."""
    before = _energy(task, stand)
    share = np.ones_like(fall)
    for _ in range(_HALVINGS):
        moved = _Stand(stand.sink + share * step.sink, stand.tilt + share * step.tilt)
        allowed = before + _LEAST_FALL * share * fall + _ROUNDING * (1.0 + np.abs(before))
        high = _energy(task, moved) > allowed
        if not high.any():
            break
        share = np.where(high, 0.5 * share, share)
    return moved


def _energy(task: _Task, stand: _Stand) -> Floats:
    """Give what the tyres store less the work of the load."""
    presses = _presses(task, stand)
    stored = 0.4 * (task.shares * presses**2 * np.sqrt(presses)).sum(axis=1)
    energy: Floats = stored - stand.sink - stand.tilt * task.load_place
    return energy


def _presses(task: _Task, stand: _Stand) -> Floats:
    """Give how far each tyre is pressed in, in a stand."""
    presses: Floats = np.maximum(0.0, stand.sink[:, None] + stand.tilt[:, None] * task.places - task.gaps)
    return presses


def _rows(task: _Task, chosen: NDArray[np.intp] | NDArray[np.bool_]) -> _Task:
    """Give some of the set-ups."""
    return _Task(*(part[chosen] for part in task))
