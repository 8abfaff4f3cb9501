"""From the articles of a shop to what rolls: tyres, axles and the seals of bearings, where their figures are known."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from mountwright.checkout.article import Article
from mountwright.measure.uncertainty import rectangular
from mountwright.riding.band import Band, exactly
from mountwright.riding.bearing_drag import Seal
from mountwright.riding.estimates import estimate
from mountwright.riding.line import Axle, Diameter, Tyre
from mountwright.riding.rebound import WheelOrigin, rebound_by_kind
from mountwright.riding.rubber import HARDEST_SHORE_A, SOFTEST_SHORE_A
from mountwright.upgrading.estimates import upgrade_estimates

#: Currency of the bounds between cheap and dear skates.
_BOUNDS_CURRENCY = "EUR"

#: A rebound from a sheet stays within these shares.
_LEAST_REBOUND, _MOST_REBOUND = 0.02, 0.98


def new_tyre(wheel: Article) -> Tyre | None:
    """Give the tyre of a wheel that is bought, None unless both its diameter and its hardness are known."""
    shift, scatter = estimate("marked_diameter_shift_mm"), estimate("new_diameter_scatter_mm").likely
    mark = wheel.specs.get("diameter_mm")
    return None if mark is None else _tyre(wheel, Diameter(mark, shift, scatter, False), WheelOrigin.SOLD_ALONE)


def standing_tyre(wheel: Article, origin: WheelOrigin, worn_mm: float | None = None) -> Tyre | None:
    """Give the tyre of a wheel that stands on a skate, None unless both its diameter and its hardness are known.

    Parameters
    ----------
    wheel : Article
    origin : WheelOrigin
        Where it comes from, which tells something of its rebound where nobody else does.
    worn_mm : float or None
        Its diameter as it was measured; None takes its mark, less what is usually worn off.
    """
    if worn_mm is not None:
        read = rectangular(upgrade_estimates()["worn_mark_half_width_mm"].likely)
        return _tyre(wheel, Diameter(worn_mm, exactly(0.0), read, True), origin)
    mark = wheel.specs.get("diameter_mm")
    shift, scatter = estimate("used_diameter_shift_mm"), estimate("used_diameter_scatter_mm").likely
    return None if mark is None else _tyre(wheel, Diameter(mark, shift, scatter, False), origin)


def _tyre(wheel: Article, diameter: Diameter, origin: WheelOrigin) -> Tyre | None:
    names = ("hardness_shore_a", "profile_radius_mm", "rebound_percent", "hard_core")
    hardness, profile, rebound, hard_core = (wheel.specs.get(name) for name in names)
    if hardness is None or hardness > HARDEST_SHORE_A:
        return None
    return _made(diameter, hardness, profile, rebound, hard_core, origin)


# A shop has a few kinds of wheels in many colours and packs.
@lru_cache(maxsize=4096)
def _made(
    diameter: Diameter,
    hardness: float,
    profile_mm: float | None,
    rebound_percent: float | None,
    hard_core: bool | None,
    origin: WheelOrigin,
) -> Tyre:
    half = estimate("marked_hardness_half_width_shore_a").likely
    marked = Band(max(hardness - half, SOFTEST_SHORE_A), hardness, min(hardness + half, HARDEST_SHORE_A))
    rebound = rebound_by_kind(origin, hard_core) if rebound_percent is None else _told_rebound(rebound_percent)
    return Tyre(diameter, marked, _profile(profile_mm), rebound, hard_core)


def _profile(drawn_mm: float | None) -> Band:
    if drawn_mm is None:
        return estimate("unknown_profile_radius_mm")
    half = min(estimate("drawn_profile_half_width_mm").likely, drawn_mm / 2)
    return Band(drawn_mm - half, drawn_mm, drawn_mm + half)


def _told_rebound(percent: float) -> Band:
    told, half = percent / 100, estimate("told_rebound_half_width").likely
    return Band(max(told - half, min(told, _LEAST_REBOUND)), told, min(told + half, max(told, _MOST_REBOUND)))


def stock_origin(skate: Article) -> WheelOrigin:
    """Give what wheels a skate was sold with, as far as its price tells, which it does in one currency only."""
    if skate.price is None or skate.price.currency != _BOUNDS_CURRENCY:
        return WheelOrigin.UNKNOWN
    price_eur = skate.price.minor / 100
    if price_eur < estimate("cheap_skate_below_eur").likely:
        return WheelOrigin.STOCK_CHEAP
    return WheelOrigin.STOCK_DEAR if price_eur >= estimate("dear_skate_from_eur").likely else WheelOrigin.STOCK_MIDDLE


def axles_of(frame: Article) -> tuple[Axle, ...]:
    """Give the axles of a frame from the front, as they are usually set; none where nobody gave them."""
    rows = sorted(frame.specs.get("axle_places", ()), key=lambda row: float(row["along_mm"]), reverse=True)
    return tuple([_axle(row) for row in rows]) if len({row["along_mm"] for row in rows}) == len(rows) else ()


def _axle(row: Mapping[str, Any]) -> Axle:
    """Give an axle with the setting that is nearest to the drawn place, of two equally near the lower one."""
    settings = tuple(sorted({float(each) for each in row.get("down_settings_mm", ())})) or (0.0,)
    usual = min(settings, key=lambda setting: (abs(setting), setting))
    return Axle(row["along_mm"], row["down_mm"], settings, usual)


def seal_of(bearing: Article) -> Seal | None:
    """Give what keeps dirt out of a bearing, None where nobody said."""
    found = bearing.specs.get("seal")
    return None if found is None else Seal(found)
