"""The kinds of articles and the specs that each may carry, from ``kinds.toml``."""

from __future__ import annotations

import difflib
import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Any

from mountwright.errors import InvalidSpecError
from mountwright.messages import shown
from mountwright.mounts.specs import Column, Spec, SpecFault, SpecType, number_faults, value_faults

#: Letters in the name of a spec, the most.
_LONGEST_NAME = 60

_NAME = re.compile(r"[a-z][a-z0-9_]*")


@dataclass(frozen=True)
class Kind:
    """One kind of article.

    Parameters
    ----------
    name : str
    specs : Mapping[str, Spec]
        By name, with the bounds that hold for this kind.
    takes_free_names : bool
        Whether it takes any other number, too, by a name that ends in a unit.

    Raises
    ------
    InvalidSpecError
        When it has a spec under another name than the spec's own.
    """

    name: str
    specs: Mapping[str, Spec]
    takes_free_names: bool = False

    def __post_init__(self) -> None:
        for name, spec in self.specs.items():
            if name != spec.name:
                raise InvalidSpecError(f"{self.name}.{name}", spec.name, "the spec under its own name")


@dataclass(frozen=True)
class _Catalogue:
    """What the file says."""

    kinds: Mapping[str, Kind]
    specs: Mapping[str, Spec]
    units: tuple[str, ...]
    free_bounds: tuple[float, float]


def kinds() -> Mapping[str, Kind]:
    """Give every kind by name, in the file's order."""
    return _catalogue().kinds


def specs() -> Mapping[str, Spec]:
    """Give every spec by name, with the bounds that hold for all kinds together."""
    return _catalogue().specs


@cache
def searched() -> frozenset[str]:
    """Give the names of the specs by which parts are looked for."""
    return frozenset(name for name, spec in specs().items() if spec.searched)


def units() -> tuple[str, ...]:
    """Give what the name of a spec may end in that belongs to no list."""
    return _catalogue().units


def has_unit(name: str) -> bool:
    """Tell whether a name may stand for a number that belongs to no list: words in low case and a unit at the end."""
    named = _NAME.fullmatch(name) is not None and len(name) <= _LONGEST_NAME
    return named and any(name.endswith(f"_{unit}") for unit in units())


def with_unit(name: str, known: Mapping[str, Any]) -> str | None:
    """Give the known name that a name lacks only the unit of, the first in order, or None."""
    return next((full for unit in units() if (full := f"{name}_{unit}") in known), None)


def endings(names: Iterable[str]) -> str:
    """Give units as names end in them, for a sentence."""
    return ", ".join(f"_{name}" for name in names)


def spec_faults(kind: Kind, given: Mapping[str, Any]) -> Iterator[SpecFault]:
    """Give everything that is wrong with the specs of an article.

    Parameters
    ----------
    kind : Kind
    given : Mapping
        Values by name, as JSON has them.
    """
    for name, value in given.items():
        if name in kind.specs:
            yield from value_faults(kind.specs[name], value, (name,))
        elif kind.takes_free_names and has_unit(name):
            yield from number_faults(value, *_catalogue().free_bounds, (name,))
        else:
            yield _unknown(kind, name)


def _unknown(kind: Kind, name: str) -> SpecFault:
    """Say what was meant: the name with its unit, or the nearest; else what there is."""
    found: dict[str, str | float] = {"found": shown(name), "kind": kind.name}
    if full := with_unit(name, kind.specs):
        return SpecFault((name,), "request.unit_missing", {"found": shown(name), "near": full})
    # A name that is far too long is like none, and costly to compare.
    if near := difflib.get_close_matches(name[: 2 * _LONGEST_NAME], kind.specs, n=1):
        return SpecFault((name,), "request.unknown_spec_near", {**found, "near": near[0]})
    if kind.takes_free_names:
        return SpecFault((name,), "request.no_unit", {"found": shown(name), "known": endings(units())})
    return SpecFault((name,), "request.unknown_spec", {**found, "known": ", ".join(kind.specs)})


@cache
def _catalogue() -> _Catalogue:
    rows = tomllib.loads(resources.files(__package__).joinpath("kinds.toml").read_text(encoding="utf-8"))
    known = {name: _spec(name, row) for name, row in rows["specs"].items()}
    low, high = rows["free_bounds"]
    return _Catalogue(
        MappingProxyType({name: _kind(name, row, known) for name, row in rows["kinds"].items()}),
        MappingProxyType(known),
        tuple(rows["units"]),
        (low, high),
    )


def _kind(name: str, row: Mapping[str, Any], known: Mapping[str, Spec]) -> Kind:
    listed = {spec: known[spec] for spec in row["specs"]}
    for spec, (low, high) in row.get("bounds", {}).items():
        listed[spec] = replace(listed[spec], low=low, high=high)
    return Kind(name, MappingProxyType(listed), row.get("takes_free_names", False))


def _spec(name: str, row: Mapping[str, Any]) -> Spec:
    columns = {column: _column(column, cells) for column, cells in row.get("columns", {}).items()}
    return Spec(
        **_figure(name, row),
        standing=row["standing"],
        choices=tuple(row.get("choices", ())),
        columns=MappingProxyType(columns),
        same_length=tuple(row.get("same_length", ())),
        searched=row.get("searched", False),
    )


def _column(name: str, row: Mapping[str, Any]) -> Column:
    return Column(**_figure(name, row), required=row.get("required", False))


def _figure(name: str, row: Mapping[str, Any]) -> dict[str, Any]:
    low, high = row.get("bounds", (0.0, 0.0))
    return {"name": name, "type": SpecType(row["type"]), "measure": row["measure"], "low": low, "high": high}
