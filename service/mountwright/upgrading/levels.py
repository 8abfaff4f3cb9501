"""Half-halvings: how much of a complaint a remedy takes away, as whole points that add up.

A point is half of a halving: what is left of the complaint falls by the square root of two. Two remedies that work
independently of each other leave the product of what each leaves, so that their points add.
"""

from __future__ import annotations

from fractions import Fraction

from mountwright.errors import InvalidQuantityError

#: No remedy is taken to be better than this; it leaves one part in 2^20.
_MOST_POINTS = 40


def relief_points(reliability: float) -> int:
    """Give the points of a remedy, rounded down: floor(-2 log2(1 - reliability)).

    Parameters
    ----------
    reliability : float
        Share of cases in which it works, 0 or more and below 1. The whole steps are wanted: with the share itself, the
        last hundredth of the first complaint would take all of the money.

    Raises
    ------
    InvalidQuantityError
        For a share beyond these bounds.
    """
    if not 0 <= reliability < 1:
        raise InvalidQuantityError(reliability, "a share of 0 or more and below 1")
    left = (1 - Fraction(reliability)) ** 2
    points = 0
    while points < _MOST_POINTS and left * 2 ** (points + 1) <= 1:
        points += 1
    return points


def relief(points: int) -> float:
    """Give the share of a complaint that so many points take away together, if the remedies are independent.

    Parameters
    ----------
    points : int
        0 or more.

    Raises
    ------
    InvalidQuantityError
        For points below 0.
    """
    if points < 0:
        raise InvalidQuantityError(points, "0 points or more")
    return float(1 - 2 ** (-points / 2))
