"""How much easier a skate rolls with other wheels or bearings, as whole numbers for a plan.

The ride's own figures are drawn 512 times; a plan compares hundreds of parts, so each figure here is the middle of what
it may be, and all parts are reckoned at once. What is chosen in the end is worth the whole comparison of the rides.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import lru_cache
from math import gcd
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from mountwright.checkout.article import Article
from mountwright.checkout.basket import Fitted, Version
from mountwright.riding.band import Band, exactly
from mountwright.riding.bearing_drag import BALL_FRICTION, Seal, bearing_drag, seal_drag_n_mm
from mountwright.riding.contact import stiffness_n_mm15
from mountwright.riding.draws import drawn, drawn_factor
from mountwright.riding.estimates import estimate
from mountwright.riding.line import STANDARD_GRAVITY_M_S2, Axle, Line, Tyre
from mountwright.riding.loads import LoadCases, shared_loads
from mountwright.riding.power import felt_slope_percent
from mountwright.riding.rebound import WheelOrigin, lost_share
from mountwright.riding.ride import Ride
from mountwright.riding.rolling import rolling
from mountwright.riding.rubber import modulus_mpa
from mountwright.riding.stands import gaps_on_level_mm
from mountwright.upgrading.customer import Customer
from mountwright.upgrading.estimates import upgrade_estimates
from mountwright.upgrading.problem import Rate
from mountwright.upgrading.rolling_parts import (
    axles_of,
    new_tyre,
    seal_of,
    standing_tyre,
    stock_origin,
)

Floats = NDArray[np.float64]

#: A gain of 1 is a road that rises by so much of a per cent less.
PER_CENT = 10_000

_DAYS_A_YEAR = 365

#: What one buys rolls unlike what stands there, even if it is of the same make: it is a lot of its own.
_OWN_LOT, _OTHER_LOT = 0, 1

#: Wheels that a skate stands on at least, and the way from one axle to the next in diameters, which no load depends on.
_FEWEST_WHEELS, _PITCH = 2, 1.05


def usual_rate() -> Rate:
    """Give what a gain is worth: minor units of money for a tenth of a per cent of slope over a year, an estimate.

    Durations of the stages are in days.
    """
    worth = int(upgrade_estimates()["worth_of_a_felt_tenth"].likely)
    gain_days = PER_CENT // 10 * _DAYS_A_YEAR
    common = gcd(worth, gain_days)
    return Rate(worth // common, gain_days // common)


def ride_as_is(customer: Customer) -> Ride | None:
    """Give how the skate rolls as it is, None where too little is known of its frame or its wheels.

    Of a model that hides several versions the first one stands for all.
    """
    version = customer.owned.versions[0]
    frames = [axles_of(each.article) for each in version.fitted if each.article.kind == "frame"]
    tyres = {_standing(each, version, customer) for each in version.fitted if each.article.kind == "wheel"}
    tyre = tyres.pop() if len(tyres) == 1 else None
    if tyre is None or not frames or len(frames[0]) < 2 or any(axles != frames[0] for axles in frames):
        return None
    seals = {seal_of(each.article) for each in version.fitted if each.article.kind == "bearing"}
    return _ride(frames[0], tyre, _OWN_LOT, seals.pop() if len(seals) == 1 else None)


def _standing(fitted: Fitted, version: Version, customer: Customer) -> Tyre | None:
    origin = stock_origin(version.skate) if fitted.as_sold else WheelOrigin.SOLD_ALONE
    return standing_tyre(fitted.article, origin, customer.worn_mm.get("wheel"))


def _ride(axles: Sequence[Axle], tyre: Tyre, lot: int, seal: Seal | None) -> Ride:
    count = len(axles)
    return Ride(Line(tuple(axles), (tyre,) * count, (lot,) * count), seal=seal, bearing_lot=_OWN_LOT)


def rides_on_wheels(as_is: Ride, wheels: Iterable[tuple[Article, int]]) -> list[Ride | None]:
    """Give how the skate rolls on other wheels, each with how many of them are on a skate.

    Where these are not as many as now, which frame they will stand in is not settled yet: level axles are taken, whose
    wheels share the load alike wherever they stand. So no gain depends on which frames are for sale.

    Parameters
    ----------
    as_is : Ride
    wheels : iterable of (Article, int)

    Returns
    -------
    list of Ride or None
        None where diameter or hardness of a wheel is not known, and for less than two wheels.
    """
    known: dict[tuple[Tyre, int], Ride | None] = {}
    found: list[Ride | None] = []
    for wheel, count in wheels:
        tyre = new_tyre(wheel)
        if tyre is None or count < _FEWEST_WHEELS:
            found.append(None)
            continue
        if (tyre, count) not in known:
            axles = as_is.line.axles if count == len(as_is.line.axles) else _level(count, tyre)
            known[tyre, count] = _ride(axles, tyre, _OTHER_LOT, as_is.seal)
        found.append(known[tyre, count])
    return found


def _level(count: int, tyre: Tyre) -> tuple[Axle, ...]:
    """Give axles at one height, the middle of the wheelbase at 0 and room for the wheels between them."""
    return tuple([Axle(((count - 1) / 2 - place) * _PITCH * tyre.diameter.mm, 0.0) for place in range(count)])


def rides_on_bearings(as_is: Ride, bearings: Iterable[Article]) -> list[Ride | None]:
    """Give how the skate rolls on other bearings, None where the seal of either is not known."""
    seals = [seal_of(bearing) for bearing in bearings]
    rides = {seal: replace(as_is, seal=seal, bearing_lot=_OTHER_LOT) for seal in seals if seal and as_is.seal}
    return [rides.get(seal) if seal else None for seal in seals]


def gains(as_is: Ride, rides: Sequence[Ride | None], mass_kg: float) -> list[int | None]:
    """Give how much easier each ride is than the skate as it is, :data:`PER_CENT` for a per cent of slope.

    Parameters
    ----------
    as_is : Ride
    rides : sequence of Ride or None
    mass_kg : float
        Of the rider with everything worn, above 0.

    Returns
    -------
    list of int or None
        Below 0 for what rolls worse, None for None. A ride is worth the same whatever is asked with it.
    """
    known = list({id(ride): ride for ride in rides if ride is not None}.values())
    own, *others = middle_coefficients([as_is, *known], mass_kg)
    found = {
        id(ride): round(-PER_CENT * float(felt_slope_percent(other, own)))
        for ride, other in zip(known, others, strict=True)
    }
    return [None if ride is None else found[id(ride)] for ride in rides]


def middle_coefficients(rides: Sequence[Ride], mass_kg: float) -> list[float]:
    """Give the rolling coefficient of each ride with every figure in the middle of what it may be.

    Parameters
    ----------
    rides : sequence of Ride
        Of two wheels each at least.
    mass_kg : float
        That stands on one skate, above 0.
    """
    by_count: dict[int, list[int]] = {}
    for place, ride in enumerate(rides):
        by_count.setdefault(len(ride.line.axles), []).append(place)
    found = np.zeros(len(rides))
    for places in by_count.values():
        found[places] = _of_one_count([rides[place] for place in places], mass_kg)
    return [float(each) for each in found]


class _Middle(NamedTuple):
    """A tyre with every figure in its middle; ``lost`` is the share of the work, with what a thin tyre saves."""

    radius_mm: float
    profile_mm: float
    modulus_mpa: float
    lost: float


def _of_one_count(rides: Sequence[Ride], mass_kg: float) -> Floats:
    tyres = np.array([[_middle(tyre) for tyre in ride.line.tyres] for ride in rides])
    radii, profiles, moduli, lost = np.moveaxis(tyres, 2, 0)
    along = np.array([[axle.along_mm for axle in ride.line.axles] for ride in rides])
    down = np.array([[axle.stands_mm for axle in ride.line.axles] for ride in rides])
    cases = LoadCases(
        along,
        gaps_on_level_mm(down, 2 * radii),
        stiffness_n_mm15(radii, profiles, moduli),
        np.full(len(rides), mass_kg * STANDARD_GRAVITY_M_S2),
        np.array([ride.load_stands_mm for ride in rides]),
    )
    loads = shared_loads(cases).loads_n
    seals = np.array([[_middle_of(seal_drag_n_mm(ride.seal))] for ride in rides])
    bearings = bearing_drag(loads, radii, seals, _middle_of(BALL_FRICTION))
    total: Floats = estimate("rolling_factor").likely * rolling(loads, radii, profiles, moduli, lost).total + bearings
    return total


@lru_cache(maxsize=4096)
def _middle(tyre: Tyre) -> _Middle:
    diameter = tyre.diameter.mm + _middle_of(tyre.diameter.shared_mm)
    factors = estimate("compound_factor"), _thin_tyre(tyre.hard_core)
    unlike = float(np.prod([drawn_factor(band, np.array(0.5)) for band in factors]))
    modulus = float(modulus_mpa(_middle_of(tyre.hardness_shore_a), 0.5))
    lost = lost_share(_middle_of(tyre.rebound)) * unlike
    return _Middle(diameter / 2, _middle_of(tyre.profile_radius_mm), modulus, lost)


def _thin_tyre(hard_core: bool | None) -> Band:
    thin = estimate("thin_tyre_factor")
    if hard_core is None:
        return Band(thin.low, thin.high, thin.high)
    return thin if hard_core else exactly(1.0)


def _middle_of(band: Band) -> float:
    """Give the value that as much of a band's probability lies below as above."""
    return float(drawn(band, np.array(0.5)))
