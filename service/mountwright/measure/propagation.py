"""Doubt through a function of several inputs: ``J S J^T``, J by central differences (JCGM 102:2011, 6.2.1.3)."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def jacobian(of: Callable[[Floats], Floats], at: Floats, steps: Floats) -> Floats:
    """Give the derivatives of each output by each input, of shape (..., outputs, inputs).

    Parameters
    ----------
    of : callable
        Takes inputs of shape (..., inputs), gives outputs of shape (..., outputs); smooth about ``at``.
    at : array of float
        Of shape (..., inputs).
    steps : array of float
        How far each input is moved either way, above 0, of shape (inputs,).
    """
    moves = np.diag(steps)
    there, back = of(at[..., None, :] + moves), of(at[..., None, :] - moves)
    return np.swapaxes((there - back) / (2 * steps[:, None]), -1, -2)


def propagated(slopes: Floats, covariance: Floats) -> Floats:
    """Give the covariance of the outputs, of shape (..., outputs, outputs).

    Parameters
    ----------
    slopes : array of float
        As :func:`jacobian` gives them.
    covariance : array of float
        Of the inputs, of shape (..., inputs, inputs).
    """
    return slopes @ covariance @ np.swapaxes(slopes, -1, -2)
