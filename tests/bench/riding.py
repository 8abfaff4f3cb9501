"""What a ride costs to reckon: ``python tests/bench/riding.py`` prints a table, on one core.

So many set-ups are judged in one batch, of four and of five wheels, rockered and flat, each with its own tyres and its
own load; the best of several rounds counts, warm. Rolling adds the stiffness of each tyre, its contact and its loss.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from mountwright.riding.contact import stiffness_n_mm15
from mountwright.riding.loads import LoadCases, shared_loads
from mountwright.riding.rolling import rolling
from mountwright.riding.rubber import modulus_mpa

SET_UPS = 2000
ROUNDS = 15

Floats = NDArray[np.float64]


class Tyres(NamedTuple):
    """What the wheels of many set-ups are, an array (n, w) each."""

    radius_mm: Floats
    profile_mm: Floats
    modulus_mpa: Floats
    lost_share: Floats


def tyres(rng: np.random.Generator, wheels: int) -> Tyres:
    """Give wheels of 76 to 125 mm and 76 to 88 A."""
    shape = (SET_UPS, wheels)
    modulus = modulus_mpa(rng.uniform(76, 88, shape), 0.5)
    return Tyres(rng.uniform(38, 62.5, shape), rng.uniform(10, 30, shape), modulus, rng.uniform(0.2, 0.5, shape))


def set_ups(rng: np.random.Generator, each: Tyres) -> LoadCases:
    """Give lines of which one in two is rockered, by up to 3 mm, under 40 to 120 kg off the middle."""
    wheels = each.radius_mm.shape[1]
    along = np.linspace(121.5, -121.5, wheels) + rng.uniform(-3, 3, (SET_UPS, wheels))
    rocker = rng.uniform(0, 3, (SET_UPS, 1)) * rng.integers(0, 2, (SET_UPS, 1))
    gaps = rocker * (2 * np.arange(wheels) / (wheels - 1) - 1) ** 2 + rng.uniform(0, 0.3, (SET_UPS, wheels))
    return LoadCases(
        along,
        gaps - gaps.min(axis=1, keepdims=True),
        stiffness_n_mm15(each.radius_mm, each.profile_mm, each.modulus_mpa),
        9.80665 * rng.uniform(40, 120, SET_UPS),
        rng.uniform(-60, 60, SET_UPS),
    )


def loads_and_rolling(cases: LoadCases, each: Tyres) -> None:
    """Go from radii and moduli to what each line loses."""
    stiffness = stiffness_n_mm15(each.radius_mm, each.profile_mm, each.modulus_mpa)
    loads = shared_loads(cases._replace(stiffness_n_mm15=stiffness)).loads_n
    rolling(loads, *each)


def best_ms(run: Callable[[], object]) -> float:
    """Give the shortest time of several, milliseconds."""
    times = []
    for _ in range(ROUNDS):
        began = time.perf_counter()
        run()
        times.append((time.perf_counter() - began) * 1000)
    return min(times)


def main() -> None:
    """Print the table."""
    print("| wheels | reckoned | ms | set-ups a second |")
    print("| --: | --- | --: | --: |", flush=True)
    for wheels in (4, 5):
        rng = np.random.default_rng(wheels)
        each = tyres(rng, wheels)
        cases = set_ups(rng, each)
        runs: dict[str, Callable[[], object]] = {
            "loads": lambda cases=cases: shared_loads(cases),
            "loads and rolling": lambda cases=cases, each=each: loads_and_rolling(cases, each),
        }
        for name, run in runs.items():
            ms = best_ms(run)
            print(f"| {wheels} | {name} | {ms:.1f} | {1000 * SET_UPS / ms:,.0f} |", flush=True)


if __name__ == "__main__":
    main()
