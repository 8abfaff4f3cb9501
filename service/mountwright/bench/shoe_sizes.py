"""Sizes of a foot on the scales that boots are marked by: Mondopoint, EU, UK, US.

Mondopoint is the foot itself. Any other size is that of a last, which is longer than the foot by an allowance that
nobody standardised: such a size is a band, half a size to either side at the least.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Any, NamedTuple

from mountwright.errors import InvalidQuantityError
from mountwright.riding.band import Band

#: One Paris point, ISO/TS 19407:2015.
PARIS_POINT_MM = 20 / 3

#: Boots are marked in halves.
_HALF = 0.5

#: The standing of a scale: its zero was read in a standard, or is remembered.
_STANDINGS = ("standard", "from memory")


class Wish(StrEnum):
    """How a boot is to sit."""

    PERFORMANCE = "performance"
    COMFORT = "comfort"


@dataclass(frozen=True)
class Scale:
    """One scale.

    Parameters
    ----------
    name : str
        Of the figure: ``eu_size``.
    grade_mm : float
        From one size to the next, above 0.
    zero : tuple of (float, float)
        What is taken off the grades of a last, the least and the most.
    standing : str
        ``standard`` or ``from memory``.
    source : str

    Raises
    ------
    InvalidQuantityError
        For a grade of nothing, zeros out of order or another standing.
    """

    name: str
    grade_mm: float
    zero: tuple[float, float]
    standing: str
    source: str

    def __post_init__(self) -> None:
        if not self.grade_mm > 0:
            raise InvalidQuantityError(self.grade_mm, "a grade above 0")
        if not self.zero[0] <= self.zero[1]:
            raise InvalidQuantityError(self.zero, "the lower zero first")
        if self.standing not in _STANDINGS:
            raise InvalidQuantityError(self.standing, " or ".join(_STANDINGS))


class ShoeSize(NamedTuple):
    """A size on one scale.

    Parameters
    ----------
    size : Band
    marked : tuple of float
        The sizes within the band that boots are marked with, ascending.
    try_first : float
        The one of them to begin with.
    standing, source : str
    """

    size: Band
    marked: tuple[float, ...]
    try_first: float
    standing: str
    source: str


@cache
def _rows() -> Mapping[str, Any]:
    text = resources.files(__package__).joinpath("shoe_sizes.toml").read_text(encoding="utf-8")
    return MappingProxyType(tomllib.loads(text))


@cache
def scales() -> Mapping[str, Scale]:
    """Give every scale of lasts by name, in the file's order."""
    return MappingProxyType(
        {
            name: Scale(name, row["grade_mm"], (row["zero"][0], row["zero"][1]), row["standing"], row["source"])
            for name, row in _rows()["scales"].items()
        }
    )


@cache
def allowance_mm() -> tuple[float, float]:
    """Give by how much a last is longer than its foot, the least and the most (common practice)."""
    least, most = _rows()["allowance"]["paris_points"]
    return least * PARIS_POINT_MM, most * PARIS_POINT_MM


def last_size(last_mm: float, scale: Scale) -> Band:
    """Give the size of a last on a scale; a band only where the scale's own zero is not agreed on."""
    grades = last_mm / scale.grade_mm
    low, high = grades - scale.zero[1], grades - scale.zero[0]
    return Band(low, (low + high) / 2, high)


def eu_sizes_of_foot(foot_length_um: float) -> tuple[float, float]:
    """Give the least and the greatest EU size of a foot whose length is known, thousandths of a size."""
    least, most = _rows()["allowance"]["paris_points"]
    size = foot_length_um / PARIS_POINT_MM
    return size + 1000 * least, size + 1000 * most


def eu_run(low: float | None, high: float | None) -> str:
    """Give a run of sizes as figures alone, in any language; an end that is None is open, one at least is not."""
    if low is None or high is None:
        return f"≤{high:g}" if low is None else f"≥{low:g}"
    return f"{low:g}" if low == high else f"{low:g}-{high:g}"


def foot_size(foot_mm: Band, scale: Scale) -> ShoeSize:
    """Give the size of a foot on a scale of lasts: by the allowance, the foot's doubt, and half a size at the least."""
    least, most = allowance_mm()
    low = last_size(foot_mm.low + least, scale).low
    high = last_size(foot_mm.high + most, scale).high
    likely = last_size(foot_mm.likely + (least + most) / 2, scale).likely
    size = Band(min(low, likely - _HALF), likely, max(high, likely + _HALF))
    return ShoeSize(size, _halves(size), _nearest(likely, _HALF), scale.standing, scale.source)


def mondopoint_size(foot_mm: Band, wish: Wish | None = None) -> ShoeSize:
    """Give the Mondopoint size of a foot, mm: the size below for performance, above for comfort, else the nearest.

    The band reaches from the size below what the foot may at least be to the size above what it may be at most.
    """
    row = _rows()["mondopoint"]
    step = row["step_mm"]
    below, above = (step * math.floor(foot_mm.low / step), step * math.ceil(foot_mm.high / step))
    first = {
        Wish.PERFORMANCE: step * math.floor(foot_mm.likely / step),
        Wish.COMFORT: step * math.ceil(foot_mm.likely / step),
        None: _nearest(foot_mm.likely, step),
    }[wish]
    marked = tuple(below + step * count for count in range(round((above - below) / step) + 1))
    return ShoeSize(Band(below, foot_mm.likely, above), marked, first, row["standing"], row["source"])


def _nearest(value: float, step: float) -> float:
    """Give the nearest whole step; of two equally near, the larger."""
    return step * math.floor(value / step + 0.5 + _ROUNDING)


def _halves(size: Band) -> tuple[float, ...]:
    first, last = math.ceil(size.low / _HALF - _ROUNDING), math.floor(size.high / _HALF + _ROUNDING)
    return tuple(_HALF * count for count in range(first, last + 1))


#: What a size that is whole by the sum may be off by in floats.
_ROUNDING = 1e-9
