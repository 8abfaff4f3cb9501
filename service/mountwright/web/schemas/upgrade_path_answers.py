"""The upgrade path: the answer as the contract shows it."""

from __future__ import annotations

from marshmallow import Schema, fields, validate

from mountwright.upgrading.complaints import Answer, Severity
from mountwright.upgrading.path import Outcome
from mountwright.web.schemas.fit_checks import CautionSchema, CheckSchema, NeedSchema, NextStepSchema, ReceiptSchema
from mountwright.web.schemas.ride_answers import BandSchema, NoteSchema


def _minor(description: str = "", *, none: bool = False) -> fields.Integer:
    return fields.Integer(required=True, allow_none=none, metadata={"description": description} if description else {})


def _words(values: type[Outcome] | type[Answer] | type[Severity]) -> validate.OneOf:
    return validate.OneOf([each.value for each in values])


class MinutesSchema(Schema):
    """A time on the bench."""

    least = fields.Integer(required=True)
    usual = fields.Integer(required=True)
    most = fields.Integer(required=True)


class ReliefSchema(Schema):
    """How often something does away with a complaint."""

    complaint = fields.String(required=True)
    relief = fields.Nested(BandSchema, required=True)


class OldPartSchema(Schema):
    """What becomes of the part that is taken off."""

    sku = fields.String(required=True, allow_none=True)
    kind = fields.String(required=True)
    becomes = fields.String(required=True, validate=validate.OneOf(["spare", "worn_out"]))


class ChangesSchema(Schema):
    """What a part changes about how the skate stands, new less old; null where it does not or nobody knows."""

    wheelbase_mm = fields.Float(
        required=True,
        allow_none=True,
        metadata={"description": "Longer runs steadier, shorter turns easier (common practice)."},
    )
    height_mm = fields.Float(required=True, allow_none=True, metadata={"description": "Of the sole above the ground."})


class PathStepSchema(NoteSchema):
    """A step, and the reason for it."""

    position = fields.String(required=True)
    kind = fields.String(required=True, allow_none=True)
    sku = fields.String(required=True, allow_none=True)
    name = fields.String(required=True)
    packs = fields.Integer(required=True)
    jobs = fields.List(fields.String(), required=True)
    parts_minor = _minor()
    labour_minor = _minor()
    consumables_minor = _minor()
    minutes = fields.Nested(MinutesSchema, required=True)
    serves = fields.List(fields.Nested(ReliefSchema), required=True)
    hazards = fields.List(fields.String(), required=True)
    rolling_gain_percent = fields.Float(
        required=True, allow_none=True, metadata={"description": "Felt slope; above 0 it rolls easier."}
    )
    wishes = fields.List(fields.String(), required=True)
    changes = fields.Nested(ChangesSchema, required=True)
    checks = fields.List(
        fields.Nested(CheckSchema), required=True, metadata={"description": "Those that let it pass, as a basket's."}
    )
    needs = fields.List(fields.Nested(NeedSchema), required=True)
    old_part = fields.Nested(OldPartSchema, required=True, allow_none=True)
    can_be_undone = fields.Boolean(required=True)
    keeps_place = fields.Float(
        required=True, metadata={"description": "How often it keeps its place in its stage under the estimates' doubt."}
    )


class PathStageSchema(Schema):
    """A stage: what is done once its money is there. The skate goes together after it."""

    number = fields.Integer(required=True)
    on = fields.String(required=True, allow_none=True)
    budget_minor = _minor("Of this stage and those before.")
    spent_minor = _minor("In this stage and those before.")
    decision = fields.String(required=True, validate=validate.OneOf(["clear"]))
    steps = fields.List(fields.Nested(PathStepSchema), required=True)


class FirstLookSchema(Schema):
    """What is looked at before anything is bought."""

    cause = fields.String(required=True)
    check = fields.String(required=True)


class ComplaintAnswerSchema(Schema):
    """A complaint, and what the path does about it."""

    complaint = fields.String(required=True)
    said = fields.String(required=True)
    relief = fields.Float(required=True)
    first_look = fields.List(fields.Nested(FirstLookSchema), required=True)
    answer = fields.String(required=True, validate=_words(Answer))
    message = fields.String(required=True, allow_none=True)


