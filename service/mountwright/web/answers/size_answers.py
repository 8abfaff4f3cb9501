"""Sizes of a pair of feet, and what goes with them, as JSON."""

from __future__ import annotations

from typing import Any

from mountwright.bench.feet import Measure
from mountwright.bench.foot_padding import Padding, PadNeed
from mountwright.bench.foot_shares import FootShare, survey_source
from mountwright.bench.lining import InsoleFit, InsoleRoom, LinerFit, toe_window
from mountwright.bench.shell_fit import Fit, RoomCheck, ShellFit, Window
from mountwright.bench.shoe_sizes import ShoeSize, eu_run, scales
from mountwright.bench.size_conversion import SizeAnswer
from mountwright.measure.quantity import Limits, in_units, significant
from mountwright.messages import Messages
from mountwright.web.answers.bands import band_json, notes_json, said
from mountwright.web.answers.fit_answers import step_json

Json = dict[str, Any]

#: What the room by each measure is called.
_ROOMS = {Measure.LENGTH: "heel_gap", Measure.BREADTH: "breadth", Measure.INSTEP: "instep"}

_NEEDS = {
    PadNeed.NONE: "sizes.no_padding",
    PadNeed.TRY_WITHOUT: "sizes.try_without",
    PadNeed.BEYOND: "sizes.beyond_padding",
}


def sizes_json(found: SizeAnswer, messages: Messages) -> Json:
    """Give all there is to say about a pair of feet, but its receipt; the first note is the answer itself."""
    answer, *notes = found.notes
    return {
        "outcome": found.outcome,
        **_said(answer.code, answer.params, messages),
        "feet": [_deciding(measure, found) for measure in found.deciding],
        "sizes": _sizes(found),
        "padding": [_padding(each, messages) for each in found.paddings],
        "skates": [_shell(each, found, messages) for each in found.shells],
        "liners": [_liner(each, found, messages) for each in found.liners],
        "insoles": [_insole(each, found, messages) for each in found.insoles],
        "steps": notes_json(found.steps, messages),
        "shares": [_share(each) for each in found.shares],
        "notes": [_said(note.code, note.params, messages) for note in notes],
        "cautions": [{"code": code, "message": messages.text(code)} for code in found.cautions],
        "next_step": step_json(found.next_step, messages),
    }


def _said(code: str, params: Any, messages: Messages) -> Json:
    """Give a code with its sentence, lengths to a tenth of a millimetre."""
    return said(code, {name: _tenth(value) for name, value in params.items()}, messages)


def _tenth(value: Any) -> Any:
    if not isinstance(value, float):
        return value
    rounded = round(value, 1)
    return int(rounded) if rounded.is_integer() else rounded


def _deciding(measure: Measure, found: SizeAnswer) -> Json:
    larger = found.deciding[measure]
    return {
        "measure": measure,
        "side": larger.side,
        "probability": significant(larger.probability),
        "size_mm": band_json(larger.size),
        "difference_mm": band_json(larger.difference),
        "shell_wanted_mm": band_json(found.wanted[measure]),
    }


def _sizes(found: SizeAnswer) -> Json:
    on_scales = {name: _size(found.sizes[name]) if name in found.sizes else None for name in scales()}
    return {"mondopoint_mm": _size(found.mondopoint), **on_scales}


def _size(found: ShoeSize) -> Json:
    return {
        **band_json(found.size),
        "marked": list(found.marked),
        "try_first": found.try_first,
        "standing": found.standing,
        "source": found.source,
    }


def _padding(found: Padding, messages: Messages) -> Json:
    code = _NEEDS.get(found.need, f"sizes.pad_{found.place}")
    ends = {"low_mm": found.thickness.low, "high_mm": found.thickness.high}
    return {
        "measure": found.measure,
        "side": found.side,
        "need": found.need,
        "place": found.place,
        "thickness_mm": band_json(found.thickness),
        **_said(code, ends if found.need in (PadNeed.PAD, PadNeed.TRY_WITHOUT) else {}, messages),
    }


