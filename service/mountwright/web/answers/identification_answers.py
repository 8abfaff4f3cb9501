"""A mount identification as JSON."""

from __future__ import annotations

from typing import Any

from mountwright.fitting.identification import Candidate, Finding, Identification
from mountwright.measure.quantity import in_units, significant
from mountwright.messages import Messages
from mountwright.web.answers.fit_answers import contradiction_json, step_json
from mountwright.web.answers.wording import plain

Json = dict[str, Any]


def identification_json(found: Identification, messages: Messages) -> Json:
    """Give one ranking."""
    contradictions = [found.contradiction] if found.contradiction else []
    return {
        "pattern": found.pattern or None,
        "finding": found.finding.value,
        "message": _message(found, messages),
        "candidates": [_candidate(candidate) for candidate in found.candidates],
        "nearest": None if found.nearest is None else _candidate(found.nearest),
        "contradictions": [contradiction_json(each, messages) for each in contradictions],
        "next_step": step_json(found.next_step, messages),
    }


def _candidate(candidate: Candidate) -> Json:
    return {
        "standard": candidate.standard or None,
        "probability": significant(candidate.probability),
        "distances": [
            {
                "dimension": distance.dimension,
                "value": in_units(distance.value),
                "nominal": in_units(distance.nominal),
                "difference": in_units(distance.difference),
            }
            for distance in candidate.distances
        ],
    }


def _message(found: Identification, messages: Messages) -> str:
    if found.finding is Finding.UNKNOWN and found.nearest is not None:
        return messages.text(
            "identification.unknown_nearest", {"standard": found.nearest.standard, "out": _out(found.nearest, messages)}
        )
    first, second = (*found.candidates, *found.candidates)[:2]
    params: dict[str, object] = {"out": _out(first, messages)}
    params |= {"standard": first.standard, "first": _name(first, messages), "second": _name(second, messages)}
    return messages.text(f"identification.{found.finding.value}", params)


def _name(candidate: Candidate, messages: Messages) -> str:
    return candidate.standard or messages.text("identification.something_else")


def _out(candidate: Candidate, messages: Messages) -> str:
    worst = max(candidate.distances, key=lambda distance: abs(distance.difference), default=None)
    if worst is None:
        return messages.text("identification.out_unknown")
    unit = " mm" if worst.dimension.endswith("_mm") else "°"
    amount = f"{abs(in_units(worst.difference)):g}{unit}"
    return messages.text("identification.out", {"amount": amount, "dimension": plain(worst.dimension)})
