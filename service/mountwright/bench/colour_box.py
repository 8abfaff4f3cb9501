r"""The box in L*, a*, b* outside of which every colour certainly differs by more than a wanted CIEDE2000.

With the formula's own names (Sharma, Wu and Dalal 2005),

    dE^2 = (dL / S_L)^2 + x^2 + y^2 + R_T x y,    x = dC' / S_C,  y = dH' / S_H,

and |R_T| < 2, so both the first term and the rest are 0 or more: neither exceeds r^2 where dE does not exceed r.

Lightness: |dL| <= r S_L. S_L depends on the mean lightness alone and grows with its distance from 50, so over an
interval it is greatest at an end. Begun with 0 to 100, L1 - r S_L to L1 + r S_L is narrowed as often as one likes.

a* and b*: the plane is cut into cells of chroma and hue, each within one quadrant. G falls with the mean chroma, C'
grows with C and G, h' is monotone in h and in G: so over a cell each lies between its values at the ends. Then

- |dC'| is at least the gap between the two ranges of C', and |dH'| at least 2 sqrt(C1' C2') |sin(dh' / 2)|, each at its
  least; the sine is least at an end, or 0 where the range holds a full turn;
- S_C and S_H are at most those of the greatest mean C', with T at most its value in the middle of the mean hue's range
  and 2.41 a radian more toward the ends (0.17 + 2 * 0.24 + 3 * 0.32 + 4 * 0.20 bounds its slope);
- |R_T| is at most R, of the greatest mean C' and the mean hue nearest to 275 degrees;
- from x0 and y0 on, u^2 + v^2 - R u v is least at m = max(x0, y0), n = max(min(x0, y0), R m / 2), for it grows with
  one of them from R / 2 times the other on, and R < 2.

Cells whose least value exceeds r^2 are left out; the box holds all others. Where dh' may reach half a turn the mean
hue may lie on either side, and the greatest T and R are taken.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from mountwright.bench.colours import Lab

Floats = NDArray[np.float64]

#: Both inclusive.
Ends = tuple[float, float]

#: Edges of the cells, hues in radians: no screen colour's chroma reaches 134. Quadrants begin at edges.
CHROMAS, HUES = np.linspace(0.0, 136.0, 35), np.linspace(0.0, 2 * math.pi, 73)

#: Greater than T anywhere, and than its slope, a radian.
_MOST_T, _MOST_SLOPE = 1.93, 2.41

#: How often the lightness is narrowed; more gains nothing that matters.
_TIMES = 6

#: Farther than any figure.
_BEYOND = 1000.0

#: What rounding can shift, of a difference and of a figure.
_SLACK = 1e-6


class LabBox(NamedTuple):
    """Ranges of L*, a* and b*; the first end of a range lies beyond the last where it holds nothing."""

    lightness: Ends
    a: Ends
    b: Ends


class _Range(NamedTuple):
    """Between which values something lies in each cell."""

    low: Floats
    high: Floats


@lru_cache(maxsize=256)
def box_around(wanted: Lab, within: float) -> LabBox:
    """Give a box that holds every screen colour whose difference from a wanted colour is at most so much.

    Parameters
    ----------
    wanted : Lab
    within : float
        CIEDE2000, 0 or more.
    """
    near = least_of_cells(wanted) <= (within + _SLACK) ** 2
    a, b = (_hull(along(HUES), near) for along in (np.cos, np.sin))
    return LabBox(_lightness(wanted.lightness, within), a, b)


def least_differences(wanted: Lab, others: Sequence[Lab]) -> Floats:
    """Give what each of some screen colours differs at least from a wanted one: by its lightness and by its cell.

    A hundredth of the work of the difference itself, and sharper than the box.
    """
    figures = np.array([(each.lightness, each.a, each.b) for each in others]).reshape(-1, 3)
    lightness, a, b = figures.T
    chroma, hue = np.hypot(a, b), np.arctan2(b, a) % (2 * math.pi)
    # A cell holds both of its edges, so that it does not matter to which side rounding puts a colour on one.
    at = [np.clip(np.searchsorted(edges, each) - 1, 0, None) for edges, each in ((CHROMAS, chroma), (HUES, hue))]
    weight = _s_l((lightness + wanted.lightness) / 2)
    found: Floats = np.sqrt(((lightness - wanted.lightness) / weight) ** 2 + least_of_cells(wanted)[at[0], at[1]])
    return found


def _lightness(wanted: float, within: float) -> Ends:
    low, high = 0.0, 100.0
    for _ in range(_TIMES):
        reach = (within + _SLACK) * max(_s_l((wanted + low) / 2), _s_l((wanted + high) / 2))
        low, high = max(low, wanted - float(reach)), min(high, wanted + float(reach))
    return low, high


def _s_l(mean: Any) -> Any:
    return 1 + 0.015 * (mean - 50) ** 2 / np.sqrt(20 + (mean - 50) ** 2)


def _hull(direction: Floats, near: NDArray[np.bool_]) -> Ends:
    """Give between which values a* or b* lies in the cells that are left."""
    corners = [np.outer(chroma, along) for chroma in _both(CHROMAS) for along in _both(direction)]
    low, high = np.minimum.reduce(corners)[near], np.maximum.reduce(corners)[near]
    return float(low.min(initial=_BEYOND)) - _SLACK, float(high.max(initial=-_BEYOND)) + _SLACK


@lru_cache(maxsize=256)
def least_of_cells(wanted: Lab) -> Floats:
    """Give what the square of the difference is at least, lightness aside, by cell of :data:`CHROMAS` and of hue."""
    gain = _gain(math.hypot(wanted.a, wanted.b))
    chroma, hue = _primed(gain, wanted)
    others, their_hue = _cells_primed(gain)
    mean = (chroma.high + others.high) / 2
    turn = _turned(_Range(their_hue.low - hue.high, their_hue.high - hue.low))
    most_t, most_r = _most_t_and_r(hue, turn, mean)
    gap = np.maximum(0.0, np.maximum(others.low - chroma.high, chroma.low - others.high))
    sine = np.where(
        (turn.low <= 0) & (turn.high >= 0),
        0.0,
        np.minimum(np.abs(np.sin(turn.low / 2)), np.abs(np.sin(turn.high / 2))),
    )
    across = 2 * np.sqrt(chroma.low * others.low) * sine
    return _least_form(gap / (1 + 0.045 * mean), across / (1 + 0.015 * mean * most_t), most_r)


def _least_form(x: Floats, y: Floats, r: Floats) -> Floats:
    m = np.maximum(x, y)
    n = np.maximum(np.minimum(x, y), r * m / 2)
    form: Floats = m * m + n * n - r * m * n
    return form


def _gain(chroma: float) -> _Range:
    """Give 1 + G, by cell of chroma, a column."""
    low, high = ((1.5 - 0.5 * _saturation((chroma + each) / 2))[:, None] for each in _both(CHROMAS)[::-1])
    return _Range(low, high)


def _saturation(chroma: Floats) -> Floats:
    found: Floats = np.sqrt(chroma**7 / (chroma**7 + 25.0**7))
    return found


def _primed(gain: _Range, wanted: Lab) -> tuple[_Range, _Range]:
    """Give the wanted colour's C' and h'."""
    chroma = _Range(*(np.hypot(each * wanted.a, wanted.b) for each in gain))
    hues = [np.arctan2(wanted.b, each * wanted.a) for each in gain]
    return chroma, _Range(np.minimum(*hues), np.maximum(*hues))


