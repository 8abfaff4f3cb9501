"""What set-ups take to roll, held against the first of them.

The ratio of their rolling coefficients comes first: what no paper settles moves all of them together and cancels in it.
Watts come second, with a band that says how little is known of them. Every doubt is drawn 512 times, the same way for
every set-up. Loads are those on the level, of a skate that rolls straight.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import NamedTuple

import numpy as np

from mountwright.errors import InvalidQuantityError
from mountwright.riding.band import Band, exactly
from mountwright.riding.bearing_drag import BALL_FRICTION, Seal, bearing_drag, seal_drag_n_mm
from mountwright.riding.contact import stiffness_n_mm15
from mountwright.riding.draws import (
    DRAWS,
    Floats,
    drawn,
    drawn_factor,
    drawn_from_summary,
    normal,
    share_below,
    summed_up,
    uniform,
)
from mountwright.riding.estimates import estimate
from mountwright.riding.line import STANDARD_GRAVITY_M_S2, Line, Tyre
from mountwright.riding.loads import LoadCases, shared_loads, tip_margins_mm
from mountwright.riding.posture import midway_mm
from mountwright.riding.power import Balance, PowerParts, Rider, felt_slope_percent, power_by_part
from mountwright.riding.rebound import lost_share, rebound_if_measured
from mountwright.riding.ride_answer import (
    AgainstFirst,
    Bounce,
    LossPart,
    PartLoss,
    RideComparison,
    RideEstimate,
    RideLoss,
    WheelLoss,
)
from mountwright.riding.rocker_doubt import drawn_diameters_mm
from mountwright.riding.rolling import rolling
from mountwright.riding.rubber import modulus_mpa
from mountwright.riding.stands import gaps_on_level_mm


@dataclass(frozen=True)
class Ride:
    """One skate as it rolls.

    Parameters
    ----------
    line : Line
        Wheels of one lot are of one article: lots are told apart over all rides that are compared, and one lot rolls
        alike in each of them.
    load_along_mm : float or None
        Where the load stands; None for midway between the outer axles.
    seal : Seal or None
        Of its bearings, None where nobody knows.
    bearing_lot : int
        Bearings of one lot drag alike in each ride.
    """

    line: Line
    load_along_mm: float | None = None
    seal: Seal | None = None
    bearing_lot: int = 0

    @property
    def load_stands_mm(self) -> float:
        """Give where the load stands."""
        if self.load_along_mm is not None:
            return self.load_along_mm
        return midway_mm(self.line)


def rides_compared(rides: Sequence[Ride], rider: Rider, own_rolling: Band | None = None) -> RideComparison:
    """Give what each skate takes to roll, and how it rolls against the first.

    Parameters
    ----------
    rides : sequence of Ride
        One at least.
    rider : Rider
    own_rolling : Band or None
        The rider's own rolling coefficient on the first skate, from coasting down, above 0: 5 %, 50 % and 95 %. The
        others follow by their ratio. The rider's own drag area belongs to ``rider``.

    Raises
    ------
    InvalidQuantityError
        Without a ride, and for a coefficient that is not above 0.
    """
    if not rides:
        raise InvalidQuantityError(len(rides), "a ride at least")
    if own_rolling is not None and not own_rolling.low > 0:
        raise InvalidQuantityError(own_rolling, "a rolling coefficient above 0")
    margins = [_tip_margin_mm(ride) for ride in rides]
    case = _Case.of(rider)
    rolled = [_rolled(ride, case) if margin > 0 else None for ride, margin in zip(rides, margins, strict=True)]
    scale = _own_scale(rolled[0], own_rolling)
    scaled = [each and each._replace(scale=scale) for each in rolled]
    return RideComparison(
        tuple(
            RideEstimate(margin, each and _loss(each, case), _against(each, scaled[0], case) if index else None)
            for index, (margin, each) in enumerate(zip(margins, scaled, strict=True))
        )
    )


def _tip_margin_mm(ride: Ride) -> float:
    along = np.array([[axle.along_mm for axle in ride.line.axles]])
    return float(tip_margins_mm(along, np.array([ride.load_stands_mm]))[0])


class _Case(NamedTuple):
    """What all rides share: the rider, and a draw a row of what is in doubt."""

    rider: Rider
    mass_kg: Floats
    drag_area_m2: Floats
    lean: Floats
    factor: Floats
    ball_friction: Floats

    @classmethod
    def of(cls, rider: Rider) -> _Case:
        """Draw what a rider's skates share."""
        own = rider.own_drag_area_m2
        return cls(
            rider,
            drawn(rider.mass, uniform("mass")),
            drawn_from_summary(own, normal("drag area")) if own else drawn(rider.drag_area, uniform("drag area")),
            uniform("lean of the modulus"),
            drawn_from_summary(estimate("rolling_factor"), normal("rolling factor")),
            drawn(BALL_FRICTION, uniform("ball friction")),
        )

    def power(self, rolling_coefficient: Floats) -> PowerParts:
        """Give the power that the rider's speed takes."""
        rider = self.rider
        still = rider.air_density_kg_m3, rider.slope, rider.wind_m_s
        return power_by_part(Balance(self.mass_kg, rolling_coefficient, self.drag_area_m2, *still), rider.speed_m_s)


