"""The headings of a CSV file: what each stands for, and which one a place in a record has."""

from __future__ import annotations

import difflib
import re
from collections.abc import Collection, Mapping, Sequence
from functools import cache
from typing import Any, Final, NamedTuple

from mountwright.catalogue.csv_cells import Shape
from mountwright.measure.quantity import UNITS
from mountwright.messages import Fault, shown
from mountwright.mounts.kinds import endings, has_unit, specs, units, with_unit
from mountwright.mounts.specs import SpecType

_TEXT, _NUMBER, _WORDS, _JSON = Shape.TEXT, Shape.NUMBER, Shape.WORDS, Shape.JSON

#: The fields of a record, in the order of their columns.
FIELDS: Final[Mapping[str, Shape]] = {
    "sku": _TEXT,
    "kind": _TEXT,
    "name": _TEXT,
    "maker": _TEXT,
    "version": _TEXT,
    "mark": _TEXT,
    "family": _TEXT,
    "parent": _TEXT,
    "eu_size_from": _NUMBER,
    "eu_size_to": _NUMBER,
    "made_from": _NUMBER,
    "made_to": _NUMBER,
    "gtin": _TEXT,
    "price_minor": _NUMBER,
    "currency": _TEXT,
    "trade_in_minor": _NUMBER,
    "stock": _NUMBER,
    "checked_on": _TEXT,
    "units_per_pack": _NUMBER,
    "sold_as": _TEXT,
    "side": _TEXT,
    "colour": _TEXT,
    "colour_srgb": _TEXT,
    "photo_url": _TEXT,
    "links": _WORDS,
    "comes_with": Shape.CONTENTS,
}

#: The fields of a mount that take one cell each.
MOUNT_FIELDS: Final[Mapping[str, Shape]] = {
    "standard": _TEXT,
    "claimed_by": _TEXT,
    "instrument": _TEXT,
    "side": _TEXT,
    "source": _TEXT,
    "name": _TEXT,
    "drawing_id": _TEXT,
    "damage": _WORDS,
    "holes": _JSON,
    "patterns": _JSON,
}

#: What may be said of a dimension beside its value.
FIGURE_FIELDS: Final[Mapping[str, Shape]] = {
    "plus_minus": _NUMBER,
    "instrument": _TEXT,
    "method": _TEXT,
    "check_bar_mm": _NUMBER,
    "from": _NUMBER,
    "to": _NUMBER,
    "step": _NUMBER,
    "lock": _TEXT,
}

#: Where a cell goes that holds all mounts of a record at once.
ALL_MOUNTS = "all mounts"

_SHAPES: Final[Mapping[SpecType, Shape]] = {
    SpecType.NUMBER: _NUMBER,
    SpecType.COUNT: _NUMBER,
    SpecType.TEXT: _TEXT,
    SpecType.CHOICE: _TEXT,
    SpecType.FLAG: Shape.FLAG,
    SpecType.WORDS: _WORDS,
    SpecType.NUMBERS: Shape.NUMBERS,
    SpecType.TABLE: _JSON,
}

_WORD = re.compile(r"[a-z][a-z0-9_]{0,59}")
_DIMENSION = re.compile(rf"[a-z][a-z0-9_]{{0,55}}_(?:{'|'.join(UNITS)})")


class Column(NamedTuple):
    """One column.

    Parameters
    ----------
    heading : str
    place : tuple of str
        Steps into the record; mounts are told apart by the heading's first part.
    shape : Shape
    """

    heading: str
    place: tuple[str, ...]
    shape: Shape


def column(given: str) -> Column | Fault:
    """Give what a heading stands for, or what is wrong with it."""
    heading = given.strip()
    if not heading:
        return Fault("import.no_heading")
    found = _known(heading)
    return _unknown(heading) if found is None else found


def is_group(name: str) -> bool:
    """Tell whether the first part of a heading can be a mount's: a position, or a position and a side."""
    position, slash, side = name.partition("/")
    return position not in _RESERVED and is_word(position) and (is_word(side) or not slash)


def is_word(name: str) -> bool:
    """Tell whether a name can be a part of a heading."""
    return _WORD.fullmatch(name) is not None


def is_dimension(name: str) -> bool:
    """Tell whether a name has its unit at the end."""
    return _DIMENSION.fullmatch(name) is not None


#: Of longer headings, none is looked for that they may be meant for.
_LONGEST = 120

#: First parts that are no positions.
_RESERVED = ("specs",)


def column_of(pointer: str, record: Mapping[str, Any], groups: Collection[str]) -> str:
    """Give the heading of the column that a place in a record has, or would have.

    Parameters
    ----------
    pointer : str
        A JSON pointer, ``/mounts/0/dimensions/hole_spacing_mm``.
    record : Mapping
        As it was read.
    groups : collection of str
        First parts of the headings of mounts; none where all mounts of the record stand in one cell.
    """
    match pointer.split("/")[1:]:
        case ["specs", name, *_]:
            return spec_heading(name)
        case ["mounts", index, *steps]:
            return _mount_heading(_mount_at(index, record.get("mounts")), steps, groups)
        case [name, *_]:
            return name
    return ""


