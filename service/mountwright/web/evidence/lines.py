"""Conflicts and rows to correct, as lines for a person."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence

from mountwright.fitting.answers import Reports
from mountwright.fitting.evidence import Correction
from mountwright.web.answers.wording import plain
from mountwright.web.evidence.report import Conflict, Place

#: Columns of a line, at most.
WIDTH = 100

_INDENT = " " * 6


def evidence_lines(conflicts: Sequence[Conflict], corrections: Sequence[Correction]) -> Iterator[str]:
    """Give what to print: the pairs that went otherwise than the geometry says, then the rows to correct."""
    yield f"Conflicts: {_count(len(conflicts), 'pair')} that went otherwise than the geometry says."
    for number, conflict in enumerate(conflicts, start=1):
        yield ""
        yield from _conflict(number, conflict)
    yield ""
    yield f"Rows to correct: {len(corrections)}, as returns point at them."
    if corrections:
        yield ""
    for number, correction in enumerate(corrections, start=1):
        yield from _wrapped(f"{number:>4}. ", _correction(correction))


def _conflict(number: int, conflict: Conflict) -> Iterator[str]:
    part, skate = _called(conflict.part, conflict.part_name), _called(conflict.skate, conflict.skate_name)
    yield from _wrapped(f"{number:>4}. ", f"{part} on {skate}")
    chances = f"{conflict.probability:.3f} to {conflict.probability_at_most:.3f}"
    yield from _wrapped(_INDENT, f"geometry: {plain(conflict.verdict)} (probability {chances})")
    against, bearing_out = _reports(conflict.against), _reports(conflict.bearing_out)
    yield from _wrapped(_INDENT, f"reports: {against} against it, {bearing_out} bearing it out")
    if conflict.failed:
        yield from _wrapped(_INDENT, f"it refuses by: {', '.join(map(plain, conflict.failed))}")
    for lead, place in zip(_leads(), conflict.look_at, strict=False):
        yield from _wrapped(_INDENT + lead, _place(place))


def _leads() -> Iterator[str]:
    yield "look at: "
    while True:
        yield "         "


def _place(place: Place) -> str:
    told = place.standard or "no standard"
    by = f", claimed by {place.claimed_by}" if place.claimed_by else ""
    often = f"; in {place.conflicts} conflicts" if place.conflicts > 1 else ""
    return f"{plain(place.position)} of {place.sku} ({told}{by}{often})"


def _correction(correction: Correction) -> str:
    used = f", {correction.used} of them used" if correction.used else ""
    fields = ", ".join(correction.fields)
    paused = " Paused at checkout until then." if correction.pauses else ""
    returns = f"{_count(correction.returns, 'return')} for {plain(correction.cause)}{used}"
    return f"{correction.of} {correction.sku}: {returns}. Look at {fields}.{paused}"


def _called(sku: str, name: str) -> str:
    return f"{sku} ({name})" if name else sku


def _reports(reports: Reports) -> str:
    return f"{reports.times} (weight {reports.weight:.3g})" if reports.times else "0"


def _count(number: int, what: str) -> str:
    return f"{number} {what}" + ("" if number == 1 else "s")


def _wrapped(lead: str, text: str) -> list[str]:
    # SKUs and keys are full of hyphens and are found by searching for them whole.
    return textwrap.wrap(text, WIDTH, initial_indent=lead, subsequent_indent=" " * len(lead), break_on_hyphens=False)
