"""A bolt's place in one part: a round hole, a slot or a tapped hole."""

from __future__ import annotations

from dataclasses import dataclass

from mountwright.errors import InvalidHoleError


@dataclass(frozen=True)
class Hole:
    """One hole of a pattern.

    Parameters
    ----------
    name : str
        The bolt that belongs here (``front``, ``rear``); bolts are matched by name.
    along_um, across_um : int or None
        Centre in the pattern's plane, whole micrometres: along the skate, and
        toward the inside of the foot. ``along_um`` is None while only a spacing
        between holes is known.
    diameter_um : int
        Free width, whole micrometres, above 0; of a tapped hole, the thread's nominal diameter.
    slot_length_um : int
        Overall length of a slot, at least ``diameter_um``; 0 for a round hole.
    slot_direction_deg : float
        Direction of the slot's long axis from the along axis, -180 to 180 inclusive.
    tapped : bool
        A tapped hole holds its bolt without play.
    standard_uncertainty_um : float
        Of the centre's place, along each axis; 0 for a drawing.
    axis_deg : float or None
        Direction of the bolt's axis from the plane's normal, where it was recorded.

    Raises
    ------
    InvalidHoleError
        For a diameter that is not above 0, a slot shorter than its width, or a tapped slot.
    """

    name: str
    along_um: int | None
    across_um: int
    diameter_um: int
    slot_length_um: int = 0
    slot_direction_deg: float = 0.0
    tapped: bool = False
    standard_uncertainty_um: float = 0.0
    axis_deg: float | None = None

    def __post_init__(self) -> None:
        if self.diameter_um <= 0:
            raise InvalidHoleError(self.name, f"its diameter is {self.diameter_um} um", "above 0")
        if self.slot_length_um and self.slot_length_um < self.diameter_um:
            raise InvalidHoleError(
                self.name, f"its slot is {self.slot_length_um} um long", f"at least its width, {self.diameter_um} um"
            )
        if self.slot_length_um and self.tapped:
            raise InvalidHoleError(self.name, "it is a slot and tapped", "one or the other")
