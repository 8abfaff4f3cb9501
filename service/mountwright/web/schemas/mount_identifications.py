"""Mount identifications: the request, and the answer as the contract shows it."""

from __future__ import annotations

from typing import Any

from marshmallow import Schema, ValidationError, fields, post_load, validate

from mountwright.fitting.identification import Finding
from mountwright.mounts.mount import Mount
from mountwright.web.faults import ObjectOf, Size, Strict, Text, fault
from mountwright.web.naming import mount_named
from mountwright.web.reading import part_built
from mountwright.web.schemas.fit_checks import ContradictionSchema, NextStepSchema, ReceiptSchema
from mountwright.web.schemas.mounts import MountSchema, desk_in_use, registry_in_use


class IdentificationRequestSchema(Strict):
    """The mount to identify, by itself or of an article of the catalogue."""

    sku = Text(
        validate=Size(min=1, max=60),
        metadata={"description": "What the mount is of; what is given of it updates what the catalogue has."},
    )
    mount = ObjectOf(MountSchema, required=True)

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> Mount:
        """Give the mount; a side that is not said is taken for the skate's, or for the article's own."""
        registry = registry_in_use()
        mount: Mount = mount_named(data, desk_in_use()) if "sku" in data else data["mount"]
        if not registry.at(mount.position):
            wrong = fault("request.nothing_installed", mount.position, what="standard at this position")
            raise ValidationError({"mount": {"position": wrong}})
        return part_built("", [mount], "", registry)[0].mounts[0]


class DistanceSchema(Schema):
    """How far a reading lies from the standard, in the unit that the dimension's name ends in."""

    dimension = fields.String(required=True)
    value = fields.Float(required=True)
    nominal = fields.Float(required=True)
    difference = fields.Float(required=True)


class CandidateSchema(Schema):
    """One standard; null stands for none of these."""

    standard = fields.String(required=True, allow_none=True)
    probability = fields.Float(required=True)
    distances = fields.List(fields.Nested(DistanceSchema), required=True)


class IdentificationSchema(Schema):
    """The ranking of one pattern."""

    pattern = fields.String(required=True, allow_none=True)
    finding = fields.String(required=True, validate=validate.OneOf([finding.value for finding in Finding]))
    message = fields.String(required=True)
    candidates = fields.List(fields.Nested(CandidateSchema), required=True)
    nearest = fields.Nested(CandidateSchema, required=True, allow_none=True)
    contradictions = fields.List(fields.Nested(ContradictionSchema), required=True)
    next_step = fields.Nested(NextStepSchema, required=True, allow_none=True)


class IdentificationAnswerSchema(Schema):
    """One ranking for each pattern of the mount."""

    identifications = fields.List(fields.Nested(IdentificationSchema), required=True)
    receipt = fields.Nested(ReceiptSchema, required=True)
