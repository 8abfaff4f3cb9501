"""The wheel line under its load: how the skate stands, what each wheel carries, how it turns, how sure all that is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import NamedTuple

import numpy as np

from mountwright.riding.contact import stiffness_n_mm15
from mountwright.riding.line import Line, Load, Skate
from mountwright.riding.loads import LoadCases, SharedLoads, shared_loads, tip_margins_mm
from mountwright.riding.note import Note
from mountwright.riding.posture import SkatePosture, midway_mm, posture
from mountwright.riding.rocker_doubt import CARRIES_SHARE, Pressing, RockerDoubt, rocker_doubt
from mountwright.riding.rubber import modulus_band
from mountwright.riding.stands import (
    TOUCH_MM,
    Circles,
    Floats,
    Stand,
    circles,
    never_touching,
    rocker_mm,
    rocker_radius_mm,
    rocking_deg,
    stand_under,
    stands,
    wheelbase_mm,
)
from mountwright.riding.turning import turning_ratios

#: A rocker less likely than this is said to be unsure: what a part is shipped at. JCGM 106 leaves it to the stake.
_SURE = 0.95


class Outcome(StrEnum):
    """What a load does to a skate."""

    STANDS = "stands"
    TIPS = "tips"


class WheelLoad(NamedTuple):
    """A wheel under the load.

    Parameters
    ----------
    gap_mm : float
        Under it before the tyres give, in the stand that the load holds; 0 or more.
    load_n : float
        That it carries with the tyres' give.
    share : float
        Of the load.
    presses_mm : float
        How far its tyre is pressed in.
    touches : bool
        Whether it carries anything.
    """

    gap_mm: float
    load_n: float
    share: float
    presses_mm: float
    touches: bool


@dataclass(frozen=True)
class UnderLoad:
    """A skate that stands under its load.

    Parameters
    ----------
    stand : Stand
        The one of all stands that the load holds, before the tyres give.
    wheels : tuple of WheelLoad
        From the front.
    effective_wheelbase_mm : float
        Between the outermost wheels that touch in the stand, 0 where the skate balances on one.
    loaded_wheelbase_mm : float
        Between the outermost wheels that carry with the tyres' give.
    posture : SkatePosture
    turning_ratio : float
        Turning moment on the spot with the tyres' give, as a ratio to that of the same frame and mass on wheels that
        are level and all alike.
    """

    stand: Stand
    wheels: tuple[WheelLoad, ...]
    effective_wheelbase_mm: float
    loaded_wheelbase_mm: float
    posture: SkatePosture
    turning_ratio: float


@dataclass(frozen=True)
class WheelLine:
    """What is to be said about the wheels of a skate.

    Parameters
    ----------
    outcome : Outcome
        Whether the load stands between wheels that can touch, or tips the skate.
    load_along_mm : float
        Where it stands.
    margin_mm : float
        Its distance to the nearer outermost wheel that can touch; 0 and below, it tips.
    stands : tuple of Stand
        Every one, in order of tilt.
    rocks_deg : float
        Between the first stand and the last.
    never_touching : tuple of int
        Wheels that touch flat ground in no stand.
    wheelbase_mm : float
        Between the outer axles.
    rocker_mm : float
        How far the lowest inner wheel reaches below the line through the outer two, below 0 where it hangs.
    rocker_radius_mm : float or None
        Of the arc with that rocker over the wheelbase, None without a rocker.
    under_load : UnderLoad or None
        None where the load tips the skate.
    doubt : RockerDoubt
    notes : tuple of Note
        What else is to be said, the gravest first.
    """

    outcome: Outcome
    load_along_mm: float
    margin_mm: float
    stands: tuple[Stand, ...]
    rocks_deg: float
    never_touching: tuple[int, ...]
    wheelbase_mm: float
    rocker_mm: float
    rocker_radius_mm: float | None
    under_load: UnderLoad | None
    doubt: RockerDoubt
    notes: tuple[Note, ...] = ()


def wheel_line(skate: Skate, load: Load) -> WheelLine:
    """Give how a skate stands under a load.

    Diameters, hardness and profiles are taken at their likely values; only ``doubt`` goes by their bands.

    Parameters
    ----------
    skate : Skate
    load : Load
        Without a place, it stands midway between the outer axles.
    """
    line, found = skate.line, stands(skate.line)
    along_mm = midway_mm(line) if load.along_mm is None else load.along_mm
    stand = stand_under(found, line, along_mm)
    pressing = None if stand is None else Pressing(along_mm, load.newtons, tyre_stiffness_n_mm15(line))
    under_load = None if stand is None or pressing is None else _under_load(skate, load, stand, pressing)
    full_mm, rocks_mm = wheelbase_mm(line, range(len(line.axles))), _rocker_mm(line)
    answer = WheelLine(
        outcome=Outcome.TIPS if under_load is None else Outcome.STANDS,
        load_along_mm=along_mm,
        margin_mm=_margin_mm(line, found, along_mm),
        stands=found,
        rocks_deg=rocking_deg(found),
        never_touching=never_touching(found, len(line.axles)),
        wheelbase_mm=full_mm,
        rocker_mm=rocks_mm,
        rocker_radius_mm=rocker_radius_mm(full_mm, rocks_mm) if rocks_mm > TOUCH_MM else None,
        under_load=under_load,
        doubt=rocker_doubt(line, pressing),
    )
    return replace(answer, notes=tuple(_notes(line, load, answer)))


def tyre_stiffness_n_mm15(line: Line) -> Floats:
    """Give how stiff each tyre of a line likely is, (w,): the k of N = k u**1.5, N/mm**1.5."""
    tyres = line.tyres
    return stiffness_n_mm15(
        circles(line).diameters_mm / 2,
        np.array([tyre.profile_radius_mm.likely for tyre in tyres]),
        np.array([modulus_band(tyre.hardness_shore_a).likely for tyre in tyres]),
    )


def _rocker_mm(line: Line) -> float:
    return float(rocker_mm(*circles(line))[0])


def _margin_mm(line: Line, found: Sequence[Stand], load_along_mm: float) -> float:
    """Give how far a load is within the outermost wheels that touch in any stand."""
    along = [line.axles[index].along_mm for stand in found for index in stand.touching]
    return min(max(along) - load_along_mm, load_along_mm - min(along))


def _under_load(skate: Skate, load: Load, stand: Stand, pressing: Pressing) -> UnderLoad:
    line = skate.line
    shared = _shared(circles(line), stand, pressing)
    wheels = _wheels(stand, shared, pressing.load_n)
    carrying = tuple(index for index, wheel in enumerate(wheels) if wheel.touches)
    along = circles(line).along_mm[np.newaxis]
    return UnderLoad(
        stand,
        wheels,
        effective_wheelbase_mm=wheelbase_mm(line, stand.touching),
        loaded_wheelbase_mm=wheelbase_mm(line, carrying),
        posture=posture(skate, stand, load, pressing.along_mm, carrying),
        turning_ratio=float(turning_ratios(along, shared.loads_n, np.array([pressing.along_mm]))[0]),
    )


def _wheels(stand: Stand, shared: SharedLoads, load_n: float) -> tuple[WheelLoad, ...]:
    each = zip(stand.gaps_mm, shared.loads_n[0].tolist(), shared.presses_mm[0].tolist(), strict=True)
    return tuple(
        WheelLoad(gap_mm, carried_n, carried_n / load_n, presses_mm, carried_n > CARRIES_SHARE * load_n)
        for gap_mm, carried_n, presses_mm in each
    )


def _shared(wheels: Circles, stand: Stand, pressing: Pressing) -> SharedLoads:
    """Share out the load from the stand that it holds, so that what the tyres give tilts the skate by little more.

    The load is taken to stand on the line through the axles of the stand.
    """
    tilt = np.radians(stand.tilt_deg)
    front, rear = stand.touching[0], stand.touching[-1]
    # From the rear to the front, as interpolation wants it; one wheel alone stands for both.
    axle_mm = np.interp(pressing.along_mm, wheels.along_mm[[rear, front]], wheels.down_mm[[rear, front]])
    contacts_mm = (wheels.along_mm * np.cos(tilt) - wheels.down_mm * np.sin(tilt))[np.newaxis]
    load_mm = np.array([pressing.along_mm * np.cos(tilt) - axle_mm * np.sin(tilt)])
    if not tip_margins_mm(contacts_mm, load_mm)[0] > 0:
        # So steep a stand that the load comes to be beyond the wheels on the ground: places stay those of the skate.
        contacts_mm, load_mm = wheels.along_mm[np.newaxis], np.array([pressing.along_mm])
    return shared_loads(
        LoadCases(
            contacts_mm,
            np.array([stand.gaps_mm]),
            pressing.stiffness_n_mm15[np.newaxis],
            np.array([pressing.load_n]),
            load_mm,
        )
    )


def _notes(line: Line, load: Load, found: WheelLine) -> list[Note]:
    """Give what is to be said with the answer, the gravest first."""
    rocker, probability = found.rocker_radius_mm is not None, found.doubt.probability
    flattened = rocker and found.under_load is not None and all(wheel.touches for wheel in found.under_load.wheels)
    said = (
        (found.under_load is None, Note("wheels.tips", {"margin_mm": found.margin_mm})),
        (rocker and probability < _SURE, Note("wheels.rocker_unsure", {"probability": probability})),
        (flattened, Note("wheels.rocker_flattened", {"rocker_mm": found.rocker_mm})),
        (load.along_mm is None, Note("wheels.load_place_assumed", {"along_mm": found.load_along_mm})),
        (not all(tyre.diameter.is_measured for tyre in line.tyres), Note("wheels.diameters_as_marked")),
        (any(tyre.hard_core for tyre in line.tyres), Note("wheels.thin_tyre")),
    )
    return [note for holds, note in said if holds]
