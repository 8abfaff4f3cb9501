"""Fit checks: the request, and the answer as the contract shows it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from marshmallow import Schema, fields, post_load, validate

from mountwright.fitting.answers import Outcome, StepKind
from mountwright.fitting.estimates import Stake
from mountwright.fitting.evidence import Tally
from mountwright.fitting.fit_check import FitRequest
from mountwright.fitting.verdict import Verdict
from mountwright.fitting.versions import SkateVersion, VersionsRequest
from mountwright.web.faults import Choice, ObjectOf, Size, Strict, Text
from mountwright.web.naming import Left
from mountwright.web.parsing import MOST_PARTS
from mountwright.web.schemas.mounts import (
    PartSchema,
    PartsField,
    SkateField,
    SkateSchema,
    desk_in_use,
    part_at_once,
    skate_at_once,
)
from mountwright.web.shelved import Seen

NOTHING_TOLD = Tally()

VERDICTS = [verdict.value for verdict in Verdict]


class FitRequestSchema(Strict):
    """A skate, the parts for it, and what hangs on the answer."""

    skate = SkateField(SkateSchema, required=True)
    parts = PartsField(ObjectOf(PartSchema), required=True, validate=Size(min=1, max=MOST_PARTS))
    stake = Text(
        validate=Choice([stake.value for stake in Stake]),
        metadata={
            "description": "What hangs on it: shipping (the default), counter (part at hand), irreversible (a cut)."
        },
    )

    def load(self, data: Any, **kwargs: Any) -> Any:
        """Give the request; one whose skate and parts are all remembered or plainly right takes the short way."""
        asked: FitRequest | tuple[Left, FitRequest] = _at_once(data) or super().load(data, **kwargs)
        seen = desk_in_use().seen
        return asked if seen is None else _with_evidence(asked, data, seen)

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> FitRequest | tuple[tuple[Left, FitRequest], ...]:
        """Give the request; for a model of several versions one for each."""
        parts, stake, skate = tuple(data["parts"]), Stake(data.get("stake", Stake.SHIPPING)), data["skate"]
        if isinstance(skate, tuple):
            return tuple((left, FitRequest(left.skate, parts, stake)) for left in skate)
        return FitRequest(skate, parts, stake)


def _with_evidence(asked: Any, data: Any, seen: Seen) -> FitRequest | VersionsRequest:
    """Add what was told of the parts on the skate, both known by SKU."""
    parts = [part.get("sku", "") for part in data["parts"]]
    if isinstance(asked, FitRequest):
        return _told(asked, data["skate"].get("sku", ""), parts, seen)
    return VersionsRequest(
        tuple(
            SkateVersion(
                left.shelved.sku,
                left.shelved.record.get("version", ""),
                left.shelved.record.get("mark", ""),
                _told(request, left.shelved.sku, parts, seen),
            )
            for left, request in asked
        )
    )


def _told(asked: FitRequest, skate: str, parts: list[str], seen: Seen) -> FitRequest:
    tallies = tuple(seen.tallies.get((skate, part), NOTHING_TOLD) for part in parts)
    return replace(asked, tallies=tallies) if any(tally.rows for tally in tallies) else asked


def _at_once(data: Any) -> FitRequest | None:
    if type(data) is not dict or data.keys() != _PLAIN or type(data["parts"]) is not list:
        return None
    skate, parts = skate_at_once(data["skate"]), [part_at_once(entry) for entry in data["parts"][: MOST_PARTS + 1]]
    if skate is None or None in parts or not 1 <= len(parts) <= MOST_PARTS:
        return None
    return FitRequest(skate, tuple(part for part in parts if part is not None))


_PLAIN = frozenset(("skate", "parts"))


class NextStepSchema(Schema):
    """The one thing that moves the answer most for the least trouble."""

    kind = fields.String(required=True, validate=validate.OneOf([kind.value for kind in StepKind]))
    code = fields.String(required=True)
    side = fields.String(required=True)
    what = fields.String(required=True, metadata={"description": "The feature to look at or the dimension to measure."})
    instrument = fields.String(required=True, allow_none=True)
    params = fields.Dict(required=True)
    message = fields.String(required=True)


class ContradictionSchema(Schema):
    """A claim that a reading or a look speaks against."""

    side = fields.String(required=True)
    standard = fields.String(required=True)
    claimed_by = fields.String(required=True)
    what = fields.String(required=True)
    found = fields.Raw(required=True, metadata={"oneOf": [{"type": "number"}, {"type": "string"}]})
    expected = fields.Raw(required=True, metadata={"oneOf": [{"type": "number"}, {"type": "string"}]})
    code = fields.String(required=True)
    message = fields.String(required=True)


class NeedSchema(Schema):
    """A conversion that makes the joint possible."""

    key = fields.String(required=True)
    kind = fields.String(required=True, validate=validate.OneOf(["adapter", "bench"]))
    reversible = fields.Boolean(required=True)
    added_height_mm = fields.List(fields.Float(allow_none=True), required=True, allow_none=True)
    source = fields.String(required=True)
    code = fields.String(required=True)
    message = fields.String(required=True)


class CautionSchema(Schema):
    """What can hurt somebody or ruin a part."""

    code = fields.String(required=True)
    message = fields.String(required=True)


class CheckSchema(Schema):
    """One judged comparison; its figures carry the unit in their names."""

    code = fields.String(required=True)
    position = fields.String(required=True)
    outcome = fields.String(required=True, validate=validate.OneOf([outcome.value for outcome in Outcome]))
    value_mm = fields.Float(allow_none=True)
    limits_mm = fields.List(fields.Float(allow_none=True))
    margin_mm = fields.Float(allow_none=True)
    value_deg = fields.Float(allow_none=True)
    limits_deg = fields.List(fields.Float(allow_none=True))
    margin_deg = fields.Float(allow_none=True)
    value_eu_size = fields.Float(allow_none=True)
    limits_eu_size = fields.List(fields.Float(allow_none=True))
    margin_eu_size = fields.Float(allow_none=True)
    probability = fields.Float(required=True)
    params = fields.Dict(required=True)
    message = fields.String(required=True)
    source = fields.String(required=True)
    missing = fields.List(fields.String(), required=True)


class SettingSchema(Schema):
    """Where an adjustable dimension was put, in the unit that its name ends in."""

    side = fields.String(required=True)
    dimension = fields.String(required=True)
    value = fields.Float(required=True)
    lock = fields.String(required=True)


class JointSchema(Schema):
    """One joint: what it was judged as."""

    position = fields.String(required=True)
    sides = fields.List(fields.String(), required=True)
    standards = fields.List(fields.String(allow_none=True), required=True)
    patterns = fields.List(fields.String(allow_none=True), required=True, metadata={"description": "The ones used."})
    settings = fields.List(fields.Nested(SettingSchema), required=True)
    shift_mm = fields.Float(
        required=True,
        allow_none=True,
        metadata={"description": "How far forward of the first pattern the used one puts the part."},
    )
    verdict = fields.String(required=True, validate=validate.OneOf(VERDICTS))
    probability = fields.Float(required=True)
    probability_at_most = fields.Float(required=True)


class GeometrySchema(Schema):
    """What the geometry says by itself."""

    verdict = fields.String(required=True, validate=validate.OneOf(VERDICTS))
    probability = fields.Float(required=True)
    probability_at_most = fields.Float(required=True)


class ReportsSchema(Schema):
    """Reports of this pair of skate and part."""

    count = fields.Integer(required=True)
    weight = fields.Float(required=True, metadata={"description": "Of all together; one counts 1 at most."})


class ExperienceSchema(Schema):
    """What the answer owes to those who tried this pair."""

    geometry = fields.Nested(GeometrySchema, required=True)
    share_of_geometry = fields.Float(required=True)
    share_of_experience = fields.Float(required=True)
    successes = fields.Nested(
        ReportsSchema,
        required=True,
        metadata={"description": "It went on as the geometry says; beside doubt or a no: as it came."},
    )
    failures = fields.Nested(
        ReportsSchema, required=True, metadata={"description": "It did not go on, or it took more than that."}
    )
    conflict = fields.Boolean(required=True, metadata={"description": "Whether it speaks against the geometry."})
    code = fields.String(required=True)
    params = fields.Dict(required=True)
    message = fields.String(required=True)


class VersionVerdictSchema(Schema):
    """How one version of a model takes the part."""

    sku = fields.String(required=True)
    version = fields.String(required=True, allow_none=True)
    mark = fields.String(required=True, allow_none=True, metadata={"description": "What one sees that tells it."})
    verdict = fields.String(required=True, validate=validate.OneOf(VERDICTS))


class PartAnswerSchema(Schema):
    """One part: the worst of its joints, moved by experience where there is any."""

    index = fields.Integer(required=True)
    sku = fields.String(required=True, allow_none=True)
    verdict = fields.String(required=True, validate=validate.OneOf(VERDICTS))
    probability = fields.Float(required=True, metadata={"description": "At least this; see probability_at_most."})
    probability_at_most = fields.Float(required=True)
    joints = fields.List(fields.Nested(JointSchema), required=True)
    checks = fields.List(fields.Nested(CheckSchema), required=True)
    contradictions = fields.List(fields.Nested(ContradictionSchema), required=True)
    needs = fields.List(fields.Nested(NeedSchema), required=True)
    cautions = fields.List(fields.Nested(CautionSchema), required=True)
    next_step = fields.Nested(NextStepSchema, required=True, allow_none=True)
    experience = fields.Nested(
        ExperienceSchema,
        required=True,
        allow_none=True,
        metadata={"description": "Null where nobody told anything about the fit of this pair."},
    )
    versions = fields.List(
        fields.Nested(VersionVerdictSchema),
        required=True,
        metadata={"description": "Of a skate that was given by its model, where its name hides several."},
    )


class ReceiptSchema(Schema):
    """With this an answer can be traced and given again."""

    request = fields.String(required=True, metadata={"description": "SHA-256 of the request in canonical form."})
    catalogue = fields.String(required=True, allow_none=True)
    rules = fields.String(required=True, metadata={"description": "Version of the rules, the plugins' among them."})


class FitAnswerSchema(Schema):
    """The worst of the parts, and each part."""

    verdict = fields.String(required=True, validate=validate.OneOf(VERDICTS))
    parts = fields.List(fields.Nested(PartAnswerSchema), required=True)
    receipt = fields.Nested(ReceiptSchema, required=True)
