"""Requests to load a service with: a skate and six inline parts of eight numbers each."""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any

Json = dict[str, Any]
Near = Callable[..., float]


def never_asked(count: int, seed: int = 7) -> list[Json]:
    """Give fit checks of which no two share a skate or a part: everything has to be worked out."""
    near = _scatter(seed)
    return [{"skate": _skate(near), "parts": _parts(near)} for _ in range(count)]


def asked_before(count: int, skates: int = 25, batches: int = 10, seed: int = 7) -> list[Json]:
    """Give fit checks as a shop's customers cause them: a few skates, a shop's parts, again and again.

    Parameters
    ----------
    count : int
    skates : int
        Of customers who are looking around.
    batches : int
        Of six parts each that the shop has for them.
    seed : int
        Of the scatter about each nominal.
    """
    near = _scatter(seed)
    owned = [_skate(near) for _ in range(skates)]
    sold = [part for _ in range(batches) for part in _parts(near)]
    choose = random.Random(seed)  # noqa: S311  # a choice of goods, no secret
    return [{"skate": choose.choice(owned), "parts": choose.sample(sold, 6)} for _ in range(count)]


def _scatter(seed: int) -> Near:
    source = random.Random(seed)  # noqa: S311  # scatter of readings, no secret

    def near(value: float, spread: float = 0.1) -> float:
        return round(source.gauss(value, spread), 3)

    return near


def _mount(position: str, standard: str, **figures: Any) -> Json:
    claim = {"position": position, "standard": standard, "claimed_by": "maker", "instrument": "caliper"}
    return {**claim, "dimensions": figures}


def _fine(value: float) -> Json:
    return {"value": value, "plus_minus": 0.05}


def _skate(near: Near) -> Json:
    frame = {"hole_spacing_mm": near(165), "heel_step_mm": near(10), "thread_depth_mm": near(12)}
    strap = {"hole_pitch_mm": near(15), "shell_thickness_mm": near(3), "tooth_pitch_mm": _fine(near(3, 0.02))}
    return {"mounts": [_mount("frame", "two-bolt-165", **frame), _mount("strap_cuff", "strap-pitch-15", **strap)]}


def _parts(near: Near) -> list[Json]:
    return [_frame(near) for _ in range(3)] + [_buckle(near) for _ in range(3)]


def _frame(near: Near) -> Json:
    figures = {"hole_spacing_mm": near(165), "heel_step_mm": near(10), "bolt_length_mm": near(14)}
    found = _mount("frame", "two-bolt-165", **figures, clamped_thickness_mm=near(6))
    front = {"name": "front", "diameter_mm": near(6.6, 0.02), "slot_length_mm": near(10)}
    rear = {"name": "rear", "diameter_mm": near(6.6, 0.02), "slot_length_mm": near(10)}
    return {"kind": "frame", "mounts": [{**found, "holes": [front, rear]}]}


def _buckle(near: Near) -> Json:
    figures: Json = {"hole_pitch_mm": near(15), "screw_length_mm": near(6.5), "foot_thickness_mm": near(2)}
    figures |= {"ladder_width_mm": near(20), "receiver_width_mm": near(22), "tooth_pitch_mm": _fine(near(3, 0.02))}
    holes = [{"name": "upper", "diameter_mm": near(4.5, 0.02)}, {"name": "lower", "diameter_mm": near(4.5, 0.02)}]
    return {"kind": "buckle", "mounts": [{**_mount("strap_cuff", "strap-pitch-15", **figures), "holes": holes}]}