def _ranked(found: ShellFit | LinerFit | InsoleFit, sku: str, name: str) -> Json:
    return {
        "index": found.place,
        "sku": sku or None,
        "name": name or None,
        "fit": found.fit,
        "probability": _or_none(found.probability),
    }


def _other_size(eu_sizes: Limits, answer: SizeAnswer, messages: Messages) -> Json:
    wanted = answer.sizes["eu_size"].size
    words = {"run": eu_run(eu_sizes.low, eu_sizes.high), "low": wanted.low, "high": wanted.high}
    return _said("sizes.other_size", words, messages)


def _is_by_size(found: LinerFit | InsoleFit) -> bool:
    """Tell whether the size that it is made for is what speaks against it, or leaves it open."""
    return found.by_size is found.fit and found.fit is not Fit.FITS


def _shell(found: ShellFit, answer: SizeAnswer, messages: Messages) -> Json:
    other = found.is_other_size
    return {
        **_ranked(found, found.shell.sku, found.shell.name),
        **(_other_size(found.shell.eu_sizes, answer, messages) if other else _said_of(found.reason, messages)),
        "checks": [_check(each, messages) for each in found.checks],
    }


def _check(found: RoomCheck, messages: Messages) -> Json:
    rooms = {side.value: band_json(band) for side, band in found.rooms.items()}
    return {
        "measure": found.measure,
        "fit": found.fit,
        "state": found.state,
        "probability": _or_none(found.probability),
        "room_mm": rooms or None,
        "wanted_mm": {"least": band_json(found.wanted.least), "most": band_json(found.wanted.most)},
        **_said_of(found, messages),
    }


def _said_of(found: RoomCheck, messages: Messages) -> Json:
    least = min((band.likely for band in found.rooms.values()), default=None)
    return _said(f"sizes.{_ROOMS[found.measure]}_{found.state}", _room_words(least, found.wanted), messages)


def _room_words(room: float | None, wanted: Window) -> dict[str, float]:
    if room is None:
        return {}
    return {"room_mm": room, "least_mm": wanted.least.likely, "most_mm": wanted.most.likely}


def _liner(found: LinerFit, answer: SizeAnswer, messages: Messages) -> Json:
    room = None if found.toe_room is None else found.toe_room.likely
    told = _said(f"sizes.liner_{found.state}", _room_words(room, toe_window()), messages)
    return {
        **_ranked(found, found.liner.sku, found.liner.name),
        **(_other_size(found.liner.eu_sizes, answer, messages) if _is_by_size(found) else told),
        "state": found.state,
        "toe_room_mm": None if found.toe_room is None else band_json(found.toe_room),
    }


def _insole(found: InsoleFit, answer: SizeAnswer, messages: Messages) -> Json:
    thickness = found.insole.thickness_um
    words = {"thickness_mm": None if thickness is None else in_units(thickness), "room_mm": _room(found)}
    told = _said(_insole_code(found, answer.room), {} if found.probability is None else words, messages)
    return {
        **_ranked(found, found.insole.sku, found.insole.name),
        **(_other_size(found.insole.eu_sizes, answer, messages) if _is_by_size(found) else told),
        "room_mm": _room(found),
    }


def _room(found: InsoleFit) -> float | None:
    return None if found.room_um is None else in_units(found.room_um)


def _insole_code(found: InsoleFit, room: InsoleRoom) -> str:
    if found.probability is None:
        return "sizes.insole_unknown"
    if found.fit is Fit.FITS:
        return "sizes.insole_goes_in"
    if found.fit is Fit.CANNOT_TELL and room.is_at_least:
        return "sizes.insole_thicker_than_old"
    return "sizes.insole_pressed" if found.fit in (Fit.LIKELY_FITS, Fit.CANNOT_TELL) else "sizes.insole_too_thick"


def _share(found: FootShare) -> Json:
    return {
        "group": found.group.name,
        "people": found.group.people,
        "no_longer_share": band_json(found.no_longer),
        "such_length_share": significant(found.such_length),
        "no_broader_share": None if found.no_broader is None else band_json(found.no_broader),
        "such_foot_share": _or_none(found.such_foot),
        "source": survey_source(),
    }


def _or_none(value: float | None) -> float | None:
    return None if value is None else significant(value)
