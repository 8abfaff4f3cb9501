"""Mounts, patterns, holes and figures in a request."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import orjson
from marshmallow import ValidationError, fields, post_load, validates_schema
from marshmallow.experimental.context import Context

from mountwright.measure.instruments import instruments
from mountwright.messages import Fault, shown
from mountwright.mounts.mount import Claimant, Mount, Part
from mountwright.mounts.registry import Registry
from mountwright.web.faults import Choice, Flag, ListOf, ObjectOf, Size, Strict, Text, Texts, fault
from mountwright.web.memory import Role
from mountwright.web.naming import Left, part_named, skate_named, versions_left
from mountwright.web.quick import MOST_DOUBT, quick_part, quick_skate
from mountwright.web.reading import merge, mount_read, part_built
from mountwright.web.schemas.numbers import Number, Whole, is_number
from mountwright.web.workshop import Desk, Workshop

_NAME = Size(min=1, max=120)
_SHORT = Size(min=1, max=60)

#: Lengths beyond this are no skate, millimetres.
_LONGEST_MM = 10_000

_FIGURE_FIELDS: dict[str, dict[str, Any]] = {
    "value": {"type": "number"},
    "instrument": {"type": "string", "enum": sorted(instruments())},
    "method": {"type": "string", "description": "A named way to use the instrument: edge_to_edge, centre_to_centre."},
    "plus_minus": {
        "type": "number",
        "exclusiveMinimum": 0,
        "maximum": MOST_DOUBT,
        "description": "Half-width; beside an instrument it stands in place of the usual one of that.",
    },
    "check_bar_mm": {
        "type": "number",
        "exclusiveMinimum": 0,
        "description": "With printed_gauge: its check bar as measured, 85.6 if printed true. The reading is corrected.",
    },
}
_SETTING_FIELDS: dict[str, dict[str, Any]] = {
    "from": {"type": "number"},
    "to": {"type": "number"},
    "step": {"type": "number", "exclusiveMinimum": 0},
    "lock": {"type": "string", "enum": ["friction", "teeth"]},
}


def _object(properties: dict[str, dict[str, Any]], *required: str) -> dict[str, Any]:
    return {"type": "object", "properties": properties, "required": list(required), "additionalProperties": False}


class Figures(fields.Field[dict[str, Any]]):
    """Dimensions by name, ``hole_spacing_mm``: a number, a reading with its doubt, or a range that can be set."""

    default_error_messages: Any = {"null": fault("request.null")}  # noqa: RUF012  # marshmallow's own way to set them

    def _deserialize(self, value: Any, *_place: Any, **_kwargs: Any) -> dict[str, Any]:
        if not isinstance(value, dict):
            raise ValidationError(fault("request.not_object"))
        faults = {name: wrong for name, figure in value.items() if (wrong := _figure_faults(figure))}
        if faults:
            rest = {name: figure for name, figure in value.items() if name not in faults}
            raise ValidationError(faults, valid_data=rest)
        return value


def _figure_faults(figure: Any) -> Any:
    """Give what is wrong with one figure's form; nothing where it is well-formed."""
    if is_number(figure):
        return None
    if not isinstance(figure, dict):
        return fault("request.not_a_figure", figure if figure is not None else "null")
    known = _SETTING_FIELDS if "from" in figure else _FIGURE_FIELDS
    wanted = ("from", "to") if "from" in figure else ("value",)
    faults = {name: fault("request.unknown_field") for name in figure if name not in known}
    faults |= {name: fault("request.required") for name in wanted if name not in figure}
    for name, found in figure.items():
        if name in known and name not in faults and (wrong := _entry_faults(known[name], found)):
            faults[name] = wrong
    return faults


def _entry_faults(expected: Mapping[str, Any], found: Any) -> list[Fault]:
    if expected["type"] == "number":
        if not is_number(found):
            return [Fault("request.not_number", {"found": shown(found)})]
        if "exclusiveMinimum" in expected and found <= 0:
            return fault("request.not_above_nothing", found)
        return fault("request.bounds", found, low=0, high=MOST_DOUBT) if found > expected.get("maximum", found) else []
    if not isinstance(found, str):
        return fault("request.not_text")
    allowed = expected.get("enum")
    return fault("request.choice", found, known=", ".join(allowed)) if allowed and found not in allowed else []


