"""The coefficients of the basket's rules, from ``estimates.toml``: what counts as room, and as alike."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib import resources

from mountwright.measure.quantity import thousandths


@dataclass(frozen=True)
class CheckoutEstimates:
    """Lengths in whole micrometres, all 0 or more.

    Parameters
    ----------
    least_wheel_gap_um : int
        Between neighbouring wheels, inclusive.
    marked_too_large_um, marked_too_small_um : int
        By how much a wheel may be smaller than its mark says, and by how much larger.
    least_sole_gap_um : int
        Between a wheel and the sole, inclusive.
    outline_half_width_um : int
        How closely an outline tells where the sole is.
    level_within_um : int
        Wheels whose lowest points lie this close, inclusive, are meant to stand on one plane.
    lace_tolerance : float
        Share of the length of the lace that the skate comes with, inclusive.
    """

    least_wheel_gap_um: int
    marked_too_large_um: int
    marked_too_small_um: int
    least_sole_gap_um: int
    outline_half_width_um: int
    level_within_um: int
    lace_tolerance: float


@cache
def checkout_estimates() -> CheckoutEstimates:
    """Give the coefficients in the box."""
    rows = tomllib.loads(resources.files(__package__).joinpath("estimates.toml").read_text(encoding="utf-8"))
    marked = rows["marked_diameter"]
    return CheckoutEstimates(
        least_wheel_gap_um=thousandths(rows["gap_between_wheels"]["least_mm"]),
        marked_too_large_um=thousandths(marked["smaller"]["by_mm"]),
        marked_too_small_um=thousandths(marked["larger"]["by_mm"]),
        least_sole_gap_um=thousandths(rows["gap_to_sole"]["least_mm"]),
        outline_half_width_um=thousandths(rows["outline"]["half_width_mm"]),
        level_within_um=thousandths(rows["level_wheels"]["within_mm"]),
        lace_tolerance=rows["lace"]["tolerance_share"],
    )
