"""Whether the bolts of one pattern pass through another.

A part passes if one shift and one small turn bring all its holes over the boot's so that every bolt goes through
both. Bolt and holes are circles: a bolt in a round hole may stand off the hole's centre by its *play*, half of
hole minus bolt; in a slot also along the slot; in a tapped hole it stands in the centre.

The method is our own derivation. For two bolts it reduces to the floating and fixed fastener formulas of
ASME Y14.5, Appendix B (floating: tolerance of place = hole - bolt on each part; fixed: half of that).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, cos, degrees, hypot, pi, radians, remainder, sin

from mountwright.errors import InvalidQuantityError, PatternError
from mountwright.mounts.bolt_shift import Bolt, Vector, turned
from mountwright.mounts.bolt_turn import Place, Pull, best_turn, pulls_alone
from mountwright.mounts.holes import Hole

ON_THE_LIMIT_UM = 1e-3

_QUARTER_TURNS: dict[float, Vector] = {0.0: (1.0, 0.0), 90.0: (0.0, 1.0), 180.0: (-1.0, 0.0), 270.0: (0.0, -1.0)}


@dataclass(frozen=True)
class Share:
    """How much the margin depends on the place of one bolt's holes.

    Parameters
    ----------
    hole : str
        Name of the holes.
    weight : float
        Above 0; the weights of one answer have the sum 1.
    along, across : float
        Direction in which the boot's hole would have to move for more margin, in the boot's plane; of length 1,
        or 0 where no small move changes the margin, or between the two where two directions are equally binding.

    Notes
    -----
    Moving the boot's hole by a small (x, y) um changes the margin by ``2 weight (along x + across y)`` um; moving
    the part's hole, by the opposite. The weighted directions of one answer cancel: moving all holes of one pattern
    together changes nothing. No change of place changes the margin by more than twice the largest move.
    """

    hole: str
    weight: float
    along: float
    across: float


@dataclass(frozen=True)
class BoltsPass:
    """How well the bolts pass, at the part's best place.

    Parameters
    ----------
    margin_um : float
        By how much each bolt's two holes together could be narrower (a tapped hole cannot; then the other one
        alone) and the bolts just pass. Below 0: by how much they would have to be wider. Exactly 0.0 if it is
        within `ON_THE_LIMIT_UM` of 0, limit included. If a bolt is thicker than a hole, at most hole minus bolt.
    turn_deg : float
        Turn of the part, degrees from along towards across.
    shift_along_um, shift_across_um : float
        Shift of the part: the hole at ``p`` of its pattern comes to ``turned p + shift`` of the boot's.
    shares : tuple of Share
        The bolts that decide the margin, in the boot's order.
    """

    margin_um: float
    turn_deg: float
    shift_along_um: float
    shift_across_um: float
    shares: tuple[Share, ...]

    @property
    def passes(self) -> bool:
        """Whether all bolts pass; on the limit they do."""
        return self.margin_um >= 0


def bolts_pass(boot: Sequence[Hole], part: Sequence[Hole], bolt_um: int, largest_turn_deg: float = 2.0) -> BoltsPass:
    """Say whether every bolt passes through its hole in the boot and its hole in the part.

    Parameters
    ----------
    boot, part : sequence of Hole
        The two patterns, in micrometres, in any order; holes of one name get one bolt.
    bolt_um : int
        Diameter of every bolt, micrometres, above 0. That a tapped hole has this thread is not checked.
    largest_turn_deg : float
        Largest turn of the part to either side, degrees, 0 to 180, both included. A larger turn is another way
        to mount.

    Returns
    -------
    BoltsPass
        Exact for two bolts in line along the skate in round holes and lengthwise slots; otherwise no place has a
        margin larger by more than 0.0002 um.

    Raises
    ------
    PatternError
        If a pattern has no hole, a name twice or a hole without a place, if the names differ, or if the search
        does not end (no such patterns are known).
    InvalidQuantityError
        For a bolt or a largest turn out of bounds.

    Notes
    -----
    Own derivation; reduces to the floating and fixed fastener formulas of ASME Y14.5, Appendix B.

    Examples
    --------
    >>> boot = [Hole("front", 0, 0, 6000, tapped=True), Hole("rear", 165000, 0, 6000, tapped=True)]
    >>> part = [Hole("front", 0, 0, 6600), Hole("rear", 165400, 0, 6600)]
    >>> bolts_pass(boot, part, 6000).margin_um
    200.0
    """
    if bolt_um <= 0:
        raise InvalidQuantityError(bolt_um, "a bolt's diameter above 0 um")
    if not 0 <= largest_turn_deg <= 180:
        raise InvalidQuantityError(largest_turn_deg, "a largest turn of 0 to 180 degrees")
    bolts = matched(boot, part, bolt_um)
    place = _best_place(bolts, radians(largest_turn_deg))
    shares = tuple(Share(bolts[pull.bolt].name, *pull[1:]) for pull in place.pulls)
    return BoltsPass(_margin(place.over), degrees(place.turn), *place.shift, shares)


def _margin(over: float) -> float:
    return 0.0 if abs(2 * over) <= ON_THE_LIMIT_UM else -2 * over


def _best_place(bolts: Sequence[Bolt], largest: float) -> Place:
    if len(bolts) == 1:
        return Place(bolts[0].alone, 0.0, _shift(bolts[0], 0.0), pulls_alone(bolts))
    if len(bolts) == 2 and _in_line(bolts):
        return _best_in_line(bolts)
    if len(bolts) == 2 and not any(any(bolt.boot_reach) or any(bolt.part_reach) for bolt in bolts):
        return _best_of_two_round(bolts, largest)
    return _best_of_any(bolts, largest)


def _shift(bolt: Bolt, turn: float) -> Vector:
    x, y = turned(bolt.part, turn)
    return bolt.boot[0] - x, bolt.boot[1] - y


def _in_line(bolts: Sequence[Bolt]) -> bool:
    first, second = bolts
    if first.boot[1] != second.boot[1] or first.part[1] != second.part[1]:
        return False
    # Patterns that point opposite ways gain by a turn: they are not for the formula.
    if (second.boot[0] - first.boot[0]) * (second.part[0] - first.part[0]) < 0:
        return False
    return not any(bolt.boot_reach[1] or bolt.part_reach[1] for bolt in bolts)


def _best_in_line(bolts: Sequence[Bolt]) -> Place:
    first, second = bolts
    apart = (second.boot[0] - first.boot[0]) - (second.part[0] - first.part[0])
    reaches = [abs(bolt.boot_reach[0]) + abs(bolt.part_reach[0]) for bolt in bolts]
    return _best_of_two(bolts, 0.0, apart, (1.0, 0.0), reaches)


def _best_of_two_round(bolts: Sequence[Bolt], largest: float) -> Place:
    boot, part = _spacing(bolts[0].boot, bolts[1].boot), _spacing(bolts[0].part, bolts[1].part)
    wanted = remainder(atan2(boot[1], boot[0]) - atan2(part[1], part[0]), 2 * pi) if any(boot) and any(part) else 0.0
    turn = max(-largest, min(largest, wanted))
    if turn == wanted and any(boot):
        # Once both lie in one direction only the spacings count, without the rounding of a turn.
        length = hypot(*boot)
        return _best_of_two(bolts, turn, length - hypot(*part), (boot[0] / length, boot[1] / length), (0.0, 0.0))
    x, y = _spacing(turned(part, turn), boot)
    apart = hypot(x, y)
    return _best_of_two(bolts, turn, apart, (x / apart, y / apart) if apart else (1.0, 0.0), (0.0, 0.0))


def _best_of_two(
    bolts: Sequence[Bolt], turn: float, apart: float, direction: Vector, reaches: Sequence[float]
) -> Place:
    """Place two bolts whose slots, if any, lie along the line on which their centres are ``apart``."""
    first, second = bolts
    x, y = direction if apart >= 0 else (-direction[0], -direction[1])
    gap = abs(apart) - sum(reaches)
    alone, both = max(first.alone, second.alone), (max(0.0, gap) - first.play - second.play) / 2
    over = max(alone, both)
    travel = _travel(gap, over + first.play, reaches)
    start = _shift(first, turn)
    binding = both >= alone and gap >= 0
    pulls = (Pull(0, 0.5, x, y), Pull(1, 0.5, -x, -y)) if binding else pulls_alone(bolts)
    return Place(over, turn, (start[0] + travel * x, start[1] + travel * y), pulls)


def _travel(gap: float, allowed: float, reaches: Sequence[float]) -> float:
    """Say how far from the first bolt's centre the shift goes: to the end of its slot and on, if it must."""
    if gap > 0:
        return reaches[0] + max(0.0, min(gap, allowed))
    slack = sum(reaches)
    return (gap + slack) * reaches[0] / slack if slack else 0.0