class HazardSchema(NoteSchema):
    """A complaint that can hurt."""

    complaint = fields.String(required=True)
    severity = fields.String(required=True, validate=_words(Severity))
    removed_at_stage = fields.Integer(required=True, allow_none=True)


class TorqueSchema(Schema):
    """How tight a kind of fastener is turned."""

    kind = fields.String(required=True)
    torque = fields.String(
        required=True, metadata={"description": "The maker's figure of what is bought, or whom to ask."}
    )


class BenchJobSchema(Schema):
    """A job, in the order in which all would be done together."""

    job = fields.String(required=True)
    title = fields.String(required=True)
    stage = fields.Integer(required=True, allow_none=True, metadata={"description": "null for what another job needs."})
    where = fields.String(required=True, validate=validate.OneOf(["home", "workshop"]))
    steps = fields.List(fields.String(), required=True, metadata={"description": "What is done, in order."})
    minutes = fields.Nested(MinutesSchema, required=True, metadata={"description": "By itself, on a pair of skates."})
    can_be_undone = fields.Boolean(required=True)
    torques = fields.List(fields.Nested(TorqueSchema), required=True)


class BenchSchema(Schema):
    """All work of the path."""

    jobs = fields.List(fields.Nested(BenchJobSchema), required=True)
    tools = fields.List(fields.String(), required=True)
    after_checks = fields.List(fields.String(), required=True)
    cautions = fields.List(fields.String(), required=True)


class AnotherSkateSchema(NoteSchema):
    """A complete skate instead."""

    sku = fields.String(required=True)
    name = fields.String(required=True, allow_none=True)
    price_minor = _minor()
    trade_in_minor = _minor()
    wins_from_minor = _minor("A path that costs as much leaves an old skate.")
    serves = fields.List(fields.Nested(ReliefSchema), required=True)


class BriefStepSchema(Schema):
    """A step of another plan."""

    position = fields.String(required=True)
    sku = fields.String(required=True, allow_none=True)
    name = fields.String(required=True)
    stage = fields.Integer(required=True)
    cost_minor = _minor()


class OtherPathSchema(NoteSchema):
    """Another plan, in which a complaint is served by something else."""

    steps = fields.List(fields.Nested(BriefStepSchema), required=True)
    spent_minor = _minor()
    complaint = fields.String(required=True)
    instead_of = fields.Nested(BriefStepSchema, required=True)
    remedy = fields.Nested(BriefStepSchema, required=True, allow_none=True)
    wins_at_minor = _minor("The price at which its remedy would be chosen.", none=True)


class FrontSchema(Schema):
    """So much relief of the first complaint, for so much money at least."""

    budget_minor = _minor()
    relief = fields.Float(required=True)


class NotChosenSchema(NoteSchema):
    """Something that one would think of."""

    kind = fields.String(required=True)


class PathAnswerSchema(NoteSchema):
    """In which order to spend the money."""

    outcome = fields.String(required=True, validate=_words(Outcome))
    stages = fields.List(fields.Nested(PathStageSchema), required=True)
    complaints = fields.List(fields.Nested(ComplaintAnswerSchema), required=True)
    hazards = fields.List(fields.Nested(HazardSchema), required=True)
    currency = fields.String(required=True)
    spent_minor = _minor()
    left_minor = _minor()
    minutes = fields.Nested(MinutesSchema, required=True)
    bench = fields.Nested(BenchSchema, required=True)
    another_skate = fields.Nested(AnotherSkateSchema, required=True, allow_none=True)
    alternatives = fields.List(fields.Nested(OtherPathSchema), required=True)
    front = fields.List(fields.Nested(FrontSchema), required=True)
    not_chosen = fields.List(fields.Nested(NotChosenSchema), required=True)
    proved = fields.Boolean(required=True)
    bound = fields.List(fields.Integer(), required=True, allow_none=True)
    next_step = fields.Nested(NextStepSchema, required=True, allow_none=True)
    notes = fields.List(fields.Nested(NoteSchema), required=True)
    cautions = fields.List(fields.Nested(CautionSchema), required=True)
    picture = fields.String(
        required=True,
        allow_none=True,
        metadata={"description": "Where the picture is; null where no address holds it."},
    )
    receipt = fields.Nested(ReceiptSchema, required=True)
