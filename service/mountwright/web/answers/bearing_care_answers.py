"""Whether to clean bearings or to replace them, as JSON."""

from __future__ import annotations

from typing import Any

from mountwright.bench.bearing_care import CareAnswer, CareCost
from mountwright.measure.quantity import significant
from mountwright.messages import Messages
from mountwright.riding.note import Note
from mountwright.web.answers.bands import band_json, range_json, said

Json = dict[str, Any]


def care_json(found: CareAnswer, messages: Messages) -> Json:
    """Give what is said about a set of bearings; the first note is the answer itself."""
    answer, *notes = found.notes
    return {
        "outcome": found.outcome,
        "clean_probability": significant(found.clean_probability),
        "cleaning": None if found.cleaning is None else _cost(found.cleaning),
        "replacing": _cost(found.replacing),
        "break_even_minor": None if found.break_even_minor is None else range_json(found.break_even_minor),
        "currency": found.currency,
        **_said(answer, messages),
        "notes": [_said(note, messages) for note in notes],
    }


def _said(note: Note, messages: Messages) -> Json:
    """Give a note with its sentence; what is in doubt is said to two digits, and a probability in percent."""
    params: dict[str, float | str] = {}
    for name, value in note.params.items():
        if name == "clean_probability":
            params["clean_percent"] = round(100 * float(value))
        else:
            params[name] = _rounded(value) if isinstance(value, float) else value
    return said(note.code, params, messages)


def _rounded(value: float) -> float:
    rounded = float(f"{value:.2g}")
    return int(rounded) if rounded.is_integer() else rounded


def _cost(found: CareCost) -> Json:
    return {
        "once_minor": range_json(found.once_minor),
        "a_month_minor": range_json(found.a_month_minor),
        "a_km_minor": None if found.a_km_minor is None else band_json(found.a_km_minor),
        "lasts_months": band_json(found.lasts_months),
        "minutes": band_json(found.minutes),
    }
