"""What is asked about a lace: the boot's eyelets and how they are laced."""

from __future__ import annotations

from dataclasses import dataclass

from mountwright.bench.lacing import Pattern
from mountwright.errors import InvalidQuantityError
from mountwright.riding.band import Band

#: Fewest and most pairs of eyelets.
FEWEST_PAIRS, MOST_PAIRS = 2, 20


@dataclass(frozen=True)
class LaceQuestion:
    """A boot and how it is laced.

    Parameters
    ----------
    pairs : int
        Pairs of eyelets that are laced, 2 to 20, both inclusive.
    gap_top_mm : Band
        Between the middles of the eyelets of the top pair, as worn, above 0.
    pitch_mm : Band
        From the middle of one eyelet of a side to that of the next, above 0, and more than a row leans at each step.
    gap_bottom_mm : Band or None
        Of the lowest pair, evenly between; None where one reading was taken for all of them.
    pattern : Pattern
    has_lock_loop : bool
        Whether each end goes through a loop beside the top two eyelets of the other side before the bow.
    bow_tail_mm, eyelet_thickness_mm : float or None
        Of each end, free of its top eyelet; once through an eyelet. 0 or more; None takes the usual figure.
    lace_length_mm : float or None
        Of the lace at hand, as it is marked, above 0.

    Raises
    ------
    InvalidQuantityError
        For figures beyond these bounds.
    """

    pairs: int
    gap_top_mm: Band
    pitch_mm: Band
    gap_bottom_mm: Band | None = None
    pattern: Pattern = Pattern.CRISS_CROSS
    has_lock_loop: bool = False
    bow_tail_mm: float | None = None
    eyelet_thickness_mm: float | None = None
    lace_length_mm: float | None = None

    def __post_init__(self) -> None:
        if not FEWEST_PAIRS <= self.pairs <= MOST_PAIRS:
            raise InvalidQuantityError(self.pairs, f"{FEWEST_PAIRS} to {MOST_PAIRS} pairs of eyelets")
        if not min(self.gap_top_mm.low, self.lowest_gap_mm.low, self.pitch_mm.low) > 0:
            found = ", ".join(map(str, (self.gap_top_mm, self.lowest_gap_mm, self.pitch_mm)))
            raise InvalidQuantityError(found, "gaps and a pitch above 0, whatever their doubt")
        if not most_lean_mm(self.gap_top_mm, self.lowest_gap_mm, self.pairs) < self.pitch_mm.low:
            found = f"{self.gap_top_mm}, {self.gap_bottom_mm}"
            raise InvalidQuantityError(found, "gaps whose rows lean less than a pitch at each step")
        if any(each is not None and not each >= 0 for each in (self.bow_tail_mm, self.eyelet_thickness_mm)):
            found = f"{self.bow_tail_mm}, {self.eyelet_thickness_mm}"
            raise InvalidQuantityError(found, "a tail and a thickness of 0 or more")
        if self.lace_length_mm is not None and not self.lace_length_mm > 0:
            raise InvalidQuantityError(self.lace_length_mm, "a lace longer than 0")

    @property
    def lowest_gap_mm(self) -> Band:
        """Give the gap of the lowest pair."""
        return self.gap_bottom_mm or self.gap_top_mm


def most_lean_mm(gap_top_mm: Band, gap_bottom_mm: Band, pairs: int) -> float:
    """Give by how much a row of eyelets leans in or out at each step, at the most; ``pairs`` 2 or more."""
    most = max(gap_top_mm.high - gap_bottom_mm.low, gap_bottom_mm.high - gap_top_mm.low)
    return most / (2 * (pairs - 1))
