"""Requests to load a service with: six inline parts of eight numbers each, no two alike."""

from __future__ import annotations

import random
from typing import Any

Json = dict[str, Any]


def bodies(count: int, seed: int = 7) -> list[Json]:
    """Give that many distinct fit checks, as a workshop would send them with every figure measured.

    Parameters
    ----------
    count : int
    seed : int
        Of the scatter about each nominal.
    """
    scatter = random.Random(seed)  # noqa: S311  # scatter of readings, no secret
    return [_body(scatter) for _ in range(count)]


def _body(scatter: random.Random) -> Json:
    def near(value: float, spread: float = 0.1) -> float:
        return round(scatter.gauss(value, spread), 3)

    def mount(position: str, standard: str, **figures: float) -> Json:
        claim = {"position": position, "standard": standard, "claimed_by": "maker", "instrument": "caliper"}
        return {**claim, "dimensions": figures}

    skate = [
        mount("frame", "two-bolt-165", hole_spacing_mm=near(165), heel_step_mm=near(10)),
        mount("strap_cuff", "strap-pitch-15", hole_pitch_mm=near(15), shell_thickness_mm=near(3)),
        mount("strap_instep", "strap-pitch-15", hole_pitch_mm=near(15), shell_thickness_mm=near(3)),
        mount("hub", "hub-608", seat_diameter_mm=near(22, 0.01), seat_distance_mm=near(9.9, 0.02)),
        mount("axle", "axle-8", diameter_mm=near(7.98, 0.005), inside_width_mm=near(24.4, 0.02)),
        mount("axle_place", "axle-place-8", hole_diameter_mm=near(8.1, 0.02), outside_width_mm=near(30)),
    ]
    parts = [_frame(near, mount), _frame(near, mount), _buckle("strap_cuff", near, mount)]
    parts += [_buckle("strap_instep", near, mount), _bearing(near, mount), _bearing(near, mount)]
    return {"skate": {"mounts": skate}, "parts": parts}


def _frame(near: Any, mount: Any) -> Json:
    figures = {"hole_spacing_mm": near(165), "heel_step_mm": near(10), "bolt_length_mm": near(14)}
    found = mount("frame", "two-bolt-165", **figures, clamped_thickness_mm=near(6))
    front = {"name": "front", "diameter_mm": near(6.6, 0.02), "slot_length_mm": near(10)}
    rear = {"name": "rear", "diameter_mm": near(6.6, 0.02), "slot_length_mm": near(10)}
    return {"kind": "frame", "mounts": [{**found, "holes": [front, rear]}]}


def _buckle(position: str, near: Any, mount: Any) -> Json:
    figures = {"hole_pitch_mm": near(15), "screw_length_mm": near(9), "foot_thickness_mm": near(2)}
    figures |= {"ladder_width_mm": near(20), "receiver_width_mm": near(22), "tooth_pitch_mm": near(3, 0.05)}
    found = mount(position, "strap-pitch-15", **figures)
    holes = [{"name": "upper", "diameter_mm": near(4.5, 0.02)}, {"name": "lower", "diameter_mm": near(4.5, 0.02)}]
    return {"kind": "buckle", "mounts": [{**found, "holes": holes}]}


def _bearing(near: Any, mount: Any) -> Json:
    spacer, width = near(10.2, 0.02), near(6.95, 0.02)
    hub = {"outside_diameter_mm": near(21.996, 0.002), "bearing_width_mm": width, "spacer_length_mm": spacer}
    axle = {"bore_mm": near(7.997, 0.002), "bearing_width_mm": width, "spacer_length_mm": spacer}
    fine = {"value": near(21.996, 0.002), "plus_minus": 0.01}
    bore = {"value": near(7.997, 0.002), "plus_minus": 0.01}
    return {
        "kind": "bearing",
        "mounts": [
            mount("hub", "hub-608", **{**hub, "outside_diameter_mm": fine}),
            mount("axle", "axle-8", **{**axle, "bore_mm": bore}),
        ],
    }
