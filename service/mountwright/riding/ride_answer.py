"""What is said of set-ups that are compared as they roll."""

from __future__ import annotations

from enum import StrEnum
from typing import NamedTuple

from mountwright.fitting.estimates import estimates
from mountwright.riding.band import Band


class LossPart(StrEnum):
    """What takes power on the level."""

    TYRES = "tyres"
    BEARINGS = "bearings"
    AIR = "air"


class PartLoss(NamedTuple):
    """What one part takes.

    Parameters
    ----------
    part : LossPart
    share : Band
        Of what tyres, bearings and air take together, 0 for air that pushes; the likely shares add up to 1.
    power_w : Band
        Below 0 for air that pushes.
    """

    part: LossPart
    share: Band
    power_w: Band


class WheelLoss(NamedTuple):
    """What one wheel carries, and its share of what the tyres take."""

    load_n: float
    share: float


class RideLoss(NamedTuple):
    """What a skate takes to roll.

    Parameters
    ----------
    rolling_coefficient : Band
        Of tyres and bearings, as a share of the weight.
    parts : tuple of PartLoss
        Tyres, bearings, air.
    wheels : tuple of WheelLoss
        From the front.
    power_w : Band
        With what the slope takes; below 0 where the rider has to brake.
    """

    rolling_coefficient: Band
    parts: tuple[PartLoss, ...]
    wheels: tuple[WheelLoss, ...]
    power_w: Band


class Bounce(NamedTuple):
    """What it would tell to measure how high the wheels of a lot bounce.

    Parameters
    ----------
    lot : int
    half_width : float
        Of the ratio's band as it is.
    expected_half_width : float
        Of the ratio's band with the bounce measured, on average over what it may turn out to be.
    """

    lot: int
    half_width: float
    expected_half_width: float


class Outcome(StrEnum):
    """How a skate rolls against the first."""

    SAME = "same"
    EASIER = "easier"
    LIKELY_EASIER = "likely_easier"
    CANNOT_TELL = "cannot_tell"
    LIKELY_HARDER = "likely_harder"
    HARDER = "harder"


class AgainstFirst(NamedTuple):
    """How a skate rolls against the first.

    Parameters
    ----------
    ratio : Band
        Of its rolling coefficient to that of the first.
    easier_probability : float
        That it rolls easier than the first, within 0 and 1, both exclusive; one half where they are the same.
    felt_slope_percent : Band
        By how much the road seems to rise more than with the first; below 0 for less.
    power_more_w : Band
        What it takes more than the first at the rider's speed; below 0 for less.
    bounces : tuple of Bounce
        What measuring would tell, most first; none of lots of which it would tell next to nothing.
    """

    ratio: Band
    easier_probability: float
    felt_slope_percent: Band
    power_more_w: Band
    bounces: tuple[Bounce, ...]

    @property
    def outcome(self) -> Outcome:
        """Tell how it rolls, by the thresholds of a fit: said outright, worth a try, or neither."""
        sure, worth_a_try = estimates().fits, estimates().try_it
        easier, harder = self.easier_probability, 1 - self.easier_probability
        if self.ratio.is_exact and self.ratio.likely == 1:
            return Outcome.SAME
        if max(easier, harder) < worth_a_try:
            return Outcome.CANNOT_TELL
        if easier > harder:
            return Outcome.EASIER if easier >= sure else Outcome.LIKELY_EASIER
        return Outcome.HARDER if harder >= sure else Outcome.LIKELY_HARDER


class RideEstimate(NamedTuple):
    """What is to be said of one skate.

    Parameters
    ----------
    tip_margin_mm : float
        How far inside the outer axles the load stands; it tips at 0 and below.
    loss : RideLoss or None
        None where it tips.
    against_first : AgainstFirst or None
        None for the first, and where it or the first tips.
    """

    tip_margin_mm: float
    loss: RideLoss | None
    against_first: AgainstFirst | None

    @property
    def tips(self) -> bool:
        """Tell whether the load tips it, so that nothing else can be said."""
        return self.loss is None


class RideComparison(NamedTuple):
    """What is to be said of each skate, in the order in which they were given."""

    rides: tuple[RideEstimate, ...]
