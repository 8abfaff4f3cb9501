"""The comparison of rides as JSON."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from mountwright.measure.quantity import significant
from mountwright.messages import Messages
from mountwright.riding.band import Band
from mountwright.riding.chain import Chain, Change
from mountwright.riding.coast_down import CoastDown
from mountwright.riding.power import glide_slope_deg, same_effort_speed_m_s
from mountwright.riding.ride_answer import AgainstFirst, Bounce, RideEstimate, RideLoss
from mountwright.web.answers.bands import band_json, notes_json, said
from mountwright.web.rides.asked import Reckoned, RidesAsked
from mountwright.web.rides.assembling import Piece, SetUp

Json = dict[str, Any]

#: Said with every comparison: what the figures are, and what they are not.
_ALWAYS = ("ride.ratio_first", "ride.watts_are_rough", "ride.straight_and_level")


class _Scene(NamedTuple):
    """What every sentence needs: who says it, and of each lot where its wheels stand first."""

    messages: Messages
    whose: Mapping[int, tuple[int, tuple[int, ...], Piece]]


def rides_json(asked: RidesAsked, reckoned: Reckoned, messages: Messages) -> Json:
    """Give the comparison, all but its receipt."""
    scene, rider, own = _Scene(messages, dict(_whose(asked, reckoned))), reckoned.rider, reckoned.own
    always = [*_ALWAYS, *(["ride.speed_taken"] if asked.rider.speed_was_taken else [])]
    return {
        "set_ups": [
            {
                **_set_up(index, set_up, each, scene),
                "same_effort_speed_m_s": _speed(each, reckoned),
                "chain": None if chain is None else _chain(*chain, messages),
            }
            for index, (set_up, each, chain) in enumerate(
                zip(asked.set_ups, reckoned.found.rides, reckoned.chains, strict=True)
            )
        ],
        "rider": {
            "mass_kg": significant(rider.mass.likely),
            "speed_m_s": rider.speed_m_s,
            "drag_area_m2": band_json(rider.drag_area),
        },
        "coast_down": None if own is None else _coast_down(own, messages),
        "notes": [said(code, {"speed_m_s": rider.speed_m_s}, messages) for code in always],
    }


def _whose(asked: RidesAsked, reckoned: Reckoned) -> Iterator[tuple[int, tuple[int, tuple[int, ...], Piece]]]:
    """Give of each lot the first set-up that has it, on which axles, and the wheel; the last said counts."""
    for index, (set_up, ride) in reversed(list(enumerate(zip(asked.set_ups, reckoned.rides, strict=True)))):
        for lot in ride.line.lots:
            axles = tuple(axle for axle, of in enumerate(ride.line.lots) if of == lot)
            yield lot, (index, axles, set_up.wheels[axles[0]])


def _set_up(index: int, set_up: SetUp, found: RideEstimate, scene: _Scene) -> Json:
    against, loss = found.against_first, found.loss
    return {
        "index": index,
        "name": set_up.name or None,
        "outcome": "tips" if found.tips else "rolls",
        "tip_margin_mm": significant(found.tip_margin_mm),
        "against_first": None if against is None else _against(against, scene),
        **_loss(loss, set_up),
        "notes": notes_json(set_up.notes, scene.messages),
    }


def _against(found: AgainstFirst, scene: _Scene) -> Json:
    ratio, slope = found.ratio, found.felt_slope_percent
    words = {
        "ratio": round(ratio.likely, 2),
        "low": round(ratio.low, 2),
        "high": round(ratio.high, 2),
        "slope_percent": round(abs(slope.likely), 2),
        "probability": round(max(found.easier_probability, 1 - found.easier_probability), 2),
    }
    return {
        "outcome": found.outcome,
        "ratio": band_json(ratio),
        "easier_probability": significant(found.easier_probability),
        "felt_slope_percent": band_json(slope),
        "power_more_w": band_json(found.power_more_w),
        **said(f"ride.{found.outcome}", words, scene.messages),
        "measurements": [_bounce(bounce, scene) for bounce in found.bounces],
    }


def _bounce(found: Bounce, scene: _Scene) -> Json:
    """Say which wheel to drop, and what that would tell."""
    set_up, axles, wheel = scene.whose[found.lot]
    return {
        "set_up": set_up,
        "axles": list(axles),
        "sku": wheel.sku,
        "half_width": significant(found.half_width),
        "expected_half_width": significant(found.expected_half_width),
        **said("ride.measure_bounce", {"wheel": wheel.name or "wheel"}, scene.messages),
    }


def _loss(found: RideLoss | None, set_up: SetUp) -> Json:
    if found is None:
        return {"rolling_coefficient": None, "glide_slope_deg": None, "power_w": None, "parts": [], "wheels": []}
    return {
        "rolling_coefficient": band_json(found.rolling_coefficient),
        "glide_slope_deg": band_json(_glide_slope_deg(found.rolling_coefficient)),
        "power_w": band_json(found.power_w),
        "parts": [
            {"part": each.part, "share": band_json(each.share), "power_w": band_json(each.power_w)}
            for each in found.parts
        ],
        "wheels": [
            {"axle": axle, "sku": wheel.sku, "load_n": significant(each.load_n), "share": significant(each.share)}
            for axle, (each, wheel) in enumerate(zip(found.wheels, set_up.wheels, strict=True))
        ],
    }


def _chain(found: Chain, change: Change | None, messages: Messages) -> Json:
    moves = dict(change.moves) if change else {}
    softest = found.softest
    return {
        "links": [
            {
                "name": link.name,
                "share": band_json(link.share),
                "share_moved": band_json(moves[link.name]) if link.name in moves else None,
                "softest_how_often": significant(link.softest_how_often),
                "how": link.how,
            }
            for link in found.links
        ],
        "order_holds_how_often": significant(found.holds_how_often),
        **said(
            "chain.softest",
            {
                "link": softest.name,
                "share_percent": round(100 * softest.share.likely),
                "how_often_percent": round(100 * softest.softest_how_often),
            },
            messages,
        ),
        "notes": notes_json(found.notes, messages),
    }


def _speed(found: RideEstimate, reckoned: Reckoned) -> float | None:
    """Give the speed at what the first set-up takes, None where either tips or the first takes nothing."""
    first = reckoned.found.rides[0].loss
    if found.loss is None or first is None:
        return None
    coefficients = found.loss.rolling_coefficient.likely, first.rolling_coefficient.likely
    speed = same_effort_speed_m_s(reckoned.rider, *coefficients)
    return None if speed is None else significant(speed)


def _glide_slope_deg(coefficient: Band) -> Band:
    """Give the slope down which the skate just keeps rolling."""
    return Band(*(float(glide_slope_deg(each)) for each in (coefficient.low, coefficient.likely, coefficient.high)))


def _coast_down(found: CoastDown, messages: Messages) -> Json:
    return {
        "rolling_coefficient": band_json(found.rolling),
        "drag_area_m2": band_json(found.drag_area_m2),
        "by_run": [band_json(each) for each in found.by_run],
        "is_contradictory": found.is_contradictory,
        "notes": notes_json(found.notes, messages),
        "further_runs": [
            {
                "start_speed_m_s": significant(each.start_speed_m_s),
                "rolling_left": significant(each.rolling_left),
                "drag_area_left": significant(each.drag_area_left),
                **said(each.code, {"start_speed_m_s": each.start_speed_m_s}, messages),
            }
            for each in found.further
        ],
    }