class HoleSchema(Strict):
    """One hole of a pattern."""

    name = Text(required=True, validate=_SHORT, metadata={"description": "The bolt that belongs here: front …"})
    along_mm = Number(-_LONGEST_MM, _LONGEST_MM, metadata={"description": "Place of the centre, forward positive."})
    across_mm = Number(-_LONGEST_MM, _LONGEST_MM, metadata={"description": "Toward the inside of the foot."})
    diameter_mm = Number(0.1, 100, required=True, metadata={"description": "Free width; if tapped, the thread."})
    slot_length_mm = Number(0.1, 300, metadata={"description": "Overall length of a slot."})
    slot_direction_deg = Number(-180, 180, metadata={"description": "0 along the foot, 90 across."})
    tapped = Flag()
    axis_deg = Number(-180, 180, metadata={"description": "Direction of the bolt's axis from the plane's normal."})


class PatternSchema(Strict):
    """One of several ways to use a mount."""

    name = Text(validate=_SHORT)
    standard = Text(validate=_SHORT, metadata={"description": "Key of the standard it is claimed to follow."})
    claimed_by = Text(validate=Choice([who.value for who in Claimant]))
    instrument = Text(
        validate=Choice(sorted(instruments())), metadata={"description": "For every figure that names none."}
    )
    dimensions = Figures(
        metadata={
            "type": "object",
            "description": "By name, unit at the end: hole_spacing_mm.",
            "additionalProperties": {
                "oneOf": [
                    {"type": "number"},
                    _object(_FIGURE_FIELDS, "value"),
                    _object(_SETTING_FIELDS, "from", "to"),
                ]
            },
        }
    )
    seen = Texts(
        keys=Text(validate=_SHORT),
        values=Text(validate=_SHORT),
        metadata={"description": "What a look found, by feature: heel raised or level."},
    )
    holes = ListOf(ObjectOf(HoleSchema), validate=Size(max=24))
    drawing_id = Text(validate=_NAME)
    damage = ListOf(Text(validate=_SHORT), validate=Size(max=12))


class MountSchema(PatternSchema):
    """One side of a joint; its alternatives stand in ``patterns`` and inherit what they do not say."""

    position = Text(
        required=True, validate=_SHORT, metadata={"description": "Place on the skate: frame, strap_instep, hub, axle …"}
    )
    side = Text(validate=_SHORT, metadata={"description": "boot, frame, bearing …; left out, the usual one."})
    patterns = ListOf(ObjectOf(PatternSchema), validate=Size(min=1, max=16))

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> Mount:
        """Give the mount, its side still open where it was not said.

        Raises
        ------
        ValidationError
            With every fault that only the installed standards can tell.
        """
        mount, faults = mount_read(data, registry_in_use())
        if faults:
            raise ValidationError(faults)
        return mount

    def handle_error(self, error: ValidationError, data: Any, **_kwargs: Any) -> None:
        """Add what the standards say of the rest, so that one answer names every fault."""
        rest, found = error.valid_data, error.messages
        if isinstance(rest, dict) and isinstance(found, dict) and isinstance(data, dict):
            # Lists close up where an entry was ill-formed, so what is left would be filed under wrong indices.
            whole = {name: value for name, value in rest.items() if name not in found or name == "dimensions"}
            if "position" in whole:
                merge(found, mount_read(whole, registry_in_use())[1])


class ModelSchema(Strict):
    """A skate by its model's name, where the version is not known."""

    name = Text(required=True, validate=_NAME, metadata={"description": "The whole name; case does not matter."})
    maker = Text(validate=_NAME)
    eu_size = Number(15, 60)
    made = Whole(1950, 2100, metadata={"description": "Year."})


_MEASURED = {"description": "With a SKU or a model: what was measured on the one in hand."}


class SkateSchema(Strict):
    """A skate, or whatever of it the question is about: by SKU, by model, or by its mounts."""

    sku = Text(validate=_SHORT)
    model = ObjectOf(ModelSchema)
    name = Text(validate=_NAME)
    mounts = ListOf(ObjectOf(MountSchema), validate=Size(min=1, max=24), metadata=_MEASURED)

    @validates_schema(skip_on_field_errors=False, pass_original=True)
    def _named_once(self, data: Mapping[str, Any], given: Any, **_kwargs: Any) -> None:
        if not isinstance(given, dict):
            return
        if "sku" in data and "model" in data:
            raise ValidationError({"model": fault("request.sku_or_model")})
        if not given.keys() & {"sku", "model", "mounts"}:
            raise ValidationError({"mounts": fault("request.nothing_named")})

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> Part | tuple[Left, ...]:
        """Give the skate, each mount's side settled; of a model that hides several versions all that are left."""
        if "model" in data:
            return versions_left(data, desk_in_use())
        if "sku" in data:
            return skate_named(data, desk_in_use())
        return _built("", data)


