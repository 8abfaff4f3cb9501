"""Strap trim: the request, and the answer as the contract shows it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from marshmallow import Schema, ValidationError, fields, post_load, validate, validates_schema

from mountwright.bench.strap import Closing, Pitch, StrapQuestion
from mountwright.bench.strap_trim import Kept
from mountwright.bench.trimming import catalogued_length, catalogued_pitch
from mountwright.errors import InvalidQuantityError
from mountwright.web.faults import Flag, ObjectOf, Size, Strict, Text, fault
from mountwright.web.schemas.numbers import Whole
from mountwright.web.schemas.trims import (
    LengthReadingSchema,
    LengthSchema,
    TrimAnswerSchema,
    impossible,
    length_of,
    measured,
    named_specs,
)

#: Most teeth of a ladder.
_MOST_TEETH = 100


class ClosingSchema(Strict):
    """A strap that is closed on the foot as tight as it is ever worn."""

    teeth_engaged = Whole(
        0,
        _MOST_TEETH,
        required=True,
        metadata={"description": "Teeth that have passed the pawl, the held one too: the clicks while it is closed."},
    )
    teeth_standing_out = Whole(
        0, _MOST_TEETH, required=True, metadata={"description": "Of these, how many stand out beyond the ratchet."}
    )

    @validates_schema
    def _held(self, data: Mapping[str, Any], **_kwargs: Any) -> None:
        engaged, out = data["teeth_engaged"], data["teeth_standing_out"]
        if out and out >= engaged:
            raise ValidationError({"teeth_standing_out": fault("request.bounds", out, low=0, high=max(0, engaged - 1))})

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> Closing:
        """Give the closing."""
        return Closing(data["teeth_engaged"], data["teeth_standing_out"])


class PitchSchema(Strict):
    """The tooth pitch, measured over several teeth."""

    span_mm = ObjectOf(LengthReadingSchema, required=True, metadata={"description": "From edge to same edge."})
    teeth = Whole(1, _MOST_TEETH, required=True, metadata={"description": "How many pitches it spans; best ten."})

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> Pitch:
        """Give the pitch.

        Raises
        ------
        ValidationError
            For a span that may be nothing.
        """
        try:
            return Pitch(length_of(data["span_mm"]), data["teeth"])
        except InvalidQuantityError as error:
            raise ValidationError({"span_mm": impossible(error)}) from error


class StrapTrimRequestSchema(Strict):
    """A strap as it is counted at the bench; what nobody has looked at is left out."""

    sku = Text(validate=Size(min=1, max=60), metadata={"description": "Of the strap: its pitch and mark are taken."})
    never_cut = Flag(
        metadata={"description": "With a SKU: it is as it came, so that its length and count are those catalogued."}
    )
    thickest_sock = ObjectOf(
        ClosingSchema, metadata={"description": "Closed over the thickest sock that is ever worn in it."}
    )
    usual_sock = ObjectOf(ClosingSchema, metadata={"description": "Likewise over the usual one."})
    teeth_in_the_way = Whole(
        0, _MOST_TEETH, metadata={"description": "Of those that stand out; left out, as many as may go."}
    )
    reserve_teeth = Whole(
        1, _MOST_TEETH, metadata={"description": "That shall still hold with the thickest sock; the usual if left out."}
    )
    tail_teeth = Whole(0, _MOST_TEETH, metadata={"description": "That shall still stand out with it, to pull by."})
    has_mark = Flag(metadata={"description": "Whether the maker marked how far it may be cut."})
    teeth_to_mark = Whole(0, _MOST_TEETH, metadata={"description": "Whole teeth from the tip to that mark."})
    length_mm = measured("From the joint to the tip, as it is now.")
    cut_limit_mm = measured("From the joint to the mark: what has to stay.")
    tip_mm = measured("The smooth end before the first tooth.")
    tooth_pitch = ObjectOf(PitchSchema)

    @validates_schema(skip_on_field_errors=False)
    def _of_one_mark(self, data: Mapping[str, Any], **_kwargs: Any) -> None:
        if data.get("has_mark") is False and data.keys() & {"teeth_to_mark", "cut_limit_mm"}:
            raise ValidationError({"has_mark": fault("trim.no_mark_and_figures")})

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> StrapQuestion:
        """Give the question; what was measured goes before what is catalogued.

        Raises
        ------
        ValidationError
            For a SKU that is not there or no strap.
        """
        specs = named_specs(data, "strap")
        told, catalogued = _told(data), _catalogued(specs, data)
        taken = {spec: figure for spec, figure in catalogued.items() if figure[0] not in told}
        told |= dict(taken.values())
        if "cut_limit" in told:
            # The maker's limit holds where a mark has worn off, too.
            told["has_mark"] = True
        return StrapQuestion(**told, is_toothed=specs.get("closure", "ratchet") == "ratchet", catalogued=tuple(taken))


_NAMES = {
    "thickest_sock": "thick",
    "usual_sock": "usual",
    "teeth_in_the_way": "in_the_way",
    "reserve_teeth": "reserve",
    "tail_teeth": "tail",
    "has_mark": "has_mark",
    "teeth_to_mark": "teeth_to_mark",
    "tooth_pitch": "pitch",
}


def _told(data: Mapping[str, Any]) -> dict[str, Any]:
    told = {_NAMES[name]: value for name, value in data.items() if name in _NAMES}
    lengths = ("length_mm", "cut_limit_mm", "tip_mm")
    return told | {name.removesuffix("_mm"): length_of(data[name]) for name in lengths if name in data}


def _catalogued(specs: Mapping[str, Any], data: Mapping[str, Any]) -> dict[str, tuple[str, Any]]:
    """Give by spec what a catalogue tells, and of what; a length and a count only of a strap that nobody cut before."""
    known: dict[str, tuple[str, Callable[[Any], Any]]] = {
        "tooth_pitch_mm": ("pitch", _one_pitch),
        "cut_limit_mm": ("cut_limit", catalogued_length),
    }
    if data.get("never_cut"):
        known |= {"length_mm": ("length", catalogued_length), "tooth_count": ("tooth_count", int)}
    return {spec: (name, read(specs[spec])) for spec, (name, read) in known.items() if spec in specs}


def _one_pitch(value_mm: float) -> Pitch:
    return Pitch(catalogued_pitch(value_mm), 1)


class AfterSchema(Schema):
    """How it closes after a cut, at the least: the teeth that the bevel may take hold no more."""

    teeth_engaged = fields.Integer(required=True)
    teeth_standing_out = fields.Integer(required=True)


class StrapCutSchema(Schema):
    """What goes and what stays."""

    teeth = fields.Integer(required=True, metadata={"description": "Cut off, from the tip."})
    goes_mm = fields.Nested(
        LengthSchema, required=True, allow_none=True, metadata={"description": "null where the pitch is not known."}
    )
    stays_mm = fields.Nested(
        LengthSchema, required=True, allow_none=True, metadata={"description": "null where the length is not known."}
    )
    thickest_sock = fields.Nested(AfterSchema, required=True)
    usual_sock = fields.Nested(AfterSchema, required=True, allow_none=True)


class StrapLimitSchema(Schema):
    """What one thing that has to stay lets go."""

    kept = fields.String(required=True, validate=validate.OneOf([each.value for each in Kept]))
    teeth = fields.Integer(required=True)


class StrapTrimAnswerSchema(TrimAnswerSchema):
    """How many teeth may go, how many first, and what closes then."""

    limits = fields.List(fields.Nested(StrapLimitSchema), required=True)
    first = fields.Nested(
        StrapCutSchema, required=True, allow_none=True, metadata={"description": "Cut this, then try it on."}
    )
    at_most = fields.Nested(StrapCutSchema, required=True, allow_none=True)
