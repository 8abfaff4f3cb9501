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
    "comes_with",
    "eu_size_from",
    "eu_size_to",
    "diameter_mm",
    "width_mm",
    "hardness_shore_a",
    "wheel_count",
    "largest_wheel_mm",
    "thickness_mm",
    "length_mm",
    "fastening",
    "mass_g",
    "frame.standard",
    "frame.claimed_by",
    "frame.hole_spacing_mm",
    "frame.hole_spacing_mm.instrument",
    "frame.source",
    "axle_place.standard",
    "axle_place.claimed_by",
    "hub.standard",
    "hub.claimed_by",
    "axle.standard",
    "axle.claimed_by",
]

_COLOURS = (("black", "#101010"), ("white", "#f5f5f5"), ("teal", "#1a8a86"), ("rust", "#a2472b"))
_KINDS = ("frame", "wheel", "wheel", "bearing", "frame")


#: Of each small part there are so many.
SMALL_PARTS = 20

#: What a skate comes with that is not bare.
_SOLD = {
    "comes_with": "wheel-0000002*8 bearing-0000003*16 axle-00*8 spacer-00*8 lace-00*2",
    "fastening": "laces",
    "eu_size_from": 36,
    "eu_size_to": 46,
}


def rows(parts: int) -> Iterator[dict[str, object]]:
    """Give the skates, then so many parts."""
    for standard in SPACINGS_MM:
        skate = {"kind": "skate", "maker": "Hollin", "frame.standard": standard, "frame.claimed_by": "maker"}
        yield {"sku": f"skate-{standard}", "name": f"Reach {standard}", **skate}
        yield {"sku": f"sold-{standard}", "name": f"Reach {standard} with all", **skate, **_SOLD}
    for number in range(SMALL_PARTS):
        yield from _small(number)
    for number in range(parts):
        yield _part(number)


def written(path: Path, parts: int) -> Path:
    """Write the file."""
    with path.open("w", newline="", encoding="utf-8") as file:
        out = csv.DictWriter(file, HEADINGS)
        out.writeheader()
        out.writerows(rows(parts))
    return path


def _small(number: int) -> Iterator[dict[str, object]]:
    """Give one of each of the parts that a skate takes by the way."""
    piece = {"units_per_pack": 1, "sold_as": "piece", "price_minor": 90 + number, "currency": "EUR", "stock": 40}
    axle = {"axle.standard": "axle-8", "axle.claimed_by": "maker"}
    place = {"axle_place.standard": "axle-place-8", "axle_place.claimed_by": "maker"}
    yield {"sku": f"axle-{number:02d}", "kind": "axle", "name": f"Axle {number}", **piece, **axle, **place}
    yield {"sku": f"spacer-{number:02d}", "kind": "spacer", "name": f"Spacer {number}", **piece, **axle}
    pair = {**piece, "units_per_pack": 2, "sold_as": "pair"}
    sizes = {"eu_size_from": 36, "eu_size_to": 46}
    yield {
        "sku": f"insole-{number:02d}",
        "kind": "insole",
        "name": f"Insole {number}",
        **pair,
        **sizes,
        "thickness_mm": 5,
    }
    yield {"sku": f"lace-{number:02d}", "kind": "lace", "name": f"Lace {number}", **pair, "length_mm": 2000}


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
        claim = {"frame.standard": standard, "frame.claimed_by": "maker", "wheel_count": 4, "largest_wheel_mm": 120}
        claim |= {"axle_place.standard": "axle-place-8", "axle_place.claimed_by": "maker"}
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
