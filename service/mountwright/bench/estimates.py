"""Choices of the bench that no standard or paper gives, from its data files: each with its range and its standing."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Any, NamedTuple

from mountwright.bench.jobs import STANDINGS
from mountwright.errors import InvalidQuantityError
from mountwright.riding.band import Band


class BenchEstimate(NamedTuple):
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
def estimates_in(file: str) -> Mapping[str, BenchEstimate]:
    """Give the coefficients of a data file of the bench by name.

    Parameters
    ----------
    file : str
        Beside this module; of its tables, those that have a range.

    Raises
    ------
    InvalidQuantityError
        For one of another standing than ``estimate`` or ``common practice``.
    """
    rows = tomllib.loads(resources.files(__package__).joinpath(file).read_text(encoding="utf-8"))
    return MappingProxyType({name: _read(name, row) for name, row in rows.items() if "range" in row})


def _read(name: str, row: Mapping[str, Any]) -> BenchEstimate:
    if row["standing"] not in STANDINGS:
        raise InvalidQuantityError(f"{name}: {row['standing']}", " or ".join(STANDINGS))
    low, high = row["range"]
    return BenchEstimate(Band(low, row["likely"], high), row["standing"])
