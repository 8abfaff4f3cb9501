"""A wheel line as JSON."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from mountwright.fitting.answers import NextStep
from mountwright.measure.quantity import significant
from mountwright.messages import Messages
from mountwright.riding.largest_wheel import Bound, LargestWheel
from mountwright.riding.posture import TipMargin
from mountwright.riding.rocker_doubt import RockerDoubt
from mountwright.riding.rocker_options import RockerOption, RockerOptions
from mountwright.riding.room import Clearance, Room
from mountwright.riding.shift import Range, Shift
from mountwright.riding.stands import Stand
from mountwright.riding.wheel_line import UnderLoad, WheelLine
from mountwright.web.answers.bands import band_json, notes_json, said
from mountwright.web.answers.fit_answers import step_json
from mountwright.web.rides.asked import Seen, WheelLineAsked

Json = dict[str, Any]

#: Said with every wheel line that shows work: what it may cost, and who has the last word.
_ALWAYS = ("caution.geometry_only", "caution.follow_maker")


def wheel_line_json(asked: WheelLineAsked, seen: Seen, messages: Messages) -> Json:
    """Give all there is to say about a wheel line, but its receipt."""
    line = seen.line
    words = {"margin_mm": round(line.margin_mm, 1), "rocker_mm": round(line.rocker_mm, 2)}
    return {
        "outcome": line.outcome,
        "margin_mm": significant(line.margin_mm),
        **said(f"wheels.{line.outcome}", words, messages),
        "wheels": _wheels(asked, seen),
        **_shape(line),
        "stands": [_stand(stand) for stand in line.stands],
        "never_touching": list(line.never_touching),
        "doubt": _doubt(line.doubt),
        "posture": _posture(line.under_load, seen.brake_pad_mm),
        "before": None if seen.before is None else _before(seen.before, asked),
        **_room(seen, messages),
        "shift": None if seen.shift is None else _shift(seen.shift, messages),
        "options": None if seen.options is None else _options(seen.options, messages),
        "notes": notes_json([*asked.set_up.notes, *line.notes], messages),
        "cautions": [{"code": code, "message": messages.text(code)} for code in _ALWAYS],
        "picture": None if asked.packed is None else f"/v1/wheel-lines/picture?of={asked.packed}",
    }


def _shape(line: WheelLine) -> Json:
    under = line.under_load
    return {
        "wheelbase_mm": significant(line.wheelbase_mm),
        "effective_wheelbase_mm": None if under is None else significant(under.effective_wheelbase_mm),
        "loaded_wheelbase_mm": None if under is None else significant(under.loaded_wheelbase_mm),
        "rocker_mm": significant(line.rocker_mm),
        "rocker_radius_mm": _or_none(line.rocker_radius_mm),
        "rocks_deg": significant(line.rocks_deg),
        "turning_ratio": None if under is None else significant(under.turning_ratio),
    }


def _or_none(value: float | None) -> float | None:
    return None if value is None else significant(value)


def _wheels(asked: WheelLineAsked, seen: Seen) -> list[Json]:
    line = asked.set_up.skate.line
    under, doubt = seen.line.under_load, seen.line.doubt.stand
    return [
        {
            "axle": index,
            "sku": piece.sku,
            "along_mm": significant(axle.along_mm),
            "down_mm": significant(axle.stands_mm),
            "setting_mm": significant(axle.setting_mm),
            "diameter_mm": significant(tyre.diameter.mm),
            "is_measured": tyre.diameter.is_measured,
            "gap_mm": None if under is None else significant(under.wheels[index].gap_mm),
            "clear_probability": None if doubt is None else significant(doubt.clear[index]),
            "touches": None if under is None else under.wheels[index].touches,
            "load_n": None if under is None else significant(under.wheels[index].load_n),
            "share": None if under is None else significant(under.wheels[index].share),
            "presses_mm": None if under is None else significant(under.wheels[index].presses_mm),
            "lifted_probability": None if doubt is None else significant(doubt.lifted[index]),
            "largest_mm": _largest(seen.largest[index]),
        }
        for index, (axle, tyre, piece) in enumerate(zip(line.axles, line.tyres, asked.set_up.wheels, strict=True))
    ]


def _stand(stand: Stand) -> Json:
    return {
        "touching": list(stand.touching),
        "from_tilt_deg": significant(stand.from_tilt_deg),
        "to_tilt_deg": significant(stand.to_tilt_deg),
        "gaps_mm": [significant(gap) for gap in stand.gaps_mm],
    }


def _doubt(doubt: RockerDoubt) -> Json:
    stand = doubt.stand
    return {
        "rocker_probability": significant(doubt.probability),
        "rocker_mm": band_json(doubt.rocker_mm),
        "effective_wheelbase_mm": None if stand is None else band_json(stand.effective_wheelbase_mm),
        "loaded_wheelbase_mm": None if stand is None else band_json(stand.loaded_wheelbase_mm),
    }


def _posture(under: UnderLoad | None, brake_pad_mm: float | None) -> Json | None:
    if under is None:
        return None
    posture = under.posture
    return {
        "toe_height_mm": _or_none(posture.toe_height_mm),
        "heel_height_mm": _or_none(posture.heel_height_mm),
        "sole_pitch_deg": _or_none(posture.sole_pitch_deg),
        "tip_forward": _tip(posture.tip_forward),
        "tip_back": _tip(posture.tip_back),
        "brake_pad_mm": _or_none(brake_pad_mm),
    }


def _tip(margin: TipMargin) -> Json:
    return {
        "distance_mm": significant(margin.distance_mm),
        "angle_deg": significant(margin.angle_deg),
        "limit_m_s2": significant(margin.limit_m_s2),
    }


def _before(line: WheelLine, asked: WheelLineAsked) -> Json:
    pad = None if asked.before is None else asked.before.skate.brake_pad_mm
    return {
        "outcome": line.outcome,
        "margin_mm": significant(line.margin_mm),
        **_shape(line),
        "posture": _posture(line.under_load, pad),
    }


def _room(seen: Seen, messages: Messages) -> Json:
    has: Room = seen.room
    reach = has.overhang
    return {
        "room": {
            "outcome": has.outcome,
            "probability": significant(has.probability),
            "clearances": [_clearance(each, messages) for each in has.clearances],
        },
        "overhang": None if reach is None else {"toe_mm": band_json(reach.toe_mm), "heel_mm": band_json(reach.heel_mm)},
        "largest_wheel": _largest(seen.largest_alike),
        "shortest_wheelbase_mm": significant(seen.shortest_wheelbase_mm),
    }


def _clearance(found: Clearance, messages: Messages) -> Json:
    words = {
        "wheel": "" if found.wheel is None else found.wheel + 1,
        "other": "" if found.other is None else found.other + 1,
        "gap_mm": "" if found.gap_mm is None else round(found.gap_mm, 2) + 0.0,
        "least_mm": "" if found.least_mm is None else found.least_mm,
    }
    return {
        "wheel": found.wheel,
        "other": found.other,
        "gap_mm": _or_none(found.gap_mm),
        "gap_at_most_mm": _or_none(found.gap_at_most_mm),
        "least_mm": _or_none(found.least_mm),
        "outcome": found.outcome,
        "probability": significant(found.probability),
        "probability_at_most": significant(found.probability_at_most),
        **said(f"room.{found.code}_{found.outcome}", words, messages),
        "next_step": _step(found.next_step, messages),
    }


def _step(step: NextStep | None, messages: Messages) -> Json | None:
    return None if step is None else step_json(step, messages)


def _largest(found: LargestWheel) -> Json:
    return {
        "mm": significant(found.mm),
        "bound": _bound(found.bound),
        "at_most_mm": _or_none(found.at_most_mm),
        "at_most_bound": _bound(found.at_most_bound),
    }


def _bound(bound: Bound | None) -> Json | None:
    return None if bound is None else {"code": f"room.{bound.code}", "wheel": bound.wheel, "other": bound.other}


def _shift(found: Shift, messages: Messages) -> Json:
    words = {"bolts": ", ".join(found.bolts), "unmatched": ", ".join(found.unmatched)}
    return {
        "along_mm": _range(found.along),
        "across_mm": _range(found.across),
        "standard_uncertainty_mm": significant(found.standard_uncertainty_um / 1000),
        **said(found.code, words, messages),
        "next_step": _step(found.next_step, messages),
    }


def _range(found: Range | None) -> list[float] | None:
    return None if found is None else [significant(found.low_um / 1000), significant(found.high_um / 1000)]


def _options(found: RockerOptions, messages: Messages) -> Json:
    searched = found.searched
    return {
        "now": _option(found.now, messages),
        "listed": [_option(each, messages) for each in found.options],
        "offered": found.offered,
        "combinations": searched.combinations,
        "looked_at": searched.looked_at,
        "is_capped": searched.looked_at < searched.combinations,
        "chosen": searched.chosen,
    }


def _option(found: RockerOption, messages: Messages) -> Json:
    return {
        "diameters_mm": _figures(found.diameters_mm),
        "settings_mm": _figures(found.settings_mm),
        "rocker_mm": significant(found.rocker_mm),
        "rocker_radius_mm": _or_none(found.rocker_radius_mm),
        "effective_wheelbase_mm": significant(found.effective_wheelbase_mm),
        "deck_change_mm": significant(found.deck_change_mm),
        "changes": found.changes,
        "is_now": found.is_now,
        "room": found.room.outcome,
        "jobs": [
            {
                "axles": list(job.axles),
                "buys": [{"diameter_mm": significant(size), "count": count} for size, count in job.buys],
                **said(job.code, {"axles": _spoken(job.axles)}, messages),
            }
            for job in found.jobs
        ],
    }


def _figures(values: Iterable[float]) -> list[float]:
    return [significant(value) for value in values]


def _spoken(axles: Sequence[int]) -> str:
    """Give axles as one counts them, from 1."""
    return ", ".join(str(axle + 1) for axle in axles)