def in_order(headings: Collection[str]) -> Sequence[str]:
    """Give headings in the order of their columns: fields, specs by name, mounts by name."""
    fields = [name for name in FIELDS if name in headings]
    figures = sorted(name for name in headings if name in specs())
    free = sorted(name for name in headings if name.startswith("specs."))
    rest = set(headings).difference(fields, figures, free, ["mounts"])
    return [*fields, *figures, *free, *sorted(rest), *(["mounts"] if "mounts" in headings else [])]


def spec_heading(name: str) -> str:
    """Give the heading of a spec; one that no list names has a word before it."""
    return name if name in specs() else f"specs.{name}"


def spec_shape(name: str) -> Shape:
    """Give what the cells of a spec hold; one that no list names is a number."""
    spec = specs().get(name)
    return _NUMBER if spec is None else _SHAPES[spec.type]


def _mount_at(index: str, mounts: Any) -> Mapping[str, Any]:
    """Give a mount by its place; an empty one where there is none."""
    is_there = isinstance(mounts, list) and index.isdecimal() and int(index) < len(mounts)
    mount = mounts[int(index)] if is_there else None
    return mount if isinstance(mount, dict) else {}


def _mount_heading(mount: Mapping[str, Any], steps: Sequence[str], groups: Collection[str]) -> str:
    position, side = mount.get("position", ""), mount.get("side", "")
    group = next((name for name in (f"{position}/{side}", position) if name in groups), None)
    if group is None:
        return "mounts"
    match steps:
        case ["side"] if "/" in group:
            return group
        case ["dimensions", name] | ["dimensions", name, "value"]:
            return f"{group}.{name}"
        case ["dimensions", name, further, *_]:
            return f"{group}.{name}.{further}"
        case ["seen", feature, *_]:
            return f"{group}.seen.{feature}"
        case [name, *_] if name in MOUNT_FIELDS:
            return f"{group}.{name}"
    return group


def _known(heading: str) -> Column | Fault | None:
    if heading in FIELDS:
        return Column(heading, (heading,), FIELDS[heading])
    if heading in specs():
        return Column(heading, ("specs", heading), spec_shape(heading))
    if heading == "mounts":
        return Column(heading, (ALL_MOUNTS,), _JSON)
    first, _, rest = heading.partition(".")
    if first == "specs":
        return _free(heading, rest)
    return _of_mount(heading, first, rest.split(".")) if rest and is_group(first) else None


def _free(heading: str, name: str) -> Column | Fault:
    if name in specs() or has_unit(name):
        return Column(heading, ("specs", name), spec_shape(name))
    return Fault("request.no_unit", {"found": shown(heading), "known": endings(units())})


def _of_mount(heading: str, group: str, parts: Sequence[str]) -> Column | Fault | None:
    place = ("mounts", group)
    match parts:
        case [name] if name in MOUNT_FIELDS:
            return None if name == "side" and "/" in group else Column(heading, (*place, name), MOUNT_FIELDS[name])
        case ["seen", feature] if is_word(feature):
            return Column(heading, (*place, "seen", feature), _TEXT)
        case [name] if is_dimension(name):
            return Column(heading, (*place, "dimensions", name, "value"), _NUMBER)
        case [name, further] if is_dimension(name) and further in FIGURE_FIELDS:
            return Column(heading, (*place, "dimensions", name, further), FIGURE_FIELDS[further])
    return None


def _unknown(heading: str) -> Fault:
    """Say what was meant: the same with its unit, or the nearest; else what there is."""
    found = shown(heading)
    if full := with_unit(heading, specs()):
        return Fault("request.unit_missing", {"found": found, "near": full})
    if near := _nearest(heading):
        return Fault("import.unknown_heading_near", {"found": found, "near": near})
    first, dot, rest = heading.partition(".")
    if dot and is_group(first) and is_word(rest.partition(".")[0]):
        return Fault("request.no_unit", {"found": found, "known": endings(UNITS)})
    if has_unit(heading):
        return Fault("import.free_heading", {"found": found, "near": f"specs.{heading}"})
    return Fault("import.unknown_heading", {"found": found})


def _nearest(heading: str) -> str | None:
    """Give the heading that was most likely meant, or None."""
    lower = heading.lower()
    if len(heading) > _LONGEST or isinstance(_known(lower), Column):
        return lower if len(heading) <= _LONGEST else None
    first, dot, rest = lower.partition(".")
    if dot and not is_group(first):
        return None
    before, after, names = (first + dot, rest, _of_mounts(rest)) if dot else ("", lower, _plain_headings())
    near = difflib.get_close_matches(after, names, n=1, cutoff=0.75)
    return before + near[0] if near else None


def _of_mounts(rest: str) -> Sequence[str]:
    name = rest.partition(".")[0]
    return [*MOUNT_FIELDS, *(f"{name}.{further}" for further in FIGURE_FIELDS if is_dimension(name))]


@cache
def _plain_headings() -> Sequence[str]:
    return (*FIELDS, *specs(), "mounts")
