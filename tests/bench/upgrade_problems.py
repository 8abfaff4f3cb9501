"""Problems as a catalogue gives them: ten positions, prices and gains by kind, four linked in a ring."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from mountwright.upgrading.problem import Link, Option, Position, Problem, Rate, Stage

#: What a year is made of, in weeks, for four instalments.
WEEKS = (8, 8, 12, 24)

COMPLAINTS = ("heel_lifts", "rolls_slowly", "cannot_turn")
HAZARDS = ("brake_worn",)


class Kind(NamedTuple):
    """A position and what its candidates are like.

    Parameters
    ----------
    name : str
    price_minor : int
        Of the middle candidate.
    relief : tuple of int
        Most points for each complaint.
    gain : int
        Most rolling gain.
    signatures : tuple of str
    """

    name: str
    price_minor: int
    relief: tuple[int, int, int]
    gain: int
    signatures: tuple[str, ...] = ("",)
    hazard: int = 0


SIZES = ("72", "76", "80", "84", "90", "100", "110")
KINDS = (
    Kind("lace", 900, (2, 0, 0), 0),
    Kind("strap_instep", 2200, (4, 0, 1), 0),
    Kind("insole", 3500, (3, 0, 1), 0),
    Kind("liner", 11000, (6, 0, 2), 0),
    Kind("cuff", 6000, (2, 0, 3), 0),
    Kind("frame", 15000, (0, 3, 6), 25, tuple(f"max-{size}" for size in SIZES)),
    Kind("brake", 1800, (0, 0, 0), 0, hazard=1),
    Kind("axle", 2000, (0, 1, 0), 4, ("axle-6", "axle-8", "axle-8-long")),
    Kind("wheel", 8000, (0, 6, 3), 45, tuple(f"{size}-{hub}" for size in SIZES for hub in ("608", "688"))),
    Kind("bearing", 2800, (0, 3, 0), 12, ("608-6", "608-8", "688-6", "688-8")),
)


def problem(seed: int, candidates: int, total_minor: int, weeks: tuple[int, ...] = WEEKS) -> Problem:
    """Give a problem of ten positions with so many candidates each.

    Parameters
    ----------
    seed : int
    candidates : int
    total_minor : int
        The budget, in equal instalments.
    weeks : tuple of int
        How long each stage lasts.
    """
    rng = np.random.default_rng(seed)
    positions = tuple(_position(rng, kind, candidates) for kind in KINDS)
    stages = tuple(Stage(total_minor * (stage + 1) // len(weeks), each) for stage, each in enumerate(weeks))
    return Problem(positions, stages, _links(), HAZARDS, COMPLAINTS, Rate(2, 1))


def _position(rng: np.random.Generator, kind: Kind, candidates: int) -> Position:
    as_is = {"frame": "max-80", "wheel": "76-608", "bearing": "608-8", "axle": "axle-8"}.get(kind.name, "")
    return Position(kind.name, as_is, tuple(_option(rng, kind, number) for number in range(candidates)))


def _option(rng: np.random.Generator, kind: Kind, number: int) -> Option:
    """Give a candidate: what costs more tends to be better, with scatter; a few are jobs and cost hardly anything."""
    is_job = rng.random() < 0.03
    price = 0 if is_job else int(kind.price_minor * rng.lognormal(0, 0.5)) // 5 * 5
    worth = min(1.0, max(0.0, rng.normal(0.15 if is_job else 0.55 + 0.3 * np.log(price / kind.price_minor), 0.2)))
    relief = tuple(int(most * worth + rng.random() * 0.8) for most in kind.relief)
    return Option(
        key=f"{kind.name}-{number:04d}",
        signature=str(rng.choice(kind.signatures)),
        parts_minor=price,
        labour_minor=500 * int(rng.integers(0, 4)),
        hazards=(kind.hazard,),
        complaints=relief,
        wishes=int(rng.random() < 0.1),
        gain=int(kind.gain * worth + rng.normal(0, 1)) if kind.gain else 0,
        minutes=5 * int(rng.integers(1, 12)),
    )


def _links() -> tuple[Link, ...]:
    wheels = [(size, hub) for size in SIZES for hub in ("608", "688")]
    frame_wheel = {
        (f"max-{most}", f"{size}-{hub}")
        for most in SIZES
        for size, hub in wheels
        if int(most) - 16 <= int(size) <= int(most)
    }
    wheel_bearing = {(f"{size}-{hub}", f"{hub}-{bore}") for size, hub in wheels for bore in ("6", "8")}
    bearing_axle = {("608-6", "axle-6"), ("688-6", "axle-6")} | {
        (f"{hub}-8", axle) for hub in ("608", "688") for axle in ("axle-8", "axle-8-long")
    }
    frame_axle = {(f"max-{most}", "axle-6" if int(most) < 76 else "axle-8") for most in SIZES}
    frame_axle |= {(f"max-{most}", "axle-6") for most in ("76", "80")} | {
        (f"max-{most}", "axle-8-long") for most in ("90", "100", "110")
    }
    return (
        Link("frame", "wheel", frozenset(frame_wheel)),
        Link("wheel", "bearing", frozenset(wheel_bearing)),
        Link("bearing", "axle", frozenset(bearing_axle)),
        Link("frame", "axle", frozenset(frame_axle)),
    )
