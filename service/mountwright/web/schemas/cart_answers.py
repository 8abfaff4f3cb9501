"""The basket at checkout: the answer as the contract shows it."""

from __future__ import annotations

from marshmallow import Schema, fields, validate

from mountwright.checkout.basket import Status
from mountwright.checkout.finding import Decision
from mountwright.web.schemas.fit_checks import CautionSchema, CheckSchema, NeedSchema, NextStepSchema, ReceiptSchema

_DECISIONS = [decision.value for decision in Decision]


def _decision() -> fields.String:
    return fields.String(required=True, validate=validate.OneOf(_DECISIONS))


class AgainstSchema(Schema):
    """What a part was judged against."""

    what = fields.String(
        required=True,
        validate=validate.OneOf(["skate", "line", "fitted"]),
        metadata={"description": "The skate itself, another line of the basket, or a part that stands on the skate."},
    )
    line = fields.Integer(required=True, allow_none=True)
    sku = fields.String(required=True, allow_none=True)
    kind = fields.String(required=True)


class ReasonSchema(Schema):
    """One thing that was found, and what it means for the parcel."""

    decision = _decision()
    blocking = fields.Boolean(required=True)
    code = fields.String(required=True)
    params = fields.Dict(required=True)
    message = fields.String(required=True)
    check = fields.Nested(
        CheckSchema,
        required=True,
        allow_none=True,
        metadata={"description": "The comparison that it rests on; never null beside a stop."},
    )
    against = fields.List(fields.Nested(AgainstSchema), required=True)


class QuestionSchema(Schema):
    """What to ask the customer."""

    code = fields.String(required=True)
    params = fields.Dict(required=True)
    message = fields.String(required=True)
    line = fields.Integer(required=True, allow_none=True)
    skate = fields.Integer(required=True, allow_none=True)
    step = fields.Nested(
        NextStepSchema,
        required=True,
        allow_none=True,
        metadata={"description": "The look or measurement that settles it."},
    )


class AlternativeSchema(Schema):
    """An article of the catalogue that goes on instead."""

    sku = fields.String(required=True)
    name = fields.String(required=True, allow_none=True)
    decision = _decision()
    price_minor = fields.Integer(required=True, allow_none=True)
    currency = fields.String(required=True, allow_none=True)
    probability = fields.Float(required=True)
    same_colour = fields.Boolean(required=True)


class LineAnswerSchema(Schema):
    """What was found of a line; lines of one article for one skate are answered alike."""

    index = fields.Integer(required=True)
    sku = fields.String(required=True, allow_none=True)
    decision = _decision()
    blocking = fields.Boolean(required=True, metadata={"description": "Whether the parcel waits for this line."})
    status = fields.String(required=True, validate=validate.OneOf([status.value for status in Status]))
    reasons = fields.List(fields.Nested(ReasonSchema), required=True, metadata={"description": "The worst first."})
    question = fields.Nested(QuestionSchema, required=True, allow_none=True)
    needs = fields.List(fields.Nested(NeedSchema), required=True)
    cautions = fields.List(fields.Nested(CautionSchema), required=True)
    alternatives = fields.List(
        fields.Nested(AlternativeSchema), required=True, metadata={"description": "Three at most, beside a stop."}
    )


class FillSchema(Schema):
    """What fills a gap."""

    sku = fields.String(required=True)
    packs = fields.Integer(required=True)


class CountSchema(Schema):
    """How many pieces of a kind are wanted, and how many there are."""

    kind = fields.String(required=True)
    wanted = fields.Integer(required=True)
    in_basket = fields.Integer(
        required=True, allow_none=True, metadata={"description": "Null where a pack does not say what it holds."}
    )
    missing = fields.Integer(required=True)
    too_many = fields.Integer(required=True)
    fills = fields.List(
        fields.Nested(FillSchema), required=True, metadata={"description": "Any one of these fills the gap."}
    )


class SkateAnswerSchema(Schema):
    """What was found of a skate with its lines."""

    index = fields.Integer(required=True)
    sku = fields.String(required=True, allow_none=True)
    decision = _decision()
    counts = fields.List(fields.Nested(CountSchema), required=True)


class CartAnswerSchema(Schema):
    """The whole answer: the worst of its lines."""

    decision = _decision()
    blocking = fields.Boolean(required=True, metadata={"description": "Whether the parcel waits."})
    code = fields.String(required=True, metadata={"description": "Of the reason that decides."})
    params = fields.Dict(required=True)
    message = fields.String(required=True)
    question = fields.Nested(
        QuestionSchema,
        required=True,
        allow_none=True,
        metadata={
            "description": "The one question to ask first; null where nothing has to be asked, and beside a stop."
        },
    )
    lines = fields.List(fields.Nested(LineAnswerSchema), required=True)
    skates = fields.List(fields.Nested(SkateAnswerSchema), required=True)
    receipt = fields.Nested(ReceiptSchema, required=True)
