"""How stiff a tyre's rubber is, from its Shore A hardness: two published fits, which differ, as the ends of a band.

Both are of small, slow strain. Neither is to be used for the hard plastics of shells: there the second gives less than
half of what is measured.
"""

from __future__ import annotations

from typing import Any, TypeAlias, TypeVar

import numpy as np
from numpy.typing import NDArray

from mountwright.errors import InvalidQuantityError
from mountwright.riding.band import Band

Floats: TypeAlias = NDArray[np.float64]

_Value = TypeVar("_Value", float, Floats)

#: Hardness that the fits are used within, both inclusive: Gent's has its pole at 100 A.
SOFTEST_SHORE_A, HARDEST_SHORE_A = 30.0, 95.0


def gent_mpa(shore_a: _Value) -> _Value:
    """Give Young's modulus, MPa, from the indenter's geometry (Gent 1958, Rubber Chem. Technol. 31:896).

    Parameters
    ----------
    shore_a : float or array
        30 to 95, both inclusive.

    Raises
    ------
    InvalidQuantityError
        For a hardness beyond these bounds, and NaN.
    """
    _check_hardness(shore_a)
    return 0.0981 * (56.0 + 7.62336 * shore_a) / (0.137505 * (254.0 - 2.54 * shore_a))


def log_linear_mpa(shore_a: _Value) -> _Value:
    """Give Young's modulus, MPa, from the fit log10 E = 0.0235 S - 0.6403 (Qi, Joyce and Boyce 2003, 76:419).

    Made for 20 to 80 A; above, it serves as the stiff end of a band.

    Parameters
    ----------
    shore_a : float or array
        30 to 95, both inclusive.

    Raises
    ------
    InvalidQuantityError
        For a hardness beyond these bounds, and NaN.
    """
    _check_hardness(shore_a)
    stiffness: _Value = 10.0 ** (0.0235 * shore_a - 0.6403)
    return stiffness


def modulus_mpa(shore_a: _Value, lean: float | _Value) -> _Value:
    """Give Young's modulus, MPa, between the two fits, by the share of the way on a scale of ratios.

    Parameters
    ----------
    shore_a : float or array
        30 to 95, both inclusive.
    lean : float or array
        0 for Gent's fit, 1 for the log-linear one, both inclusive; of a shape that goes with the hardness.

    Raises
    ------
    InvalidQuantityError
        For a hardness or a lean beyond these bounds, and NaN.
    """
    if not bool(np.all((np.asarray(lean) >= 0) & (np.asarray(lean) <= 1))):
        raise InvalidQuantityError(lean, "a lean of 0 to 1")
    share: Any = lean
    between: _Value = gent_mpa(shore_a) ** (1.0 - share) * log_linear_mpa(shore_a) ** share
    return between


def modulus_band(hardness: Band) -> Band:
    """Give Young's modulus, MPa, with the doubt of the hardness and that between the two fits.

    The bounds are the softer fit at the softest and the stiffer at the hardest, which is the log-linear one up to 94 A
    and Gent's beyond; the likely value lies midway between both, by ratio.

    Parameters
    ----------
    hardness : Band
        Shore A, 30 to 95, both inclusive.

    Raises
    ------
    InvalidQuantityError
        For a hardness beyond these bounds.
    """
    soft, hard = hardness.low, hardness.high
    low, high = min(gent_mpa(soft), log_linear_mpa(soft)), max(gent_mpa(hard), log_linear_mpa(hard))
    # Where both fits meet, rounding alone could put the middle beyond an end.
    return Band(low, min(max(modulus_mpa(hardness.likely, 0.5), low), high), high)


def _check_hardness(shore_a: float | Floats) -> None:
    given = np.asarray(shore_a)
    if not bool(np.all((given >= SOFTEST_SHORE_A) & (given <= HARDEST_SHORE_A))):
        raise InvalidQuantityError(shore_a, f"{SOFTEST_SHORE_A:g} to {HARDEST_SHORE_A:g} Shore A")
