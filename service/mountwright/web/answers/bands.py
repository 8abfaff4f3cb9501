"""Figures with their bounds, and notes, as JSON."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from mountwright.bench.jobs import Range
from mountwright.measure.quantity import significant
from mountwright.messages import Messages
from mountwright.riding.band import Band
from mountwright.riding.note import Note

Json = dict[str, Any]


def band_json(band: Band) -> Json:
    """Give a figure with its bounds, each to six significant digits."""
    return {"low": significant(band.low), "likely": significant(band.likely), "high": significant(band.high)}


def range_json(found: Range) -> Json:
    """Give a whole figure with its bounds."""
    return {"least": found.least, "usual": found.usual, "most": found.most}


def notes_json(notes: Iterable[Note], messages: Messages) -> list[Json]:
    """Give what is said with an answer."""
    return [said(note.code, note.params, messages) for note in notes]


def said(code: str, params: Any, messages: Messages) -> Json:
    """Give a code with its params and its sentence."""
    told = {name: significant(value) if isinstance(value, float) else value for name, value in params.items()}
    return {"code": code, "params": told, "message": messages.text(code, told)}
