"""Lace lengths: the request, and the answer as the contract shows it."""

from __future__ import annotations

from collections.abc import Mapping
from math import sqrt
from typing import Any, NamedTuple

from marshmallow import Schema, ValidationError, fields, post_load, validate, validates_schema

from mountwright.bench.lace_fit import Reach
from mountwright.bench.lace_question import FEWEST_PAIRS, MOST_PAIRS, LaceQuestion, most_lean_mm
from mountwright.bench.lacing import Pattern
from mountwright.measure.instruments import instruments
from mountwright.measure.quantity import significant
from mountwright.riding.band import Band, around
from mountwright.web.faults import Choice, Flag, ObjectOf, Strict, fault
from mountwright.web.faults import Text as Word
from mountwright.web.rides.tyres import Reading
from mountwright.web.schemas.fit_checks import ReceiptSchema
from mountwright.web.schemas.numbers import Number, Whole
from mountwright.web.schemas.ride_answers import BandSchema, NoteSchema
from mountwright.web.schemas.set_ups import ReadingSchema

#: Where a boot's gap may stand; one reading for all pairs, or one for the top and one for the bottom.
_GAP, _TOP, _BOTTOM = "gap_mm", "gap_top_mm", "gap_bottom_mm"

_PATTERNS = [each.value for each in Pattern]


class LaceAsked(NamedTuple):
    """What is asked about a lace.

    Parameters
    ----------
    about : LaceQuestion
    wants_stock : bool
        Whether the catalogue is looked through for laces that reach.
    """

    about: LaceQuestion
    wants_stock: bool


class _EyeletReadingSchema(ReadingSchema):
    """A distance between eyelets, middle to middle, with the instrument or a half-width."""

    @validates_schema
    def _sure_enough(self, data: Mapping[str, Any], **_kwargs: Any) -> None:
        told = "plus_minus" if "plus_minus" in data else "instrument"
        if told not in data:
            return
        doubt = data[told] if told == "plus_minus" else instruments()[data[told]].half_widths["mm"] / 1000
        if doubt >= data["value"] / 2:
            found = fault("lacing.doubt_too_wide", value=significant(data["value"]), doubt=significant(doubt))
            raise ValidationError({told: found})


class _GapSchema(_EyeletReadingSchema):
    """The gap of a pair of eyelets."""

    value = Number(5, 200, required=True)


class _PitchSchema(_EyeletReadingSchema):
    """The pitch of a row of eyelets."""

    value = Number(5, 80, required=True)


class LaceLengthRequestSchema(Strict):
    """A boot's eyelets, and how it is laced."""

    pairs = Whole(FEWEST_PAIRS, MOST_PAIRS, required=True, metadata={"description": "Pairs of eyelets that are laced."})
    gap_mm = ObjectOf(
        _GapSchema, metadata={"description": "Across, the same at every pair; as worn, with the foot in."}
    )
    gap_top_mm = ObjectOf(_GapSchema, metadata={"description": "Instead of gap_mm, with gap_bottom_mm."})
    gap_bottom_mm = ObjectOf(_GapSchema, metadata={"description": "Of the lowest pair; evenly between."})
    pitch_mm = ObjectOf(
        _PitchSchema, required=True, metadata={"description": "Along a row, from one eyelet to the next."}
    )
    pattern = Word(validate=Choice(_PATTERNS), metadata={"description": "criss_cross if left out."})
    lock_loop = Flag(metadata={"description": "Each end goes through a loop beside the top two eyelets."})
    bow_tail_mm = Number(
        20, 1000, metadata={"description": "Of each end, free of its top eyelet. The usual figure if left out."}
    )
    eyelet_thickness_mm = Number(
        0, 20, metadata={"description": "Once through the boot at an eyelet. The usual figure if left out."}
    )
    lace_length_mm = Number(
        100,
        5000,
        metadata={"description": "Of the lace at hand, as marked: does it reach, and what stays for the bow?"},
    )
    in_stock = Flag(metadata={"description": "Name the laces in stock that reach."})

    @validates_schema(skip_on_field_errors=False, pass_original=True)
    def _gaps_told_once(self, _data: Mapping[str, Any], given: Any, **_kwargs: Any) -> None:
        if not isinstance(given, dict):
            return
        told = given.keys() & {_GAP, _TOP, _BOTTOM}
        if told > {_GAP}:
            raise ValidationError({_GAP: fault("lacing.gap_twice")})
        wanted = {_TOP, _BOTTOM} if told & {_TOP, _BOTTOM} else {_GAP}
        if missing := sorted(wanted - told):
            raise ValidationError(dict.fromkeys(missing, fault("request.required")))

    @validates_schema
    def _rows_can_lean_so(self, data: Mapping[str, Any], **_kwargs: Any) -> None:
        if not data.keys() >= {_TOP, _BOTTOM}:
            return
        top, bottom, pitch = (_band(data[name]) for name in (_TOP, _BOTTOM, "pitch_mm"))
        lean = most_lean_mm(top, bottom, data["pairs"])
        if not lean < pitch.low:
            found = fault("lacing.rows_lean_too_far", lean=significant(lean), pitch=significant(pitch.low))
            raise ValidationError({_BOTTOM: found})

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> LaceAsked:
        """Give the question."""
        about = LaceQuestion(
            pairs=data["pairs"],
            gap_top_mm=_band(data[_GAP] if _GAP in data else data[_TOP]),
            gap_bottom_mm=_band(data[_BOTTOM]) if _BOTTOM in data else None,
            pitch_mm=_band(data["pitch_mm"]),
            pattern=Pattern(data.get("pattern", Pattern.CRISS_CROSS)),
            has_lock_loop=data.get("lock_loop", False),
            **{name: data.get(name) for name in ("bow_tail_mm", "eyelet_thickness_mm", "lace_length_mm")},
        )
        return LaceAsked(about, data.get("in_stock", False))


