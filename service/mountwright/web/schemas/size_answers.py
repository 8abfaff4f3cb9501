"""Feet to sizes, shell, liner and insole: the answer as the contract shows it."""

from __future__ import annotations

from marshmallow import Schema, fields, validate

from mountwright.bench.feet import Measure, Side
from mountwright.bench.foot_padding import PadNeed, PadPlace
from mountwright.bench.foot_shares import survey_groups
from mountwright.bench.shell_fit import Fit, RoomState
from mountwright.bench.shoe_sizes import scales
from mountwright.bench.size_conversion import Outcome
from mountwright.web.schemas.fit_checks import CautionSchema, NextStepSchema, ReceiptSchema
from mountwright.web.schemas.ride_answers import BandSchema, NoteSchema

_FITS = validate.OneOf([each.value for each in Fit])
_MEASURES = validate.OneOf([each.value for each in Measure])
_SIDES = validate.OneOf([each.value for each in Side])
_STATES = validate.OneOf([each.value for each in RoomState])


class DecidingSchema(Schema):
    """Which foot is larger by one measure, and how large."""

    measure = fields.String(required=True, validate=_MEASURES)
    side = fields.String(
        required=True, allow_none=True, validate=_SIDES, metadata={"description": "null where both read alike."}
    )
    probability = fields.Float(required=True, metadata={"description": "That this one really is the larger."})
    size_mm = fields.Nested(BandSchema, required=True, metadata={"description": "Of the larger foot; 95 %."})
    difference_mm = fields.Nested(
        BandSchema, required=True, metadata={"description": "By how much it is larger; 95 %."}
    )
    shell_wanted_mm = fields.Nested(
        BandSchema, required=True, metadata={"description": "What a shell should have inside, without its liner."}
    )


class ShoeSizeSchema(Schema):
    """A size on one scale: a band, and the sizes in it that boots are marked with."""

    low = fields.Float(required=True)
    likely = fields.Float(required=True)
    high = fields.Float(required=True)
    marked = fields.List(fields.Float(), required=True, metadata={"description": "Ascending."})
    try_first = fields.Float(required=True)
    standing = fields.String(required=True, metadata={"description": "standard, or from memory."})
    source = fields.String(required=True)


SizesSchema = Schema.from_dict(
    {
        "mondopoint_mm": fields.Nested(ShoeSizeSchema, required=True),
        **{name: fields.Nested(ShoeSizeSchema, required=True, allow_none=True) for name in scales()},
    },
    name="SizesSchema",
)


class PaddingSchema(NoteSchema):
    """What the smaller foot wants by one measure."""

    measure = fields.String(required=True, validate=_MEASURES)
    side = fields.String(required=True, allow_none=True, validate=_SIDES, metadata={"description": "The smaller foot."})
    need = fields.String(required=True, validate=validate.OneOf([each.value for each in PadNeed]))
    place = fields.String(required=True, validate=validate.OneOf([each.value for each in PadPlace]))
    thickness_mm = fields.Nested(
        BandSchema, required=True, metadata={"description": "Before it is pressed; on each side where on both."}
    )


class RoomsSchema(Schema):
    """What each foot leaves."""

    left = fields.Nested(BandSchema, required=True, metadata={"description": "95 %."})
    right = fields.Nested(BandSchema, required=True, metadata={"description": "95 %."})


class WantedSchema(Schema):
    """The room that is wanted, each end within its own range."""

    least = fields.Nested(BandSchema, required=True, metadata={"description": "Within what shops differ by."})
    most = fields.Nested(BandSchema, required=True, metadata={"description": "Likewise."})


class RoomCheckSchema(NoteSchema):
    """One room in a shell."""

    measure = fields.String(required=True, validate=_MEASURES)
    fit = fields.String(required=True, validate=_FITS)
    state = fields.String(required=True, validate=_STATES)
    probability = fields.Float(required=True, allow_none=True)
    room_mm = fields.Nested(RoomsSchema, required=True, allow_none=True)
    wanted_mm = fields.Nested(WantedSchema, required=True)


class _RankedSchema(NoteSchema):
    """Something that was offered, as it was judged."""

    index = fields.Integer(required=True, metadata={"description": "In the request."})
    sku = fields.String(required=True, allow_none=True)
    name = fields.String(required=True, allow_none=True)
    fit = fields.String(required=True, validate=_FITS)
    probability = fields.Float(required=True, allow_none=True)


class ShellAnswerSchema(_RankedSchema):
    """How a shell takes both feet."""

    checks = fields.List(fields.Nested(RoomCheckSchema), required=True)


class LinerAnswerSchema(_RankedSchema):
    """How a liner fills the best of the shells."""

    state = fields.String(required=True, validate=_STATES)
    toe_room_mm = fields.Nested(BandSchema, required=True, allow_none=True, metadata={"description": "95 %."})


class InsoleAnswerSchema(_RankedSchema):
    """Whether an insole goes into the best of the liners, or into the best shell as it was sold."""

    room_mm = fields.Float(required=True, allow_none=True)


class FootShareSchema(Schema):
    """How many of a group of the survey have such a foot."""

    group = fields.String(required=True, validate=validate.OneOf(list(survey_groups())))
    people = fields.Integer(required=True)
    no_longer_share = fields.Nested(BandSchema, required=True, metadata={"description": "Whose foot is no longer."})
    such_length_share = fields.Float(required=True, metadata={"description": "Within 2.5 mm of this length."})
    no_broader_share = fields.Nested(
        BandSchema,
        required=True,
        allow_none=True,
        metadata={"description": "Of those with this length, whose foot is no broader."},
    )
    such_foot_share = fields.Float(
        required=True, allow_none=True, metadata={"description": "Within 2.5 mm of this length and this breadth."}
    )
    source = fields.String(required=True)


class SizeConversionAnswerSchema(NoteSchema):
    """Sizes of a pair of feet, what of the parts offered goes with them, and how many people have such feet."""

    outcome = fields.String(required=True, validate=validate.OneOf([each.value for each in Outcome]))
    feet = fields.List(fields.Nested(DecidingSchema), required=True)
    sizes = fields.Nested(SizesSchema, required=True)
    padding = fields.List(fields.Nested(PaddingSchema), required=True)
    skates = fields.List(fields.Nested(ShellAnswerSchema), required=True, metadata={"description": "Best first."})
    liners = fields.List(fields.Nested(LinerAnswerSchema), required=True, metadata={"description": "Best first."})
    insoles = fields.List(fields.Nested(InsoleAnswerSchema), required=True, metadata={"description": "Best first."})
    steps = fields.List(fields.Nested(NoteSchema), required=True, metadata={"description": "At the bench, in order."})
    shares = fields.List(fields.Nested(FootShareSchema), required=True)
    notes = fields.List(fields.Nested(NoteSchema), required=True)
    cautions = fields.List(fields.Nested(CautionSchema), required=True)
    next_step = fields.Nested(NextStepSchema, required=True, allow_none=True)
    receipt = fields.Nested(ReceiptSchema, required=True)
