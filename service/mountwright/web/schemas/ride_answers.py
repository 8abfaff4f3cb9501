"""Rides that are compared: the answer as the contract shows it."""

from __future__ import annotations

from marshmallow import Schema, fields, validate

from mountwright.riding.chain import How
from mountwright.riding.ride_answer import LossPart, Outcome
from mountwright.web.schemas.fit_checks import ReceiptSchema


class BandSchema(Schema):
    """A figure with its bounds: it lies within them nine times of ten, where its description says nothing else."""

    low = fields.Float(required=True)
    likely = fields.Float(required=True)
    high = fields.Float(required=True)


class NoteSchema(Schema):
    """Something that is said with an answer."""

    code = fields.String(required=True)
    params = fields.Dict(required=True)
    message = fields.String(required=True)


class MeasurementSchema(NoteSchema):
    """A wheel whose bounce, measured, would narrow the ratio."""

    set_up = fields.Integer(required=True)
    axles = fields.List(fields.Integer(), required=True)
    sku = fields.String(required=True, allow_none=True)
    half_width = fields.Float(required=True, metadata={"description": "Of the ratio as it is known now."})
    expected_half_width = fields.Float(required=True, metadata={"description": "With the bounce measured, on average."})


class AgainstFirstSchema(NoteSchema):
    """How a set-up rolls against the first."""

    outcome = fields.String(required=True, validate=validate.OneOf([each.value for each in Outcome]))
    ratio = fields.Nested(
        BandSchema, required=True, metadata={"description": "Of what it loses to what the first does."}
    )
    easier_probability = fields.Float(required=True)
    felt_slope_percent = fields.Nested(
        BandSchema,
        required=True,
        metadata={"description": "By how much the road seems to rise more than with the first."},
    )
    power_more_w = fields.Nested(BandSchema, required=True)
    measurements = fields.List(fields.Nested(MeasurementSchema), required=True)


class PartLossSchema(Schema):
    """What one part takes of the power, the slope left out."""

    part = fields.String(required=True, validate=validate.OneOf([each.value for each in LossPart]))
    share = fields.Nested(BandSchema, required=True)
    power_w = fields.Nested(BandSchema, required=True)


class WheelLossSchema(Schema):
    """What one wheel carries, and its share of what the tyres take."""

    axle = fields.Integer(required=True)
    sku = fields.String(required=True, allow_none=True)
    load_n = fields.Float(required=True)
    share = fields.Float(required=True)


class LinkSchema(Schema):
    """A link of the chain between foot and ground."""

    name = fields.String(required=True)
    share = fields.Nested(BandSchema, required=True, metadata={"description": "Of what the whole chain gives."})
    share_moved = fields.Nested(
        BandSchema,
        required=True,
        allow_none=True,
        metadata={"description": "Against the first set-up, where one part alone is another one."},
    )
    softest_how_often = fields.Float(required=True)
    how = fields.String(required=True, validate=validate.OneOf([each.value for each in How]))


class ChainSchema(NoteSchema):
    """Where the set-up gives between foot and ground: a ranking, never a power."""

    links = fields.List(fields.Nested(LinkSchema), required=True, metadata={"description": "The softest first."})
    order_holds_how_often = fields.Float(required=True)
    notes = fields.List(fields.Nested(NoteSchema), required=True)


class SetUpAnswerSchema(Schema):
    """What is said of one set-up."""

    index = fields.Integer(required=True)
    name = fields.String(required=True, allow_none=True)
    outcome = fields.String(required=True, validate=validate.OneOf(["rolls", "tips"]))
    tip_margin_mm = fields.Float(
        required=True, metadata={"description": "How far inside the outer axles the load stands."}
    )
    against_first = fields.Nested(AgainstFirstSchema, required=True, allow_none=True)
    rolling_coefficient = fields.Nested(BandSchema, required=True, allow_none=True)
    glide_slope_deg = fields.Nested(
        BandSchema,
        required=True,
        allow_none=True,
        metadata={"description": "Of the road down which it just keeps rolling at walking pace."},
    )
    power_w = fields.Nested(BandSchema, required=True, allow_none=True)
    parts = fields.List(fields.Nested(PartLossSchema), required=True)
    wheels = fields.List(fields.Nested(WheelLossSchema), required=True)
    same_effort_speed_m_s = fields.Float(
        required=True, allow_none=True, metadata={"description": "At the power that the first set-up takes."}
    )
    chain = fields.Nested(ChainSchema, required=True, allow_none=True)
    notes = fields.List(fields.Nested(NoteSchema), required=True)


class FurtherRunSchema(NoteSchema):
    """What one more run would leave of the doubt."""

    start_speed_m_s = fields.Float(required=True)
    rolling_left = fields.Float(required=True)
    drag_area_left = fields.Float(required=True)


class CoastDownSchema(Schema):
    """What the rider's runs told."""

    rolling_coefficient = fields.Nested(BandSchema, required=True)
    drag_area_m2 = fields.Nested(BandSchema, required=True)
    by_run = fields.List(fields.Nested(BandSchema), required=True)
    is_contradictory = fields.Boolean(required=True)
    notes = fields.List(fields.Nested(NoteSchema), required=True)
    further_runs = fields.List(fields.Nested(FurtherRunSchema), required=True)


class ReckonedRiderSchema(Schema):
    """The rider that was reckoned with."""

    mass_kg = fields.Float(required=True)
    speed_m_s = fields.Float(required=True)
    drag_area_m2 = fields.Nested(BandSchema, required=True)


class RideAnswerSchema(Schema):
    """How set-ups roll, held against the first of them."""

    set_ups = fields.List(fields.Nested(SetUpAnswerSchema), required=True)
    rider = fields.Nested(ReckonedRiderSchema, required=True)
    coast_down = fields.Nested(CoastDownSchema, required=True, allow_none=True)
    notes = fields.List(fields.Nested(NoteSchema), required=True)
    receipt = fields.Nested(ReceiptSchema, required=True)
