"""What requests and answers about straps and flaps have in common."""

from __future__ import annotations

from collections.abc import Mapping
from math import sqrt
from typing import Any

from marshmallow import Schema, fields, validate

from mountwright.bench.length import Length, read_length
from mountwright.bench.trimming import Outcome
from mountwright.errors import InvalidQuantityError
from mountwright.measure.quantity import thousandths
from mountwright.messages import Fault
from mountwright.web.faults import ObjectOf
from mountwright.web.naming import article_named
from mountwright.web.rides.tyres import Reading
from mountwright.web.schemas.fit_checks import ReceiptSchema
from mountwright.web.schemas.mounts import desk_in_use
from mountwright.web.schemas.numbers import Number
from mountwright.web.schemas.ride_answers import NoteSchema
from mountwright.web.schemas.set_ups import ReadingSchema
from mountwright.web.schemas.upgrade_path_answers import MinutesSchema

#: Longest strap or flap, millimetres.
LONGEST_MM = 1000


class LengthReadingSchema(ReadingSchema):
    """A length that was measured, with the instrument or a half-width; 0 is one, too."""

    value = Number(0, LONGEST_MM, required=True)


def measured(description: str) -> ObjectOf:
    """Give the field of a reading."""
    return ObjectOf(LengthReadingSchema, metadata={"description": description})


def length_of(reading: Reading) -> Length:
    """Give a reading with the worst that it may be off by."""
    return read_length(thousandths(reading.mm), round(1000 * sqrt(3) * reading.standard_uncertainty_mm))


def named_specs(data: Mapping[str, Any], kind: str) -> Mapping[str, Any]:
    """Give the figures of the article that is named by SKU; none where none is.

    Raises
    ------
    ValidationError
        When there is no such article, or it is of another kind.
    """
    if "sku" not in data:
        return {}
    specs: Mapping[str, Any] = article_named(data["sku"], kind, desk_in_use()).record.get("specs", {})
    return specs


def impossible(error: InvalidQuantityError) -> list[Fault]:
    """Give the fault of figures that cannot be."""
    return [Fault("request.impossible", {"found": str(error.found), "expected": error.expected})]


class LengthSchema(Schema):
    """A length with the worst that it may be off by on both sides."""

    low = fields.Float(required=True)
    likely = fields.Float(required=True)
    high = fields.Float(required=True)


class TakenSchema(Schema):
    """A figure that nobody told."""

    name = fields.String(required=True)
    value = fields.Float(required=True, metadata={"description": "What was taken."})
    low = fields.Float(required=True)
    high = fields.Float(required=True)
    standing = fields.String(required=True)


class TrimJobSchema(Schema):
    """The work, as the bench does it."""

    job = fields.String(required=True)
    title = fields.String(required=True)
    where = fields.String(required=True)
    steps = fields.List(fields.String(), required=True)
    minutes = fields.Nested(MinutesSchema, required=True, metadata={"description": "On a pair of skates."})
    tools = fields.List(fields.String(), required=True)
    cautions = fields.List(fields.String(), required=True)
    after_checks = fields.List(fields.String(), required=True)


class TrimAnswerSchema(NoteSchema):
    """Whether it is cut, why not, or what to look at first."""

    outcome = fields.String(required=True, validate=validate.OneOf([each.value for each in Outcome]))
    why = fields.List(
        fields.Nested(NoteSchema), required=True, metadata={"description": "Why it is not cut; else empty."}
    )
    next_steps = fields.List(
        fields.Nested(NoteSchema), required=True, metadata={"description": "What to look at, where nobody can tell."}
    )
    can_be_undone = fields.Boolean(required=True)
    job = fields.Nested(TrimJobSchema, required=True, allow_none=True, metadata={"description": "null if not cut."})
    taken = fields.List(fields.Nested(TakenSchema), required=True)
    notes = fields.List(fields.Nested(NoteSchema), required=True, metadata={"description": "Cautions last."})
    receipt = fields.Nested(ReceiptSchema, required=True)
