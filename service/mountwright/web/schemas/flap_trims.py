"""Flap trim: the request, and the answer as the contract shows it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from marshmallow import Schema, ValidationError, fields, post_load, validate, validates_schema

from mountwright.bench.flap_trim import FlapOf, FlapQuestion, Kept
from mountwright.bench.trimming import catalogued_length
from mountwright.web.faults import Choice, Flag, Size, Strict, Text, fault
from mountwright.web.schemas.trims import LengthSchema, TrimAnswerSchema, length_of, measured, named_specs


class FlapTrimRequestSchema(Strict):
    """A flap as it is measured at the bench, closed over the thickest sock; what nobody has looked at is left out."""

    of = Text(required=True, validate=Choice([each.value for each in FlapOf]))
    sku = Text(validate=Size(min=1, max=60), metadata={"description": "Of the cuff or liner."})
    never_cut = Flag(metadata={"description": "With a SKU: it is as it came, so that its length is that catalogued."})
    in_the_way_mm = measured("How far its edge presses or lies too far over, with the knee bent.")
    flap_length_mm = measured("Of the flap, as it is now.")
    least_length_mm = measured("What of that has to stay, by the maker's mark or sheet.")
    has_mark = Flag(metadata={"description": "Whether the maker says how far it may be cut."})
    overlaps = Flag(metadata={"description": "Whether it lies over another flap at all."})
    overlap_mm = measured("How far it lies over the other flap.")
    overlap_wanted_mm = measured("What of the overlap has to stay; the usual if left out.")

    @validates_schema(skip_on_field_errors=False)
    def _of_one_mind(self, data: Mapping[str, Any], **_kwargs: Any) -> None:
        faults = {}
        if data.get("has_mark") is False and "least_length_mm" in data:
            faults["has_mark"] = fault("trim.no_mark_and_figures")
        if data.get("overlaps") is False and "overlap_mm" in data:
            faults["overlaps"] = fault("trim.no_overlap_and_figures")
        if faults:
            raise ValidationError(faults)

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> FlapQuestion:
        """Give the question; what was measured goes before what is catalogued.

        Raises
        ------
        ValidationError
            For a SKU that is not there or of another kind.
        """
        specs = named_specs(data, data["of"])
        told = {name: length_of(data[field]) for field, name in _LENGTHS.items() if field in data}
        is_as_catalogued = data.get("never_cut", False) and "flap_length_mm" in specs and "length" not in told
        if is_as_catalogued:
            told["length"] = catalogued_length(specs["flap_length_mm"])
        return FlapQuestion(
            FlapOf(data["of"]),
            **told,
            has_mark=data.get("has_mark"),
            is_overlapping=data.get("overlaps"),
            catalogued=("flap_length_mm",) if is_as_catalogued else (),
        )


_LENGTHS = {
    "in_the_way_mm": "in_the_way",
    "flap_length_mm": "length",
    "least_length_mm": "least_length",
    "overlap_mm": "overlap",
    "overlap_wanted_mm": "overlap_wanted",
}


class FlapCutSchema(Schema):
    """What goes and what stays."""

    goes_mm = fields.Nested(LengthSchema, required=True)
    stays_mm = fields.Nested(
        LengthSchema, required=True, allow_none=True, metadata={"description": "null where the length is not known."}
    )
    overlap_mm = fields.Nested(
        LengthSchema, required=True, allow_none=True, metadata={"description": "What still lies over the other flap."}
    )


class FlapLimitSchema(Schema):
    """What one thing that has to stay lets go."""

    kept = fields.String(required=True, validate=validate.OneOf([each.value for each in Kept]))
    mm = fields.Float(required=True)


class FlapTrimAnswerSchema(TrimAnswerSchema):
    """How much of a flap may go, how much first, and what stays then."""

    limits = fields.List(fields.Nested(FlapLimitSchema), required=True)
    first = fields.Nested(
        FlapCutSchema, required=True, allow_none=True, metadata={"description": "Cut this, then try it on."}
    )
    at_most = fields.Nested(FlapCutSchema, required=True, allow_none=True)
