"""What the tyres of a wheel line take from the rider: each wheel by its own load.

Greenwood, Minshall and Tabor 1961: rolling loses a share of the elastic work that the front half of the contact takes
up. The contact is a half-space's: thin bonded tyres are stiffer. Compare the coefficients of two lines; the size of
one is good to a factor of two.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from mountwright.riding.contact import Floats, contact_ellipse


class Rolling(NamedTuple):
    """What rolling takes, as a share of the load; arrays of float.

    Parameters
    ----------
    by_wheel : array
        Of each wheel over its own load, of shape (n, w); 0 for one that carries nothing.
    total : array
        Of the whole line over its load, of shape (n,).
    """

    by_wheel: Floats
    total: Floats


def rolling(
    loads_n: Floats,
    rolling_radius_mm: float | Floats,
    profile_radius_mm: float | Floats,
    modulus_mpa: float | Floats,
    lost_share: float | Floats,
) -> Rolling:
    """Give the rolling coefficient of each wheel, ``3 alpha a/(16 R)``, and of each line.

    Greenwood, Minshall, Tabor 1961 (Proc. R. Soc. A 259, 480), the form of a sphere; it holds for a crowned wheel with
    the contact's semi-axis and the radius along rolling.

    Parameters
    ----------
    loads_n : array
        On each wheel, 0 or more, of shape (n, w): n lines of w wheels.
    rolling_radius_mm, profile_radius_mm : array
        Along rolling, and of the crown, across; above 0. Of this shape, or one that broadcasts to it, as those below.
    modulus_mpa : array
        Young's, above 0.
    lost_share : array
        Of the work, 0 to 1.
    """
    along = contact_ellipse(loads_n, rolling_radius_mm, profile_radius_mm, modulus_mpa).along_mm
    by_wheel = 3 / 16 * lost_share * along / rolling_radius_mm
    return Rolling(by_wheel, over_load(loads_n * by_wheel, loads_n))


def over_load(forces_n: Floats, loads_n: Floats) -> Floats:
    """Give what the forces on all wheels of a line come to over their load: (n, w) to (n,), 0 without a load."""
    force, load = forces_n.sum(axis=-1), loads_n.sum(axis=-1)
    share: Floats = np.divide(force, load, out=np.zeros_like(force), where=load > 0)
    return share