def _cells_primed(gain: _Range) -> tuple[_Range, _Range]:
    """Give the C' and h' of each cell."""
    along = np.sort(np.abs(np.stack(_both(np.cos(HUES)))), axis=0)
    across = np.sort(np.abs(np.stack(_both(np.sin(HUES)))), axis=0)
    # The cosine is least at the end at which the sine is greatest.
    stretch = _Range(np.hypot(gain.low * along[0], across[1]), np.hypot(gain.high * along[1], across[0]))
    ends = (edge[:, None] * each for edge, each in zip(_both(CHROMAS), stretch, strict=True))
    turned = [_turned_with(hue, each) for hue in _both(HUES) for each in gain]
    return _Range(*ends), _Range(np.minimum.reduce(turned), np.maximum.reduce(turned))


def _turned_with(hue: Floats, gain: Floats) -> Floats:
    """Give h' of a hue; a hue's quadrant is kept, so that a whole turn stays one."""
    shifted = np.arctan2(np.sin(hue), gain * np.cos(hue)) - np.arctan2(np.sin(hue), np.cos(hue))
    found: Floats = hue + shifted
    return found


def _turned(turn: _Range) -> _Range:
    """Give a range of angles with its middle within half a turn of 0."""
    whole = 2 * math.pi * np.round((turn.low + turn.high) / (4 * math.pi))
    return _Range(turn.low - whole, turn.high - whole)


def _most_t_and_r(hue: _Range, turn: _Range, mean_chroma: Floats) -> tuple[Floats, Floats]:
    """Give the greatest T, and the greatest R_T without its sign."""
    low, high = hue.low + turn.low / 2, hue.high + turn.high / 2
    middle, half = (low + high) / 2, (high - low) / 2
    is_either_side = (turn.low < -math.pi) | (turn.high > math.pi)
    from_blue = np.abs((middle - math.radians(275) + math.pi) % (2 * math.pi) - math.pi)
    apart = np.where(is_either_side, 0.0, np.maximum(0.0, from_blue - half))
    angle = math.radians(60) * np.exp(-((np.degrees(apart) / 25) ** 2))
    most_t = np.where(is_either_side, _MOST_T, _t(middle) + _MOST_SLOPE * half)
    return most_t, 2 * _saturation(mean_chroma) * np.sin(angle)


def _t(hue: Floats) -> Floats:
    found: Floats = (
        1
        - 0.17 * np.cos(hue - math.radians(30))
        + 0.24 * np.cos(2 * hue)
        + 0.32 * np.cos(3 * hue + math.radians(6))
        - 0.20 * np.cos(4 * hue - math.radians(63))
    )
    return found


def _both(edges: Floats) -> tuple[Any, Any]:
    """Give where each cell begins and where it ends."""
    return edges[:-1], edges[1:]
