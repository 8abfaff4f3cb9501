"""What it takes to set a frame up in another way, and the wheel line that comes of it."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import NamedTuple

from mountwright.riding.estimates import estimate
from mountwright.riding.line import Diameter, Line, Tyre
from mountwright.riding.room import likely_um


class Job(NamedTuple):
    """Work on the bench, for one skate.

    Parameters
    ----------
    code : str
        ``bench.turn_eccentric_axles`` or ``bench.swap_wheels``.
    axles : tuple of int
        Which, from the front, 0 for the first.
    buys : tuple of (float, int)
        Diameters in mm, ascending, and how many wheels of each are wanted beyond those that stand now.
    """

    code: str
    axles: tuple[int, ...]
    buys: tuple[tuple[float, int], ...] = ()


def jobs(line: Line, settings_mm: tuple[float, ...], sizes_um: tuple[int, ...]) -> tuple[Job, ...]:
    """Give the work that other settings and sizes take, from the front; none where nothing changes.

    Parameters
    ----------
    line : Line
        As it stands now.
    settings_mm : tuple of float
        One for each axle.
    sizes_um : tuple of int
        The likely diameter of each wheel.
    """
    now = [likely_um(tyre.diameter) for tyre in line.tyres]
    turned = tuple(index for index, axle in enumerate(line.axles) if axle.setting_mm != settings_mm[index])
    swapped = tuple(index for index, size in enumerate(now) if size != sizes_um[index])
    bought = Counter(sizes_um) - Counter(now)
    buys = tuple((size / 1000, bought[size]) for size in sorted(bought))
    found = (Job("bench.turn_eccentric_axles", turned), Job("bench.swap_wheels", swapped, buys))
    return tuple(job for job in found if job.axles)


def set_up(line: Line, settings_mm: tuple[float, ...], sizes_um: tuple[int, ...]) -> Line:
    """Give the line with its axles set and its wheels stood so: wheels that are there first, then new ones as marked.

    A new wheel is taken to be of the rubber of the one it replaces; new ones of one size are of one lot.
    """
    axles = tuple(replace(axle, setting_mm=each) for axle, each in zip(line.axles, settings_mm, strict=True))
    standing = list(zip(line.tyres, line.lots, strict=True))
    free = [each for each, size in zip(standing, sizes_um, strict=True) if likely_um(each[0].diameter) != size]
    new_lots = {size: max(line.lots) + 1 + place for place, size in enumerate(sorted(set(sizes_um)))}
    wheels = []
    for (tyre, lot), size in zip(standing, sizes_um, strict=True):
        stays = likely_um(tyre.diameter) == size
        wheels.append((tyre, lot) if stays else _taken(free, size) or (_new(tyre, size), new_lots[size]))
    return Line(axles, tuple(tyre for tyre, _ in wheels), tuple(lot for _, lot in wheels))


def _taken(free: list[tuple[Tyre, int]], size_um: int) -> tuple[Tyre, int] | None:
    """Take a wheel of a size from those that were taken off, None where there is none left."""
    for index, (tyre, _) in enumerate(free):
        if likely_um(tyre.diameter) == size_um:
            return free.pop(index)
    return None


def _new(replaced: Tyre, size_um: int) -> Tyre:
    scatter = estimate("new_diameter_scatter_mm").likely
    size = Diameter(size_um / 1000, estimate("marked_diameter_shift_mm"), scatter, is_measured=False)
    return replace(replaced, diameter=size)
