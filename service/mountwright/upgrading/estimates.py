"""The coefficients of the path that no standard or paper gives, from ``estimates.toml``, each with its range."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib import resources
from types import MappingProxyType

from mountwright.riding.band import Band


@cache
def upgrade_estimates() -> Mapping[str, Band]:
    """Give every coefficient by name, in the unit that its name or the file says."""
    rows = tomllib.loads(resources.files(__package__).joinpath("estimates.toml").read_text(encoding="utf-8"))
    return MappingProxyType({name: Band(row["range"][0], row["likely"], row["range"][1]) for name, row in rows.items()})
