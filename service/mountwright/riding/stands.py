"""Which wheels touch flat ground, in which stand: exactly, by the support function of their circles over tilt.

Tilted with its front down by ``t``, the skate's lowest point at a wheel of radius ``r`` whose axle is at ``along`` and
``down`` is ``along sin t + down cos t + r``; the wheels where this is largest touch. Two wheels change places where it
is equal, which is at the common tangent of two circles, so that every stand follows from pairs and none from a search.
Tilt is above 0 with the front down. The wheels are rigid here: what their tyres give comes with the load.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

from mountwright.errors import InvalidQuantityError
from mountwright.riding.line import Diameter, Line

Floats: TypeAlias = NDArray[np.float64]

#: A wheel nearer to the ground touches it: lengths are given in whole micrometres and nothing finer is known.
TOUCH_MM = 1e-3

#: Stands that share two wheels and are no further apart are one, found by several pairs of wheels on one line.
_SAME_TILT_RAD = 1e-5


class Stand(NamedTuple):
    """A way in which the skate stands on flat ground.

    Parameters
    ----------
    touching : tuple of int
        The wheels that touch, from the front, 0 for the first. Two or more hold a tilt; one alone rolls.
    from_tilt_deg, to_tilt_deg : float
        The tilts that it stands at, front down above 0; both the same where two wheels or more touch.
    gaps_mm : tuple of float
        Under each wheel, at right angles to the ground, 0 or more; of one wheel alone midway between its tilts.
    """

    touching: tuple[int, ...]
    from_tilt_deg: float
    to_tilt_deg: float
    gaps_mm: tuple[float, ...]

    @property
    def tilt_deg(self) -> float:
        """Give the tilt that the gaps are given at."""
        return (self.from_tilt_deg + self.to_tilt_deg) / 2

    @property
    def is_firm(self) -> bool:
        """Tell whether two wheels or more touch."""
        return len(self.touching) > 1


class Circles(NamedTuple):
    """The wheels from the side, each (w,) and in millimetres: places of the axles, and diameters as is likely."""

    along_mm: Floats
    down_mm: Floats
    diameters_mm: Floats


def likely_diameter_mm(diameter: Diameter) -> float:
    """Give how large a wheel is likely to be: as marked or measured, with what its mark is likely wrong by."""
    return diameter.mm + diameter.shared_mm.likely


def circles(line: Line) -> Circles:
    """Give the wheels of a line from the side, each axle in the setting that it has."""
    return Circles(
        np.array([axle.along_mm for axle in line.axles]),
        np.array([axle.stands_mm for axle in line.axles]),
        np.array([likely_diameter_mm(tyre.diameter) for tyre in line.tyres]),
    )


def depths_mm(wheels: Circles, tilts_rad: Floats) -> Floats:
    """Give how far below the skate's origin each wheel reaches at each tilt.

    Parameters
    ----------
    wheels : Circles
        Of w wheels.
    tilts_rad : numpy.ndarray
        (n,), front down above 0.

    Returns
    -------
    numpy.ndarray
        (n, w), millimetres at right angles to the ground.
    """
    tilts = tilts_rad[:, np.newaxis]
    return wheels.along_mm * np.sin(tilts) + wheels.down_mm * np.cos(tilts) + wheels.diameters_mm / 2


def depths_at_mm(wheels: Circles, tilt_deg: float) -> Floats:
    """Give the same at one tilt, (w,)."""
    (depths,) = depths_mm(wheels, np.radians([tilt_deg]))
    return np.asarray(depths, dtype=np.float64)


def stands(line: Line) -> tuple[Stand, ...]:
    """Give every stand of a line between its first and its last on two wheels, in order of tilt, front up first.

    Stands on two wheels or more alternate with those on the one wheel that they share, over which the skate rolls from
    one into the next; beyond the first and the last it tips over. A line of which only one wheel ever touches has one
    stand, at any tilt from -90 to 90 degrees.
    """
    wheels = circles(line)
    firm = _firm(wheels)
    if not firm:
        return (_alone(wheels, -90.0, 90.0),)
    between = [_alone(wheels, one.to_tilt_deg, other.from_tilt_deg) for one, other in pairwise(firm)]
    return tuple(sorted([*firm, *between], key=lambda stand: stand.tilt_deg))


def stand_under(found: Sequence[Stand], line: Line, load_along_mm: float) -> Stand | None:
    """Give the stand that a load holds the skate in, None where it tips.

    Parameters
    ----------
    found : sequence of Stand
        Those of ``line``.
    line : Line
    load_along_mm : float
        Where the load stands. It holds the stand whose wheels have it between them; straight above a wheel over which
        the skate rolls it balances on that one.
    """
    along = [axle.along_mm for axle in line.axles]
    for stand in found:
        if not stand.is_firm and len(found) > 1 and abs(along[stand.touching[0]] - load_along_mm) <= TOUCH_MM:
            return stand
    held = [stand for stand in found if along[stand.touching[-1]] < load_along_mm < along[stand.touching[0]]]
    return held[0] if held else None


def never_touching(found: Sequence[Stand], wheels: int) -> tuple[int, ...]:
    """Give the wheels, out of so many, that touch flat ground in none of all stands."""
    touching = {index for stand in found for index in stand.touching}
    return tuple(index for index in range(wheels) if index not in touching)


def rocking_deg(found: Sequence[Stand]) -> float:
    """Give the tilt between the first and the last of all stands, 0 for a line with one."""
    return found[-1].from_tilt_deg - found[0].to_tilt_deg if len(found) > 1 else 0.0


def wheelbase_mm(line: Line, wheels: Sequence[int]) -> float:
    """Give the distance along the skate between the outermost of some wheels, 0 for fewer than two."""
    along = [line.axles[index].along_mm for index in wheels]
    return max(along) - min(along) if along else 0.0


def bottoms_mm(down_mm: Floats, diameters_mm: Floats) -> Floats:
    """Give how far below the deck the lowest point of each wheel is, with the deck level; any shapes that broadcast."""
    return np.asarray(down_mm + diameters_mm / 2, dtype=np.float64)


def gaps_on_level_mm(down_mm: Floats, diameters_mm: Floats) -> Floats:
    """Give the gap under each wheel with the deck level, the lowest wheel on the ground.

    Parameters
    ----------
    down_mm, diameters_mm : numpy.ndarray
        (n, w), or what broadcasts to it.

    Returns
    -------
    numpy.ndarray
        (n, w), 0 or more.
    """
    bottoms = bottoms_mm(down_mm, diameters_mm)
    return np.asarray(bottoms.max(axis=-1, keepdims=True) - bottoms, dtype=np.float64)


def rocker_mm(along_mm: Floats, down_mm: Floats, diameters_mm: Floats) -> Floats:
    """Give how far the lowest of the inner wheels reaches below the line through the first and the last.

    Lowest points are taken with the deck level; a small tilt changes nothing. Below 0 the inner wheels hang, the lowest
    of them by so much.

    Parameters
    ----------
    along_mm : numpy.ndarray
        (w,) or (n, w), from the front.
    down_mm, diameters_mm : numpy.ndarray
        (n, w), or what broadcasts to it.

    Returns
    -------
    numpy.ndarray
        (n,), 0 with fewer than 3 wheels.
    """
    bottoms = np.atleast_2d(bottoms_mm(down_mm, diameters_mm))
    if bottoms.shape[-1] < 3:
        return np.zeros(len(bottoms))
    first, last = along_mm[..., :1], along_mm[..., -1:]
    back = (first - along_mm) / (first - last)
    below = bottoms - bottoms[:, :1] * (1 - back) - bottoms[:, -1:] * back
    return np.asarray(below[:, 1:-1].max(axis=1), dtype=np.float64)


def rocker_radius_mm(wheelbase_mm: float, rocker_mm: float) -> float:
    """Give the radius of the arc that rises by a rocker in the middle of a wheelbase: L^2 / (8 h) + h / 2 (sagitta).

    Raises
    ------
    InvalidQuantityError
        For a wheelbase or a rocker that is not above nothing: a flat line has no radius.
    """
    if not (wheelbase_mm > 0 and rocker_mm > 0):
        raise InvalidQuantityError((wheelbase_mm, rocker_mm), "a wheelbase and a rocker above 0 mm")
    return wheelbase_mm * wheelbase_mm / (8 * rocker_mm) + rocker_mm / 2


def standing_gaps_mm(along_mm: Floats, lowest_mm: Floats, load_along_mm: float) -> Floats:
    """Give the gap under each wheel in the stand that a load holds, of many lines with the same axle places.

    The tilt is taken as small: lowest points stand for circles, which is out by the height between axles times half the
    tilt squared. Straight above the one wheel that carries, the gaps are those midway between its two stands.

    Parameters
    ----------
    along_mm : numpy.ndarray
        (w,), from the front.
    lowest_mm : numpy.ndarray
        (n, w), the lowest point of each wheel below the deck.
    load_along_mm : float
        Between the first and the last wheel, both exclusive.

    Returns
    -------
    numpy.ndarray
        (n, w), 0 or more.
    """
    at = along_mm[np.abs(along_mm - load_along_mm) <= TOUCH_MM]
    places = np.concatenate([at - 2 * TOUCH_MM, at + 2 * TOUCH_MM]) if at.size else np.array([load_along_mm])
    inside = places[(along_mm[-1] < places) & (places < along_mm[0])]
    return np.asarray(np.mean([_gaps_under_mm(along_mm, lowest_mm, place) for place in inside], axis=0))


def spans_mm(along_mm: Floats, chosen: NDArray[np.bool_]) -> Floats:
    """Give the distance along between the outermost chosen wheels of each line, 0 where fewer than two are.

    Parameters
    ----------
    along_mm : numpy.ndarray
        (w,).
    chosen : numpy.ndarray
        (n, w).
    """
    furthest = np.where(chosen, along_mm, -np.inf).max(axis=1)
    nearest = np.where(chosen, along_mm, np.inf).min(axis=1)
    return np.asarray(np.maximum(furthest - nearest, 0.0), dtype=np.float64)


def _gaps_under_mm(along_mm: Floats, lowest_mm: Floats, load_along_mm: float) -> Floats:
    """Give the gaps over the ground: of the lines through a wheel ahead and one behind, the lowest at the load."""
    fronts, rears = np.nonzero(np.logical_and.outer(along_mm > load_along_mm, along_mm < load_along_mm))
    ahead = (load_along_mm - along_mm[rears]) / (along_mm[fronts] - along_mm[rears])
    best = (lowest_mm[:, fronts] * ahead + lowest_mm[:, rears] * (1 - ahead)).argmax(axis=1)
    front, rear = fronts[best], rears[best]
    at_front, at_rear = (np.take_along_axis(lowest_mm, each[:, np.newaxis], axis=1) for each in (front, rear))
    slope = (at_front - at_rear) / (along_mm[front] - along_mm[rear])[:, np.newaxis]
    ground = at_rear + slope * (along_mm - along_mm[rear][:, np.newaxis])
    return np.asarray(np.maximum(ground - lowest_mm, 0.0))


def _firm(wheels: Circles) -> list[Stand]:
    """Give the stands on two wheels or more, in order of tilt."""
    tilts = _tangent_tilts_rad(wheels)
    depths = depths_mm(wheels, tilts)
    gaps = depths.max(axis=1, keepdims=True) - depths
    touches = gaps <= TOUCH_MM
    found: list[tuple[float, NDArray[np.bool_], Floats]] = []
    for tilt, touching, under in zip(tilts, touches, gaps, strict=True):
        if touching.sum() < 2:
            continue
        if found and tilt - found[-1][0] <= _SAME_TILT_RAD and (touching & found[-1][1]).sum() > 1:
            found[-1] = (found[-1][0], touching | found[-1][1], np.minimum(under, found[-1][2]))
        else:
            found.append((float(tilt), touching, under))
    return [_stand(touching, tilt, under) for tilt, touching, under in found]


def _tangent_tilts_rad(wheels: Circles) -> Floats:
    """Give, in order, every tilt from -90 to 90 degrees at which two wheels reach equally low."""
    one, other = np.triu_indices(wheels.along_mm.size, 1)
    along, down = wheels.along_mm[other] - wheels.along_mm[one], wheels.down_mm[other] - wheels.down_mm[one]
    apart = np.hypot(along, down)
    larger = (wheels.diameters_mm[one] - wheels.diameters_mm[other]) / 2 / apart
    met = np.abs(larger) <= 1  # a wheel within another never reaches as low
    lean, turn = np.arcsin(larger[met]), np.arctan2(down[met], along[met])
    tilts = np.concatenate([lean - turn, np.pi - lean - turn])
    wrapped = np.remainder(tilts + np.pi, 2 * np.pi) - np.pi
    return np.sort(wrapped[np.abs(wrapped) <= np.pi / 2])


def _alone(wheels: Circles, from_tilt_deg: float, to_tilt_deg: float) -> Stand:
    """Give the stand on the one wheel that reaches lowest between two tilts."""
    depths = depths_at_mm(wheels, (from_tilt_deg + to_tilt_deg) / 2)
    gaps = (depths.max() - depths).tolist()
    return Stand((gaps.index(0.0),), from_tilt_deg, to_tilt_deg, tuple(gaps))


def _stand(touching: NDArray[np.bool_], tilt_rad: float, gaps: Floats) -> Stand:
    tilt_deg, under = math.degrees(tilt_rad), np.where(touching, 0.0, gaps)
    return Stand(tuple(np.flatnonzero(touching).tolist()), tilt_deg, tilt_deg, tuple(under.tolist()))
