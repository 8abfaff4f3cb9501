"""From what is known of a wheel to the tyre that rolls; what nobody said is taken wide, and said so."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from marshmallow import ValidationError

from mountwright.riding.band import Band, exactly
from mountwright.riding.estimates import estimate
from mountwright.riding.line import Diameter, Tyre
from mountwright.riding.note import Note
from mountwright.riding.rebound import WheelOrigin, rebound_by_kind, rebound_measured
from mountwright.riding.rubber import HARDEST_SHORE_A, SOFTEST_SHORE_A
from mountwright.web.faults import fault

Json = Mapping[str, Any]

#: A rebound from a sheet stays within these shares.
_LEAST_REBOUND, _MOST_REBOUND = 0.02, 0.98


class Reading(NamedTuple):
    """A length that was measured, millimetres, with its standard uncertainty."""

    mm: float
    standard_uncertainty_mm: float


class Stood(NamedTuple):
    """Where a wheel comes from: with the skate, whose price tells something of it, or not."""

    is_stock: bool
    price_minor: int | None = None
    currency: str | None = None


def tyre_of(entry: Json, specs: Json, stood: Stood) -> tuple[Tyre, list[Note]]:
    """Give the tyre of a wheel, and what was taken for it that nobody said.

    Parameters
    ----------
    entry : Mapping
        What the request says of it beside its figures; empty for a wheel that the skate comes with.
    specs : Mapping
        Its figures.
    stood : Stood

    Raises
    ------
    ValidationError
        Without a diameter, and for a tyre that is too hard for any fit of its modulus.
    """
    notes: list[Note] = []
    hard_core = specs.get("hard_core")
    tyre = Tyre(
        _diameter(entry, specs, notes),
        _hardness(specs, notes),
        _profile(specs, notes),
        _rebound(entry, specs, stood, notes),
        hard_core,
    )
    return tyre, notes


def _diameter(entry: Json, specs: Json, notes: list[Note]) -> Diameter:
    measured: Reading | None = entry.get("measured_mm")
    if measured is not None:
        return Diameter(measured.mm, exactly(0.0), measured.standard_uncertainty_mm, is_measured=True)
    if "diameter_mm" not in specs:
        raise ValidationError({"parts": fault("ride.no_diameter")})
    if entry.get("used"):
        notes.append(Note("ride.used_not_measured"))
        shift, scatter = estimate("used_diameter_shift_mm"), estimate("used_diameter_scatter_mm")
    else:
        shift, scatter = estimate("marked_diameter_shift_mm"), estimate("new_diameter_scatter_mm")
    return Diameter(specs["diameter_mm"], shift, scatter.likely, is_measured=False)


def _hardness(specs: Json, notes: list[Note]) -> Band:
    mark = specs.get("hardness_shore_a")
    if mark is None:
        notes.append(Note("ride.hardness_taken"))
        return estimate("unknown_hardness_shore_a")
    if mark > HARDEST_SHORE_A:
        raise ValidationError({"parts": fault("ride.too_hard", mark, most=HARDEST_SHORE_A)})
    half = estimate("marked_hardness_half_width_shore_a").likely
    return Band(max(mark - half, SOFTEST_SHORE_A), mark, min(mark + half, HARDEST_SHORE_A))


def _profile(specs: Json, notes: list[Note]) -> Band:
    drawn = specs.get("profile_radius_mm")
    if drawn is None:
        notes.append(Note("ride.profile_taken"))
        return estimate("unknown_profile_radius_mm")
    half = min(estimate("drawn_profile_half_width_mm").likely, drawn / 2)
    return Band(drawn - half, drawn, drawn + half)


def _rebound(entry: Json, specs: Json, stood: Stood, notes: list[Note]) -> Band:
    bounce = entry.get("bounce")
    if bounce is not None:
        return rebound_measured(bounce["drop_mm"], bounce["return_mm"])
    if "rebound_percent" in specs:
        told, half = specs["rebound_percent"] / 100, estimate("told_rebound_half_width").likely
        return Band(max(told - half, min(told, _LEAST_REBOUND)), told, min(told + half, max(told, _MOST_REBOUND)))
    notes.append(Note("ride.rebound_taken"))
    return rebound_by_kind(_origin(entry, stood), specs.get("hard_core"))


def _origin(entry: Json, stood: Stood) -> WheelOrigin:
    """Give what kind of wheel it is; a price tells it only in the currency that the bounds are in."""
    if "origin" in entry:
        return WheelOrigin(entry["origin"])
    if not stood.is_stock:
        return WheelOrigin.SOLD_ALONE if "sku" in entry else WheelOrigin.UNKNOWN
    if stood.price_minor is None or stood.currency != "EUR":
        return WheelOrigin.UNKNOWN
    price_eur = stood.price_minor / 100
    if price_eur < estimate("cheap_skate_below_eur").likely:
        return WheelOrigin.STOCK_CHEAP
    return WheelOrigin.STOCK_DEAR if price_eur >= estimate("dear_skate_from_eur").likely else WheelOrigin.STOCK_MIDDLE
