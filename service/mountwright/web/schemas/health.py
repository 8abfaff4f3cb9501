"""Liveness and readiness as the contract shows them."""

from __future__ import annotations

from marshmallow import Schema, fields

from mountwright.web.schemas.standards import LeftOutSchema


class HealthSchema(Schema):
    """The process answers."""

    status = fields.String(required=True)


class ReadinessSchema(Schema):
    """What the service can answer with, and what it had to leave out."""

    status = fields.String(required=True)
    standards = fields.Integer(required=True)
    left_out = fields.List(fields.Nested(LeftOutSchema), required=True)
    plugin_faults = fields.Dict(keys=fields.String(), values=fields.Integer(), required=True)