def _best_of_any(bolts: Sequence[Bolt], largest: float) -> Place:
    # Near the origin the least is lost to rounding.
    boot, part = bolts[0].boot, bolts[0].part
    place = best_turn(
        [bolt._replace(boot=_spacing(boot, bolt.boot), part=_spacing(part, bolt.part)) for bolt in bolts], largest
    )
    from_origin = _spacing(turned(part, place.turn), boot)
    return place._replace(shift=(place.shift[0] + from_origin[0], place.shift[1] + from_origin[1]))


def _spacing(first: Vector, second: Vector) -> Vector:
    return second[0] - first[0], second[1] - first[1]


def matched(boot: Sequence[Hole], part: Sequence[Hole], bolt_um: int) -> list[Bolt]:
    """Bring the holes of two patterns together by name, in the boot's order; lengths in micrometres.

    Raises
    ------
    PatternError
        As :func:`bolts_pass`.
    """
    boot_holes, part_holes = _by_name(boot, "boot"), _by_name(part, "part")
    if boot_holes.keys() != part_holes.keys():
        raise PatternError(f"part holes named {sorted(part_holes)}", f"the boot's names, {sorted(boot_holes)}")
    return [_joined(hole, part_holes[name], bolt_um) for name, hole in boot_holes.items()]


