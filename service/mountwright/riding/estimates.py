"""The coefficients of the ride that no standard or paper gives, from ``estimates.toml``, each with its range."""

from __future__ import annotations

from mountwright.riding.band import Band
from mountwright.riding.coefficients import coefficients_in


def estimate(name: str) -> Band:
    """Give one coefficient.

    Raises
    ------
    KeyError
        For a name that the file does not have.
    """
    return coefficients_in("mountwright.riding", "estimates.toml")[name].band
