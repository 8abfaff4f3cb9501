"""The one body of every failure (RFC 9457)."""

from __future__ import annotations

from marshmallow import Schema, fields


class FaultSchema(Schema):
    """One fault of a request."""

    pointer = fields.String(required=True, metadata={"description": "JSON pointer (RFC 6901) into the request."})
    code = fields.String(required=True, metadata={"description": "Stable code of the fault."})
    params = fields.Dict(required=True, metadata={"description": "What the sentence was made from."})
    detail = fields.String(required=True, metadata={"description": "What was found, expected, and what to do."})


class ProblemSchema(Schema):
    """A problem document."""

    title = fields.String(required=True, metadata={"description": "The HTTP status in words."})
    status = fields.Integer(required=True)
    code = fields.String(required=True, metadata={"description": "Stable code of the problem."})
    params = fields.Dict(required=True, metadata={"description": "What the sentence was made from."})
    detail = fields.String(required=True, metadata={"description": "The sentence."})
    errors = fields.List(fields.Nested(FaultSchema), metadata={"description": "Every fault, with its place."})
