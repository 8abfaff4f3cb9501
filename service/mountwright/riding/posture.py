"""How the skate stands: heights of its deck, pitch of its sole, how far its load is from tipping it, its brake's pad.

Heights are those of the rigid skate in its stand, before the tyres give. What nobody knows is None.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

from mountwright.riding.clearance import Place
from mountwright.riding.line import STANDARD_GRAVITY_M_S2, Deck, Line, Load, Skate
from mountwright.riding.stands import Stand, circles, depths_at_mm, stand_under, stands

#: Tilts that differ by less are the same: rounding, no tolerance.
_SAME_TILT_RAD = 1e-9


class Pose(NamedTuple):
    """How a skate stands on flat ground.

    Parameters
    ----------
    tilt_rad : float
        Front down above 0.
    ground_mm : float
        How far below the skate's origin the ground is, at right angles to the ground.
    """

    tilt_rad: float
    ground_mm: float

    def height_mm(self, along_mm: float, down_mm: float) -> float:
        """Give how high above the ground a place on the skate is, below 0 where it would be in it."""
        return self.ground_mm - along_mm * math.sin(self.tilt_rad) - down_mm * math.cos(self.tilt_rad)

    def down_mm(self, along_mm: float, height_mm: float) -> float:
        """Give how far below the deck a place on the skate is that is so high above the ground."""
        return (self.ground_mm - height_mm - along_mm * math.sin(self.tilt_rad)) / math.cos(self.tilt_rad)


class TipMargin(NamedTuple):
    """How far a load is from tipping the skate over one end; a rigid rider, so the least that a moving one has.

    Parameters
    ----------
    distance_mm : float
        Along the skate, from the load to the outermost wheel that carries, 0 or more. Where a wheel hangs clear beyond
        it the skate rolls onto that one first.
    angle_deg : float
        Of a slope that puts the centre of mass above that wheel: atan(distance / height).
    limit_m_s2 : float
        Speeding up (over the rear) or slowing down (over the front) that does the same on the level.
    """

    distance_mm: float
    angle_deg: float
    limit_m_s2: float


@dataclass(frozen=True)
class SkatePosture:
    """How the skate stands under its load.

    Parameters
    ----------
    toe_height_mm, heel_height_mm : float or None
        Of the deck above the ground, at the frame bolts, or below the sole's ends where those are not known.
    sole_pitch_deg : float or None
        How far the heel is above the toe: the deck's heel step between its bolts, and the tilt of the stand.
    tip_forward, tip_back : TipMargin
    """

    toe_height_mm: float | None
    heel_height_mm: float | None
    sole_pitch_deg: float | None
    tip_forward: TipMargin
    tip_back: TipMargin


def pose_in(line: Line, stand: Stand) -> Pose:
    """Give how a skate with a wheel line stands in one of its stands."""
    return Pose(math.radians(stand.tilt_deg), float(depths_at_mm(circles(line), stand.tilt_deg).max()))


def tip_margin(distance_mm: float, height_mm: float) -> TipMargin:
    """Give how far a load is from tipping the skate (statics of a rigid body).

    Parameters
    ----------
    distance_mm : float
        From the load to the outermost wheel that carries.
    height_mm : float
        Of the centre of mass above the ground, above 0.
    """
    angle_deg = math.degrees(math.atan2(distance_mm, height_mm))
    return TipMargin(distance_mm, angle_deg, STANDARD_GRAVITY_M_S2 * distance_mm / height_mm)


def posture(skate: Skate, stand: Stand, load: Load, load_along_mm: float, carrying: tuple[int, ...]) -> SkatePosture:
    """Give how a skate stands under its load.

    Parameters
    ----------
    skate : Skate
    stand : Stand
        The one that the load holds.
    load : Load
    load_along_mm : float
        Where it stands.
    carrying : tuple of int
        The wheels that carry it, one at least, from the front.
    """
    pose, deck = pose_in(skate.line, stand), skate.deck
    toe_mm, heel_mm = _toe_along_mm(skate), _heel_along_mm(skate)
    along = [skate.line.axles[index].along_mm for index in carrying]
    return SkatePosture(
        None if toe_mm is None else pose.height_mm(toe_mm, 0.0),
        None if heel_mm is None or deck.heel_step_mm is None else pose.height_mm(heel_mm, -deck.heel_step_mm),
        _sole_pitch_deg(deck, stand),
        tip_margin(max(along[0] - load_along_mm, 0.0), load.height_mm),
        tip_margin(max(load_along_mm - along[-1], 0.0), load.height_mm),
    )


def brake_pad_after(before: Skate, after: Line, pad_along_mm: float | None) -> float | None:
    """Give the height of a brake's pad above the ground after a change of wheels, millimetres.

    The pad is fixed to the frame. Each line is taken to stand as a load midway between its outer axles holds it.

    Parameters
    ----------
    before : Skate
        With the height of its pad.
    after : Line
        The changed wheels.
    pad_along_mm : float or None
        Where the pad is along the skate, None where nobody knows.

    Returns
    -------
    float or None
        Below 0 where the pad would touch before the wheels do. None without a brake, for a line that does not stand,
        and where the change tilts the skate and nobody knows where the pad is.
    """
    old, new = _midway_pose(before.line), _midway_pose(after)
    if before.brake_pad_mm is None or old is None or new is None:
        return None
    if pad_along_mm is None and abs(new.tilt_rad - old.tilt_rad) > _SAME_TILT_RAD:
        return None
    along_mm = pad_along_mm or 0.0
    return new.height_mm(along_mm, old.down_mm(along_mm, before.brake_pad_mm))


def _midway_pose(line: Line) -> Pose | None:
    stand = stand_under(stands(line), line, midway_mm(line))
    return None if stand is None else pose_in(line, stand)


def midway_mm(line: Line) -> float:
    """Give the place midway between the outer axles."""
    return (line.axles[0].along_mm + line.axles[-1].along_mm) / 2


def _toe_along_mm(skate: Skate) -> float | None:
    bolt_mm = skate.deck.front_bolt_along_mm
    return max(map(_along_mm, skate.sole.outline), default=None) if bolt_mm is None else bolt_mm


def _heel_along_mm(skate: Skate) -> float | None:
    bolt_mm = skate.deck.rear_bolt_along_mm
    return min(map(_along_mm, skate.sole.outline), default=None) if bolt_mm is None else bolt_mm


def _along_mm(place: Place) -> float:
    return place.along_um / 1000


def _sole_pitch_deg(deck: Deck, stand: Stand) -> float | None:
    step_mm, front_mm, rear_mm = deck.heel_step_mm, deck.front_bolt_along_mm, deck.rear_bolt_along_mm
    if step_mm is None or front_mm is None or rear_mm is None or front_mm <= rear_mm:
        return None
    return math.degrees(math.atan2(step_mm, front_mm - rear_mm)) + stand.tilt_deg
