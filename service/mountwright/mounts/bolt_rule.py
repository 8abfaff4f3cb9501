"""The rule that asks whether every bolt goes through: by spacing where holes lie in line, by geometry otherwise."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from mountwright.errors import PatternError
from mountwright.measure.quantity import Estimate, Limits
from mountwright.mounts.bolt_doubt import margin_in_doubt
from mountwright.mounts.bolts import bolts_pass
from mountwright.mounts.check import Check
from mountwright.mounts.holes import Hole
from mountwright.mounts.joint import Joint, JointSide
from mountwright.mounts.standard import Family


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
        skate, part = joint.skate, joint.part
        figure = part.figures.get(self.bolt) or skate.figures.get(self.bolt)
        bolt_um = self.bolt_um if figure is None else round(figure.value)
        narrow = too_narrow((*skate.holes, *part.holes), bolt_um)
        if narrow > 0:
            limits, params = Limits(None, 0), {"bolt": "too thick for a hole"}
            return (Check(self.code, Estimate(narrow, 0), limits, "mm", self.source, params=params),)
        if self.spacing and self._in_line(skate) and self._in_line(part):
            return (self._by_spacing(skate, part, bolt_um),)
        return (self._by_geometry(skate, part, bolt_um),)

    def _in_line(self, side: JointSide) -> bool:
        if not side.holes:
            return side.side in self.assumed
        if len(side.holes) != 2:
            return False
        first, second = side.holes
        straight = first.slot_direction_deg % 90 == 0 and second.slot_direction_deg % 90 == 0
        return straight and first.across_um == second.across_um

    def _by_spacing(self, skate: JointSide, part: JointSide, bolt_um: int) -> Check:
        (skate_play, skate_most), (part_play, part_most) = self._plays(skate, bolt_um), self._plays(part, bolt_um)
        tight, loose = skate_play + part_play, skate_most + part_most
        places = (self._spacing_place(skate), self._spacing_place(part))
        ours, theirs = spacing_of(skate, self.spacing), spacing_of(part, self.spacing)
        value: Estimate | None = None
        missing: tuple[str, ...] = ()
        if ours is not None and theirs is not None:
            spread = math.hypot(ours.standard_uncertainty, theirs.standard_uncertainty)
            value = Estimate(ours.value - theirs.value, spread)
        else:
            missing = tuple(place for place, known in zip(places, (ours, theirs), strict=True) if known is None)
        unseen = [side.side for side in (skate, part) if not side.holes and self.assumed[side.side].loosest_um]
        return Check(
            self.code,
            value,
            _either_way(tight),
            "mm",
            self.source,
            _either_way(loose) if loose > tight else None,
            True,
            missing,
            places,
            {"holes_not_seen": unseen[0]} if unseen else {},
        )

    def _spacing_place(self, side: JointSide) -> str:
        """Give what the spacing of a side rests on: its holes' places where both have them."""
        placed = side.holes and side.holes[0].along_um is not None and side.holes[1].along_um is not None
        return _place(side.side, "holes" if placed else self.spacing)

    def _plays(self, side: JointSide, bolt_um: int) -> tuple[int, int]:
        if not side.holes:
            assumed = self.assumed[side.side]
            return assumed.play_um, assumed.loosest_um
        play = 0
        for hole in side.holes:
            play += _play_along(hole, bolt_um)
        return play, play

    def _by_geometry(self, skate: JointSide, part: JointSide, bolt_um: int) -> Check:
        ours = self._placed(skate, part.holes, bolt_um)
        theirs = self._placed(part, skate.holes, bolt_um)
        places = (_place(skate.side, "holes"), _place(part.side, "holes"))
        zero = Limits(0, None)
        if not ours or not theirs:
            missing = tuple(place for place, holes in zip(places, (ours, theirs), strict=True) if not holes)
            return Check(self.code, None, zero, "mm", self.source, missing=missing, rests_on=places)
        try:
            found = bolts_pass(ours, theirs, bolt_um, self.largest_turn_deg)
        except PatternError as error:
            params = {"skate_has": error.expected, "part_has": error.found}
            return Check("same_bolts", Estimate(1, 0), Limits(0, 0), "", self.source, params=params)
        margin = margin_in_doubt(ours, theirs, bolt_um, found)
        return Check(self.code, margin, zero, "mm", self.source, rests_on=places)

    def _placed(self, side: JointSide, others: Sequence[Hole], bolt_um: int) -> tuple[Hole, ...]:
        """Give a side's holes with coordinates; those that nobody recorded are taken to lie in line, as assumed."""
        assumed = self.assumed.get(side.side)
        if side.holes or assumed is None or len(others) != _IN_A_PAIR:
            return placed_holes(side, self.spacing, others)
        play = assumed.play_um
        holes = tuple(Hole(hole.name, None, 0, bolt_um + play, tapped=play == 0) for hole in others)
        return placed_holes(side._replace(holes=holes), self.spacing, others)


#: Holes that a spacing can place.
_IN_A_PAIR = 2


@lru_cache(maxsize=4096)
def _either_way(um: int) -> Limits:
    return Limits(-um, um)


@lru_cache(maxsize=1024)
def _place(side: str, what: str) -> str:
    return f"{side}.{what}"


def _all_placed(holes: Sequence[Hole]) -> bool:
    return all(hole.along_um is not None for hole in holes)


def too_narrow(holes: Sequence[Hole], bolt_um: int) -> int:
    """Give by how much the bolt is thicker than the narrowest untapped hole, micrometres; 0 or less goes through."""
    least = bolt_um
    for hole in holes:
        if not hole.tapped and hole.diameter_um < least:
            least = hole.diameter_um
    return bolt_um - least


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


def spacings_at(families: Iterable[Family]) -> tuple[str, ...]:
    """Give the dimensions by which families place two holes."""
    rules = [rule for family in families for rule in family.rules]
    return tuple(rule.spacing for rule in rules if isinstance(rule, BoltsPass) and rule.spacing)


def placed_holes(side: JointSide, spacing: str, others: Sequence[Hole] = ()) -> tuple[Hole, ...]:
    """Give the holes with coordinates, none where they cannot be had.

    Two holes without coordinates are set apart by the spacing figure, in the order of
    the other side's; by name where that has no coordinates either.

    Parameters
    ----------
    side : JointSide
    spacing : str
        Dimension that gives the distance of two holes.
    others : sequence of Hole
        Of the other side.
    """
    if len(side.holes) == 1:
        return (replace(side.holes[0], along_um=side.holes[0].along_um or 0),)
    if _all_placed(side.holes):
        return side.holes
    figure = side.figures.get(spacing)
    if figure is None or len(side.holes) != 2:
        return ()
    doubt = figure.standard_uncertainty / math.sqrt(2)
    ahead = {hole.name: -hole.along_um for hole in others if hole.along_um is not None}
    front, rear = sorted(side.holes, key=lambda hole: (ahead.get(hole.name, 0), hole.name))
    return (
        replace(front, along_um=round(figure.value), standard_uncertainty_um=doubt),
        replace(rear, along_um=0, standard_uncertainty_um=doubt),
    )
