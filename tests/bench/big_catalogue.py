"""Writes a catalogue of any size as CSV: one skate of each spacing, and parts of several kinds."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from pathlib import Path

#: Frames are measured to a tenth around these spacings, so that there are many distinct mounts but not endlessly many.
SPACINGS_MM = {"two-bolt-150": 150.0, "two-bolt-165": 165.0, "flat-167": 167.0, "two-bolt-195": 195.0}

#: Distinct readings beside each spacing; the rest claim the standard and nothing else.
READINGS = 20

HEADINGS = [
    "sku",
    "kind",
    "name",
    "maker",
    "price_minor",
    "currency",
    "stock",
    "units_per_pack",
    "sold_as",
    "colour",
    "colour_srgb",
    "diameter_mm",
    "width_mm",
    "hardness_shore_a",
    "wheel_count",
    "mass_g",
    "frame.standard",
    "frame.claimed_by",
    "frame.hole_spacing_mm",
    "frame.hole_spacing_mm.instrument",
    "frame.source",
    "hub.standard",
    "hub.claimed_by",
    "axle.standard",
    "axle.claimed_by",
]

_COLOURS = (("black", "#101010"), ("white", "#f5f5f5"), ("teal", "#1a8a86"), ("rust", "#a2472b"))
_KINDS = ("frame", "wheel", "wheel", "bearing", "frame")


def rows(parts: int) -> Iterator[dict[str, object]]:
    """Give the skates, then so many parts."""
    for standard in SPACINGS_MM:
        yield {
            "sku": f"skate-{standard}",
            "kind": "skate",
            "name": f"Reach {standard}",
            "maker": "Hollin",
            "frame.standard": standard,
            "frame.claimed_by": "maker",
        }
    for number in range(parts):
        yield _part(number)


def written(path: Path, parts: int) -> Path:
    """Write the file."""
    with path.open("w", newline="", encoding="utf-8") as file:
        out = csv.DictWriter(file, HEADINGS)
        out.writeheader()
        out.writerows(rows(parts))
    return path


def _part(number: int) -> dict[str, object]:
    kind = _KINDS[number % len(_KINDS)]
    colour, srgb = _COLOURS[number % len(_COLOURS)]
    return {
        "sku": f"{kind}-{number:07d}",
        "kind": kind,
        "name": f"{kind.title()} {number % 977} Sedgewater",
        "maker": ("Quillfen", "Bellrush", "Marrowby")[number % 3],
        "price_minor": 500 + number % 20_000,
        "currency": "EUR",
        "stock": number % 7,
        "units_per_pack": 1,
        "sold_as": "piece",
        "colour": colour,
        "colour_srgb": srgb,
        **_mounts(kind, number // len(_KINDS)),
    }


def _mounts(kind: str, number: int) -> dict[str, object]:
    if kind == "frame":
        standard = tuple(SPACINGS_MM)[number % len(SPACINGS_MM)]
        reading = number // len(SPACINGS_MM) % (READINGS + 1)
        claim = {"frame.standard": standard, "frame.claimed_by": "maker", "wheel_count": 4}
        if reading == READINGS:
            return claim
        spacing = SPACINGS_MM[standard] + (reading - READINGS // 2) / 50
        taken = {"frame.hole_spacing_mm": f"{spacing:.2f}", "frame.hole_spacing_mm.instrument": "caliper"}
        return {**claim, **taken, "frame.source": "taken at the bench"}
    if kind == "wheel":
        return {
            "hub.standard": "hub-608",
            "hub.claimed_by": "maker",
            "diameter_mm": 72 + number % 12 * 4,
            "width_mm": 24,
            "hardness_shore_a": 78 + number % 10,
        }
    hub = {"hub.standard": "hub-608", "hub.claimed_by": "maker"}
    return {**hub, "axle.standard": "axle-8", "axle.claimed_by": "maker"}