_NOTHING_MEASURED: Mapping[int, Floats] = MappingProxyType({})


class _Rolled(NamedTuple):
    """One skate, a draw a row and, where it has two axes, a wheel a column.

    Parameters
    ----------
    line : Line
    loads_n : array
    elastic : array
        What each wheel would add to the coefficient if all of the work were lost.
    bearings : array
    scale : array
        What the rider's own coefficient turns the coefficients by.
    """

    line: Line
    loads_n: Floats
    elastic: Floats
    bearings: Floats
    scale: Floats

    def by_wheel(self, measured: Mapping[int, Floats] = _NOTHING_MEASURED) -> Floats:
        """Give what each tyre adds to the coefficient, with the rebound of some lots as measured."""
        lost = [
            lost_share(measured[lot] if lot in measured else _of_lot("rebound", tyre.rebound, lot))
            for tyre, lot in zip(self.line.tyres, self.line.lots, strict=True)
        ]
        return self.elastic * np.column_stack(lost) * self.scale[:, np.newaxis]

    def coefficient(self, measured: Mapping[int, Floats] = _NOTHING_MEASURED) -> Floats:
        """Give the rolling coefficient of tyres and bearings."""
        tyres: Floats = self.by_wheel(measured).sum(axis=1)
        return tyres + self.bearings * self.scale


def _of_lot(what: str, band: Band, lot: int) -> Floats:
    return drawn(band, uniform(f"{what} of lot {lot}"))


def _over_wheels(line: Line, what: Callable[[Tyre, int], Floats]) -> Floats:
    """Give one column a wheel, by its tyre and lot."""
    return np.column_stack([what(tyre, lot) for tyre, lot in zip(line.tyres, line.lots, strict=True)])


def _unlike_bounce(tyre: Tyre, lot: int) -> Floats:
    """Give what a lot loses in rolling over what its bounce and the half-space say, against others."""
    compound = drawn_factor(estimate("compound_factor"), uniform(f"compound of lot {lot}"))
    return compound * drawn_factor(_thin_tyre(tyre.hard_core), uniform(f"thin tyre of lot {lot}"))


def _thin_tyre(hard_core: bool | None) -> Band:
    thin = estimate("thin_tyre_factor")
    if hard_core is None:
        return Band(thin.low, thin.high, thin.high)
    return thin if hard_core else exactly(1.0)


def _rolled(ride: Ride, case: _Case) -> _Rolled:
    """Share out the load of a skate that stands, and give what its wheels and bearings take."""
    line = ride.line
    radii = np.broadcast_to(drawn_diameters_mm(line) / 2, (DRAWS, len(line.axles)))
    profiles = _over_wheels(line, lambda tyre, lot: _of_lot("profile", tyre.profile_radius_mm, lot))
    hardness = _over_wheels(line, lambda tyre, lot: _of_lot("hardness", tyre.hardness_shore_a, lot))
    moduli = np.asarray(modulus_mpa(hardness, case.lean[:, np.newaxis]))
    down = np.broadcast_to([axle.stands_mm for axle in line.axles], radii.shape)
    cases = LoadCases(
        np.broadcast_to([axle.along_mm for axle in line.axles], radii.shape),
        gaps_on_level_mm(down, 2 * radii),
        stiffness_n_mm15(radii, profiles, moduli),
        case.mass_kg * STANDARD_GRAVITY_M_S2 / case.rider.skates,
        np.full(DRAWS, ride.load_stands_mm),
    )
    loads = shared_loads(cases).loads_n
    by_wheel = rolling(loads, radii, profiles, moduli, _over_wheels(line, _unlike_bounce)).by_wheel
    elastic = by_wheel * loads / loads.sum(axis=1, keepdims=True) * case.factor[:, np.newaxis]
    seals = drawn(seal_drag_n_mm(ride.seal), uniform(f"seal of bearings {ride.bearing_lot}"))
    bearings = bearing_drag(loads, radii, seals[:, np.newaxis], case.ball_friction[:, np.newaxis])
    return _Rolled(line, loads, elastic, bearings, np.ones(DRAWS))


