"""A skate that is ridden, in a request: by SKU or inline, with what stands on it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from marshmallow import ValidationError, fields, post_load, validates_schema

from mountwright.measure.instruments import instruments
from mountwright.measure.quantity import thousandths
from mountwright.measure.uncertainty import rectangular
from mountwright.mounts.kinds import kinds
from mountwright.riding.rebound import WheelOrigin
from mountwright.web.carts.cart import EU_SIZES
from mountwright.web.faults import Choice, Flag, ListOf, ObjectOf, Size, Strict, Text, fault
from mountwright.web.quick import MOST_DOUBT
from mountwright.web.reading import too_close
from mountwright.web.rides.assembling import OF_WHEELS, SetUp, set_up_given
from mountwright.web.rides.limits import ALONG_MM, MOST_PARTS, MOST_WHEELS
from mountwright.web.rides.tyres import Reading
from mountwright.web.schemas.articles import specs_faults
from mountwright.web.schemas.mounts import MountSchema, desk_in_use
from mountwright.web.schemas.numbers import Number, Whole

_NAME, _SHORT = Size(min=1, max=120), Size(min=1, max=60)
_MOUNTS = {"description": "Tell how far slots let the frame be shifted."}
_LENGTHS = sorted(name for name, each in instruments().items() if "mm" in each.half_widths)


class ReadingSchema(Strict):
    """A length that was measured, with the instrument or a half-width."""

    value = Number(1, 1000, required=True)
    instrument = Text(validate=Choice(_LENGTHS))
    plus_minus = Number(
        0.001,
        MOST_DOUBT,
        metadata={"description": "Half-width; beside an instrument it stands in place of the usual one of that."},
    )

    @validates_schema
    def _doubted(self, data: Mapping[str, Any], **_kwargs: Any) -> None:
        if not data.keys() & {"instrument", "plus_minus"}:
            raise ValidationError({"instrument": fault("request.no_doubt")})
        if "plus_minus" in data and (found := too_close(data, "mm")):
            raise ValidationError({"plus_minus": [found]})

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> Reading:
        """Give the reading with its standard uncertainty (JCGM 100:2008, 4.3.7)."""
        if "plus_minus" in data:
            return Reading(data["value"], rectangular(data["plus_minus"]))
        half_width_um = instruments()[data["instrument"]].half_widths["mm"]
        return Reading(thousandths(data["value"]) / 1000, rectangular(half_width_um / 1000))


class BounceSchema(Strict):
    """How high a wheel bounces: dropped on its tread on a hard floor."""

    drop_mm = Number(100, 5000, required=True)
    return_mm = Number(1, 5000, required=True)

    @validates_schema
    def _lower(self, data: Mapping[str, Any], **_kwargs: Any) -> None:
        if not data["return_mm"] < data["drop_mm"]:
            raise ValidationError(
                {"return_mm": fault("ride.bounces_too_high", data["return_mm"], drop=data["drop_mm"])}
            )


class BenchTestSchema(Strict):
    """What a part gives under a known load."""

    load_n = Number(1, 5000, required=True)
    gives_mm = Number(0.001, 200, required=True)
    plus_minus_mm = Number(0.001, 50, metadata={"description": "Half-width of the deflection's reading."})


class RiddenPartSchema(Strict):
    """A part of the set-up, by SKU or by its figures."""

    sku = Text(validate=_SHORT)
    kind = Text(validate=Choice(sorted(set(kinds()) - {"skate"})))
    name = Text(validate=_NAME)
    specs = fields.Dict(validate=Size(max=60), metadata={"description": "Figures of its kind, by name."})
    mounts = ListOf(ObjectOf(MountSchema), validate=Size(min=1, max=24), metadata=_MOUNTS)
    axles = ListOf(
        Whole(0, MOST_WHEELS - 1),
        validate=Size(min=1, max=MOST_WHEELS),
        metadata={"description": "Of a wheel: the axles that it stands on, 0 in front; left out, all that are left."},
    )
    measured_mm = ObjectOf(
        ReadingSchema, metadata={"description": "Of a wheel: its diameter, where it was measured; a mark is none."}
    )
    used = Flag(metadata={"description": "Of a wheel that was ridden and not measured."})
    origin = Text(
        validate=Choice([each.value for each in WheelOrigin]),
        metadata={"description": "Of a wheel: where it comes from, which tells a little of how it bounces."},
    )
    bounce = ObjectOf(BounceSchema, metadata={"description": "Of a wheel: its bounce, where it was measured."})
    bench_test = ObjectOf(BenchTestSchema, metadata={"description": "Of an insole, liner or frame: how far it gives."})

    @validates_schema(skip_on_field_errors=False, pass_original=True)
    def _whole(self, data: Mapping[str, Any], given: Any, **_kwargs: Any) -> None:
        if not isinstance(given, dict):
            return
        if not given.keys() & {"sku", "kind"}:
            raise ValidationError({"kind": fault("request.required")})
        # Which kind an SKU is shows later.
        is_wheel = data.get("kind", "wheel") == "wheel"
        faults = {} if is_wheel else {name: fault("ride.wheels_only") for name in OF_WHEELS if name in given}
        if faults := {**faults, **specs_faults(data)}:
            raise ValidationError(faults)


class RiddenSkateSchema(Strict):
    """The boot: by SKU, with all that it comes with, or by its figures."""

    sku = Text(validate=_SHORT)
    specs = fields.Dict(validate=Size(max=60), metadata={"description": "Figures of a skate, by name."})
    mounts = ListOf(ObjectOf(MountSchema), validate=Size(min=1, max=24), metadata=_MOUNTS)
    eu_size = Number(*EU_SIZES, metadata={"description": "Which size of it is worn: tells the sole over the wheels."})
    bench_test = ObjectOf(BenchTestSchema, metadata={"description": "How far the shell gives."})

    @validates_schema(skip_on_field_errors=False)
    def _known(self, data: Mapping[str, Any], **_kwargs: Any) -> None:
        if faults := specs_faults({**data, "kind": "skate"}):
            raise ValidationError(faults)


class BoltTipSchema(Strict):
    """Where a frame bolt ends."""

    along_mm = Number(*ALONG_MM, required=True, metadata={"description": "Forward of midway between the bolts."})
    down_mm = Number(-20, 150, required=True, metadata={"description": "Below the deck."})


class SetUpSchema(Strict):
    """A skate with everything on it. A kind that is named in ``parts`` replaces what the skate comes with."""

    name = Text(validate=_NAME)
    skate = ObjectOf(RiddenSkateSchema)
    parts = ListOf(ObjectOf(RiddenPartSchema), validate=Size(max=MOST_PARTS))
    settings_mm = ListOf(
        Number(-10, 10),
        validate=Size(min=1, max=MOST_WHEELS),
        metadata={"description": "How each axle is set, from the front; left out, as near to the drawing as it goes."},
    )
    bolt_tips = ListOf(
        ObjectOf(BoltTipSchema),
        validate=Size(min=1, max=8),
        metadata={"description": "Ends of the frame bolts that reach toward the wheels; without them no room is told."},
    )
    bolt_spacing_mm = Number(
        40, 300, metadata={"description": "From frame bolt to frame bolt: with it the sole's pitch is told."}
    )

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> SetUp:
        """Give the set-up.

        Raises
        ------
        ValidationError
            For what the catalogue, the frame or the wheels have to say against it.
        """
        return set_up_given(data, desk_in_use())
