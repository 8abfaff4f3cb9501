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

    strap = ("strap_cuff", "strap-pitch-15")
    skate = [
        mount("frame", "two-bolt-165", hole_spacing_mm=near(165), heel_step_mm=near(10), thread_depth_mm=near(12)),
        mount(*strap, hole_pitch_mm=near(15), shell_thickness_mm=near(3), tooth_pitch_mm={"value": near(3, 0.02), "plus_minus": 0.05}),
    ]
    parts = [_frame(near, mount) for _ in range(3)] + [_buckle(strap, near, mount) for _ in range(3)]
    return {"skate": {"mounts": skate}, "parts": parts}


def _frame(near: Any, mount: Any) -> Json:
    figures = {"hole_spacing_mm": near(165), "heel_step_mm": near(10), "bolt_length_mm": near(14)}
    found = mount("frame", "two-bolt-165", **figures, clamped_thickness_mm=near(6))
    front = {"name": "front", "diameter_mm": near(6.6, 0.02), "slot_length_mm": near(10)}
    rear = {"name": "rear", "diameter_mm": near(6.6, 0.02), "slot_length_mm": near(10)}
    return {"kind": "frame", "mounts": [{**found, "holes": [front, rear]}]}


def _buckle(strap: tuple[str, str], near: Any, mount: Any) -> Json:
    figures = {"hole_pitch_mm": near(15), "screw_length_mm": near(6.5), "foot_thickness_mm": near(2)}
    figures |= {"ladder_width_mm": near(20), "receiver_width_mm": near(22), "tooth_pitch_mm": {"value": near(3, 0.02), "plus_minus": 0.05}}
    holes = [{"name": "upper", "diameter_mm": near(4.5, 0.02)}, {"name": "lower", "diameter_mm": near(4.5, 0.02)}]
    return {"kind": "buckle", "mounts": [{**mount(*strap, **figures), "holes": holes}]}