def _own_scale(first: _Rolled | None, own_rolling: Band | None) -> Floats:
    """Give what the rider's own coefficient on the first skate turns those of all by."""
    if first is None or own_rolling is None:
        return np.ones(DRAWS)
    return drawn_from_summary(own_rolling, normal("own rolling")) / first.coefficient()


def _loss(rolled: _Rolled, case: _Case) -> RideLoss:
    by_wheel, coefficient = rolled.by_wheel(), rolled.coefficient()
    power = case.power(coefficient)
    bearings_w = power.rolling_w * (rolled.bearings * rolled.scale / coefficient)
    taken = {
        LossPart.TYRES: np.asarray(power.rolling_w - bearings_w),
        LossPart.BEARINGS: np.asarray(bearings_w),
        LossPart.AIR: np.asarray(power.air_w),
    }
    together = np.sum([np.maximum(watts, 0) for watts in taken.values()], axis=0)
    shares = (by_wheel / by_wheel.sum(axis=1, keepdims=True)).mean(axis=0)
    return RideLoss(
        summed_up(coefficient),
        tuple(
            PartLoss(part, _share(np.maximum(watts, 0) / together), summed_up(watts)) for part, watts in taken.items()
        ),
        tuple(map(WheelLoss, rolled.loads_n.mean(axis=0).tolist(), shares.tolist())),
        summed_up(np.asarray(power.total_w)),
    )


def _share(values: Floats) -> Band:
    """Give a share with its mean as the likely value, so that shares add up."""
    band, mean = summed_up(values), float(values.mean())
    return Band(min(band.low, mean), mean, max(band.high, mean))


def _against(rolled: _Rolled | None, first: _Rolled | None, case: _Case) -> AgainstFirst | None:
    if rolled is None or first is None:
        return None
    coefficient, of_first = rolled.coefficient(), first.coefficient()
    ratio = coefficient / of_first
    more_w = case.power(coefficient).rolling_w - case.power(of_first).rolling_w
    return AgainstFirst(
        summed_up(ratio),
        share_below(ratio, 1.0),
        summed_up(np.asarray(felt_slope_percent(coefficient, of_first))),
        summed_up(np.asarray(more_w)),
        _bounces(rolled, first, _half_width(ratio)),
    )


def _half_width(ratio: Floats) -> float:
    band = summed_up(ratio)
    return (band.high - band.low) / 2


#: Equally likely parts of a rebound's band, the middle of each of which a measurement may turn out to be.
_TURNS_OUT = (np.arange(8) + 0.5) / 8


def _bounces(rolled: _Rolled, first: _Rolled, half_width: float) -> tuple[Bounce, ...]:
    lines = (first.line, rolled.line)
    rebounds = {lot: tyre.rebound for line in lines for tyre, lot in zip(line.tyres, line.lots, strict=True)}
    bounces = [
        Bounce(lot, half_width, _expected_half_width(rolled, first, lot, rebound)) for lot, rebound in rebounds.items()
    ]
    least_gain = estimate("bounce_least_gain").likely
    telling = [bounce for bounce in bounces if half_width - bounce.expected_half_width >= least_gain]
    return tuple(sorted(telling, key=lambda bounce: (bounce.expected_half_width, bounce.lot)))


def _expected_half_width(rolled: _Rolled, first: _Rolled, lot: int, rebound: Band) -> float:
    """Give the half-width of the ratio's band with a lot's bounce measured: the mean over what it may turn out."""
    widths = []
    for found in drawn(rebound, _TURNS_OUT).tolist():
        measured = {lot: _of_lot("rebound", rebound_if_measured(found), lot)}
        widths.append(_half_width(rolled.coefficient(measured) / first.coefficient(measured)))
    return float(np.mean(widths))
