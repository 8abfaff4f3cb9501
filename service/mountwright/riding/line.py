"""A wheel line as it is asked about: axles, wheels, the boot above them and the load that stands on it.

Lengths are millimetres in the skate's own axes: along, forward positive, from midway between the frame bolts; down,
from the deck under the front of the sole. Places of axles and wheels run from the front.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from itertools import pairwise

from mountwright.errors import InvalidQuantityError
from mountwright.riding.band import Band
from mountwright.riding.clearance import Place


@dataclass(frozen=True)
class Diameter:
    """How large the wheels of one article are.

    Parameters
    ----------
    mm : float
        As marked, or as measured; above 0.
    shared_mm : Band
        What every piece of the article may differ by from this, together; of a measured wheel nothing.
    own_sd_mm : float
        What each piece differs by from the others, a standard deviation, 0 or more; of a measured wheel the standard
        uncertainty of the reading.
    is_measured : bool

    Raises
    ------
    InvalidQuantityError
        For a diameter that is not above nothing, and a scatter below it.
    """

    mm: float
    shared_mm: Band
    own_sd_mm: float
    is_measured: bool

    def __post_init__(self) -> None:
        if not (math.isfinite(self.mm) and self.mm + self.shared_mm.low > 0):
            raise InvalidQuantityError(self.mm, "a diameter above 0 mm, with its doubt too")
        if not (math.isfinite(self.own_sd_mm) and self.own_sd_mm >= 0):
            raise InvalidQuantityError(self.own_sd_mm, "a scatter of 0 mm or more")


@dataclass(frozen=True)
class Tyre:
    """A wheel where it meets the ground.

    Parameters
    ----------
    diameter : Diameter
    hardness_shore_a : Band
        Within 30 to 95: beyond, no fit of the modulus holds.
    profile_radius_mm : Band
        Of the crown, across the wheel; above 0.
    rebound : Band
        Share of the drop height that it returns, within 0 and 1, both exclusive.
    hard_core : bool or None
        Whether a thin tyre sits on a hard core, None where nobody knows.

    Raises
    ------
    InvalidQuantityError
        For figures beyond these bounds.
    """

    diameter: Diameter
    hardness_shore_a: Band
    profile_radius_mm: Band
    rebound: Band
    hard_core: bool | None = None

    def __post_init__(self) -> None:
        for found, holds, expected in (
            (self.hardness_shore_a, 30 <= self.hardness_shore_a.low <= self.hardness_shore_a.high <= 95, "30 to 95 A"),
            (self.profile_radius_mm, self.profile_radius_mm.low > 0, "a profile radius above 0 mm"),
            (self.rebound, 0 < self.rebound.low <= self.rebound.high < 1, "a rebound between 0 and 1, both exclusive"),
        ):
            if not holds:
                raise InvalidQuantityError(found, expected)


@dataclass(frozen=True)
class Axle:
    """Where an axle is, and how it may be set.

    Parameters
    ----------
    along_mm : float
    down_mm : float
        Below the deck, without its setting.
    settings_mm : tuple of float
        Of an eccentric axle, what each setting adds to ``down_mm``; ``(0.0,)`` where it has none.
    setting_mm : float
        The one that it has; one of these.

    Raises
    ------
    InvalidQuantityError
        For a setting that it does not have.
    """

    along_mm: float
    down_mm: float
    settings_mm: tuple[float, ...] = (0.0,)
    setting_mm: float = 0.0

    def __post_init__(self) -> None:
        if self.setting_mm not in self.settings_mm:
            raise InvalidQuantityError(self.setting_mm, f"one of the settings {self.settings_mm}")

    @property
    def stands_mm(self) -> float:
        """Give how far below the deck it is, as it is set."""
        return self.down_mm + self.setting_mm


@dataclass(frozen=True)
class Line:
    """Wheels on their axles.

    Parameters
    ----------
    axles : tuple of Axle
        One at least, from the front, no two at one place along.
    tyres : tuple of Tyre
        One on each axle.
    lots : tuple of int
        Of each wheel, which article it is of: wheels of one lot share what its mark is wrong by.

    Raises
    ------
    InvalidQuantityError
        Without an axle, for axles out of order, and for as many wheels or lots as there are no axles.
    """

    axles: tuple[Axle, ...]
    tyres: tuple[Tyre, ...]
    lots: tuple[int, ...]

    def __post_init__(self) -> None:
        if not self.axles or not len(self.axles) == len(self.tyres) == len(self.lots):
            raise InvalidQuantityError((len(self.axles), len(self.tyres), len(self.lots)), "a wheel for each axle")
        if any(front.along_mm <= rear.along_mm for front, rear in pairwise(self.axles)):
            places = [axle.along_mm for axle in self.axles]
            raise InvalidQuantityError(places, "axles from the front, each behind the last")


@dataclass(frozen=True)
class Sole:
    """The boot from the side, in one size.

    Parameters
    ----------
    outline : tuple of Place
        Its underside, micrometres, two places at least, or none where nobody gave it.
    length_mm : float or None
        Toe to heel.
    front_block_depth_mm, rear_block_depth_mm : float or None
        How far the mounting blocks reach down.
    block_gap_mm : float or None
        Free length between the blocks.
    """

    outline: tuple[Place, ...] = ()
    length_mm: float | None = None
    front_block_depth_mm: float | None = None
    rear_block_depth_mm: float | None = None
    block_gap_mm: float | None = None


@dataclass(frozen=True)
class Deck:
    """What the frame has above its axles.

    Parameters
    ----------
    heel_step_mm : float or None
        How much higher the rear of the deck is than the front; None where nobody knows.
    front_bolt_along_mm, rear_bolt_along_mm : float or None
        Places of the frame bolts, None where nobody knows.
    largest_wheel_mm : float or None
        Diameter of the largest wheel that the frame's maker allows.
    takes_brake : bool or None
    """

    heel_step_mm: float | None = None
    front_bolt_along_mm: float | None = None
    rear_bolt_along_mm: float | None = None
    largest_wheel_mm: float | None = None
    takes_brake: bool | None = None


@dataclass(frozen=True)
class Load:
    """What stands on one skate.

    Parameters
    ----------
    mass_kg : float
        Of the rider with everything worn, above 0.
    along_mm : float or None
        Where it stands; None for midway between the outer axles.
    skates : int
        How many skates carry it: 1 or 2.
    height_mm : float
        Of the centre of mass above the ground, above 0.

    Raises
    ------
    InvalidQuantityError
        For figures beyond these bounds.
    """

    mass_kg: float
    along_mm: float | None
    skates: int
    height_mm: float

    def __post_init__(self) -> None:
        for found, holds, expected in (
            (self.mass_kg, math.isfinite(self.mass_kg) and self.mass_kg > 0, "a mass above 0 kg"),
            (self.along_mm, self.along_mm is None or math.isfinite(self.along_mm), "a finite place"),
            (self.skates, self.skates in (1, 2), "1 or 2 skates"),
            (self.height_mm, math.isfinite(self.height_mm) and self.height_mm > 0, "a height above 0 mm"),
        ):
            if not holds:
                raise InvalidQuantityError(found, expected)

    @property
    def newtons(self) -> float:
        """Give the load on one skate, with standard gravity (CGPM 1901)."""
        return self.mass_kg * STANDARD_GRAVITY_M_S2 / self.skates


#: Standard gravity, exact (CGPM 1901).
STANDARD_GRAVITY_M_S2 = 9.80665


@dataclass(frozen=True)
class Skate:
    """One skate as it stands: its wheel line under its boot.

    Parameters
    ----------
    line : Line
    deck : Deck
    sole : Sole
    bolt_tips_mm : tuple of (float, float)
        Ends of the frame bolts that reach below the deck: along, down.
    brake_pad_mm : float or None
        Height of the underside of the brake's pad above the ground while the skate stands on all wheels, None
        without a brake.
    """

    line: Line
    deck: Deck = field(default_factory=Deck)
    sole: Sole = field(default_factory=Sole)
    bolt_tips_mm: tuple[tuple[float, float], ...] = ()
    brake_pad_mm: float | None = None
