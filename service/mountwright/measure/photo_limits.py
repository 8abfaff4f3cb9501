"""When a length read off a photo is given, and what is taken where nobody told, from ``photo_limits.toml``."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib import resources


@dataclass(frozen=True)
class PhotoLimits:
    """The coefficients.

    Parameters
    ----------
    most_standard_uncertainty_mm : float
        Of a length that is given, inclusive.
    most_share_of_length : float
        Of that over the length, exclusive.
    steepest_tilt_deg : float
        Between the line of sight to the card and its normal, inclusive.
    least_card_side_px : float
        Inclusive.
    least_spread_in_clicks : float
        From end to end of an edge's points, in standard uncertainties of a click, inclusive.
    flattest_corner_deg : float
        Between neighbouring edges in the picture, inclusive.
    outside_share : float
        How far beyond its corners an edge's points may lie, as a share of its length, inclusive.
    level_height_half_width_mm, untold_height_half_width_mm : float
        How near to the card's plane marks lie: on level platforms, and where nobody told.
    """

    most_standard_uncertainty_mm: float
    most_share_of_length: float
    steepest_tilt_deg: float
    least_card_side_px: float
    least_spread_in_clicks: float
    flattest_corner_deg: float
    outside_share: float
    level_height_half_width_mm: float
    untold_height_half_width_mm: float


@cache
def photo_limits() -> PhotoLimits:
    """Give the coefficients in the box."""
    text = resources.files(__package__).joinpath("photo_limits.toml").read_text(encoding="utf-8")
    return PhotoLimits(**{name: row["value"] for name, row in tomllib.loads(text).items()})
