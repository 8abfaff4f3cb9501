"""Where a tyre meets the ground: the ellipse of Hertz on a rigid floor, and how stiff a tyre it makes.

Exact for a smooth, linear, incompressible half-space (Johnson 1985, Contact Mechanics, eq. 4.25 to 4.28). A tyre that
is thin against its contact, on a hard core, is stiffer and leaves a smaller contact than given here.
"""

from __future__ import annotations

from typing import NamedTuple, TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mountwright.errors import InvalidQuantityError

Floats: TypeAlias = NDArray[np.float64]

#: Rubber keeps its volume.
_POISSON = 0.5

#: Rounds after which a mean, or a root, stands whatever it started from; nothing near a wheel takes half of them.
_ROUNDS = 16

#: The next round's change of a mean, or a root, is the square of this one's: below this it is lost in rounding.
_LAST_CHANGE = 1e-9


class Ellipse(NamedTuple):
    """Semi-axes of a contact, millimetres, each of the shape that the inputs broadcast to.

    Parameters
    ----------
    along_mm : array
        In the direction of rolling.
    across_mm : array
    """

    along_mm: Floats
    across_mm: Floats


class _Shape(NamedTuple):
    """What depends on the ratio of the radii alone: how slender the ellipse is, and the integrals of that.

    Parameters
    ----------
    slenderness : array
        Logarithm of the axis along over the axis across.
    size, approach : array
        Johnson's F1 cubed and F2, both 1 for a circle.
    """

    slenderness: Floats
    size: Floats
    approach: Floats


class _Integrals(NamedTuple):
    """Complete elliptic integrals for the modulus e of an ellipse whose short axis is q times the long one.

    Parameters
    ----------
    whole : array
        K.
    long, short : array
        (K - E) / e**2 and (E - q**2 K) / e**2: they make the curvature along the long and the short axis.
    between : array
        Their difference over e**2.
    """

    whole: Floats
    long: Floats
    short: Floats
    between: Floats


def contact_ellipse(
    load_n: ArrayLike, rolling_radius_mm: ArrayLike, profile_radius_mm: ArrayLike, modulus_mpa: ArrayLike
) -> Ellipse:
    """Give the contact of a tyre on a rigid floor (Johnson 1985, eq. 4.25 to 4.28).

    Parameters
    ----------
    load_n : float or array
        0 or more; without a load both axes are 0.
    rolling_radius_mm, profile_radius_mm : float or array
        Half the wheel's diameter, and the crown's radius across; above 0, either may be the larger.
    modulus_mpa : float or array
        Young's modulus of the tyre, above 0.

    Raises
    ------
    InvalidQuantityError
        For figures beyond these bounds, NaN and infinities.
    """
    load = _floats(load_n)
    if not np.all(np.isfinite(load) & (load >= 0)):
        raise InvalidQuantityError(load_n, "a finite load of 0 N or more")
    rolling, profile, plane_mpa = _tyre(rolling_radius_mm, profile_radius_mm, modulus_mpa)
    shape = _shape(rolling, profile)
    mean_mm = np.cbrt(0.75 * load * np.sqrt(rolling) * np.sqrt(profile) / plane_mpa * shape.size)
    stretch = np.exp(0.5 * shape.slenderness)
    return Ellipse(mean_mm * stretch, mean_mm / stretch)


def stiffness_n_mm15(rolling_radius_mm: ArrayLike, profile_radius_mm: ArrayLike, modulus_mpa: ArrayLike) -> Floats:
    """Give the k of N = k u**1.5, the load N under which a tyre is pressed in by u mm (Johnson 1985, eq. 4.26).

    Parameters
    ----------
    rolling_radius_mm, profile_radius_mm, modulus_mpa : float or array
        As for `contact_ellipse`.

    Raises
    ------
    InvalidQuantityError
        For figures that are not above 0, NaN and infinities.
    """
    rolling, profile, plane_mpa = _tyre(rolling_radius_mm, profile_radius_mm, modulus_mpa)
    ball: Floats = 4.0 / 3.0 * plane_mpa * np.sqrt(np.sqrt(rolling) * np.sqrt(profile))
    return ball / _shape(rolling, profile).approach ** 1.5


def _tyre(
    rolling_radius_mm: ArrayLike, profile_radius_mm: ArrayLike, modulus_mpa: ArrayLike
) -> tuple[Floats, Floats, Floats]:
    """Give both radii and the plane-strain modulus of a tyre, once they are seen to be above nothing."""
    rolling, profile, modulus = given = tuple(map(_floats, (rolling_radius_mm, profile_radius_mm, modulus_mpa)))
    for name, figures in zip(("rolling radius", "profile radius", "modulus"), given, strict=True):
        if not np.all(np.isfinite(figures) & (figures > 0)):
            raise InvalidQuantityError(figures.tolist(), f"a finite {name} above 0")
    return rolling, profile, modulus / (1.0 - _POISSON**2)


def _floats(given: ArrayLike) -> Floats:
    return np.asarray(given, dtype=np.float64)


def _shape(rolling: Floats, profile: Floats) -> _Shape:
    """Give the shape of an ellipse: Newton on the logarithm of its long axis over the short one.

    What is brought to 0 rises and is convex, and the start, Johnson's mild ellipse (eq. 4.28), lies above the root:
    each step comes nearer to it and none passes it.
    """
    curvature = np.log(rolling) - np.log(profile)
    slender = 2.0 / 3.0 * np.abs(curvature)
    for _ in range(_ROUNDS):
        made = _integrals(np.exp(-slender))
        miss = 2.0 * slender + np.log(made.short / made.long) - np.abs(curvature)
        slope = 2.0 - made.long / made.short + made.between * (1.0 / made.short + 1.0 / made.long)
        change = miss / slope
        slender = slender - change
        if np.max(np.abs(change), initial=0.0) < _LAST_CHANGE:
            break
    made = _integrals(np.exp(-slender))
    root_axes = np.exp(-0.5 * slender)
    size = 4.0 / np.pi * root_axes * np.sqrt(made.short * made.long)
    return _Shape(np.copysign(slender, curvature), size, 2.0 / np.pi * root_axes * made.whole / np.cbrt(size))


def _integrals(axes: Floats) -> _Integrals:
    """Give the integrals by the arithmetic-geometric mean of 1 and the short axis over the long one.

    K - E comes as a sum of positive terms, each of them e**2 times one that is finite for a circle too (Abramowitz and
    Stegun 1964, 17.6.3 and 17.6.4): nothing cancels however round the ellipse is.
    """
    mean, root, half_gap = 0.5 * (1.0 + axes), np.sqrt(axes), 0.5 * (1.0 - axes)
    term, weight = 0.25 / (1.0 + axes) ** 2, 1.0
    total = np.array(term)
    for _ in range(_ROUNDS):
        if np.max(half_gap / mean, initial=0.0) < _LAST_CHANGE:
            break
        mean, root, last_gap = 0.5 * (mean + root), np.sqrt(mean * root), half_gap
        half_gap, weight = last_gap**2 / (4.0 * mean), 2.0 * weight
        term = term * (last_gap / (4.0 * mean)) ** 2
        total = total + weight * term
    whole = np.pi / (mean + root)
    flatness = (1.0 - axes) * (1.0 + axes)
    return _Integrals(whole, whole * (0.5 + flatness * total), whole * (0.5 - flatness * total), 2.0 * whole * total)
