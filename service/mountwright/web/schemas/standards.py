"""Installed standards as the contract shows them."""

from __future__ import annotations

from marshmallow import Schema, fields

from mountwright.web.schemas.fit_checks import CautionSchema


class LeftOutSchema(Schema):
    """A plugin or standards file that was left out at start-up."""

    plugin = fields.String(required=True)
    distribution = fields.String(required=True)
    reason = fields.String(required=True)


class StandardShortSchema(Schema):
    """A standard in short."""

    key = fields.String(required=True)
    title = fields.String(required=True)
    positions = fields.List(fields.String(), required=True)
    also_known_as = fields.List(fields.String(), required=True)
    plugin = fields.String(required=True)


class StandardsSchema(Schema):
    """Every installed standard, by key."""

    standards = fields.List(fields.Nested(StandardShortSchema), required=True)
    left_out = fields.List(fields.Nested(LeftOutSchema), required=True)
    rules = fields.String(required=True)


class DimensionSchema(Schema):
    """Something to measure; figures in the unit that the name ends in."""

    name = fields.String(required=True)
    sides = fields.List(fields.String(), required=True)
    measure = fields.String(required=True)
    plausible = fields.List(fields.Float(allow_none=True), required=True)
    nominal = fields.Float(required=True, allow_none=True)
    conforming_standard_uncertainty = fields.Float(required=True, allow_none=True)
    source = fields.String(required=True, allow_none=True)


class LookSchema(Schema):
    """Something to look at."""

    feature = fields.String(required=True)
    answers = fields.List(fields.String(), required=True)
    sides = fields.List(fields.String(), required=True)


class StandardSchema(StandardShortSchema):
    """A standard in full."""

    sides = fields.List(fields.String(), required=True)
    interchange = fields.Boolean(required=True)
    mark = fields.String(required=True)
    features = fields.Dict(keys=fields.String(), values=fields.String(), required=True)
    source = fields.String(required=True)
    cautions = fields.List(fields.Nested(CautionSchema), required=True)
    dimensions = fields.List(fields.Nested(DimensionSchema), required=True)
    looks = fields.List(fields.Nested(LookSchema), required=True)
    gauge = fields.String(
        required=True,
        allow_none=True,
        metadata={"description": "Where it is to be had as a 1:1 gauge; null where no length of it can be drawn."},
    )
