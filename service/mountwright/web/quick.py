"""The short way for a well-formed part: straight from JSON to the domain, without a schema object in between.

Whatever is not plainly right gives None and goes marshmallow's way, which alone says what is
wrong. Tests hold the two ways to give equal parts for everything that this one takes.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any, NamedTuple

from mountwright.errors import InvalidHoleError
from mountwright.measure.instruments import instruments
from mountwright.measure.quantity import Adjustable, Limits, Quantity, thousandths
from mountwright.measure.uncertainty import rectangular
from mountwright.mounts.holes import Hole
from mountwright.mounts.mount import Claimant, Mount, Part, Pattern
from mountwright.mounts.registry import Registry
from mountwright.mounts.sides import side_of

#: Largest plus_minus, millimetres or degrees: no reading of a skate is as coarse.
MOST_DOUBT = 1000

_PART_FIELDS = frozenset(("kind", "mounts"))
_MOUNT_FIELDS = frozenset(("position", "standard", "claimed_by", "instrument", "dimensions", "holes"))
_HOLE_FIELDS = frozenset(("name", "diameter_mm", "slot_length_mm"))
_READING_FIELDS = ({"value", "plus_minus"}, {"value", "instrument"})
_CLAIMANTS: Mapping[Any, Claimant] = {who.value: who for who in Claimant}
_MOST_MOUNTS, _MOST_HOLES, _MOST_LETTERS = 24, 24, 60


class _Position(NamedTuple):
    """What the installed standards know of a position."""

    standards: frozenset[str]
    plausible: Mapping[str, Limits]


@lru_cache(maxsize=256)
def _position(registry: Registry, name: str) -> _Position | None:
    families = registry.families_at(name)
    if not families:
        return None
    dimensions = {
        dimension: registry.plausible(name, dimension) for family in families for dimension in family.dimensions
    }
    known = {dimension: limits for dimension, limits in dimensions.items() if limits is not None}
    return _Position(frozenset(standard.key for standard in registry.at(name)), known)


@lru_cache(maxsize=256)
def _standard_uncertainty(instrument: str, unit: str) -> float | None:
    known = instruments().get(instrument)
    half_width = known.half_widths.get(unit) if known else None
    return None if half_width is None else rectangular(half_width)


@lru_cache(maxsize=1024)
def _unit(dimension: str) -> str:
    return dimension.rpartition("_")[2]


def quick_part(data: Any, registry: Registry) -> Part | None:
    """Give the part that a JSON value plainly describes, or None.

    Parameters
    ----------
    data : Any
        As parsed.
    registry : Registry
    """
    if type(data) is not dict or data.keys() != _PART_FIELDS or not _is_word(data["kind"]):
        return None
    mounts = _mounts(data["mounts"], data["kind"], registry)
    return None if mounts is None else Part(data["kind"], mounts)


def quick_skate(data: Any, registry: Registry) -> Part | None:
    """Give the skate that a JSON value plainly describes, or None."""
    if type(data) is not dict or data.keys() != {"mounts"}:
        return None
    mounts = _mounts(data["mounts"], "", registry)
    return None if mounts is None else Part("", mounts)


def _mounts(data: Any, kind: str, registry: Registry) -> tuple[Mount, ...] | None:
    if type(data) is not list or not 1 <= len(data) <= _MOST_MOUNTS:
        return None
    mounts: list[Mount] = []
    for entry in data:
        mount = _mount(entry, kind, registry)
        if mount is None or any(m.position == mount.position and m.side == mount.side for m in mounts):
            return None
        mounts.append(mount)
    return tuple(mounts)


def _mount(data: Any, kind: str, registry: Registry) -> Mount | None:
    if type(data) is not dict or not data.keys() <= _MOUNT_FIELDS:
        return None
    name, standard = data.get("position"), data.get("standard")
    position = _position(registry, name) if type(name) is str else None
    if position is None or type(standard) is not str or standard not in position.standards:
        return None
    claimant = data.get("claimed_by")
    figures = _figures(data, position.plausible)
    holes = _holes(data.get("holes", ()))
    if type(claimant) is not str or claimant not in _CLAIMANTS or figures is None or holes is None:
        return None
    side = side_of(str(name), "", standard, figures, registry, kind)
    pattern = Pattern("", standard, _CLAIMANTS[claimant], figures, {}, holes)
    return Mount(str(name), side, (pattern,))


def _figures(data: Mapping[str, Any], plausible: Mapping[str, Limits]) -> dict[str, Quantity | Adjustable] | None:
    dimensions, instrument = data.get("dimensions", {}), data.get("instrument")
    if type(dimensions) is not dict or not (instrument is None or type(instrument) is str):
        return None
    if instrument is not None and instrument not in instruments():
        return None
    figures: dict[str, Quantity | Adjustable] = {}
    for name, given in dimensions.items():
        limits = plausible.get(name)
        if limits is None:
            return None
        figure = _figure(given, instrument, _unit(name))
        if figure is None or not limits.contain(figure.value):
            return None
        figures[name] = figure
    return figures


def _figure(given: Any, instrument: str | None, unit: str) -> Quantity | None:
    if type(given) is dict:
        return _reading(given, instrument, unit)
    uncertainty = _standard_uncertainty(instrument, unit) if instrument is not None else None
    if uncertainty is None or not (type(given) is float or type(given) is int):
        return None
    return Quantity(thousandths(given), uncertainty, str(instrument))


def _reading(given: dict[str, Any], instrument: str | None, unit: str) -> Quantity | None:
    if given.keys() not in _READING_FIELDS or not (type(given["value"]) is float or type(given["value"]) is int):
        return None
    if "instrument" in given:
        return _figure(given["value"], given["instrument"] if type(given["instrument"]) is str else None, unit)
    if instrument is not None and instruments()[instrument].least:
        return None
    half_width = given["plus_minus"]
    if not (type(half_width) is float or type(half_width) is int) or not 0 < half_width <= MOST_DOUBT:
        return None
    return Quantity(thousandths(given["value"]), rectangular(half_width * 1000), "plus_minus")


def _holes(data: Any) -> tuple[Hole, ...] | None:
    if data == ():
        return ()
    if type(data) is not list or len(data) > _MOST_HOLES:
        return None
    holes = [_hole(entry) for entry in data]
    found = tuple(hole for hole in holes if hole is not None)
    names = {hole.name for hole in found}
    return found if len(found) == len(holes) == len(names) else None


def _hole(data: Any) -> Hole | None:
    if type(data) is not dict or not data.keys() <= _HOLE_FIELDS or not _is_word(data.get("name")):
        return None
    diameter, slot = data.get("diameter_mm"), data.get("slot_length_mm", 0)
    if not (type(diameter) is float or type(diameter) is int) or not 0.1 <= diameter <= 100:
        return None
    if not (type(slot) is float or type(slot) is int) or not ("slot_length_mm" not in data or 0.1 <= slot <= 300):
        return None
    try:
        return Hole(data["name"], None, 0, thousandths(diameter), thousandths(slot))
    except InvalidHoleError:
        return None


def _is_word(value: Any) -> bool:
    return type(value) is str and 1 <= len(value) <= _MOST_LETTERS
