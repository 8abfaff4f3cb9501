"""What goes on a skate: the query, and the answer as the contract shows it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from marshmallow import Schema, ValidationError, fields, post_load, validate

from mountwright.web.candidates import Asked, place_of
from mountwright.web.faults import Text, fault
from mountwright.web.schemas.catalogue_queries import PartQuerySchema, WrittenFlag
from mountwright.web.schemas.fit_checks import VERDICTS, ExperienceSchema, NeedSchema, NextStepSchema, ReceiptSchema


def _is_place(text: str) -> None:
    if place_of(text) is None:
        raise ValidationError(fault("request.page_token", text))


class CandidateQuerySchema(PartQuerySchema):
    """Where on the skate, and what else is asked of a part."""

    position = Text(required=True, metadata={"description": "Where on the skate: frame, strap_instep, axle …"})
    near = WrittenFlag(
        load_default=False, metadata={"description": "Also what nearly goes on, and why it does not.", "default": False}
    )
    after = Text(
        load_default="",
        validate=_is_place,
        metadata={"description": "Where the page begins, as the link to it says; not to be made up."},
    )

    @post_load
    def build(self, data: dict[str, Any], **options: Any) -> Asked:
        """Give what is asked for."""
        position, near, after = data.pop("position"), data.pop("near"), data.pop("after")
        asked = super().build({**data, "after": ""}, **options)
        place = place_of(after) if after else None
        return Asked(position, replace(asked.wanted, position=None), near, place, asked.limit)


class WhyNotSchema(Schema):
    """A check that the part failed."""

    code = fields.String(required=True)
    position = fields.String(required=True)
    message = fields.String(required=True)


class OfferedPartSchema(Schema):
    """A part of the catalogue, as a shop shows it."""

    sku = fields.String(required=True)
    kind = fields.String(required=True)
    name = fields.String(required=True, allow_none=True)
    maker = fields.String(required=True, allow_none=True)
    version = fields.String(required=True, allow_none=True)
    price_minor = fields.Integer(required=True, allow_none=True)
    currency = fields.String(required=True, allow_none=True)
    stock = fields.Integer(required=True, allow_none=True)
    colour = fields.String(required=True, allow_none=True)
    photo_url = fields.String(required=True, allow_none=True)


class CandidatePartSchema(OfferedPartSchema):
    """A part, and how sure it is that it goes on as the group says."""

    probability = fields.Float(required=True)
    why_not = fields.List(fields.Nested(WhyNotSchema), required=True)
    next_step = fields.Nested(NextStepSchema, required=True, allow_none=True)
    experience = fields.Nested(ExperienceSchema, required=True, allow_none=True)


class GroupSchema(Schema):
    """Parts that go on in the same way."""

    verdict = fields.String(required=True, validate=validate.OneOf(VERDICTS))
    needs = fields.List(fields.Nested(NeedSchema), required=True)
    parts = fields.List(fields.Nested(CandidatePartSchema), required=True)


class CandidatesSchema(Schema):
    """A page of what goes on, best first."""

    skate = fields.String(required=True)
    position = fields.String(required=True)
    groups = fields.List(fields.Nested(GroupSchema), required=True)
    next = fields.String(required=True, allow_none=True)
    judged = fields.Integer(required=True, metadata={"description": "Distinct sets of mounts that were judged."})
    complete = fields.Boolean(
        required=True,
        metadata={"description": "false where there are more than are judged: say more of the skate."},
    )
    receipt = fields.Nested(ReceiptSchema, required=True)
