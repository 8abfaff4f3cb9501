"""Bench cards: the answer as the contract shows it."""

from __future__ import annotations

from marshmallow import Schema, fields, validate

from mountwright.bench.bench_card import Side
from mountwright.bench.jobs import Risk, Where
from mountwright.riding.coefficients import STANDINGS
from mountwright.web.schemas.bearing_care import MinorRangeSchema
from mountwright.web.schemas.fit_checks import CautionSchema, ReceiptSchema
from mountwright.web.schemas.ride_answers import NoteSchema
from mountwright.web.schemas.upgrade_path_answers import MinutesSchema


def _texts() -> fields.List[str]:
    return fields.List(fields.String(), required=True)


def _known(text: str | None = None) -> fields.String:
    return fields.String(required=True, allow_none=True, metadata={} if text is None else {"description": text})


class CardMountSchema(Schema):
    """What a mount of the skate is claimed to follow."""

    position = fields.String(required=True)
    standard = fields.String(required=True)


class CardSkateAnswerSchema(Schema):
    """The skate on the bench."""

    sku = _known()
    name = _known()
    eu_size = fields.Float(required=True, allow_none=True)
    mounts = fields.List(fields.Nested(CardMountSchema), required=True)


class CardTargetSchema(Schema):
    """Where a job is done."""

    parts = fields.List(fields.Integer(), required=True)
    place = _known()
    side = fields.String(required=True, validate=validate.OneOf([each.value for each in Side]))


class CardTorqueSchema(NoteSchema):
    """How tight the fasteners of one kind are turned: by the maker's figure of a part, or by the maker's sheet."""

    kind = fields.String(required=True)
    torque_n_m = fields.Float(required=True, allow_none=True)
    part = fields.Integer(required=True, allow_none=True, metadata={"description": "Whose maker's figure it is."})


class CardMouldingSchema(NoteSchema):
    """What is known of a part that is moulded by heat."""

    part = fields.Integer(required=True, allow_none=True)
    may = fields.Boolean(
        required=True, allow_none=True, metadata={"description": "Null: it stays cold until its label was read."}
    )
    temperature_c = fields.Float(required=True, allow_none=True)
    time_min = fields.Float(required=True, allow_none=True)


class CardJobAnswerSchema(Schema):
    """One job, in the order in which they are done."""

    number = fields.Integer(required=True)
    job = fields.String(required=True)
    title = fields.String(required=True)
    needed_by = fields.List(
        fields.String(),
        required=True,
        metadata={"description": "Of a job that nobody asked for: those that need it."},
    )
    targets = fields.List(fields.Nested(CardTargetSchema), required=True)
    where = fields.String(required=True, validate=validate.OneOf([each.value for each in Where]))
    risk = fields.String(required=True, validate=validate.OneOf([each.value for each in Risk]))
    standing = fields.String(required=True, validate=validate.OneOf(STANDINGS))
    steps = _texts()
    minutes = fields.Nested(MinutesSchema, required=True)
    tools = _texts()
    torques = fields.List(fields.Nested(CardTorqueSchema), required=True)
    mouldings = fields.List(fields.Nested(CardMouldingSchema), required=True)
    cautions = _texts()
    can_be_undone = fields.Boolean(required=True)


class CardToolSchema(Schema):
    """A tool, and the jobs that it is wanted for."""

    tool = fields.String(required=True)
    jobs = _texts()


class CardConsumableSchema(Schema):
    """What is used up, and what that usually costs."""

    name = fields.String(required=True)
    cost_minor = fields.Nested(MinorRangeSchema, required=True)


class CardPartAnswerSchema(Schema):
    """A part that lies on the bench."""

    index = fields.Integer(required=True)
    sku = _known()
    kind = fields.String(required=True)
    name = _known()
    pieces = fields.Integer(required=True, allow_none=True)
    place = _known()
    jobs = _texts()


class CardConsentSchema(NoteSchema):
    """What the customer signs before work that cannot be undone."""

    jobs = _texts()


class FramePlaceAnswerSchema(Schema):
    """Where the middle of a frame stood."""

    along_mm = fields.Float(required=True)
    across_mm = fields.Float(required=True)
    plus_minus_mm = fields.Float(required=True)


class OldFramePlaceAnswerSchema(NoteSchema):
    """Where the frames stood before the work; null where it still has to be marked."""

    left = fields.Nested(FramePlaceAnswerSchema, required=True, allow_none=True)
    right = fields.Nested(FramePlaceAnswerSchema, required=True, allow_none=True)


class CardLinksSchema(Schema):
    """The same card again; null where the question is too long for an address."""

    card = _known("As the caller accepts it; this is what the card's QR code leads to.")
    html = _known()
    pdf = _known()


class BenchCardAnswerSchema(NoteSchema):
    """The card: jobs in order, what they take, and what has to be signed."""

    reference = fields.String(required=True)
    skate = fields.Nested(CardSkateAnswerSchema, required=True)
    jobs = fields.List(fields.Nested(CardJobAnswerSchema), required=True)
    minutes = fields.Nested(MinutesSchema, required=True)
    tools = fields.List(fields.Nested(CardToolSchema), required=True)
    consumables = fields.List(fields.Nested(CardConsumableSchema), required=True)
    currency = fields.String(required=True)
    parts = fields.List(fields.Nested(CardPartAnswerSchema), required=True)
    can_be_undone = fields.Boolean(required=True)
    consent = fields.Nested(CardConsentSchema, required=True, allow_none=True)
    old_frame_place = fields.Nested(OldFramePlaceAnswerSchema, required=True, allow_none=True)
    after_checks = _texts()
    notes = fields.String(required=True)
    remarks = fields.List(fields.Nested(NoteSchema), required=True)
    cautions = fields.List(fields.Nested(CautionSchema), required=True)
    picture = _known("The wheel line, drawn.")
    links = fields.Nested(CardLinksSchema, required=True)
    receipt = fields.Nested(ReceiptSchema, required=True)
