"""The rule that asks whether every bolt goes through: by spacing where holes lie in line, by geometry otherwise."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from mountwright.errors import PatternError
from mountwright.measure.quantity import Estimate, Limits
from mountwright.mounts.bolt_doubt import margin_in_doubt
from mountwright.mounts.bolts import bolts_pass
from mountwright.mounts.check import Check
from mountwright.mounts.holes import Hole
from mountwright.mounts.joint import Joint, JointSide


@dataclass(frozen=True)
class AssumedHoles:
    """What a side's holes are taken for while nobody recorded them.

    Parameters
    ----------
    play_um : int
        Sum over both holes of the play along the line, as far as one may count on it.
    loosest_um : int
        The most that such a side could have; a look at the holes settles it.
    """

    play_um: int
    loosest_um: int


@dataclass(frozen=True)
class BoltsPass:
    """Every bolt must go through both parts.

    Two holes in line are judged by their spacing: the mismatch may reach the sum of
    the centre plays (own derivation; two parts reduce to the floating and fixed
    fastener formulas of ASME Y14.5, appendix B). Any other pattern is judged by the
    margin that a shift and a small turn leave.

    Parameters
    ----------
    code : str
    spacing : str
        Dimension that places two holes without coordinates; empty where holes always have them.
    bolt_um : int
        Bolt diameter, unless the joint records one.
    assumed : Mapping[str, AssumedHoles]
        By side; a side that is not named has to have its holes recorded.
    source : str
    largest_turn_deg : float
        How far a part may be turned on its mount.
    bolt : str
        Dimension that records the bolt's diameter, on either side; empty where none does.
    """

    code: str
    spacing: str
    bolt_um: int
    assumed: Mapping[str, AssumedHoles]
    source: str
    largest_turn_deg: float = 2.0
    bolt: str = ""

    def __call__(self, joint: Joint) -> tuple[Check, ...]:
        """Give the check."""
        bolt_um = self._bolt_um(joint)
        if self.spacing and self._in_line(joint.skate) and self._in_line(joint.part):
            return (self._by_spacing(joint, bolt_um),)
        return (self._by_geometry(joint, bolt_um),)

    def _bolt_um(self, joint: Joint) -> int:
        figure = joint.part.figures.get(self.bolt) or joint.skate.figures.get(self.bolt)
        return self.bolt_um if figure is None else round(figure.value)

    def _in_line(self, side: JointSide) -> bool:
        if not side.holes:
            return side.side in self.assumed
        if len(side.holes) != 2:
            return False
        first, second = side.holes
        straight = first.slot_direction_deg % 90 == 0 and second.slot_direction_deg % 90 == 0
        return straight and first.across_um == second.across_um

    def _by_spacing(self, joint: Joint, bolt_um: int) -> Check:
        (skate_play, skate_most), (part_play, part_most) = (
            self._plays(joint.skate, bolt_um),
            self._plays(joint.part, bolt_um),
        )
        tight, loose = skate_play + part_play, skate_most + part_most
        if tight < 0:
            params = {"bolt": "too thick for the holes"}
            return Check(self.code, Estimate(-tight, 0), Limits(None, 0), "mm", self.source, params=params)
        skate, part = spacing_of(joint.skate, self.spacing), spacing_of(joint.part, self.spacing)
        places = (f"{joint.skate.side}.{self.spacing}", f"{joint.part.side}.{self.spacing}")
        unseen = [side.side for side in joint.sides if not side.holes and self.assumed[side.side].loosest_um]
        value: Estimate | None = None
        missing: tuple[str, ...] = ()
        if skate is not None and part is not None:
            spread = math.hypot(skate.standard_uncertainty, part.standard_uncertainty)
            value = Estimate(skate.value - part.value, spread)
        else:
            missing = tuple(place for place, known in zip(places, (skate, part), strict=True) if known is None)
        return Check(
            code=self.code,
            value=value,
            limits=Limits(-tight, tight),
            unit="mm",
            source=self.source,
            loosest=Limits(-loose, loose) if loose > tight else None,
            magnitude=True,
            missing=missing,
            rests_on=places,
            params={"holes_not_seen": unseen[0]} if unseen else {},
        )

    def _plays(self, side: JointSide, bolt_um: int) -> tuple[int, int]:
        if not side.holes:
            assumed = self.assumed[side.side]
            return assumed.play_um, assumed.loosest_um
        play = 0
        for hole in side.holes:
            play += _play_along(hole, bolt_um)
        return play, play

    def _by_geometry(self, joint: Joint, bolt_um: int) -> Check:
        boot, part = placed_holes(joint.skate, self.spacing), placed_holes(joint.part, self.spacing)
        places = (f"{joint.skate.side}.holes", f"{joint.part.side}.holes")
        zero = Limits(0, None)
        if not boot or not part:
            missing = tuple(place for place, holes in zip(places, (boot, part), strict=True) if not holes)
            return Check(self.code, None, zero, "mm", self.source, missing=missing, rests_on=places)
        try:
            found = bolts_pass(boot, part, bolt_um, self.largest_turn_deg)
        except PatternError as error:
            params = {"skate_has": error.found, "part_has": error.expected}
            return Check("same_bolts", Estimate(1, 0), Limits(0, 0), "", self.source, params=params)
        return Check(self.code, margin_in_doubt(boot, part, bolt_um, found), zero, "mm", self.source, rests_on=places)


def _play_along(hole: Hole, bolt_um: int) -> int:
    """Give the play of a bolt in a hole along the skate; rounded down, for a doubt is never rounded toward a fit."""
    if hole.tapped:
        return 0
    lengthwise = hole.slot_length_um and hole.slot_direction_deg % 180 == 0
    return ((hole.slot_length_um if lengthwise else hole.diameter_um) - bolt_um) // 2


def spacing_of(side: JointSide, dimension: str) -> Estimate | None:
    """Give the distance between two holes: from their coordinates where both have them, else as a figure."""
    if len(side.holes) == 2:
        first, second = side.holes
        if first.along_um is not None and second.along_um is not None:
            spread = math.hypot(first.standard_uncertainty_um, second.standard_uncertainty_um)
            return Estimate(abs(first.along_um - second.along_um), spread)
    return side.figures.get(dimension)


def placed_holes(side: JointSide, spacing: str) -> tuple[Hole, ...]:
    """Give the holes with coordinates: two of them are set apart by the spacing figure; none if that fails."""
    if len(side.holes) == 1:
        return (replace(side.holes[0], along_um=side.holes[0].along_um or 0),)
    if all(hole.along_um is not None for hole in side.holes):
        return side.holes
    figure = side.figures.get(spacing)
    if figure is None or len(side.holes) != 2:
        return ()
    doubt = figure.standard_uncertainty / math.sqrt(2)
    first, second = sorted(side.holes, key=lambda hole: hole.name)
    return (
        replace(first, along_um=round(figure.value), standard_uncertainty_um=doubt),
        replace(second, along_um=0, standard_uncertainty_um=doubt),
    )