def _by_name(pattern: Sequence[Hole], owner: str) -> dict[str, Hole]:
    holes = {hole.name: hole for hole in pattern}
    if not holes:
        raise PatternError(f"a {owner} pattern without holes", "at least one hole")
    if len(holes) != len(pattern):
        raise PatternError(f"{owner} holes named {[hole.name for hole in pattern]}", "each name once")
    return holes


def _joined(boot: Hole, part: Hole, bolt_um: int) -> Bolt:
    boot_play, part_play = _play(boot, bolt_um), _play(part, bolt_um)
    play = boot_play + part_play
    # Room in one hole does not let a thick bolt into the other.
    tightest = play if boot_play >= 0 and part_play >= 0 else min(play, boot_play, part_play)
    return Bolt(boot.name, _centre(boot), _centre(part), _reach(boot), _reach(part), play, -tightest)


def _play(hole: Hole, bolt_um: int) -> float:
    return 0.0 if hole.tapped else (hole.diameter_um - bolt_um) / 2


def _centre(hole: Hole) -> Vector:
    if hole.along_um is None:
        raise PatternError(f"hole {hole.name!r} without a place along the skate", "a place for every hole")
    return float(hole.along_um), float(hole.across_um)


def _reach(hole: Hole) -> Vector:
    """Give the way from a slot's centre to where the middle of a bolt can go last."""
    if hole.slot_length_um <= hole.diameter_um:
        return 0.0, 0.0
    half, direction = (hole.slot_length_um - hole.diameter_um) / 2, hole.slot_direction_deg
    # Quarter turns come from a table, so that whole micrometres stay whole.
    along, across = _QUARTER_TURNS.get(direction % 360) or (cos(radians(direction)), sin(radians(direction)))
    return half * along, half * across
