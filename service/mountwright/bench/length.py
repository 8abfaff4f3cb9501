"""A length with its worst case on both sides: what a cut that cannot be undone is judged by."""

from __future__ import annotations

from dataclasses import dataclass

from mountwright.errors import InvalidQuantityError


@dataclass(frozen=True)
class Length:
    """A length within bounds, whole micrometres.

    Sums and differences add the worst case, never the squares: where a cut goes too far, a doubt that is likely to
    cancel out is no comfort.

    Parameters
    ----------
    least_um, likely_um, most_um : int
        In this order; both bounds inclusive.

    Raises
    ------
    InvalidQuantityError
        For other numbers and for those out of order.
    """

    least_um: int
    likely_um: int
    most_um: int

    def __post_init__(self) -> None:
        found = (self.least_um, self.likely_um, self.most_um)
        if not (all(type(each) is int for each in found) and self.least_um <= self.likely_um <= self.most_um):
            raise InvalidQuantityError(found, "whole micrometres: the least, the likely, the most")

    def __add__(self, other: Length) -> Length:
        return Length(self.least_um + other.least_um, self.likely_um + other.likely_um, self.most_um + other.most_um)

    def __sub__(self, other: Length) -> Length:
        return Length(self.least_um - other.most_um, self.likely_um - other.likely_um, self.most_um - other.least_um)

    def share(self, part: int, whole: int) -> Length:
        """Give a share of it, ``part`` (0 or more) of ``whole`` (above 0), its bounds rounded away from the middle."""
        least, likely, most = (each * part for each in (self.least_um, self.likely_um, self.most_um))
        return Length(least // whole, (2 * likely + whole) // (2 * whole), -(-most // whole))


def read_length(value_um: int, half_width_um: int) -> Length:
    """Give a reading with the same doubt, 0 or more, on both sides."""
    return Length(value_um - half_width_um, value_um, value_um + half_width_um)
