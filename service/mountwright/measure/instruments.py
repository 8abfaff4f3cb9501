"""Instruments and what a reading with each is good for, from ``instruments.toml``."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Any

from mountwright.measure.check_bar import CheckBar
from mountwright.measure.quantity import UNITS, thousandths


@dataclass(frozen=True)
class Instrument:
    """One way to take a reading.

    Parameters
    ----------
    name : str
        As given in a request.
    half_widths : Mapping[str, int]
        By unit, whole thousandths, rectangular.
    methods : Mapping[str, int]
        Half-widths in whole micrometres of a named way to use it.
    least : Mapping[str, int]
        By unit, whole thousandths: no reading with it is closer than this half-width, whoever says so. Only what has
        errors that the reading itself cannot show has one.
    check_bar : CheckBar or None
        What tells how true it is to scale, where it has that.
    """

    name: str
    half_widths: Mapping[str, int]
    methods: Mapping[str, int]
    least: Mapping[str, int]
    check_bar: CheckBar | None = None


def _instrument(name: str, row: Mapping[str, Any]) -> Instrument:
    widths, least = (
        {unit: thousandths(row[f"{name}_{unit}"]) for unit in UNITS if f"{name}_{unit}" in row}
        for name in ("half_width", "least_half_width")
    )
    methods = {method: thousandths(entry["half_width_mm"]) for method, entry in row.get("method", {}).items()}
    bar = _check_bar(row["check_bar"]) if "check_bar" in row else None
    return Instrument(name, MappingProxyType(widths), MappingProxyType(methods), MappingProxyType(least), bar)


def _check_bar(row: Mapping[str, Any]) -> CheckBar:
    least, most = row["scales"]
    return CheckBar(thousandths(row["length_mm"]), thousandths(row["half_width_mm"]), least, most)


@cache
def instruments() -> Mapping[str, Instrument]:
    """Give every instrument by name."""
    text = resources.files(__package__).joinpath("instruments.toml").read_text(encoding="utf-8")
    return MappingProxyType({name: _instrument(name, row) for name, row in tomllib.loads(text).items()})
