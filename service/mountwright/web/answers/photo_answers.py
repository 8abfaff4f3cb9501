"""Lengths read off a photo as JSON."""

from __future__ import annotations

from typing import Any

from mountwright.measure.photo import PHOTO
from mountwright.measure.photo_answer import CardSeen, PhotoAnswer, PhotoLength, Said
from mountwright.measure.photo_places import SOURCES
from mountwright.measure.quantity import significant
from mountwright.messages import Messages
from mountwright.web.answers.bands import said

Json = dict[str, Any]


def photo_json(found: PhotoAnswer, messages: Messages) -> Json:
    """Give what a photo tells."""
    return {
        "lengths": [_length(each, messages) for each in found.lengths],
        "card": _card(found.card),
        "assumes": [_said(each, messages) for each in found.assumes],
    }


def _length(found: PhotoLength, messages: Messages) -> Json:
    reading, shares = _reading(found), found.shares
    return {
        "between": list(found.between),
        "outcome": "refused" if reading is None else "measured",
        "length_mm": _figure(found.length_mm),
        "standard_uncertainty_mm": _figure(found.standard_uncertainty_mm),
        "measurement": reading,
        "doubt_from": {source: significant(shares[source]) for source in SOURCES} if shares else None,
        **_said(found.said, messages, between=_between(found, messages)),
        "next_step": None if found.next_step is None else _said(found.next_step, messages),
    }


def _between(found: PhotoLength, messages: Messages) -> str:
    first, second = found.between
    return messages.text("photo.between", {"first": first, "second": second})


def _figure(value: float | None) -> float | None:
    return None if value is None else significant(value)


def _reading(found: PhotoLength) -> Json | None:
    """Give a length in the form that fit checks and identifications take, None where it is refused."""
    if found.length_mm is None or found.half_width_mm is None:
        return None
    return {
        "value": significant(found.length_mm),
        "plus_minus": significant(found.half_width_mm),
        "instrument": PHOTO,
    }


def _card(found: CardSeen) -> Json:
    return {
        "lies": "upright" if found.is_upright else "lengthwise",
        "tilt_deg": significant(found.tilt_deg),
        "distance_mm": significant(found.distance_mm),
        "px_per_mm": significant(found.px_per_mm),
        "residual_px": _figure(found.residual_px),
    }


def _said(what: Said, messages: Messages, **more: str) -> Json:
    """Give a message with its sentence, its figures as far as anybody would say them: to a tenth."""
    params = {name: round(value, 1) if isinstance(value, float) else value for name, value in what.params.items()}
    return said(what.code, {**params, **more}, messages)
