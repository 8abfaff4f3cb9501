"""The coefficients of the bench that no standard or paper gives, from its data files, each with its range."""

from __future__ import annotations

from collections.abc import Mapping

from mountwright.riding.coefficients import Coefficient, coefficients_in


def estimates_in(file: str) -> Mapping[str, Coefficient]:
    """Give the coefficients of a data file of the bench by name.

    Parameters
    ----------
    file : str
        Beside this module.

    Raises
    ------
    InvalidQuantityError
        For one of another standing than ``estimate`` or ``common practice``.
    """
    return coefficients_in("mountwright.bench", file)
