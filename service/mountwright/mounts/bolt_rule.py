"""The rule that asks whether every bolt goes through: by spacing where holes lie in line, by geometry otherwise."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from mountwright.errors import PatternError
from mountwright.measure.quantity import Estimate, Limits
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
        Bolt diameter.
    assumed : Mapping[str, AssumedHoles]
        By side; a side that is not named has to have its holes recorded.
    source : str
    largest_turn_deg : float
        How far a part may be turned on its mount.
    """

    code: str
    spacing: str
    bolt_um: int
    assumed: Mapping[str, AssumedHoles]
    source: str
    largest_turn_deg: float = 2.0

    def __call__(self, joint: Joint) -> tuple[Check, ...]:
        """Give the check."""
        if self.spacing and self._in_line(joint.skate) and self._in_line(joint.part):
            return (self._by_spacing(joint),)
        return (self._by_geometry(joint),)

    def _in_line(self, side: JointSide) -> bool:
        if not side.holes:
            return side.side in self.assumed
        if len(side.holes) != 2:
            return False
        first, second = side.holes
        straight = first.slot_direction_deg % 90 == 0 and second.slot_direction_deg % 90 == 0
        return straight and first.across_um == second.across_um

    def _by_spacing(self, joint: Joint) -> Check:
        (skate_play, skate_most), (part_play, part_most) = self._plays(joint.skate), self._plays(joint.part)
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

    def _plays(self, side: JointSide) -> tuple[int, int]:
        if not side.holes:
            assumed = self.assumed[side.side]
            return assumed.play_um, assumed.loosest_um
        play = 0
        for hole in side.holes:
            play += self._play_along(hole)
        return play, play

    def _play_along(self, hole: Hole) -> int:
        if hole.tapped:
            return 0
        lengthwise = hole.slot_length_um and hole.slot_direction_deg % 180 == 0
        # Half a micrometre too little at most: a doubt is never rounded toward a fit.
        return ((hole.slot_length_um if lengthwise else hole.diameter_um) - self.bolt_um) // 2

    def _by_geometry(self, joint: Joint) -> Check:
        placed = [placed_holes(side, self.spacing) for side in joint.sides]
        missing = tuple(f"{s.side}.holes" for s, h in zip(joint.sides, placed, strict=True) if not h)
        zero = Limits(0, None)
        if missing:
            return Check(self.code, None, zero, "mm", self.source, missing=missing)
        try:
            found = bolts_pass(placed[0], placed[1], self.bolt_um, self.largest_turn_deg)
        except PatternError as error:
            params = {"skate_has": error.found, "part_has": error.expected}
            return Check(self.code, Estimate(1, 0), Limits(0, 0), "", self.source, params=params)
        doubts = {hole.name: hole.standard_uncertainty_um for hole in placed[0]}
        others = {hole.name: hole.standard_uncertainty_um for hole in placed[1]}
        # By the envelope theorem the margin moves by twice each share of a hole's own displacement.
        spread = math.hypot(*(2 * s.weight * math.hypot(doubts[s.hole], others[s.hole]) for s in found.shares))
        return Check(self.code, Estimate(found.margin_um, spread), zero, "mm", self.source)


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
