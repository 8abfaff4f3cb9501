"""What becomes of a lace of some length: how much of it stays for the bow, and which of those that are sold reaches."""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum
from typing import NamedTuple

from mountwright.bench.lace_estimates import lace_estimates
from mountwright.riding.band import Band


class Reach(StrEnum):
    """How far a lace of some length goes."""

    REACHES = "reaches"
    TOO_LONG = "too_long"
    SHORT_TAILS = "short_tails"
    CANNOT_TELL = "cannot_tell"
    TOO_SHORT = "too_short"


class Wish(NamedTuple):
    """What a lace is wanted for.

    Parameters
    ----------
    in_eyelets_mm : Band
        What of it lies in the eyelets, bounds worst cases.
    tail_mm : float
        Wanted of each end for the bow, 0 or more.
    """

    in_eyelets_mm: Band
    tail_mm: float

    @property
    def cut_length_mm(self) -> Band:
        """Give the length with both tails."""
        low, likely, high = (each + 2 * self.tail_mm for each in bounds_of(self.in_eyelets_mm))
        return Band(low, likely, high)

    @property
    def least_tail_mm(self) -> float:
        """Give the tail that still ties a bow; who wants a shorter one knows how."""
        return min(lace_estimates().bow_tail_mm.low, self.tail_mm)

    @property
    def most_tail_mm(self) -> float:
        """Give the tail beyond which an end dangles: as far above what is wanted as above what is usual."""
        usual = lace_estimates().bow_tail_mm
        return max(usual.likely, self.tail_mm) + usual.high - usual.likely


class LaceFit(NamedTuple):
    """What becomes of a lace.

    Parameters
    ----------
    length_mm : float
        As it is marked.
    reach : Reach
        By the worst case; ``CANNOT_TELL`` where only the doubts decide whether a bow can be tied, ``TOO_LONG`` where
        its ends most likely dangle.
    tails_mm : Band
        What stays of each end for the bow; below 0 where the lace does not even go through all eyelets.
    short_by_mm : Band
        How much longer it would have to be for the shortest bow; 0 where it is long enough.
    """

    length_mm: float
    reach: Reach
    tails_mm: Band
    short_by_mm: Band


def lace_fit(length_mm: float, wish: Wish) -> LaceFit:
    """Tell what becomes of a lace, by its marked length, above 0; it may be a little shorter than that."""
    short = lace_estimates().short_of_mark_share
    taken = wish.in_eyelets_mm
    tails = Band(
        (length_mm * (1 - short.high) - taken.high) / 2,
        (length_mm * (1 - short.likely) - taken.likely) / 2,
        (length_mm * (1 - short.low) - taken.low) / 2,
    )
    least, likely, most = (max(0.0, 2 * (wish.least_tail_mm - tail)) for tail in reversed(bounds_of(tails)))
    return LaceFit(length_mm, _reach(tails, wish), tails, Band(least, likely, most))


def _reach(tails: Band, wish: Wish) -> Reach:
    if tails.high < wish.least_tail_mm:
        return Reach.TOO_SHORT
    if tails.low < wish.least_tail_mm:
        return Reach.CANNOT_TELL
    if tails.low < wish.tail_mm:
        return Reach.SHORT_TAILS
    return Reach.TOO_LONG if tails.likely > wish.most_tail_mm else Reach.REACHES


def first_that_reaches(lengths_mm: Iterable[float], wish: Wish) -> LaceFit | None:
    """Give the first of some lengths whose tails are as long as wanted in the worst case, None if none is."""
    fits = (lace_fit(each, wish) for each in lengths_mm)
    return next((each for each in fits if each.tails_mm.low >= wish.tail_mm), None)


def least_marked_mm(wish: Wish) -> float:
    """Give the marked length from which on a lace's tails are as long as wanted in the worst case."""
    return wish.cut_length_mm.high / (1 - lace_estimates().short_of_mark_share.high)


def next_shorter(lengths_mm: Iterable[float], wish: Wish) -> LaceFit | None:
    """Give the longest of some lengths whose tails are shorter than wanted and yet tie a bow in the worst case."""
    fits = (lace_fit(each, wish) for each in lengths_mm)
    return max(
        (each for each in fits if each.reach is Reach.SHORT_TAILS), key=lambda each: each.length_mm, default=None
    )


def bounds_of(band: Band) -> tuple[float, float, float]:
    """Give low, likely and high value, in this order."""
    return band.low, band.likely, band.high
