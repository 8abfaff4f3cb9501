"""The coefficients of the ride that no standard or paper gives, from ``estimates.toml``, each with its range."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import NamedTuple

from mountwright.riding.band import Band


class RidingEstimate(NamedTuple):
    """One coefficient.

    Parameters
    ----------
    band : Band
        In the unit that its name ends in; a name without a unit is of a pure number.
    standing : str
        ``estimate`` or ``common practice``.
    """

    band: Band
    standing: str


@cache
def riding_estimates() -> Mapping[str, RidingEstimate]:
    """Give every coefficient by name."""
    rows = tomllib.loads(resources.files(__package__).joinpath("estimates.toml").read_text(encoding="utf-8"))
    return MappingProxyType(
        {
            name: RidingEstimate(Band(row["range"][0], row["likely"], row["range"][1]), row["standing"])
            for name, row in rows.items()
        }
    )


def estimate(name: str) -> Band:
    """Give one coefficient.

    Raises
    ------
    KeyError
        For a name that the file does not have.
    """
    return riding_estimates()[name].band
