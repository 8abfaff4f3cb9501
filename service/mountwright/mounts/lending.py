"""Figures that a mount gets from other articles of the same set-up: a frame's bolt length from the bolt itself."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cache, lru_cache
from importlib import resources
from typing import Any, NamedTuple

from mountwright.measure.quantity import Limits, Quantity, thousandths
from mountwright.measure.uncertainty import rectangular
from mountwright.mounts.installed import is_installed
from mountwright.mounts.mount import Mount, Pattern
from mountwright.mounts.registry import Registry
from mountwright.mounts.standard import Dimension, Family, Loan

#: What a lent figure was taken with.
CATALOGUE = "catalogue"


class Lender(NamedTuple):
    """An article of the set-up.

    Parameters
    ----------
    kind : str
    specs : Mapping[str, Any]
        By name, as the catalogue has them; numbers in the unit of the name.
    """

    kind: str
    specs: Mapping[str, Any]


class _Offer(NamedTuple):
    """A figure, and the place of the one among the lenders that offers it."""

    figure: Quantity
    lender: int


def lends(kind: str, registry: Registry) -> bool:
    """Tell whether some dimension of an installed standard is lent by articles of a kind."""
    return kind in _lending_kinds(registry)


@lru_cache(maxsize=8)
def _lending_kinds(registry: Registry) -> frozenset[str]:
    families = {standard.family for standard in registry.standards.values()}
    loans = [dimension.lent_by for family in families for dimension in family.dimensions.values()]
    return frozenset(loan.kind for loan in loans if loan is not None)


def with_loans(mount: Mount, lenders: Sequence[Lender], registry: Registry) -> tuple[Mount, tuple[int, ...]]:
    """Give a mount with the figures that others of its set-up lend it, and the places of those who lent one, sorted.

    Each of its patterns gets what it lacks; a figure that a pattern has stands. Where lenders
    differ over a dimension, nobody can say which of them goes there, and nothing is lent for it;
    nor is a figure that a request could not give either, being implausible. Who lent nothing gets
    the same mount back.

    Parameters
    ----------
    mount : Mount
    lenders : sequence of Lender
        All that the finished skate has.
    registry : Registry
    """
    patterns: list[Pattern] = []
    used: set[int] = set()
    for pattern in mount.patterns:
        loans = _loans(pattern, mount, lenders, registry)
        used.update(offer.lender for offers in loans.values() for offer in offers)
        lent = {name: offers[0].figure for name, offers in loans.items()}
        patterns.append(replace(pattern, figures={**pattern.figures, **lent}) if lent else pattern)
    return (replace(mount, patterns=tuple(patterns)), tuple(sorted(used))) if used else (mount, ())


def _loans(pattern: Pattern, mount: Mount, lenders: Sequence[Lender], registry: Registry) -> dict[str, list[_Offer]]:
    """Give the offers that stand, by dimension: all of one name for the same figure."""
    found: dict[str, list[_Offer]] = {}
    for dimension, loan in _lacking(pattern, mount, registry):
        found.setdefault(dimension.name, []).extend(_offers(loan, lenders))
    return {
        name: offers
        for name, offers in found.items()
        if len({offer.figure for offer in offers}) == 1
        and _is_plausible(name, offers[0].figure, mount.position, registry)
    }


def _lacking(pattern: Pattern, mount: Mount, registry: Registry) -> Iterator[tuple[Dimension, Loan]]:
    for family in _families(pattern, mount, registry):
        for dimension in family.dimensions.values():
            lacks = mount.side in dimension.sides and dimension.name not in pattern.figures
            if lacks and dimension.lent_by is not None and not _is_without(pattern, dimension, registry):
                yield dimension, dimension.lent_by


def _families(pattern: Pattern, mount: Mount, registry: Registry) -> tuple[Family, ...]:
    """Give the family of the standard that a pattern claims; where that is not installed, all of the place."""
    if pattern.standard is not None and is_installed(pattern.standard, mount.position, registry):
        return (registry.standards[pattern.standard].family,)
    return registry.families_at(mount.position)


def _is_without(pattern: Pattern, dimension: Dimension, registry: Registry) -> bool:
    claimed = registry.standards.get(pattern.standard or "")
    return claimed is not None and dimension.name in claimed.without


def _offers(loan: Loan, lenders: Sequence[Lender]) -> Iterator[_Offer]:
    for place, lender in enumerate(lenders):
        if lender.kind == loan.kind and _is_among(lender, loan.where):
            stated = _stated(lender, loan.spec)
            figure = None if stated is None else _figure(stated, loan)
            if figure is not None:
                yield _Offer(figure, place)


def _is_among(lender: Lender, where: Mapping[str, Limits]) -> bool:
    told = ((_stated(lender, name), limits) for name, limits in where.items())
    return all(stated is not None and limits.contain(stated) for stated, limits in told)


def _stated(lender: Lender, spec: str) -> int | None:
    value = lender.specs.get(spec)
    return None if value is None else thousandths(value)


def _is_plausible(dimension: str, figure: Quantity, position: str, registry: Registry) -> bool:
    limits = registry.plausible(position, dimension)
    return limits is not None and limits.contain(figure.value)


def _figure(stated: int, loan: Loan) -> Quantity | None:
    """Give what a catalogue's figure says of a piece; None for a length that no general tolerance is known for."""
    if loan.conforming is not None:
        deviation, doubt = loan.conforming
        return Quantity(round(stated + deviation), doubt, CATALOGUE)
    half_width = next((half for up_to, half in _half_widths_um() if stated <= up_to), None)
    return None if half_width is None else Quantity(stated, rectangular(half_width), CATALOGUE)


@cache
def _half_widths_um() -> tuple[tuple[int, int], ...]:
    """Give each half-width behind the greatest length that it holds for, inclusive, the shortest first."""
    text = resources.files(__package__).joinpath("general_tolerances.toml").read_text(encoding="utf-8")
    rows = tomllib.loads(text)["lengths"]
    return tuple((thousandths(row["up_to_mm"]), thousandths(row["half_width_mm"])) for row in rows)
