"""The check bar of a printed gauge: its measured length tells the printer's scale, and a reading is corrected by it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from mountwright.errors import InvalidQuantityError
from mountwright.measure.quantity import Limits, Quantity
from mountwright.measure.uncertainty import combined, rectangular


@dataclass(frozen=True)
class CheckBar:
    """A bar that is drawn at a known length.

    Parameters
    ----------
    length_um : int
        As drawn, above 0.
    half_width_um : int
        How far its measured length may be out, rectangular.
    least_scale, most_scale : float
        What a printer may do to a print that was told to be true, both inclusive.

    Raises
    ------
    InvalidQuantityError
        For a length that is not above 0, and for scales the wrong way round.
    """

    length_um: int
    half_width_um: int
    least_scale: float
    most_scale: float

    def __post_init__(self) -> None:
        if self.length_um <= 0:
            raise InvalidQuantityError(self.length_um, "a length above 0")
        if not 0 < self.least_scale <= self.most_scale:
            raise InvalidQuantityError((self.least_scale, self.most_scale), "scales with the lower one first")

    @property
    def measurable(self) -> Limits:
        """Give the lengths that may be measured, both inclusive, whole micrometres."""
        return Limits(*(round(self.length_um * scale) for scale in (self.least_scale, self.most_scale)))

    def corrected(self, reading: Quantity, measured_um: int) -> Quantity:
        """Give the true length where a reading was taken off a print of another scale.

        On a print at scale s, a line that is marked r stands at r s. What ends there is that long, so the length is
        D = r b / L, with the bar measured at b and drawn at L: a print that came out too small reads too much. Its
        uncertainty is that of the reading and of the bar (JCGM 100:2008, 5.1.2): u(D)^2 = (b/L u(r))^2 + (r/L u(b))^2.

        Parameters
        ----------
        reading : Quantity
            A length, as the print has it.
        measured_um : int
            Of the bar.

        Raises
        ------
        InvalidQuantityError
            For a bar that no printer makes of it.
        """
        if not self.measurable.contain(measured_um):
            raise InvalidQuantityError(measured_um, f"{self.measurable.low} to {self.measurable.high}")
        of_reading = measured_um / self.length_um * reading.standard_uncertainty
        of_bar = reading.value / self.length_um * rectangular(self.half_width_um)
        value = round(Fraction(reading.value * measured_um, self.length_um))
        return replace(reading, value=value, standard_uncertainty=combined((of_reading, of_bar)))
