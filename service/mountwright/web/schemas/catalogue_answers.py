"""Skates and parts of the catalogue as the contract shows them."""

from __future__ import annotations

from marshmallow import Schema, fields, validate

from mountwright.fitting.evidence import ReturnCause
from mountwright.web.faults import Choice, Text
from mountwright.web.schemas.articles import SKU, ArticleSchema, CataloguedMountSchema, ContentSchema
from mountwright.web.sorts import Sort

_CAUSES = [cause.value for cause in ReturnCause]


class SkateRecordSchema(ArticleSchema):
    """A skate, to be kept; its SKU is that of the path."""

    sku = Text(validate=SKU, metadata={"description": "That of the path, or left out."})
    kind = Text(required=True, validate=Choice(Sort.SKATES.kinds))


class PartRecordSchema(ArticleSchema):
    """A part, to be kept; its SKU is that of the path."""

    class Meta:
        """Leaves out what only skates have."""

        exclude = ("family", "comes_with", "trade_in_minor")

    sku = Text(validate=SKU, metadata={"description": "That of the path, or left out."})
    kind = Text(required=True, validate=Choice(Sort.PARTS.kinds))


class EffectiveMountSchema(Schema):
    """A mount by which the article is judged."""

    origin = fields.String(
        required=True,
        validate=validate.OneOf(["own", "own_and_family", "family", "part"]),
        metadata={
            "description": "Where it comes from. Of two at one place and of one side the first counts; a figure of "
            "the skate's own goes before its family's."
        },
    )
    sku = fields.String(required=True, allow_none=True, metadata={"description": "Of the part that brings it."})
    mount = fields.Nested(CataloguedMountSchema, required=True)


class NotInstalledSchema(Schema):
    """A standard that a mount is claimed to follow and that is not installed on this service."""

    position = fields.String(required=True)
    standard = fields.String(required=True)


class ReturnsSchema(Schema):
    """What came back, for one cause."""

    cause = fields.String(required=True, validate=validate.OneOf(_CAUSES))
    count = fields.Integer(required=True)
    used = fields.Integer(required=True, metadata={"description": "How many of them had been used."})


class CorrectionSchema(Schema):
    """What returns say of this record: look at these fields."""

    cause = fields.String(required=True, validate=validate.OneOf(_CAUSES))
    fields_ = fields.List(fields.String(), required=True, data_key="fields")
    returns = fields.Integer(required=True)
    used = fields.Integer(required=True)
    pauses = fields.Boolean(required=True)
    code = fields.String(required=True)
    params = fields.Dict(required=True)
    message = fields.String(required=True)


class _ShownSchema(Schema):
    """What is told of any article."""

    mounts = fields.List(fields.Nested(EffectiveMountSchema), required=True)
    not_installed = fields.List(
        fields.Nested(NotInstalledSchema),
        required=True,
        metadata={"description": "While there is one, answers about this article are cannot_tell at its position."},
    )
    paused = fields.Boolean(
        required=True, metadata={"description": "Not to be sold at checkout until the record is put right."}
    )
    returns = fields.List(fields.Nested(ReturnsSchema), required=True)
    to_correct = fields.List(fields.Nested(CorrectionSchema), required=True)


class ContentShownSchema(ContentSchema):
    """A part that a skate comes with."""

    kind = fields.String(required=True, allow_none=True)
    name = fields.String(required=True, allow_none=True)


class ShownSkateSchema(_ShownSchema):
    """A skate of the catalogue."""

    record = fields.Nested(SkateRecordSchema, required=True, metadata={"description": "As PUT takes it."})
    comes_with = fields.List(fields.Nested(ContentShownSchema), required=True)


class ShownPartSchema(_ShownSchema):
    """A part of the catalogue."""

    record = fields.Nested(PartRecordSchema, required=True, metadata={"description": "As PUT takes it."})


class _PageSchema(Schema):
    """What every page tells."""

    next = fields.String(
        required=True, allow_none=True, metadata={"description": "Path of the next page; null on the last one."}
    )
    catalogue = fields.String(required=True, metadata={"description": "Version of the catalogue that was read."})


class SkatePageSchema(_PageSchema):
    """A page of skates, in order of SKU: their records, as PUT takes them."""

    skates = fields.List(fields.Nested(SkateRecordSchema), required=True)


class PartPageSchema(_PageSchema):
    """A page of parts, in order of SKU: their records, as PUT takes them."""

    parts = fields.List(fields.Nested(PartRecordSchema), required=True)
