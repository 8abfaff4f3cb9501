"""Outcomes: what became of a part on a skate, as a shop tells it, and the answer."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from marshmallow import Schema, ValidationError, fields, validate, validates_schema

from mountwright.catalogue.noting import Noted
from mountwright.fitting.evidence import Attested, ReturnCause, Source
from mountwright.web.faults import Choice, Flag, ListOf, Matching, ObjectOf, Size, Strict, Text, fault
from mountwright.web.schemas.articles import SKU
from mountwright.web.schemas.days import Day


class FollowedReceiptSchema(Strict):
    """The receipt of the answer that an outcome followed, as it was given."""

    request = Text(required=True, validate=Matching(r"sha256:[0-9a-f]{64}", "the request of a receipt"))
    catalogue = Text(allow_none=True, validate=Matching(r"[0-9]{1,18}-[0-9a-f]{0,64}", "the catalogue of a receipt"))
    rules = Text(required=True, validate=Matching(r"[0-9a-f]{8,64}", "the rules of a receipt"))


class OutcomeSchema(Strict):
    """What became of a part on a skate. There is no room for a name or a remark: no personal data is kept."""

    outcome_id = Text(
        required=True,
        validate=Matching(r"[A-Za-z0-9._:-]{1,80}", "letters, digits, dot, hyphen, colon, underscore, 80 at most"),
        metadata={"description": "The shop's own: what it tells under one number counts once."},
    )
    skate = Text(required=True, validate=SKU, metadata={"description": "SKU of the version it was tried on."})
    part = Text(required=True, validate=SKU, metadata={"description": "SKU."})
    outcome = Text(required=True, validate=Choice([each.value for each in Attested]))
    cause = Text(
        validate=Choice([cause.value for cause in ReturnCause]),
        metadata={"description": "Why it came back; with came_back and with nothing else."},
    )
    used = Flag(metadata={"description": "Whether what came back had been used."})
    told_by = Text(required=True, validate=Choice([source.value for source in Source]))
    beside = ListOf(
        Text(validate=SKU),
        data_key="with",
        attribute="with",
        validate=Size(max=24),
        metadata={"description": "SKUs of what else was fitted for it: an adapter, spacers."},
    )
    on = Day(required=True, metadata={"format": "date", "description": "The day, in the shop's own zone."})
    receipt = ObjectOf(FollowedReceiptSchema, metadata={"description": "Of the answer that was followed."})

    @validates_schema(skip_on_field_errors=False, pass_original=True)
    def _of_a_return(self, data: Mapping[str, Any], given: Mapping[str, Any], **_kwargs: Any) -> None:
        outcome = data.get("outcome")
        if outcome is None:
            return
        if outcome == Attested.CAME_BACK:
            faults = {} if "cause" in given else {"cause": fault("request.required")}
        else:
            faults = {name: fault("request.returns_only") for name in ("cause", "used") if name in data}
        if faults:
            raise ValidationError(faults)


class OutcomeAnswerSchema(Schema):
    """The outcome as it is kept."""

    outcome = fields.Nested(OutcomeSchema, required=True)
    shop = fields.String(required=True, metadata={"description": "Code of the shop whose key it came with."})
    noted = fields.String(
        required=True,
        validate=validate.OneOf([Noted.NEW.value, Noted.AGAIN.value]),
        metadata={"description": "Whether it is new, or had been told before and counts once."},
    )
    catalogue = fields.String(required=True, metadata={"description": "Version of the catalogue that holds it."})