class PartSchema(Strict):
    """A part to put on it: by SKU, or by its kind and mounts."""

    sku = Text(validate=_SHORT)
    kind = Text(validate=_SHORT, metadata={"description": "frame, buckle, bearing, axle …"})
    name = Text(validate=_NAME)
    mounts = ListOf(ObjectOf(MountSchema), validate=Size(min=1, max=24), metadata=_MEASURED)

    @validates_schema(skip_on_field_errors=False, pass_original=True)
    def _whole(self, _data: Mapping[str, Any], given: Any, **_kwargs: Any) -> None:
        if not isinstance(given, dict):
            return
        missing = [] if "sku" in given else [name for name in ("kind", "mounts") if name not in given]
        if missing:
            raise ValidationError({name: fault("request.required") for name in missing})

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> Part:
        """Give the part, each mount's side settled."""
        return part_named(data, desk_in_use()) if "sku" in data else _built(data["kind"], data)


class SkateField(ObjectOf):
    """A skate that is remembered once it was read."""

    def deserialize(self, value: Any, attr: str | None = None, data: Any = None, **kwargs: Any) -> Any:
        """Give the skate."""
        return _kept(value, Role.SKATE, super().deserialize(value, attr, data, **kwargs))


class PartsField(ListOf):
    """A list of parts, each remembered once it was read."""

    def deserialize(self, value: Any, attr: str | None = None, data: Any = None, **kwargs: Any) -> Any:
        """Give the parts."""
        read = super().deserialize(value, attr, data, **kwargs)
        return [_kept(entry, Role.PART, part) for entry, part in zip(value, read, strict=True)]


def skate_at_once(value: Any) -> Part | None:
    """Give the skate that a JSON value names, was read as before, or plainly describes, else None."""
    return _by_sku(value, Role.SKATE) or _at_once(value, Role.SKATE, quick_skate)


def part_at_once(value: Any) -> Part | None:
    """Give the part that a JSON value names, was read as before, or plainly describes, else None."""
    return _by_sku(value, Role.PART) or _at_once(value, Role.PART, quick_part)


def _by_sku(value: Any, role: Role) -> Part | None:
    """Give what a value names that has nothing but a SKU."""
    seen = desk_in_use().seen
    if seen is None or type(value) is not dict or value.keys() != {"sku"}:
        return None
    shelved = seen.articles.get(value["sku"])
    is_meant = shelved is not None and shelved.signature.of_part == (role is Role.PART)
    return shelved.part if shelved is not None and is_meant else None


def _at_once(value: Any, role: Role, quick: Callable[[Any, Registry], Part | None]) -> Part | None:
    if type(value) is not dict:
        return None
    shop = workshop_in_use()
    read = role, orjson.dumps(value)
    part = shop.memory.part(read)
    if part is None:
        part = quick(value, shop.registry)
        if part is not None:
            shop.memory.keep_part(read, part)
    return part


def _kept(value: Any, role: Role, part: Any) -> Any:
    # What stands in the catalogue may stand there otherwise the next time.
    if type(value) is not dict or value.keys() & {"sku", "model"}:
        return part
    workshop_in_use().memory.keep_part((role, orjson.dumps(value)), part)
    return part


def _built(kind: str, data: Mapping[str, Any]) -> Part:
    part, faults = part_built(kind, data["mounts"], data.get("name", ""), registry_in_use())
    if faults:
        raise ValidationError({"mounts": faults})
    return part


def desk_in_use() -> Desk:
    """Give what the caller put around the load, as a marshmallow context."""
    found: Desk = Context.get()
    return found


def workshop_in_use() -> Workshop:
    """Give the workshop of the request that is being read."""
    return desk_in_use().workshop


def registry_in_use() -> Registry:
    """Give the installed standards of that workshop."""
    return workshop_in_use().registry
