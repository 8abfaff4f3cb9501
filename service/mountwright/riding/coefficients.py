"""Choices that no standard or paper gives, from data files: each with its range and its standing."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Any, Final, NamedTuple

from mountwright.errors import InvalidQuantityError
from mountwright.riding.band import Band

#: What a figure that nobody published may be.
STANDINGS: Final = ("common practice", "estimate")


class Coefficient(NamedTuple):
    """One of them.

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
def coefficients_in(package: str, file: str) -> Mapping[str, Coefficient]:
    """Give the coefficients of a data file by name.

    Parameters
    ----------
    package : str
        That the file lies in.
    file : str
        Of its tables, those that have a range.

    Raises
    ------
    InvalidQuantityError
        For one of another standing than ``estimate`` or ``common practice``.
    """
    rows = tomllib.loads(resources.files(package).joinpath(file).read_text(encoding="utf-8"))
    return MappingProxyType({name: _read(name, row) for name, row in rows.items() if "range" in row})


def _read(name: str, row: Mapping[str, Any]) -> Coefficient:
    if row["standing"] not in STANDINGS:
        raise InvalidQuantityError(f"{name}: {row['standing']}", " or ".join(STANDINGS))
    low, high = row["range"]
    return Coefficient(Band(low, row["likely"], high), row["standing"])
