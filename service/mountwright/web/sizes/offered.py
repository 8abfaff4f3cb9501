"""From an entry of a request, by SKU or by its figures, to the shell, liner or insole that is meant."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from mountwright.bench.feet import Measure
from mountwright.bench.lining import Insole, Liner
from mountwright.bench.shell_fit import Shell
from mountwright.bench.size_estimates import size_estimate
from mountwright.measure.quantity import Limits, Quantity, thousandths
from mountwright.measure.uncertainty import rectangular
from mountwright.mounts.lending import CATALOGUE
from mountwright.web.naming import article_named, skate_named
from mountwright.web.workshop import Desk

Json = Mapping[str, Any]

#: The spec that a measure of a shell stands in.
SHELL_SPECS = {measure: f"shell_{measure}_mm" for measure in Measure}


def shell_offered(data: Json, desk: Desk) -> Shell:
    """Give a skate's shell.

    Raises
    ------
    ValidationError
        When there is no such skate.
    """
    if "sku" in data:
        skate_named(data, desk)
    told = _record(data, desk)
    specs, half_width = told.get("specs", {}), size_estimate("catalogued_shell_half_width_mm").likely
    length, breadth, instep = (_figure(data, specs, name, half_width) for name in SHELL_SPECS.values())
    return Shell(
        *_called(data, told),
        length=length,
        breadth=breadth,
        instep_height=instep,
        insole_room_um=_um(specs, "insole_room_mm"),
        is_soft=specs.get("shell") == "soft",
        eu_sizes=_run(told),
        heel_gap=data.get("measured", {}).get("heel_gap_mm"),
    )


def liner_offered(data: Json, desk: Desk) -> Liner:
    """Give a liner.

    Raises
    ------
    ValidationError
        When there is none, or it is of another kind.
    """
    told = _part(data, "liner", desk)
    specs, half_width = told.get("specs", {}), size_estimate("catalogued_liner_half_width_mm").likely
    thickness = _figure(data, specs, "thickness_mm", half_width)
    room = _um(specs, "insole_room_mm")
    return Liner(*_called(data, told), thickness=thickness, insole_room_um=room, eu_sizes=_run(told))


def insole_offered(data: Json, desk: Desk) -> Insole:
    """Give an insole.

    Raises
    ------
    ValidationError
        When there is none, or it is of another kind.
    """
    told = _part(data, "insole", desk)
    return Insole(*_called(data, told), thickness_um=_um(told.get("specs", {}), "thickness_mm"), eu_sizes=_run(told))


def _part(data: Json, kind: str, desk: Desk) -> Json:
    if "sku" in data:
        article_named(data["sku"], kind, desk)
    return _record(data, desk)


def _record(data: Json, desk: Desk) -> Json:
    """Give what is told of an entry, what the request says laid over the catalogue's record."""
    if "sku" not in data or desk.seen is None:
        return data
    record = desk.seen.articles[data["sku"]].record
    return {**record, **data, "specs": {**record.get("specs", {}), **data.get("specs", {})}}


def _called(data: Json, told: Json) -> tuple[str, str]:
    return data.get("sku", ""), told.get("name", "")


def _run(told: Json) -> Limits:
    return Limits(told.get("eu_size_from"), told.get("eu_size_to"))


def _um(specs: Json, name: str) -> int | None:
    value = specs.get(name)
    return None if value is None else thousandths(value)


def _figure(data: Json, specs: Json, name: str, half_width_mm: float) -> Quantity | None:
    """Give a figure: as it was measured, else as a catalogue tells it."""
    measured: Quantity | None = data.get("measured", {}).get(name)
    value = _um(specs, name)
    if measured is not None or value is None:
        return measured
    return Quantity(value, rectangular(half_width_mm * 1000), CATALOGUE)
