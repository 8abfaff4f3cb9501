"""The wheel line: the answer as the contract shows it."""

from __future__ import annotations

from marshmallow import Schema, fields, validate

from mountwright.fitting.answers import Outcome as Kept
from mountwright.riding.wheel_line import Outcome
from mountwright.web.schemas.fit_checks import CautionSchema, NextStepSchema, ReceiptSchema
from mountwright.web.schemas.ride_answers import BandSchema, NoteSchema

_KEPT = [each.value for each in Kept]


def _figure(description: str = "", *, none: bool = False) -> fields.Float:
    return fields.Float(required=True, allow_none=none, metadata={"description": description} if description else {})


class BoundSchema(Schema):
    """What stands in the way of a larger wheel."""

    code = fields.String(required=True)
    wheel = fields.Integer(required=True)
    other = fields.Integer(required=True, allow_none=True)


class LargestWheelSchema(Schema):
    """The largest wheel that goes in: by what is known, and if what is open comes out for the best."""

    mm = _figure("0 where none goes in.")
    bound = fields.Nested(BoundSchema, required=True, allow_none=True)
    at_most_mm = _figure(none=True)
    at_most_bound = fields.Nested(BoundSchema, required=True, allow_none=True)


class StandingWheelSchema(Schema):
    """A wheel where it stands."""

    axle = fields.Integer(required=True, metadata={"description": "From the front, 0 for the first."})
    sku = fields.String(required=True, allow_none=True)
    along_mm = _figure("Forward of midway between the frame bolts.")
    down_mm = _figure("Below the deck, as the axle is set.")
    setting_mm = _figure()
    diameter_mm = _figure()
    is_measured = fields.Boolean(required=True)
    gap_mm = _figure("Under it before the tyres give; null where the load tips the skate.", none=True)
    clear_probability = _figure("That a strip of paper goes under it.", none=True)
    touches = fields.Boolean(required=True, allow_none=True, metadata={"description": "Whether it carries anything."})
    load_n = _figure(none=True)
    share = _figure(none=True)
    presses_mm = _figure("How far its tyre is pressed in.", none=True)
    lifted_probability = _figure("That it carries nothing.", none=True)
    largest_mm = fields.Nested(LargestWheelSchema, required=True)


class StandSchema(Schema):
    """A way in which the skate stands; front down is above 0."""

    touching = fields.List(fields.Integer(), required=True)
    from_tilt_deg = _figure()
    to_tilt_deg = _figure()
    gaps_mm = fields.List(fields.Float(), required=True)


class RockerDoubtSchema(Schema):
    """Whether there is a rocker, as diameters are known."""

    rocker_probability = _figure()
    rocker_mm = fields.Nested(BandSchema, required=True)
    effective_wheelbase_mm = fields.Nested(BandSchema, required=True, allow_none=True)
    loaded_wheelbase_mm = fields.Nested(BandSchema, required=True, allow_none=True)


class TipMarginSchema(Schema):
    """How far the load is from tipping the skate over one end."""

    distance_mm = _figure()
    angle_deg = _figure("Of the slope that tips it.")
    limit_m_s2 = _figure("Of the speeding up or slowing down that tips it; of a rigid rider, so a lower bound.")


class PostureSchema(Schema):
    """How the skate stands under its load; null for what nobody knows."""

    toe_height_mm = _figure(none=True)
    heel_height_mm = _figure(none=True)
    sole_pitch_deg = _figure("How far the heel is above the toe.", none=True)
    tip_forward = fields.Nested(TipMarginSchema, required=True)
    tip_back = fields.Nested(TipMarginSchema, required=True)
    brake_pad_mm = _figure("Under the brake's pad.", none=True)


class ShapeSchema(Schema):
    """What the line comes to."""

    outcome = fields.String(required=True, validate=validate.OneOf([each.value for each in Outcome]))
    margin_mm = _figure("From the load to the nearer outermost wheel that can touch; 0 and below, it tips.")
    wheelbase_mm = _figure("Between the outer axles.")
    effective_wheelbase_mm = _figure("Between the outermost wheels that touch before the tyres give.", none=True)
    loaded_wheelbase_mm = _figure("Between the outermost wheels that carry.", none=True)
    rocker_mm = _figure("How far the lowest inner wheel is below the line through the outer two; below 0 it hangs.")
    rocker_radius_mm = _figure(none=True)
    rocks_deg = _figure("Between the first stand and the last.")
    turning_ratio = _figure("Turning moment on the spot, to that of the same frame on level wheels.", none=True)
    posture = fields.Nested(PostureSchema, required=True, allow_none=True)


