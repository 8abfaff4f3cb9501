"""What goes on the printed gauge of a standard: its own lengths, and those of the standards it may be taken for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from mountwright.errors import InvalidQuantityError
from mountwright.measure.instruments import instruments
from mountwright.mounts.bolt_rule import BoltsPass
from mountwright.mounts.registry import Registry
from mountwright.mounts.rules import PlaneMatch
from mountwright.mounts.standard import Dimension, DrawnAs, Family, Standard

#: What a reading off such a gauge is given as.
INSTRUMENT = "printed_gauge"

#: So many of the nearest other standards are drawn beside one.
MOST_NEIGHBOURS = 3


class Neighbour(NamedTuple):
    """Another standard that a reading may belong to: its key, and what it has for the same length, micrometres."""

    standard: str
    nominal_um: int


@dataclass(frozen=True)
class GaugeScale:
    """One length as it is drawn.

    Parameters
    ----------
    dimension : Dimension
    drawn_as : DrawnAs
    nominal_um : int or None
        Whole micrometres; None only for a comb, which a mount of unknown height may be measured with, too. Above 0
        unless it is a comb's.
    hole_um : int
        Diameter of the bolt that stands in a hole, whole micrometres; 0 where it is not known, or no hole.
    neighbours : tuple of Neighbour
        The nearest first.

    Raises
    ------
    InvalidQuantityError
        For a length that cannot be drawn so.
    """

    dimension: Dimension
    drawn_as: DrawnAs
    nominal_um: int | None
    hole_um: int
    neighbours: tuple[Neighbour, ...]

    def __post_init__(self) -> None:
        if self.drawn_as is not DrawnAs.COMB and (self.nominal_um is None or self.nominal_um <= 0):
            raise InvalidQuantityError(self.nominal_um, "a length above 0")


@dataclass(frozen=True, eq=False)
class Gauge:
    """A standard with what is drawn of it.

    Parameters
    ----------
    standard : Standard
    scales : tuple of GaugeScale
        One at least, in the order of the family's dimensions.
    not_told_apart : tuple of str
        Other standards of which no print tells whether it is this one or that, by key.
    """

    standard: Standard
    scales: tuple[GaugeScale, ...]
    not_told_apart: tuple[str, ...]


def gauge_of(standard: Standard, registry: Registry) -> Gauge | None:
    """Give the gauge of a standard, None where it states no length that can be drawn.

    A spacing is drawn where a rule places two bolts by it, a height where a rule compares two planes by it, and any
    length that the standards file says how to draw.
    """
    drawn = {
        each.name: shape
        for each in standard.family.dimensions.values()
        if (shape := drawn_as(each, standard.family)) is not None and _can_be_drawn(each.name, shape, standard)
    }
    if not any(name in standard.nominals for name in drawn):
        return None
    others = _others(standard, registry)
    scales = tuple(_scale(name, shape, standard, others) for name, shape in drawn.items())
    return Gauge(standard, scales, tuple(each.key for each in others if _too_near(each, drawn, standard)))


def drawn_as(dimension: Dimension, family: Family) -> DrawnAs | None:
    """Give what a length is on a gauge, None where it is not drawn."""
    if dimension.drawn_as is not None:
        return dimension.drawn_as
    if _bolt(dimension.name, family) is not None:
        return DrawnAs.HOLES
    heights = {rule.height for rule in family.rules if isinstance(rule, PlaneMatch)}
    return DrawnAs.COMB if dimension.name in heights and dimension.name.endswith("_mm") else None


def by_places(family: Family) -> bool:
    """Tell whether bolts are compared by the places of their holes alone, which no standard states."""
    return any(isinstance(rule, BoltsPass) and not rule.spacing for rule in family.rules)


def instead(standard: Standard) -> tuple[Dimension, ...]:
    """Give what is measured on a mount, gauge or not, in the order of its family."""
    return tuple(each for name, each in standard.family.dimensions.items() if name not in standard.without)


def _can_be_drawn(name: str, shape: DrawnAs, standard: Standard) -> bool:
    if name in standard.without:
        return False
    return shape is DrawnAs.COMB or _stated(name, standard) > 0


def _stated(name: str, standard: Standard) -> int:
    return standard.nominals[name].stated if name in standard.nominals else 0


def _bolt(name: str, family: Family) -> int | None:
    """Give the bolt that a spacing is for, whole micrometres; None where no rule places bolts by it."""
    return next((rule.bolt_um for rule in family.rules if isinstance(rule, BoltsPass) and rule.spacing == name), None)


def _others(standard: Standard, registry: Registry) -> tuple[Standard, ...]:
    """Give the other standards at the same positions, by key."""
    found = {other.key: other for position in standard.family.positions for other in registry.at(position)}
    return tuple(other for key, other in sorted(found.items()) if key != standard.key)


def _scale(name: str, shape: DrawnAs, standard: Standard, others: Iterable[Standard]) -> GaugeScale:
    stated = standard.nominals[name].stated if name in standard.nominals else None
    hole_um = (_bolt(name, standard.family) or 0) if shape is DrawnAs.HOLES else 0
    found = [Neighbour(other.key, other.nominals[name].stated) for other in others if _has_it_too(other, name, shape)]
    found.sort(key=lambda each: (abs(each.nominal_um - (stated or 0)), each.nominal_um, each.standard))
    return GaugeScale(standard.family.dimensions[name], shape, stated, hole_um, tuple(found[:MOST_NEIGHBOURS]))


def _has_it_too(other: Standard, name: str, shape: DrawnAs) -> bool:
    """Tell whether another standard states a length of the same name, drawn alike."""
    if name not in other.nominals or drawn_as(other.family.dimensions[name], other.family) is not shape:
        return False
    return _can_be_drawn(name, shape, other)


def _too_near(other: Standard, drawn: Mapping[str, DrawnAs], standard: Standard) -> bool:
    """Tell whether all lengths that two standards state lie closer than twice what a reading off paper may be out."""
    least_um = 2 * instruments()[INSTRUMENT].half_widths["mm"]
    shared = [name for name, shape in drawn.items() if name in standard.nominals and _has_it_too(other, name, shape)]
    apart = (abs(other.nominals[name].stated - standard.nominals[name].stated) for name in shared)
    return bool(shared) and all(each < least_um for each in apart)
