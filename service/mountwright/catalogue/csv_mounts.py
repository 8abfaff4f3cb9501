"""A record's mounts, laid flat over the columns of a row and put together again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Any

from mountwright.catalogue.csv_cells import Shape
from mountwright.catalogue.csv_headings import FIGURE_FIELDS, MOUNT_FIELDS, is_dimension, is_group, is_word
from mountwright.catalogue.documents import Json


def gathered(groups: Mapping[str, Json]) -> list[Json]:
    """Give the mounts of a row, in the order of their positions and sides.

    Parameters
    ----------
    groups : Mapping
        By the first part of their headings, ``frame`` or ``axle/bearing``: their fields.
    """
    mounts = [_mount(group, fields) for group, fields in groups.items()]
    return sorted(mounts, key=_key)


def flat(mounts: Sequence[Json]) -> dict[str, tuple[Shape, Any]] | None:
    """Give the cells of mounts by heading; None where they can only be written whole.

    They can be laid flat when they stand in the order of their positions and sides, each said once,
    and every part of them has a column that reads back as the same.
    """
    keys = [_key(mount) for mount in mounts]
    if any(low >= high for low, high in pairwise(keys)) or not all(map(_is_flat, mounts)):
        return None
    at_a_position = Counter(mount["position"] for mount in mounts)
    cells: dict[str, tuple[Shape, Any]] = {}
    for mount in mounts:
        shared = at_a_position[mount["position"]] > 1 and "side" in mount
        group = f"{mount['position']}/{mount['side']}" if shared else mount["position"]
        own = {f"{group}.{name}": cell for name, cell in _cells(mount) if not (shared and name == "side")}
        if not own:
            return None
        cells |= own
    return cells


def _key(mount: Mapping[str, Any]) -> tuple[str, str]:
    return str(mount.get("position", "")), str(mount.get("side", ""))


def _mount(group: str, fields: Mapping[str, Any]) -> Json:
    position, _, side = group.partition("/")
    mount: Json = {"position": position, **({"side": side} if side else {}), **fields}
    if "dimensions" in mount:
        mount["dimensions"] = {name: _figure(parts) for name, parts in mount["dimensions"].items()}
    return mount


def _figure(parts: Json) -> Any:
    """Give a figure of which nothing but the value is said as a number."""
    return parts["value"] if len(parts) == 1 and "value" in parts else parts


def _cells(mount: Mapping[str, Any]) -> Iterator[tuple[str, tuple[Shape, Any]]]:
    for name, shape in MOUNT_FIELDS.items():
        if name in mount:
            yield name, (shape, mount[name])
    for feature, answer in mount.get("seen", {}).items():
        yield f"seen.{feature}", (Shape.TEXT, answer)
    for name, figure in mount.get("dimensions", {}).items():
        for part, value in figure.items() if isinstance(figure, dict) else [("value", figure)]:
            further = "" if part == "value" else f".{part}"
            yield f"{name}{further}", (_part_shape(part), value)


def _part_shape(part: str) -> Shape:
    return FIGURE_FIELDS.get(part, Shape.NUMBER)


def _is_flat(mount: Mapping[str, Any]) -> bool:
    group = "/".join(str(mount[name]) for name in ("position", "side") if name in mount)
    fields = mount.keys() - {"position", "dimensions", "seen"}
    return (
        is_group(group)
        and all(name in MOUNT_FIELDS and _reads_back(MOUNT_FIELDS[name], mount[name]) for name in fields)
        and _are_flat(mount, "seen", _is_flat_look)
        and _are_flat(mount, "dimensions", _is_flat_figure)
    )


def _are_flat(mount: Mapping[str, Any], field: str, is_flat: Callable[[str, Any], bool]) -> bool:
    """Tell whether an object of the mount is absent, or has entries and each of them can be laid flat."""
    entries = mount.get(field)
    if not isinstance(entries, dict):
        return field not in mount
    return bool(entries) and all(is_flat(name, entry) for name, entry in entries.items())


def _is_flat_look(feature: str, answer: Any) -> bool:
    return is_word(feature) and _reads_back(Shape.TEXT, answer)


def _is_flat_figure(name: str, figure: Any) -> bool:
    if not isinstance(figure, dict):
        return is_dimension(name) and _reads_back(Shape.NUMBER, figure)
    further = figure.keys() - {"value"}
    return (
        is_dimension(name)
        and bool(further)
        and further <= FIGURE_FIELDS.keys()
        and all(_reads_back(_part_shape(part), value) for part, value in figure.items())
    )


def _reads_back(shape: Shape, value: Any) -> bool:
    """Tell whether a cell with the value in it reads as the same value."""
    if shape is Shape.TEXT:
        return isinstance(value, str) and value != ""
    if shape is Shape.NUMBER:
        return type(value) is int or type(value) is float
    if shape is Shape.WORDS:
        return isinstance(value, list) and value != [] and all(isinstance(w, str) and w.split() == [w] for w in value)
    return value is not None