def _band(reading: Reading) -> Band:
    """Give the bounds of a reading: it lies somewhere within its half-width (JCGM 100:2008, 4.3.7)."""
    return around(reading.mm, sqrt(3) * reading.standard_uncertainty_mm)


class LaceFitSchema(NoteSchema):
    """What becomes of a lace of some length."""

    length_mm = fields.Float(required=True, metadata={"description": "As it is marked."})
    reach = fields.String(required=True, validate=validate.OneOf([each.value for each in Reach]))
    tails_mm = fields.Nested(
        BandSchema,
        required=True,
        metadata={
            "description": "What stays of each end; below 0 where it does not reach through; bounds worst cases."
        },
    )
    short_by_mm = fields.Nested(
        BandSchema,
        required=True,
        metadata={"description": "How much is wanting for the shortest bow; bounds worst cases."},
    )


class PatternFiguresSchema(Schema):
    """What a way of lacing takes and gives."""

    pattern = fields.String(required=True, validate=validate.OneOf(_PATTERNS))
    in_eyelets_mm = fields.Nested(
        BandSchema, required=True, metadata={"description": "In the eyelets; bounds worst cases."}
    )
    cut_length_mm = fields.Nested(
        BandSchema, required=True, metadata={"description": "With both tails; bounds worst cases."}
    )
    sold_length_mm = fields.Float(
        required=True, allow_none=True, metadata={"description": "The shortest that reaches in the worst case."}
    )
    pull_sum = fields.Float(required=True, metadata={"description": "Sideways, without friction; a ratio."})
    pull_sum_rubbing = fields.Nested(BandSchema, required=True, metadata={"description": "With friction."})


class BestPatternSchema(Schema):
    """The best way of lacing by one measure."""

    pattern = fields.String(required=True, validate=validate.OneOf(_PATTERNS))
    as_good = fields.List(
        fields.String(validate=validate.OneOf(_PATTERNS)),
        required=True,
        metadata={"description": "Others that are exactly as good."},
    )
    probability = fields.Float(required=True, metadata={"description": "How often it stays the best."})


class PairHoldSchema(Schema):
    """How hard one pair is drawn together, in parts of the pull on one end."""

    pair = fields.Integer(required=True, metadata={"description": "From the top, which is 1."})
    ideal = fields.Float(required=True, metadata={"description": "Without friction: an upper bound."})
    rubbing = fields.Nested(
        BandSchema, required=True, metadata={"description": "With friction, pulled at the ends alone."}
    )


class StockedLaceSchema(Schema):
    """A lace in stock that reaches."""

    sku = fields.String(required=True)
    name = fields.String(required=True)
    length_mm = fields.Float(required=True)
    tails_mm = fields.Nested(BandSchema, required=True)
    price_minor = fields.Integer(required=True, allow_none=True)
    currency = fields.String(required=True, allow_none=True)
    stock = fields.Integer(required=True)


class LaceLengthAnswerSchema(NoteSchema):
    """How long a lace has to be, how it holds along the foot, and which pattern is the shortest or the strongest."""

    pattern = fields.String(required=True, validate=validate.OneOf(_PATTERNS))
    in_eyelets_mm = fields.Nested(
        BandSchema, required=True, metadata={"description": "In the eyelets; bounds worst cases."}
    )
    lock_loop_mm = fields.Nested(
        BandSchema, required=True, allow_none=True, metadata={"description": "Of that, what the lock loop takes."}
    )
    tail_wanted_mm = fields.Float(required=True)
    cut_length_mm = fields.Nested(
        BandSchema, required=True, metadata={"description": "With both tails; bounds worst cases."}
    )
    sold = fields.Nested(
        LaceFitSchema,
        required=True,
        allow_none=True,
        metadata={"description": "The shortest of the usual lengths that reaches in the worst case."},
    )
    shorter = fields.Nested(
        LaceFitSchema,
        required=True,
        allow_none=True,
        metadata={"description": "The next shorter one, where a bow can still be tied: how its tails shrink."},
    )
    given = fields.Nested(LaceFitSchema, required=True, allow_none=True)
    stock = fields.List(
        fields.Nested(StockedLaceSchema),
        required=True,
        allow_none=True,
        metadata={"description": "The shortest first; null where nobody asked."},
    )
    hold = fields.List(fields.Nested(PairHoldSchema), required=True, metadata={"description": "From the top down."})
    patterns = fields.List(fields.Nested(PatternFiguresSchema), required=True)
    shortest = fields.Nested(BestPatternSchema, required=True)
    strongest = fields.Nested(
        BestPatternSchema, required=True, metadata={"description": "By the sum of pulls, if nothing rubbed."}
    )
    strongest_rubbing = fields.Nested(BestPatternSchema, required=True)
    notes = fields.List(fields.Nested(NoteSchema), required=True)
    receipt = fields.Nested(ReceiptSchema, required=True)
