"""Tells from little which of many mounts can go on a skate's at all, so that only those are judged in full.

What is said of a part's mount here is plain enough for the index of a database: who claims which
standard, and between which ends its figures lie. Whatever is ruled out by that, the full judgement
refuses too; what is left in, it may still refuse. Bounds are wide rather than narrow for that reason.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from mountwright.measure.quantity import Adjustable
from mountwright.mounts.holes import Hole
from mountwright.mounts.mount import Mount, Pattern

#: Stands beside the dimensions for the distance of two holes by their places.
PLACED = "holes"

#: Stands in place of a dimension where no figure is told, but looks or unusual holes may unsettle a claim.
UNSETTLED = "unsettled"

#: A true value lies within so many standard uncertainties: of a reading that its standard barely explains (chi-square
#: gate at 0.999) the middle lies within 5, and 1.6 more leave 5 in 100 of the rest.
SPREADS = 6

#: No bolt or screw of a skate is thinner, micrometres: what a hole is wider leaves play (common practice).
_THINNEST_BOLT_UM = 3000

#: Holes up to this free length are usual and are allowed for with every claim, micrometres (estimate, 11 to 14 mm).
USUAL_HOLE_UM = 12_000

#: Holes that one distance places.
IN_A_PAIR = 2


class Span(NamedTuple):
    """Between which ends a mount's figure lies, micrometres (of an angle thousandths of a degree), both inclusive.

    ``dimension`` may also be ``holes``, for the distance of two holes by their places, or ``unsettled``, which stands
    for all that is known beside a claim and has no ends.
    """

    dimension: str
    low_um: int
    high_um: int


class Claim(NamedTuple):
    """What a pattern is claimed to follow, and by whom; both empty where nobody claims."""

    standard: str
    claimed_by: str


class Reach(NamedTuple):
    """Where the figures of a mount have to lie, for it to go on.

    Parameters
    ----------
    dimensions : tuple of str
        Names under which a span counts; with none of these the mount is not told by this.
    ranges : tuple of (int, int)
        Apart from each other, in order, both ends inclusive; one span that touches one of these is enough.
    """

    dimensions: tuple[str, ...]
    ranges: tuple[tuple[int, int], ...]


@dataclass(frozen=True)
class Chance:
    """What a part's mount must look like to have a chance beside a skate's.

    Parameters
    ----------
    everything : bool
        The skate's mount is too little known to rule anything out.
    unwanted : frozenset of str
        Installed standards that do not go on. A claim of any other, installed or not, has a chance.
    claimants : frozenset of str
        Whose claim of these is relied on where no more is known, neither figure nor look.
    reaches : tuple of Reach
    """

    everything: bool = True
    unwanted: frozenset[str] = frozenset()
    claimants: frozenset[str] = frozenset()
    reaches: tuple[Reach, ...] = ()


def has_a_chance(claims: Iterable[Claim], spans: Iterable[Span], chance: Chance) -> bool:
    """Tell whether a part's mount may go on.

    Parameters
    ----------
    claims : iterable of Claim
        One for each of its patterns.
    spans : iterable of Span
        As :func:`spans_of` gives them.
    chance : Chance
        For a skate's mount of the other side.
    """
    claims, spans = tuple(claims), tuple(spans)
    if chance.everything or any(claim.standard and claim.standard not in chance.unwanted for claim in claims):
        return True
    if any(_is_beyond(reach, spans) for reach in chance.reaches):
        return False
    # Whatever else is known may speak against the claim.
    return bool(spans) or not claims or any(claim.claimed_by not in chance.claimants for claim in claims)


def _is_beyond(reach: Reach, spans: Iterable[Span]) -> bool:
    told = [span for span in spans if span.dimension in reach.dimensions]
    return bool(told) and not any(
        low <= span.high_um and span.low_um <= high for span in told for low, high in reach.ranges
    )


def claims_of(mount: Mount) -> tuple[Claim, ...]:
    """Give what each pattern of a mount is claimed to follow."""
    return tuple(Claim(pattern.standard or "", str(pattern.claimed_by or "")) for pattern in mount.patterns)


def spans_of(mount: Mount) -> tuple[Span, ...]:
    """Give between which ends each figure of a mount lies, whichever of its patterns is used.

    Six standard uncertainties to either side, and for a length all that its holes leave to a thin bolt. A dimension
    that some pattern has no figure for is left out; where nothing is left of what is known, a mark stands for it.
    """
    patterns = [_spans_by_dimension(pattern) for pattern in mount.patterns]
    first, *others = patterns
    shared = [name for name in first if all(name in other for other in others)]
    # Where one pattern is placed by its holes and another is not, no one distance stands for both.
    told = shared if PLACED in shared or not any(PLACED in spans for spans in patterns) else ()
    if not told and not all(map(_is_bare, mount.patterns)):
        return (Span(UNSETTLED, 0, 0),)
    return tuple(
        Span(name, min(spans[name].low_um for spans in patterns), max(spans[name].high_um for spans in patterns))
        for name in told
    )


def _spans_by_dimension(pattern: Pattern) -> dict[str, Span]:
    """Give a pattern's spans; none where it has other than two holes, which no single distance places."""
    if len(pattern.holes) not in (0, IN_A_PAIR):
        return {}
    play = play_um(pattern.holes)
    found: dict[str, Span] = {}
    for name, figure in pattern.figures.items():
        if isinstance(figure, Adjustable):
            low, high = float(figure.low), float(figure.high)
        else:
            low, high = ends(figure.value, figure.value, figure.standard_uncertainty)
        more = play if name.endswith("_mm") else 0
        found[name] = Span(name, math.floor(low - more), math.ceil(high + more))
    placed = placed_apart(pattern.holes)
    if placed is not None:
        low, high = placed
        found[PLACED] = Span(PLACED, math.floor(low - play), math.ceil(high + play))
    return found


def _is_bare(pattern: Pattern) -> bool:
    """Tell whether no more is known than a claim, and perhaps holes as they usually are."""
    return not (pattern.seen or pattern.figures) and (not pattern.holes or _are_usual(pattern.holes))


def _are_usual(holes: Sequence[Hole]) -> bool:
    if len(holes) != IN_A_PAIR or any(hole.along_um is not None or hole.slot_direction_deg % 90 for hole in holes):
        return False
    return holes[0].across_um == holes[1].across_um and all(_free_um(hole) <= USUAL_HOLE_UM for hole in holes)


def _free_um(hole: Hole) -> int:
    return max(hole.diameter_um, hole.slot_length_um)


def play_um(holes: Sequence[Hole]) -> float:
    """Give how much two holes let their spacing seem other than it is, micrometres: by play and by lying askew."""
    play = sum(max(0, _free_um(hole) - _THINNEST_BOLT_UM) / 2 for hole in holes if not hole.tapped)
    return play + (abs(holes[0].across_um - holes[1].across_um) if len(holes) == IN_A_PAIR else 0)


def placed_apart(holes: Sequence[Hole]) -> tuple[float, float] | None:
    """Give between which ends the distance of two holes lies, along the skate and in all; None without places."""
    if len(holes) != IN_A_PAIR:
        return None
    first, second = holes
    if first.along_um is None or second.along_um is None:
        return None
    along = abs(first.along_um - second.along_um)
    spread = math.hypot(first.standard_uncertainty_um, second.standard_uncertainty_um)
    return ends(along, math.hypot(along, first.across_um - second.across_um), spread)


def ends(low: float, high: float, spread: float) -> tuple[float, float]:
    """Give the ends between which a true value lies that was read between two figures with a standard uncertainty."""
    return low - SPREADS * spread, high + SPREADS * spread