class ClearanceSchema(NoteSchema):
    """One gap of one wheel."""

    wheel = fields.Integer(required=True, allow_none=True)
    other = fields.Integer(required=True, allow_none=True)
    gap_mm = _figure(none=True)
    gap_at_most_mm = _figure(none=True)
    least_mm = _figure(none=True)
    outcome = fields.String(required=True, validate=validate.OneOf(_KEPT))
    probability = _figure()
    probability_at_most = _figure()
    next_step = fields.Nested(NextStepSchema, required=True, allow_none=True)


class RoomSchema(Schema):
    """What room the wheels have; what is not measured is never passed."""

    outcome = fields.String(required=True, validate=validate.OneOf(_KEPT))
    probability = _figure("That the least likely gap is kept, at least.")
    clearances = fields.List(fields.Nested(ClearanceSchema), required=True)


class OverhangSchema(Schema):
    """How far the wheels reach beyond the sole; below 0 within."""

    toe_mm = fields.Nested(BandSchema, required=True)
    heel_mm = fields.Nested(BandSchema, required=True)


class ShiftSchema(NoteSchema):
    """How far the frame may be shifted under the boot, from and to; null where nobody can tell."""

    along_mm = fields.List(fields.Float(), required=True, allow_none=True)
    across_mm = fields.List(fields.Float(), required=True, allow_none=True)
    standard_uncertainty_mm = _figure()
    next_step = fields.Nested(NextStepSchema, required=True, allow_none=True)


class WheelsToBuySchema(Schema):
    """Wheels of one diameter, for one skate."""

    diameter_mm = _figure()
    count = fields.Integer(required=True)


class RockerJobSchema(NoteSchema):
    """Work on the bench, for one skate."""

    axles = fields.List(fields.Integer(), required=True)
    buys = fields.List(fields.Nested(WheelsToBuySchema), required=True)


class RockerOptionSchema(Schema):
    """One way to set up the frame."""

    diameters_mm = fields.List(fields.Float(), required=True)
    settings_mm = fields.List(fields.Float(), required=True)
    rocker_mm = _figure()
    rocker_radius_mm = _figure(none=True)
    effective_wheelbase_mm = _figure()
    deck_change_mm = _figure("How much higher the deck comes to stand.")
    changes = fields.Integer(required=True)
    is_now = fields.Boolean(required=True)
    room = fields.String(required=True, validate=validate.OneOf(_KEPT))
    jobs = fields.List(fields.Nested(RockerJobSchema), required=True)


class RockerOptionsSchema(Schema):
    """What the frame offers, the best first."""

    now = fields.Nested(RockerOptionSchema, required=True)
    listed = fields.List(fields.Nested(RockerOptionSchema), required=True)
    offered = fields.Integer(required=True, metadata={"description": "Different ones among those looked at."})
    combinations = fields.Integer(required=True)
    looked_at = fields.Integer(required=True)
    is_capped = fields.Boolean(required=True)
    chosen = fields.String(required=True, validate=validate.OneOf(["all", "fewest_changes_first"]))


class WheelLineAnswerSchema(ShapeSchema):
    """How the skate stands on its wheels."""

    code = fields.String(required=True)
    params = fields.Dict(required=True)
    message = fields.String(required=True)
    wheels = fields.List(fields.Nested(StandingWheelSchema), required=True)
    stands = fields.List(fields.Nested(StandSchema), required=True)
    never_touching = fields.List(fields.Integer(), required=True)
    doubt = fields.Nested(RockerDoubtSchema, required=True)
    before = fields.Nested(ShapeSchema, required=True, allow_none=True)
    room = fields.Nested(RoomSchema, required=True)
    overhang = fields.Nested(OverhangSchema, required=True, allow_none=True)
    largest_wheel = fields.Nested(LargestWheelSchema, required=True, metadata={"description": "On every axle at once."})
    shortest_wheelbase_mm = _figure("That these wheels go on, with the usual gap between them.")
    shift = fields.Nested(ShiftSchema, required=True, allow_none=True)
    options = fields.Nested(RockerOptionsSchema, required=True, allow_none=True)
    notes = fields.List(fields.Nested(NoteSchema), required=True)
    cautions = fields.List(fields.Nested(CautionSchema), required=True)
    picture = fields.String(
        required=True,
        allow_none=True,
        metadata={"description": "Where the picture is; null where no address holds it."},
    )
    receipt = fields.Nested(ReceiptSchema, required=True)
