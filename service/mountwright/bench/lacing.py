"""Ways to lace a boot, each as the eyelets that the lace goes through, one after the other.

An admissible lacing is a closed way through all eyelets on which none has both its neighbours on its own side (Polster,
"What is the best way to lace your shoes?", Nature 420, 2002). Here the bow closes it: the lace begins at one top eyelet
and ends at the other. Of all admissible lacings the bow-tie is the shortest, the criss-cross is the shortest that
crosses at every step, and either the criss-cross or the shoe-shop straight pulls strongest if nothing rubs.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum
from itertools import accumulate
from typing import NamedTuple

from mountwright.errors import InvalidQuantityError

#: Sides of the boot; which is which matters to nothing.
LEFT, RIGHT = -1, 1


class Eyelet(NamedTuple):
    """One eyelet.

    Parameters
    ----------
    side : int
        ``LEFT`` or ``RIGHT``.
    pair : int
        Counted from the top, which is 0.
    """

    side: int
    pair: int


class Pattern(StrEnum):
    """A way to lace, by the name that the trade and papers give it."""

    CRISS_CROSS = "criss_cross"
    BOW_TIE = "bow_tie"
    EUROPEAN_STRAIGHT = "european_straight"
    SHOE_SHOP_STRAIGHT = "shoe_shop_straight"


def lace_path(pattern: Pattern, pairs: int) -> tuple[Eyelet, ...]:
    """Give the eyelets in the order in which the lace goes through them, from the top left to the top right.

    Each is gone through once. Every pattern is there for any number of pairs, odd or even; with two, all but the
    bow-tie are the same.

    Parameters
    ----------
    pattern : Pattern
    pairs : int
        2 or more.

    Raises
    ------
    InvalidQuantityError
        For fewer pairs.
    """
    if pairs < 2:
        raise InvalidQuantityError(pairs, "two pairs of eyelets or more")
    match pattern:
        case Pattern.CRISS_CROSS:
            return _both_ways_down(True for _ in range(pairs - 1))
        case Pattern.BOW_TIE:
            # Upright below the bow, then across, and so on: with an odd number it crosses last, where boots narrow.
            return _both_ways_down(step % 2 == 1 for step in range(pairs - 1))
        case Pattern.EUROPEAN_STRAIGHT:
            return _by_bars((*range(2, pairs, 2), *reversed(range(1, pairs, 2))))
        case Pattern.SHOE_SHOP_STRAIGHT:
            return _by_bars(range(1, pairs))


def _both_ways_down(crosses: Iterable[bool]) -> tuple[Eyelet, ...]:
    """Give the way of a lace whose ends mirror each other and meet in the bar at the toe, step by step from the top."""
    sides = accumulate(crosses, lambda side, across: -side if across else side, initial=LEFT)
    down = [Eyelet(side, pair) for pair, side in enumerate(sides)]
    return (*down, *(Eyelet(-side, pair) for side, pair in reversed(down)))


def _by_bars(pairs: Iterable[int]) -> tuple[Eyelet, ...]:
    """Give the way of a lace that lies straight across at each pair, the pairs below the top in their order."""
    bars = (Eyelet(side, pair) for pair in pairs for side in (RIGHT, LEFT))
    return (Eyelet(LEFT, 0), *bars, Eyelet(RIGHT, 0))
