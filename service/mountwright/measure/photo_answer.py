"""What a photo tells: lengths with their doubt or why there are none, how the card lies, and what is assumed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import NamedTuple


class Said(NamedTuple):
    """A message: its code, and what it is filled with."""

    code: str
    params: Mapping[str, str | float] = MappingProxyType({})


@dataclass(frozen=True)
class CardSeen:
    """How the card lies before the camera.

    Parameters
    ----------
    is_upright : bool
        Whether its long edges are those that were called left and right.
    tilt_deg : float
        Between the line of sight to its middle and its normal, 0 to 90.
    distance_mm : float
        From the camera to its middle.
    px_per_mm : float
        On average over it.
    residual_px : float or None
        Standard deviation of the clicks about the edges; None where no edge has more than two.
    """

    is_upright: bool
    tilt_deg: float
    distance_mm: float
    px_per_mm: float
    residual_px: float | None


@dataclass(frozen=True)
class PhotoLength:
    """One length, or why there is none.

    Parameters
    ----------
    between : (str, str)
        The marks.
    said : Said
        The length, or the reason for which it is refused.
    length_mm, half_width_mm : float or None
        Along the card's plane, and how far it is in doubt, rectangular and never below what a photo can read; None
        where it is refused.
    standard_uncertainty_mm : float or None
        As propagated; None where it was not worked out.
    shares : Mapping[str, float]
        Of its square, by what it comes from; empty where it was not worked out.
    next_step : Said or None
        What would narrow it most.
    """

    between: tuple[str, str]
    said: Said
    length_mm: float | None = None
    half_width_mm: float | None = None
    standard_uncertainty_mm: float | None = None
    shares: Mapping[str, float] = field(default_factory=dict)
    next_step: Said | None = None


@dataclass(frozen=True)
class PhotoAnswer:
    """What a photo tells.

    Parameters
    ----------
    lengths : tuple of PhotoLength
        In the order they were asked for; otherwise by the place of the second mark, then of the first.
    card : CardSeen
    assumes : tuple of Said
        What the lengths rest on, and nobody can see in the clicks.
    """

    lengths: tuple[PhotoLength, ...]
    card: CardSeen
    assumes: tuple[Said, ...]
