"""How far a frame may be shifted under its boot, fore and aft and inward, by what its slots and holes allow.

A bolt that joins two holes lets the frame go where the bolt still passes through both: along each slot, and by the play
of bolt and hole in every direction. The frame goes where all bolts let it. It is shifted here, not turned. Half of a
hole's play may be half a micrometre: a range ends at the last half micrometre that every bolt allows.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import ceil, floor, hypot, sqrt
from typing import NamedTuple

from mountwright.errors import InvalidQuantityError, PatternError
from mountwright.fitting.answers import NextStep, StepKind
from mountwright.mounts.holes import Hole

_LOOK_AT_HOLES = NextStep(StepKind.LOOK, "step.look_at_holes", "frame", "holes", "", {})
_MEASURE_HOLES = NextStep(StepKind.MEASURE, "step.measure_hole_places", "frame", "holes", "caliper", {})
_TRY_BY_HAND = NextStep(StepKind.TRIAL_FIT, "step.try_shift_by_hand", "frame", "", "", {})

#: Half micrometres that a root may be off by.
_ROUNDING = 1e-6


class Range(NamedTuple):
    """From where to where the frame may be shifted, both ends inclusive; half micrometres, exactly.

    A hole at ``p`` of the frame's pattern comes to ``p + shift`` of the boot's.
    """

    low_um: float
    high_um: float

    @property
    def width_um(self) -> float:
        """Give how far it is from end to end."""
        return self.high_um - self.low_um


@dataclass(frozen=True)
class Shift:
    """What shift the slots allow.

    Parameters
    ----------
    code : str
        ``ride.shift_known``; else why nobody can tell: ``ride.shift_no_holes``, ``ride.shift_no_bolt_matched``,
        ``ride.shift_places_unknown``, ``ride.shift_slot_oblique``; or ``ride.shift_bolts_do_not_pass``.
    along, across : Range or None
        Forward, and toward the inside of the foot, positive; each with the other left free. None where nobody can
        tell, and where no shift lets all bolts pass.
    bolts : tuple of str
        Those whose holes were brought together, in the boot's order.
    unmatched : tuple of str
        Names of holes that only one of both has, sorted.
    standard_uncertainty_um : float
        Of either end of a range, from the doubt of the holes' places: that of the least certain bolt.
    next_step : NextStep or None
        What to look at where the range is not known.
    """

    code: str
    along: Range | None
    across: Range | None
    bolts: tuple[str, ...]
    unmatched: tuple[str, ...]
    standard_uncertainty_um: float
    next_step: NextStep | None


class _Room(NamedTuple):
    """Where one bolt lets the frame be, in half micrometres: a rectangle round a middle, and a play round that."""

    middle: tuple[int, int]
    reach: tuple[int, int]
    play: int

    def crossed(self) -> _Room:
        """Give the same with along and across exchanged."""
        return _Room(self.middle[::-1], self.reach[::-1], self.play)


def slot_shift(boot: Sequence[Hole], frame: Sequence[Hole], bolt_um: int) -> Shift:
    """Give what shift the slots of boot and frame allow.

    Parameters
    ----------
    boot, frame : sequence of Hole
        Each name once; empty where nobody recorded them.
    bolt_um : int
        Diameter of the bolts, above 0.

    Raises
    ------
    InvalidQuantityError
        For a bolt that is not thicker than nothing.
    PatternError
        For two holes of one name in one pattern.
    """
    if bolt_um <= 0:
        raise InvalidQuantityError(bolt_um, "a bolt thicker than 0 um")
    on_boot, on_frame = _by_name(boot), _by_name(frame)
    bolts = tuple(name for name in on_boot if name in on_frame)
    pairs = [(on_boot[name], on_frame[name]) for name in bolts]
    unmatched = tuple(sorted(on_boot.keys() ^ on_frame.keys()))
    why_not = _why_not(boot, frame, pairs)
    if why_not:
        return Shift(why_not[0], None, None, bolts, unmatched, 0.0, why_not[1])
    return _known([_room(*pair, bolt_um) for pair in pairs], bolts, unmatched, _doubt_um(pairs))


def _by_name(holes: Sequence[Hole]) -> dict[str, Hole]:
    named = {hole.name: hole for hole in holes}
    if len(named) != len(holes):
        raise PatternError(f"holes named {[hole.name for hole in holes]}", "each name once")
    return named


def _why_not(
    boot: Sequence[Hole], frame: Sequence[Hole], pairs: Sequence[tuple[Hole, Hole]]
) -> tuple[str, NextStep] | None:
    """Give why nobody can tell the shift, and what to do about it."""
    if not boot or not frame:
        return "ride.shift_no_holes", _LOOK_AT_HOLES
    if not pairs:
        return "ride.shift_no_bolt_matched", _LOOK_AT_HOLES
    if any(hole.along_um is None for pair in pairs for hole in pair):
        return "ride.shift_places_unknown", _MEASURE_HOLES
    if any(_is_slot(hole) and hole.slot_direction_deg % 90 for pair in pairs for hole in pair):
        return "ride.shift_slot_oblique", _TRY_BY_HAND
    return None


def _known(rooms: Sequence[_Room], bolts: tuple[str, ...], unmatched: tuple[str, ...], doubt_um: float) -> Shift:
    along = _range(rooms)
    across = _range([room.crossed() for room in rooms])
    if along is None or across is None:
        return Shift("ride.shift_bolts_do_not_pass", None, None, bolts, unmatched, doubt_um, _MEASURE_HOLES)
    return Shift("ride.shift_known", along, across, bolts, unmatched, doubt_um, None)


def _doubt_um(pairs: Sequence[tuple[Hole, Hole]]) -> float:
    return max(hypot(boot.standard_uncertainty_um, part.standard_uncertainty_um) for boot, part in pairs)


def _room(boot: Hole, part: Hole, bolt_um: int) -> _Room:
    middle = (2 * ((boot.along_um or 0) - (part.along_um or 0)), 2 * (boot.across_um - part.across_um))
    plays = [0 if hole.tapped else hole.diameter_um - bolt_um for hole in (boot, part)]
    reaches = [_reach(hole) for hole in (boot, part)]
    reach = (sum(along for along, _ in reaches), sum(across for _, across in reaches))
    # Room in one hole does not let a thick bolt into the other.
    return _Room(middle, reach, sum(plays) if min(plays) >= 0 else min(plays))


def _is_slot(hole: Hole) -> bool:
    return hole.slot_length_um > hole.diameter_um


def _reach(hole: Hole) -> tuple[int, int]:
    """Give how far a bolt's axis goes from a slot's centre, along and across, half micrometres."""
    if not _is_slot(hole):
        return 0, 0
    half = hole.slot_length_um - hole.diameter_um
    return (half, 0) if hole.slot_direction_deg % 180 == 0 else (0, half)


def _range(rooms: Sequence[_Room]) -> Range | None:
    """Give the range along with the shift across left free; None where no shift is left."""
    first = max(room.middle[1] - room.reach[1] - room.play for room in rooms)
    last = min(room.middle[1] + room.reach[1] + room.play for room in rooms)
    if first > last or any(room.play < 0 for room in rooms):
        return None
    widest = _peak(lambda across: _width(rooms, across), first, last)
    if _width(rooms, widest) < -_ROUNDING:
        return None
    start = first + bisect_left(range(first, widest), True, key=lambda across: _width(rooms, across) >= -_ROUNDING)
    beyond = range(widest + 1, last + 1)
    end = widest + bisect_left(beyond, True, key=lambda across: _width(rooms, across) < -_ROUNDING)
    high = _high(rooms, _peak(lambda across: _high(rooms, across), start, end))
    low = _low(rooms, _peak(lambda across: -_low(rooms, across), start, end))
    return Range(ceil(low - _ROUNDING) / 2, floor(high + _ROUNDING) / 2)


def _peak(height: Callable[[int], float], first: int, last: int) -> int:
    """Give the place of the largest value of a concave function, of several the first; both ends inclusive."""
    return first + bisect_left(range(first, last), True, key=lambda at: height(at + 1) <= height(at))


def _width(rooms: Sequence[_Room], across: int) -> float:
    return _high(rooms, across) - _low(rooms, across)


def _high(rooms: Sequence[_Room], across: int) -> float:
    """Give how far forward every bolt lets the frame go at a shift across, half micrometres."""
    return min(room.middle[0] + room.reach[0] + _play_left(room, across) for room in rooms)


def _low(rooms: Sequence[_Room], across: int) -> float:
    return max(room.middle[0] - room.reach[0] - _play_left(room, across) for room in rooms)


def _play_left(room: _Room, across: int) -> float:
    """Give what the play of a bolt lets it go along once the shift across has taken its part."""
    aside = max(0, abs(across - room.middle[1]) - room.reach[1])
    return sqrt(room.play * room.play - aside * aside)
